"""Batch: what goes in, steps, readings, losses, release."""

from __future__ import annotations

from lotwake.trace.actions.correct import correct
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.errors import CallError
from lotwake.trace.records.find import Kind
from lotwake.trace.records.stock import MATERIAL
from lotwake.trace.screens import batch_acts as acts
from lotwake.trace.screens.batch_acts import Done
from lotwake.trace.screens.batch_commands import OFFERS
from lotwake.trace.screens.batch_table_page import BatchTablePage
from lotwake.trace.screens.batch_words import code_and_kg, reading_kind
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import read_kg
from lotwake.trace.screens.thing_page import read_fix

_MISTAKE = "entered by mistake"


class BatchPage(BatchTablePage):
    """Choose or begin a batch, then work on it."""

    NAME = "batch"
    TITLE = "BATCH"
    TELLS_TIME = True
    PURPOSE = (
        "One smokehouse load: what goes in, its steps, readings and losses, and the signature that it may be packed."
    )
    TAKES = (Kind.LOT, Kind.BATCH)
    OFFERS = OFFERS

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
