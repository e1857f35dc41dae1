"""Two invented pages that use everything a page can use; shared by the tests of this folder."""

from __future__ import annotations

import sys
import time
from datetime import datetime
from pathlib import Path

from textual.app import ComposeResult
from textual.containers import Horizontal

from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.screens.capture import Scanned, ScannerProfile
from lotwake.trace.screens.command import CHOOSE, MORE, PAPER, REPEAT, REPRINT, VIEW, VOID
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.page import Page
from lotwake.trace.screens.result import Result, Status
from lotwake.trace.screens.shell_app import ShellApp
from lotwake.trace.screens.widgets import ChoiceField, Column, CountPanel, Field, Form, Ledger, LineInput, Row

BOATS = (("FJ2", "Fjordlys"), ("KV1", "Kvitholm"), ("AU7", "Auroral"), ("NB3", "Nordbris [b]"))
NASTY = "lot [b12] [/x] ]C1\x1d end"


def read_mass_g(text: str) -> int:
    """Kilograms with comma or point, as whole grams."""
    number = text.strip().replace(",", ".")
    if number.count(".") > 1 or not number.replace(".", "", 1).isdigit():
        raise CallError(f"{text!r} is not a weight in kilograms.", "Type it like 12,5")
    return round(float(number) * 1000)


class TablePage(Page):
    """Counts, codes, scans and a ledger."""

    NAME = "table"
    TITLE = "TABLE"
    PURPOSE = "Try the input line, the scanner and the ledger."
    CSS = "#table-top { height: auto; }"
    OFFERS = (VIEW, REPRINT, CHOOSE, PAPER, VOID.here("Void last", "Void the last row."), MORE, REPEAT)

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[str] = []

    def body(self) -> ComposeResult:
        with Horizontal(id="table-top"):
            yield CountPanel("PRINT NEXT")
        yield Ledger(Column("time", 5), Column("what"), Column("kg", 8, right=True), Column("by", 8, from_width=100))

    def on_open(self) -> None:
        self.now("number + Enter prints, or scan a batch card")
        self.query_one(CountPanel).show("24", "packed 168 of about 190")
        self.query_one(Ledger).show_rows(
            [Row(f"r{n}", (f"14:{n:02}", NASTY if n == 1 else f"row {n}", f"{n}.5", "Signe")) for n in range(40)]
        )

    def heard_one(self, what: str) -> None:
        self.heard.append(what)
        self.say(Result.good(f"heard {what}", "wrong? void it: F8"))

    def on_scanned(self, scan: Scanned) -> None:
        self.heard_one(f"scan {scan.text}")

    def on_count(self, number: int) -> None:
        if number > 999:
            raise Refused(f"{number} labels are more than the roll holds.", "Type a smaller number.")
        self.heard_one(f"count {number}")

    def on_line(self, text: str) -> None:
        if text == "fault":
            raise ZeroDivisionError(text)
        if text == "stall":
            time.sleep(0.6)
        self.heard_one(f"line {text}")

    def on_row(self, row: Row) -> None:
        self.heard_one(f"row {row.key}")

    def do_void(self, rest: str) -> None:
        self.heard_one(f"void {rest}".strip())

    def do_view(self, _rest: str) -> None:
        self.heard_one("view")

    def do_reprint(self, rest: str) -> None:
        self.heard_one(f"reprint {rest}".strip())

    def do_choose(self, _rest: str) -> None:
        self.heard_one("choose")

    def do_paper(self, _rest: str) -> None:
        self.heard_one("paper")

    def do_more(self, _rest: str) -> None:
        self.heard_one("more")

    def do_repeat(self, _rest: str) -> None:
        self.in_background(lambda: "repeat in background", self.heard_one)


class LandingPage(Page):
    """A form."""

    NAME = "entry"
    TITLE = "ENTRY"
    PURPOSE = "Try a form, its choices and its draft."
    HAS_LINE = False

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self.drafts = drafts
        self.entered: list[dict[str, object]] = []

    def body(self) -> ComposeResult:
        fields = [
            ChoiceField("boat", "Boat", lambda: BOATS, placeholder="code or name"),
            Field("mass", "Weight, kg", read_mass_g, echo=lambda grams: f"{grams} g", placeholder="12,5"),
            Field("remark", "Remark", needed=False),
        ]
        yield Form("entry", fields, self.drafts)

    def on_open(self) -> None:
        self.now("fill the fields, Enter goes on, Enter in the last enters it")
        self.query_one(Form).fields[0].focus_here()

    def on_form_filled(self, event: Form.Filled) -> None:
        self.entered.append(event.values)
        event.form.confirmed()
        self.say(Result.good(f"Entered {event.values['mass']} g.", "wrong? F8"))


class DemoApp(ShellApp):
    """The two pages with a clock that stands."""

    def __init__(self, folder: Path, theme: str = "night", profile: ScannerProfile | None = None) -> None:
        self.faults: list[Exception] = []
        drafts = DraftStore(folder, print)
        super().__init__(
            {"table": TablePage, "entry": lambda: LandingPage(drafts)},
            drafts,
            lambda: datetime(2031, 11, 24, 14, 32),
            self.keep,
            status=Status("Signe", "label printer READY 412 left", "scanner not tried"),
            theme=theme,
            profile=profile,
        )

    def keep(self, fault: Exception) -> str:
        self.faults.append(fault)
        return "faults.log"

    @property
    def table(self) -> TablePage:
        page = self.pages["table"]
        assert isinstance(page, TablePage)
        return page

    @property
    def entry(self) -> LandingPage:
        page = self.pages["entry"]
        assert isinstance(page, LandingPage)
        return page

    @property
    def line(self) -> LineInput:
        return self.page.query_one(LineInput)


class RecordingApp(DemoApp):
    """Writes each thing heard to a file, for tests that only see the terminal from outside."""

    def leave(self) -> None:
        self.log_file.write_text("\n".join(self.table.heard) + "\n", encoding="utf-8")
        super().leave()

    def __init__(self, folder: Path, log_file: Path) -> None:
        super().__init__(folder)
        self.log_file = log_file


if __name__ == "__main__":
    RecordingApp(Path(sys.argv[1]), Path(sys.argv[2])).run(mouse=False)
