"""Start: what waits, most urgent first; each line opens the place to act."""

from __future__ import annotations

from functools import partial

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import CallError
from lotwake.trace.records import waiting as on_record
from lotwake.trace.records.waiting import Urgency, Waiting
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

_WORDS = {
    Urgency.LABELS_UNSURE: ("LABELS?", "pack", "Enter opens packing: say which labels came out."),
    Urgency.HELD: ("HELD", "thing", "Enter opens it: what it is, why, and how the hold is lifted."),
    Urgency.DEVIATION_OPEN: (
        "LIMIT",
        "batch",
        "Enter opens the batch: F4 shows the limit; /act, then /release by NAME.",
    ),
    Urgency.FISH_ON_ICE: ("IN STORE", "batch", "Enter puts it into a batch."),
    Urgency.BATCH_RUNNING: ("RUNNING", "batch", "Enter opens the batch: steps, readings, losses, release."),
    Urgency.CALIBRATION_DUE: ("CHECK IT", "", "Check it against a reference; in the shell: lotwake calibrate."),
    Urgency.RESULT_AWAITED: ("RESULT", "batch", "Enter opens the batch: F4 shows what the evidence lacks."),
    Urgency.TO_PACK: ("TO PACK", "pack", "Enter opens packing with this batch."),
    Urgency.TO_CASE: ("TO CASE", "cases", "Enter opens cases with this run."),
    Urgency.TO_SEND: ("TO SEND", "dispatch", "Enter opens dispatch."),
    Urgency.TO_REVIEW: ("REVIEW", "batch", "Enter opens the batch: F4 shows its limits; /review says it is in order."),
}
"""The state in a word, the page to act on, and what it is opened for."""
_QUIET = "Nothing waits. When fish comes in, /landing takes it down."


class StartPage(HousePage):
    """What waits."""

    NAME = "start"
    TITLE = "START"
    TELLS_TIME = True
    PURPOSE = "What waits, most urgent first. Mark a line with up and down; Enter opens the place to act."
    DEFAULT_CSS = "StartPage #start-more { height: 2; padding: 0 2; color: $faint-text; }"

    def __init__(self) -> None:
        super().__init__()
        self._waiting: list[Waiting] = []

    def body(self) -> ComposeResult:
        """The list, and the marked line in full."""
        yield Ledger(Column("state", 8), Column("what waits"), empty=_QUIET)
        yield Static(id="start-more")

    def on_open(self) -> None:
        """Look anew: what the record shows by itself at once, what has to be judged first as soon as it is."""
        desk = self.desk
        if not self._waiting:
            self._show(on_record.waiting(desk.records, desk.now))
        self.call_after_refresh(self.in_background, partial(_waiting, desk), self._show)

    def _show(self, found: list[Waiting]) -> None:
        self._waiting = found
        ledger = self.query_one(Ledger)
        ledger.show_rows([_row(item) for item in self._waiting], keep_selected=True)
        self._tell()
        if self._waiting:
            self.now("up and down mark, Enter opens it; or scan anything")
        else:
            self.now("scan anything, or type /landing")

    def on_changed(self) -> None:
        """Other things wait, or the same for longer."""
        self.on_open()

    def on_ledger_row_marked(self, _event: Ledger.RowMarked) -> None:
        """Say the marked line in full."""
        self._tell()

    def on_row(self, _row: Row) -> None:
        """Open the place to act."""
        if (item := self._marked()) is None:
            return
        _, page, todo = _WORDS[item.urgency]
        if not page:
            raise CallError(f"{item.sentence}.", todo)
        from lotwake.trace.actions.find import find_one

        self.house.open(page, find_one(self.desk.records, item.code))

    def _marked(self) -> Waiting | None:
        at = self.query_one(Ledger).selected
        return self._waiting[at] if at < len(self._waiting) else None

    def _tell(self) -> None:
        item = self._marked()
        said = lines(f"{item.sentence}.", _WORDS[item.urgency][2]) if item else ""
        self.query_one("#start-more", Static).update(said)


def _waiting(desk: Desk) -> list[Waiting]:
    from lotwake.trace.actions.waiting import waiting  # loads all that judges a batch

    return waiting(desk)


def _row(item: Waiting) -> Row:
    return Row(f"{item.urgency}:{item.code}:{item.since}", (_WORDS[item.urgency][0], item.sentence))
