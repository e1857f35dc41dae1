"""The places page: a place is made, its card scanned, and what is scanned next lies there, seen on the other pages too."""

from __future__ import annotations

from pathlib import Path

from screens_house import dump, said, scan, work
from screens_stock import packing_house, sscc
from test_page_recall import done

from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


def test_a_card_then_things(tmp_path: Path) -> None:
    """The card of a place, then a case and a lot: they lie there, on this page, in find and in the trace."""
    stock = packing_house(tmp_path / "house")
    run = stock.packed_run(30)
    case = stock.cases(run)[0]

    async def script(app: HouseApp) -> None:
        await done(app, "/places\r", "/place Freezer 1\r", "1\r")
        assert said(app)[1].startswith("Added the freezer Freezer 1.")
        await done(app, "/place Chill\r", "2\r", "f6")
        assert "Where does it lie?" in dump(app)
        assert (await done(app, sscc(case)))[1].startswith(f"Where does case {case} lie?")
        card = str(stock.value("SELECT code FROM place WHERE name = 'Freezer 1'"))
        await done(app, scan(card), sscc(case), f"{stock.house.other_lot}\r")
        assert "12 packs, 0.5 kg not packed" in dump(app)
        assert (await done(app, f"{stock.house.card}\r"))[0] is Verdict.CHECK
        assert (await done(app, "f7"))[1].startswith("2 cards are in printed/place-cards.pdf.")
        await done(app, "2\r")
        assert f"case {case}" in dump(app)
        await done(app, "/thing\r", sscc(case))
        assert "lies in      Freezer 1" in dump(app)
        await done(app, scan(card))
        assert app.page.NAME == "places"
        await done(app, f"/trace {run}\r")
        assert "our house, Freezer 1" in dump(app)

    work(stock.house, script)
