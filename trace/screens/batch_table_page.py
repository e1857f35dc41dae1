"""The batch on the screen: chosen or begun, its steps against plan, what went in, readings, and what goes on now."""

from __future__ import annotations

from datetime import datetime
from enum import Enum

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from lotwake.trace.actions.batch_judged import judged
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.facts import LotSeen, lots
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.stock import MATERIAL
from lotwake.trace.screens import batch_rows
from lotwake.trace.screens.batch_acts import Undo
from lotwake.trace.screens.batch_rows import BatchShown, Plan
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.said import split_at
from lotwake.trace.screens.step_words import STEP_COLUMNS, live_line, step_rows
from lotwake.trace.screens.text import content, fitted, lines
from lotwake.trace.screens.verdict_rows import missing_line
from lotwake.trace.screens.verdict_view import VerdictView
from lotwake.trace.screens.widgets import Column, Ledger, Row

_HEAD_MARGIN = 4


class _View(Enum):
    WORK = "work"
    LIMITS = "limits"
    CHART = "chart"


class _Choosing(Enum):
    BATCH = "number + Enter chooses, 0 is a new batch; or scan a batch or a lot"
    PRODUCT = "number + Enter: what is it to become?"
    KILN = "number + Enter: which smokehouse? 0 leaves it open"


_NEXT = {
    "RELEASED": "/pack packs it; /loss KIND KG names what is lost; or scan a batch or a lot",
    "HELD": "on hold: /lift REASON lifts it in your name; F3 and its code show why",
    "REJECTED": "rejected: /loss waste KG names where it went",
}
"""What comes next for a batch that does not run."""


