"""The labels page: jobs that wait are sent, sent elsewhere or given up; case labels and cards are seen and printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from screens_house import do, dump, said, scan, work
from screens_stock import Stock, done, packing_house, sscc

from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict

NOBODY = "ipp://localhost:9/ipp/print"  # the discard port: nothing listens there


@pytest.fixture
def stock(tmp_path: Path) -> Stock:
    return packing_house(tmp_path / "house")


def away(stock: Stock) -> None:
    """A printer that is not there."""
    with stock.house.places.settings.open("a") as file:
        file.write(f'printer = "{NOBODY}"\n')


def states(stock: Stock) -> object:
    """The last state of each print."""
    return stock.value(
        "SELECT group_concat(state) FROM label_state s WHERE id IN (SELECT MAX(id) FROM label_state GROUP BY print)"
    )


def test_a_case_whose_label_waits_is_not_called_good(stock: Stock) -> None:
    """The case is closed, CHECK says why its label is not out, and the start page leads to the job."""
    run = stock.packed_run(12)
    away(stock)

    async def script(app: HouseApp) -> None:
        await do(app, "/cases\r")
        verdict, words = await done(app, f"{run}\r", "\r")
        assert verdict is Verdict.CHECK
        assert words.startswith("1 case closed  09520000000000")
        assert "labels not printed: the printer cannot be reached" in words
        await done(app, "f5")
        verdict, words = await done(app, "2\r")
        assert (verdict, "waits for the printer (job" in words) == (Verdict.STOP, True)
        await do(app, "/start\r")
        assert "LABELS?" in dump(app)
        await do(app, "up", "up", "up", "up", "\r")
        assert "label of case 09520000000000" in dump(app)

    work(stock.house, script)
    assert states(stock) == "WAITING"


def test_jobs_of_every_kind_are_sent_elsewhere_or_given_up(stock: Stock, tmp_path: Path) -> None:
    """Packs, a case and a card wait; one goes into a folder, one is given up and printed anew, one came out."""
    away(stock)
    out = tmp_path / "out"
    out.mkdir()

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        verdict, words = await done(app, scan(stock.batch), "12\r")
        assert (verdict, "labels not printed" in words) == (Verdict.CHECK, True)
        assert (await done(app, "/case\r"))[0] is Verdict.CHECK
        await do(app, "/labels\r", scan(stock.batch))
        assert (await done(app, "f7"))[0] is Verdict.CHECK
        await do(app, "f6")
        shown = dump(app)
        assert "3 print jobs are open." in shown
        assert [shown.count("WAITING"), "12 of run" in shown, "card of batch" in shown] == [3, True, True]
        await done(app, "\r")
        assert "it waits" in said(app)[1]
        verdict, words = await done(app, f"folder:{out}\r")
        assert (verdict, "is at folder" in words) == (Verdict.GOOD, True), words
        assert len(list(out.iterdir())) == 1
        verdict, words = await done(app, "\r", "2\r")
        assert (verdict, "is given up." in words) == (Verdict.GOOD, True), words
        verdict, words = await done(app, "/yes\r")
        assert (verdict, "came out." in words) == (Verdict.GOOD, True), words
        assert "All came out." in dump(app)

    work(stock.house, script)
    assert states(stock) == "PRINTED,FAILED,PRINTED"


def test_the_label_of_a_case_and_the_card_of_a_batch_are_seen_and_printed(stock: Stock) -> None:
    """A scan shows them as they print, F4 in words, F7 prints, F5 prints again with the reason."""
    run = stock.packed_run(12)
    (case,) = stock.cases(run)

    async def script(app: HouseApp) -> None:
        await do(app, "/labels\r", sscc(case))
        assert "105 x 148 mm, 203 dpi   reads back, modules 0.50 mm" in dump(app)
        await do(app, "f4")
        for text in (f"SSCC        {case}", "nothing found", f"|||         (00){case}"):
            assert text in dump(app)
        verdict, words = await done(app, "f7")
        assert (verdict, words.startswith(f"The label of case {case} is made")) == (Verdict.GOOD, True)
        assert (await done(app, "f7"))[0] is Verdict.STOP
        await done(app, "f5")
        assert (await done(app, "torn\r"))[0] is Verdict.GOOD
        await do(app, "/batch\r", scan(stock.batch), "/card\r")
        assert (await done(app, "/paper 3\r"))[0] is Verdict.GOOD
        assert (await done(app, "/paper many\r"))[0] is Verdict.CHECK

    work(stock.house, script)
    assert states(stock) == "PRINTED,PRINTED,PRINTED"


def test_the_picture_is_looked_at_closer_and_in_other_signs(stock: Stock) -> None:
    """/closer doubles it, PgDn goes on in it, /blocks takes half blocks and plain signs for terminals without fine ones."""
    run = stock.packed_run(12)

    async def script(app: HouseApp) -> None:
        await do(app, "/labels\r", f"{run}\r")
        whole = dump(app)
        await do(app, "/closer\r")
        near = dump(app)
        assert near != whole
        await do(app, "pagedown")
        assert dump(app) != near
        await do(app, "/blocks\r")
        assert said(app)[1].startswith("Drawn with half blocks.")
        assert "▀" in dump(app)
        await do(app, "/blocks\r")
        assert not any(
            ord(sign) > 0x2500 for line in dump(app).splitlines()[6:-4] for sign in line if sign not in "▁▂▃▄▅▆▇█▎"
        )

    work(stock.house, script)


def test_spoiled_labels_are_written_down_and_counted(stock: Stock) -> None:
    """At the end of a run /waste and /count hold what is gone from the roll against the packs."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "12\r")
        run = str(stock.value("SELECT code FROM run ORDER BY id DESC LIMIT 1"))
        await do(app, "/labels\r", f"{run}\r", "/waste 3 jam in the roll\r")
        assert said(app)[1].startswith("3 spoiled labels of run")
        await do(app, "/count 15\r")
        assert said(app)[0] is Verdict.GOOD
        assert "12 packs; 12 labels, 0 again, 3 spoiled: 15 used." in said(app)[1]
        await do(app, "/count 16\r")
        assert (said(app)[0], "+1 counted" in said(app)[1]) == (Verdict.CHECK, True)
        await do(app, "/waste many\r")
        assert said(app)[1].startswith("How many labels were spoiled, and why?")

    work(stock.house, script)
