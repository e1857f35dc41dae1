"""The main job in the terminal by keys alone: from a boat's landing to a buyer, and traced both ways."""

from __future__ import annotations

import json

import pytest
from screens_house import House, do, dump, said, work
from screens_stock import done, idle

from lotwake.trace.base.codes import show_code
from lotwake.trace.screens.asking_page import AskingPage
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict

pytestmark = pytest.mark.on_both


async def good(app: HouseApp, *typed: str) -> str:
    """Type, one after the other; what the last says must be GOOD."""
    for text in typed:
        await do(app, text)
        if isinstance(app.page, AskingPage):
            await idle(app)
    verdict, words = said(app)
    assert verdict is Verdict.GOOD, words
    return words


def newest(house: House, table: str) -> str:
    """The code of what was made last."""
    desk = house.desk()
    code = str(desk.records.value(f"SELECT code FROM {table} ORDER BY id DESC LIMIT 1"))
    desk.close()
    return code


def test_the_main_job_by_keys_alone(house: House) -> None:
    """Landing, batch, release, labels, cases, dispatch; the buyer's pack leads to the boat, the landing to the buyer."""

    async def script(app: HouseApp) -> None:
        await good(app, "/landing\r", "aur\r", "\r", "39\r", "\r", "\r", "\r", "1,5\r", "\r")
        lot = newest(house, "lot")
        await good(app, "/batch\r", "0\r", "2\r", "1\r", f"{lot}\r", "30\r")
        batch = newest(house, "batch")
        await good(app, "/loss drying 6\r", "/release\r")
        await done(app, "/pack\r")
        await good(app, "24\r")
        run = newest(house, "run")
        await good(app, "/case\r")
        case = next(iter(cases(house)))
        await done(app, "/dispatch\r", "deli\r")
        await good(app, f"{case}\r", "/document DN-1\r")
        await done(app, "\r")
        assert "Sent to Quay Deli" in await good(app, "\r")
        await done(app, "/trace\r", f"{run}/1\r")
        shown = dump(app)
        assert f"PACK {show_code(run)}/1   BALANCED" in shown
        assert "BOATS 1" in shown
        await done(app, "/find aurora\r", "\r")
        assert f"LOT {show_code(lot)}   BALANCED" in dump(app)
        await good(app, "/save\r")
        assert batch

    work(house, script)
    lot, run = newest(house, "lot"), newest(house, "run")
    saved = json.loads((house.places.traces / f"{lot}.json").read_text(encoding="utf-8"))
    assert saved["forward"]["buyers"] == ["Quay Deli"]
    assert saved["forward"]["documents"] == ["DN-1"]
    assert saved["forward"]["whereabouts"]["with_buyers"] == 12
    assert [path.name for path in house.places.printed.glob(f"{run}*.pdf")] == [f"{run}-0001-0024.pdf"]


def cases(house: House) -> list[str]:
    """The SSCCs of all cases."""
    desk = house.desk()
    rows = desk.records.rows("SELECT sscc FROM unit ORDER BY sscc")
    desk.close()
    return [f"{unit:018d}" for (unit,) in rows]
