"""Batch: what goes in, steps, readings, losses, release."""

from __future__ import annotations

from datetime import datetime
from enum import Enum

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from lotwake.trace.actions.correct import correct
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.facts import LotSeen, lots
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.stock import MATERIAL
from lotwake.trace.screens import batch_acts as acts
from lotwake.trace.screens import batch_rows
from lotwake.trace.screens.batch_acts import Done, Undo
from lotwake.trace.screens.batch_commands import OFFERS
from lotwake.trace.screens.batch_rows import BatchShown, Plan
from lotwake.trace.screens.batch_words import code_and_kg, reading_kind
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import read_kg, split_at
from lotwake.trace.screens.text import fitted, lines
from lotwake.trace.screens.thing_page import read_fix
from lotwake.trace.screens.verdict_view import VerdictView
from lotwake.trace.screens.widgets import Column, Ledger, Row

_HEAD_MARGIN = 4
_MISTAKE = "entered by mistake"


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


class BatchPage(HousePage):
    """Choose or begin a batch, then work on it."""

    NAME = "batch"
    TITLE = "BATCH"
    TELLS_TIME = True
    PURPOSE = (
        "One smokehouse load: what goes in, its steps, readings and losses, and the signature that it may be packed."
    )
    TAKES = (Kind.LOT, Kind.BATCH)
    OFFERS = OFFERS
    DEFAULT_CSS = """
    BatchPage #batch-head { height: 2; padding: 0 2; }
    BatchPage #batch-work { height: 1fr; }
    BatchPage #batch-steps { width: 2fr; }
    BatchPage #batch-right { width: 2fr; }
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

    def body(self) -> ComposeResult:
        """Either the list to choose from, or the batch."""
        yield Static(id="batch-head")
        yield Ledger(Column("no", 3, True), Column("choose"), Column("", 15), Column("kg", 8, True), id="batch-choose")
        with Horizontal(id="batch-work"):
            yield Ledger(
                Column("step", 11), Column("from", 12), Column("to", 12, from_width=56), Column("took", 10, True),
                Column("", from_width=70), empty="No step yet: /step brining", marks=False, id="batch-steps",
            )  # fmt: skip
            with Vertical(id="batch-right"):
                yield Ledger(Column("went in"), Column("kg", 8, True), empty="Scan a lot.", marks=False, id="batch-in")
                yield Ledger(
                    Column("read", 12), Column("what"), Column("value", 8, True), empty="No reading yet: /core 62.8",
                    marks=False, id="batch-readings",
                )  # fmt: skip
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
        self.query_one("#batch-work").display = choosing is None and not judging
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
        self.query_one("#batch-steps", Ledger).show_rows(batch_rows.step_rows(self.desk, item.seen.steps))
        self.query_one("#batch-in", Ledger).show_rows(batch_rows.input_rows(self.desk, item))
        self.query_one("#batch-readings", Ledger).show_rows(list(batch_rows.reading_rows(self.desk, item.seen)))

    def _show_plan(self) -> None:
        assert self._plan is not None
        self._head(f"NEW BATCH   {self._plan.said}", "It begins, and gets its code, with the first fish that goes in.")
        for ledger in self.query_one("#batch-work").query(Ledger):
            ledger.show_rows([])

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

    # Lines and scans

    def on_scanned(self, scan: Scanned) -> None:
        """A batch card, a lot, or something to look at."""
        self._take_thing(find_one(self.desk.records, scan.text, self.desk.settings.separator))
        self._show()

    def on_count(self, number: int) -> None:
        """A line of the list, kilograms of what is in hand, or a reading."""
        if self._choosing is not None:
            self._choose_number(self._choosing, number)
        else:
            self._take_number(str(number))

    def on_line(self, text: str) -> None:
        """Kilograms or a reading with decimals, a lot with its kilograms, packs for rework, or a code."""
        if pair := code_and_kg(text):
            self._put_in(*pair)
        elif "/" in text:
            self._put_in(text, None)
        elif text[:1].isdigit() and "-" not in text and (self._hand or self._numbers_read) and len(text) < 11:
            self._take_number(text)
        else:
            self._take_thing(find_one(self.desk.records, text))
            self._show()

    def on_enter(self) -> None:
        """The marked line, or all of what is in hand."""
        if self._choosing is not None:
            super().on_enter()
        elif self._hand is not None:
            self._put_in(self._hand.code, None if self._hand.kind == MATERIAL else self._hand.left_g)
        else:
            self.say(Result.check("Nothing is in hand.", "Scan a lot, or type a command; F2 shows them."))

    def _take_number(self, text: str) -> None:
        if self._hand is not None:
            self._put_in(self._hand.code, read_kg(text))
        elif self._numbers_read:
            self._read(self._numbers_read, text)
        else:
            raise CallError(f"{text} of what?", "Scan a lot first; or /core and numbers are core temperatures.")

    def _open(self) -> Thing:
        if self._batch is None:
            raise CallError("No batch is chosen.", "F6 chooses one; a new one begins with its first lot.")
        return self._batch

    def _put_in(self, code: str, g: int | None) -> None:
        if self._choosing is not None:
            raise CallError("Which batch does it go into?", "Choose the batch first.")
        batch, done = acts.put_in(self.desk, self._batch, self._plan, self._begun, code, g)
        if self._batch is None:
            self._open_batch(batch)
        self._hand = None
        self._finish(done)

    def _read(self, kind: str, text: str) -> None:
        self._finish(acts.reading(self.desk, self._open(), kind, text, self._instrument))

    # Commands

    def do_view(self, _rest: str) -> None:
        """Work, then limits, then the chart where it finds no room beside the limits."""
        self._open()
        views = list(_View)[: 2 if self.query_one(VerdictView).has_room else 3]
        at = views.index(self._view) if self._view in views else 0
        self._view = views[(at + 1) % len(views)]
        self._show()

    def do_act(self, rest: str) -> None:
        """Write down cause and corrective action."""
        self._finish(acts.act(self.desk, self._open(), rest))

    def do_review(self, rest: str) -> None:
        """Say that the record was read through."""
        self._finish(acts.review(self.desk, self._open(), rest))

    def do_card(self, _rest: str) -> None:
        """The card of the batch, on the page that prints it."""
        if self._batch is None:
            raise CallError("No batch is chosen.", "Choose one first, or scan its card.")
        self.house.open("labels", self._batch)

    def do_step(self, rest: str) -> None:
        """Begin a step, or write down one that is over."""
        self._finish(acts.step(self.desk, self._open(), rest))

    def do_end(self, rest: str) -> None:
        """End a step."""
        self._finish(acts.end(self.desk, self._open(), rest))

    def do_core(self, rest: str) -> None:
        """A core temperature, or numbers that are."""
        self.do_read(f"core {rest}")

    def do_read(self, rest: str) -> None:
        """A reading, or what numbers are readings of."""
        kind, value = reading_kind(rest)
        self._open()
        self._numbers_read = kind
        if value:
            self._read(kind, value)
        else:
            self._show()
            self.say(Result.good(f"Numbers are {kind} readings now.", "'probe 2' and 'at 05:40' may follow the value."))

    def do_with(self, rest: str) -> None:
        """Take readings with an instrument."""
        self._instrument = acts.instrument(self.desk, rest)
        said = f"Readings are taken with {self._instrument} now." if self._instrument else "No instrument is named now."
        self.say(Result.good(said, "'with NAME' behind a reading names another for that one."))

    def do_weigh(self, rest: str) -> None:
        """Weigh the fish after a step."""
        self._finish(acts.weigh(self.desk, self._open(), rest))

    def do_loss(self, rest: str) -> None:
        """Name a loss."""
        self._finish(acts.loss(self.desk, self._open(), rest))

    def do_release(self, rest: str) -> None:
        """Sign that it may be packed."""
        self._finish(acts.release(self.desk, self._open(), rest))

    def do_hold(self, rest: str) -> None:
        """Put it on hold."""
        self._finish(acts.hold(self.desk, self._open(), rest))

    def do_lift(self, rest: str) -> None:
        """Lift the hold."""
        self._finish(acts.lift(self.desk, self._open(), rest))

    def do_void(self, rest: str) -> None:
        """Take the last input or loss back."""
        last = self._undo
        if last is None:
            raise CallError("There is nothing to take back here.", "/fix opens the form that corrects the batch.")
        if last.void is None:
            raise CallError(f"A {last.what} is put right, not taken back.", "Type /fix, what is right, because WHY.")
        last.void(self.desk, rest or _MISTAKE)
        self._finish(Done(f"The last {last.what} is taken back.", "Both entries stay in the record."))

    def do_fix(self, rest: str) -> None:
        """Put the last entry right, or a field of the batch; alone, open the form."""
        if not rest:
            self.house.open("correct", self._open())
            return
        if self._undo is None:
            field, text, why = read_fix(rest)
            correct(self.desk, self._open().code, field, text, why)
            self._finish(Done(f"{field.capitalize()} is {text} now.", "What it said before stays in the record."))
            return
        text, _, why = rest.partition(" because ")
        if not why.strip():
            raise CallError("Why?", f"Type /fix {text.strip()} because, and the reason.")
        last = self._undo
        last.fix(self.desk, text, why)
        said = f"The last {last.what} is {text.strip()} now."
        self._finish(Done(said, "What it said before stays in the record.", last))

    def _finish(self, done: Done) -> None:
        self._undo = done.undo
        self._show()
        self.say((Result.check if done.look else Result.good)(done.sentence, done.next_step))


def _said_lot(lot: LotSeen) -> str:
    return f"{lot.name} {lot.sender}, {show_mass(lot.left_g)} left"
