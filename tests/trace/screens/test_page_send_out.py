"""The page that writes what authorities and buyers' systems ask for: by a scan, by days, and with what is missing said."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
from screens_house import dump, said, work
from screens_stock import Stock, done, packing_house, sscc

from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


def sold(folder: Path) -> tuple[Stock, str]:
    """A house that sent one case on document DN-7."""
    stock = packing_house(folder)
    case = stock.cases(stock.packed_run(12))[0]
    stock.sent([case])
    return stock, case


def test_files_by_scan_and_by_days(tmp_path: Path) -> None:
    """A scanned case is sent as a spreadsheet and what is missing told; days give EPCIS events; the plan needs none."""
    stock, case = sold(tmp_path / "house")

    async def script(app: HouseApp) -> None:
        await done(app, "/sendout\r", sscc(case), "1\r")
        assert said(app)[1].startswith("Write kde as what? 1 xlsx")
        verdict, words = await done(app, "1\r")
        assert (verdict, "facts are missing" in words) == (Verdict.CHECK, True)
        assert "MISSING" in dump(app)
        await done(app, "/days 2026-11-20 to 2026-11-24\r", "/paper epcis\r")
        assert "epcis-2026-11-20-to-2026-11-24.json in sent/" in said(app)[1]
        await done(app, "f6", "/paper plan md\r")
        assert "traceability-plan.md" in said(app)[1]

    work(stock.house, script)
    sent = stock.house.places.sent
    sheet = openpyxl.load_workbook(next(sent.glob("kde-*.xlsx")))
    assert sheet.sheetnames[0] == "Gaps"
    events = json.loads(next(sent.glob("epcis-*.json")).read_text(encoding="utf-8"))
    assert events["type"] == "EPCISDocument"
    assert "1.1315" in (sent / "traceability-plan.md").read_text(encoding="utf-8")


def test_a_dispatch_note_by_its_document(tmp_path: Path) -> None:
    """The document number alone is enough for the dispatch note, for people and for a buyer's system."""
    stock, _ = sold(tmp_path / "house")

    async def script(app: HouseApp) -> None:
        await done(app, "/sendout\r", "DN-7\r", "4\r", "1\r", "4\r", "2\r")

    work(stock.house, script)
    assert sorted(path.suffix for path in stock.house.places.sent.iterdir()) == [".json", ".pdf"]


def test_what_cannot_be_sent(tmp_path: Path) -> None:
    """Nothing chosen, wrong days, an unknown file, a wrong ending and a mistyped code are each refused in a sentence."""
    stock, case = sold(tmp_path / "house")

    async def script(app: HouseApp) -> None:
        await done(app, "/sendout\r")
        for typed in (
            "/paper\r",
            "/paper kde\r",
            "/days\r",
            "/days soon\r",
            "-\r",
            "9\r",
            f"{stock.house.card[:-1]}9\r",
        ):
            assert (await done(app, typed))[0] in (Verdict.CHECK, Verdict.STOP), typed
        assert (await done(app, f"{case}\r", "/paper kde doc\r"))[0] is Verdict.CHECK

    work(stock.house, script)
    assert not stock.house.places.sent.exists() or not list(stock.house.places.sent.iterdir())