class BatchTablePage(HousePage):
    """The batch that is worked on, or what there is to choose from."""

    DEFAULT_CSS = """
    BatchTablePage #batch-head { height: 2; padding: 0 2; }
    BatchTablePage #batch-work { height: 1fr; }
    BatchTablePage #batch-steps { width: 7fr; }
    BatchTablePage #batch-right { width: 5fr; }
    BatchTablePage #batch-live { height: auto; max-height: 2; padding: 0 2; }
    BatchTablePage #batch-missing { height: auto; max-height: 2; padding: 0 2; text-style: bold; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._batch: Thing | None = None
        self._plan: Plan | None = None
        self._hand: LotSeen | None = None
        self._begun: datetime | None = None
        self._numbers_read = ""
        self._instrument = ""
        self._choosing: _Choosing | None = _Choosing.BATCH
        self._undo: Undo | None = None
        self._status = ""
        self._view = _View.WORK
        self._followed = (0, 0)

    def body(self) -> ComposeResult:
        """Either the list to choose from, or the batch."""
        yield Static(id="batch-head")
        yield Ledger(Column("no", 3, True), Column("choose"), Column("", 15), Column("kg", 8, True), id="batch-choose")
        with Horizontal(id="batch-work"):
            yield Ledger(*STEP_COLUMNS, empty="No step yet: /step brining", id="batch-steps")
            with Vertical(id="batch-right"):
                yield Ledger(Column("went in"), Column("kg", 8, True), empty="Scan a lot.", marks=False, id="batch-in")
                yield Ledger(
                    Column("read", 12), Column("what"), Column("value", 7, True), empty="No reading yet: /core 62.8",
                    marks=False, id="batch-readings",
                )  # fmt: skip
        yield Static(id="batch-live")
        yield Static(id="batch-missing")
        yield VerdictView()

    @property
    def subject(self) -> Thing | None:
        """The batch on the page."""
        return self._batch

    # What is shown

    def on_open(self) -> None:
        """Work on what was handed over: a batch, or a lot that is to go into one."""
        thing = self.handed()
        if thing is not None:
            self._take_thing(thing)
        self._show()

    def on_changed(self) -> None:
        """Another station may have worked on it."""
        self._show(keep=True)

    def _show(self, keep: bool = False) -> None:
        choosing = self._choosing
        self.query_one("#batch-choose").display = choosing is not None
        judging = choosing is None and self._batch is not None and self._view is not _View.WORK
        for name in ("#batch-work", "#batch-live", "#batch-missing"):
            self.query_one(name).display = choosing is None and not judging
        self.query_one(VerdictView).display = judging
        self.query_one("#batch-head").styles.height = 1 if judging else 2
        if judging and self._batch is not None:
            self.query_one(VerdictView).show(self.desk, self._batch.id, self._view is _View.CHART)
        if choosing is not None:
            self._show_choice(choosing, keep)
        elif self._batch is not None:
            self._show_batch(batch_rows.shown(self.desk, self._batch))
        else:
            self._show_plan()
        self.now(self._awaits())

    def _show_choice(self, choosing: _Choosing, keep: bool) -> None:
        titles = {_Choosing.BATCH: "WHICH BATCH?", _Choosing.PRODUCT: "NEW BATCH", _Choosing.KILN: "NEW BATCH"}
        hand = f"in hand: {_said_lot(self._hand)}" if self._hand else ""
        plan = self._plan.said if self._plan and choosing is _Choosing.KILN else ""
        self._head(f"{titles[choosing]}   {plan}".rstrip(), hand)
        self.query_one("#batch-choose", Ledger).show_rows(self._choices(choosing), keep_selected=keep)

    def _choices(self, choosing: _Choosing) -> list[Row]:
        if choosing is _Choosing.BATCH:
            return batch_rows.open_batches(self.desk)
        if choosing is _Choosing.PRODUCT:
            return [row for _, row in batch_rows.products(self.desk)]
        return batch_rows.kilns(self.desk)

    def _show_batch(self, item: BatchShown) -> None:
        self._status = item.seen.status
        self._head(*batch_rows.head_lines(self.desk, item))
        if self._view is _View.WORK:
            self._show_work(item)
        self.query_one("#batch-in", Ledger).show_rows(batch_rows.input_rows(self.desk, item))
        self.query_one("#batch-readings", Ledger).show_rows(list(batch_rows.reading_rows(self.desk, item.seen)))

    def _show_work(self, item: BatchShown) -> None:
        """Steps against plan with the one that runs in sight, what goes on now, and what is missing before packing."""
        steps = self.query_one("#batch-steps", Ledger)
        try:
            found = judged(self.desk, item.batch.id)
        except CallError as wrong:
            rows, live, missing = batch_rows.step_rows(self.desk, item.seen.steps), str(wrong), ""
        else:
            rows, live = step_rows(found, self.desk.zone), live_line(found)
            missing = missing_line(found) if item.batch.left_g > 0 else ""
        steps.show_rows(rows, keep_selected=steps.selected_row is not None)
        if self._followed != (item.batch.id, len(item.seen.steps)):
            self._followed = (item.batch.id, len(item.seen.steps))
            steps.mark_row(max((at for at, row in enumerate(rows) if row.cells[3]), default=0))
        self.query_one("#batch-live", Static).update(content(live))
        self.query_one("#batch-missing", Static).update(content(missing))

    def _show_plan(self) -> None:
        assert self._plan is not None
        self._head(f"NEW BATCH   {self._plan.said}", "It begins, and gets its code, with the first fish that goes in.")
        for ledger in self.query_one("#batch-work").query(Ledger):
            ledger.show_rows([])
        for name in ("#batch-live", "#batch-missing"):
            self.query_one(name, Static).update("")

    def _head(self, first: str, second: str) -> None:
        room = max(20, self.size.width - _HEAD_MARGIN)
        self.query_one("#batch-head", Static).update(lines(fitted(first, room), fitted(second, room)))

    def _awaits(self) -> str:
        if self._choosing is not None:
            return self._choosing.value
        if self._hand is not None:
            alone = "Enter alone puts it in unweighed" if self._hand.kind == MATERIAL else "Enter alone takes all of it"
            return f"kg of {_said_lot(self._hand)}; {alone}"
        if self._batch is None:
            return "scan or type the first lot, then its kilograms"
        if self._status in _NEXT:
            return _NEXT[self._status]
        if self._numbers_read:
            return f"a number is a {self._numbers_read} reading; or scan a lot, /step, /end, /loss, /release"
        return "scan a lot, or /step NAME, /end, /core 62.8, /loss KIND KG, /release"

    # Choosing

    def _take_thing(self, thing: Thing) -> None:
        """A scanned or typed code: a batch is opened, a lot is taken in hand, anything else is shown."""
        if thing.kind is Kind.BATCH:
            self._open_batch(thing)
        elif thing.kind is Kind.LOT:
            self._hand = lots(self.desk.records, [thing.id])[thing.id]
        else:
            self.house.open("thing", thing)

    def _open_batch(self, thing: Thing) -> None:
        self._batch, self._plan, self._choosing = thing, None, None
        self._undo, self._begun, self._numbers_read = None, None, ""

    def do_view(self, _rest: str) -> None:
        """Work, then limits, then the chart where it finds no room beside the limits."""
        self._open()
        views = list(_View)[: 2 if self.query_one(VerdictView).has_room else 3]
        at = views.index(self._view) if self._view in views else 0
        self._view = views[(at + 1) % len(views)]
        self._show()

    def _open(self) -> Thing:
        if self._batch is None:
            raise CallError("No batch is chosen.", "F6 chooses one; a new one begins with its first lot.")
        return self._batch

    def do_choose(self, _rest: str) -> None:
        """The list of batches."""
        self._choosing = _Choosing.BATCH
        self._show()

    def do_new(self, rest: str) -> None:
        """What it is to become, and when it began if not now."""
        self._begun = split_at(self.desk, rest)[1]
        self._choosing = _Choosing.PRODUCT
        self._show()

    def on_row(self, row: Row) -> None:
        """A line of the list."""
        if self._choosing is _Choosing.BATCH:
            if row.key == batch_rows.NEW:
                self._choosing = _Choosing.PRODUCT
            else:
                self._open_batch(find_one(self.desk.records, row.key))
        elif self._choosing is _Choosing.PRODUCT:
            self._plan = batch_rows.products(self.desk)[int(row.key) - 1][0]
            self._choosing = _Choosing.KILN if len(batch_rows.kilns(self.desk)) > 1 else None
            self._batch = None
        elif self._choosing is _Choosing.KILN and self._plan is not None:
            self._plan = Plan(self._plan.smoking, self._plan.product, row.key)
            self._choosing, self._batch = None, None
        self._show()

    def _choose_number(self, choosing: _Choosing, number: int) -> None:
        rows = self._choices(choosing)
        wanted = next((row for row in rows if row.cells[0] == str(number)), None)
        if wanted is None:
            raise CallError(
                f"There is no line {number}.", f"Type a number from {rows[0].cells[0]} to {rows[-1].cells[0]}."
            )
        self.on_row(wanted)


def _said_lot(lot: LotSeen) -> str:
    return f"{lot.name} {lot.sender}, {show_mass(lot.left_g)} left"
