"""Start: what waits, most urgent first; each line opens the place to act."""

from __future__ import annotations

from functools import partial
from time import sleep

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions.desk import Desk
from lotwake.trace.records import waiting as on_record
from lotwake.trace.records.waiting import Urgency, Waiting
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

_WORDS = {
    Urgency.RECALL_OPEN: ("RECALL", "recall", "Enter goes on with it: whom to ring, what to count."),
    Urgency.LABELS_UNSURE: ("LABELS?", "labels", "Enter opens labels: send them, or say what came out."),
    Urgency.HELD: ("HELD", "thing", "Enter opens it: what it is, why, and how the hold is lifted."),
    Urgency.DEVIATION_OPEN: (
        "LIMIT",
        "batch",
        "Enter opens the batch: F4 shows the limit; /act, then /release by NAME.",
    ),
    Urgency.FISH_ON_ICE: ("IN STORE", "batch", "Enter puts it into a batch."),
    Urgency.BATCH_RUNNING: ("RUNNING", "batch", "Enter opens the batch: steps, readings, losses, release."),
    Urgency.CALIBRATION_DUE: (
        "CHECK IT",
        "setup",
        "Check it against a reference; Enter opens the place to write it down.",
    ),
    Urgency.RESULT_AWAITED: ("RESULT", "batch", "Enter opens the batch: F4 shows what the evidence lacks."),
    Urgency.YIELD_ODD: ("YIELD", "batch", "Enter opens the batch: weigh again, or find out why, before it is packed."),
    Urgency.TO_PACK: ("TO PACK", "pack", "Enter opens packing with this batch."),
    Urgency.RUN_BEGUN: ("TO PACK", "pack", "Enter opens packing with this run."),
    Urgency.TO_CASE: ("TO CASE", "cases", "Enter opens cases with this run."),
    Urgency.TO_SEND: ("TO SEND", "dispatch", "Enter opens dispatch."),
    Urgency.TO_REVIEW: ("REVIEW", "batch", "Enter opens the batch: F4 shows its limits; /review says it is in order."),
    Urgency.DRILL_DUE: (
        "DRILL",
        "suspect",
        "Enter opens the page where a drill begins: /draw. F6 on /recall lists them.",
    ),
}
"""The state in a word, the page to act on, and what it is opened for."""
_FRAME_S = 0.05
"""The program draws its first frame and lets keys in within this time once the page has its lines."""
_QUIET = "Nothing waits. When fish comes in, /landing takes it down."


class StartPage(HousePage):
    """What waits."""

    NAME = "start"
    TITLE = "START"
    TELLS_TIME = True
    PURPOSE = "What waits, most urgent first. Mark a line with up and down; Enter opens the place to act."
    DEFAULT_CSS = """
    StartPage #start-more { height: 2; padding: 0 2; color: $faint-text; }
    StartPage #start-drill { height: 1; padding: 0 2; color: $faint-text; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._waiting: list[Waiting] = []

    def body(self) -> ComposeResult:
        """The list, and the marked line in full."""
        yield Ledger(Column("state", 8), Column("what waits"), empty=_QUIET)
        yield Static(id="start-more")
        yield Static(id="start-drill")

    def on_open(self) -> None:
        """Look anew: what the record shows by itself at once, what has to be judged first as soon as it is."""
        desk, first_look = self.desk, not self._waiting
        if first_look:
            self._show(on_record.waiting(desk.records, desk.now))
        self.call_after_refresh(
            self.in_background, partial(_judged, desk, first_look), partial(self._show_judged, first_look)
        )

    def _show(self, found: list[Waiting], from_top: bool = False) -> None:
        self._waiting = found
        ledger = self.query_one(Ledger)
        keep = not from_top or ledger.selected > 0
        ledger.show_rows([_row(item) for item in self._waiting], keep_selected=keep)
        self._tell()
        if self._waiting:
            self.now("up and down mark, Enter opens it; or scan anything")
        else:
            self.now("scan anything, or type /landing")

    def _show_judged(self, first_look: bool, found: tuple[list[Waiting], str]) -> None:
        """What has to be judged joins the list; nobody has moved the mark yet, so the most urgent line has it."""
        waiting, drills = found
        self._show(waiting, from_top=first_look)
        self.query_one("#start-drill", Static).update(lines(drills))

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
        from lotwake.trace.actions.find import find_one

        _, page, _ = _WORDS[item.urgency]
        if item.urgency is Urgency.RECALL_OPEN:
            self.house.go_with(page, item.code)
        elif item.code:
            self.house.open("batch" if page == "setup" else page, find_one(self.desk.records, item.code))
        else:
            self.house.open(page)
            if page == "setup":
                self.house.page.call_later(self.house.page.take_line, "/choose check")

    def _marked(self) -> Waiting | None:
        at = self.query_one(Ledger).selected
        return self._waiting[at] if at < len(self._waiting) else None

    def _tell(self) -> None:
        item = self._marked()
        said = lines(f"{item.sentence}.", _WORDS[item.urgency][2]) if item else ""
        self.query_one("#start-more", Static).update(said)


def _judged(desk: Desk, first_look: bool) -> tuple[list[Waiting], str]:
    """All that waits, and how long ago the last drill was; what judges a batch and a drill takes long to load."""
    if first_look:  # loading in this thread would take the processor from the first frame
        sleep(_FRAME_S)
    from lotwake.trace.actions.recall_answers import last_drill, next_due
    from lotwake.trace.actions.waiting import waiting

    last = last_drill(desk)
    ago = f"The last drill was {(desk.today - last).days} days ago. " if last is not None else ""
    return waiting(desk), f"{ago}{next_due(desk).sentence}  /suspect begins one."


def _row(item: Waiting) -> Row:
    return Row(f"{item.urgency}:{item.code}:{item.since}", (_WORDS[item.urgency][0], item.sentence))
