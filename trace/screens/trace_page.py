"""Trace: the balance from boats to buyers, the chain of the thing that was scanned, and the answer to read out."""

from __future__ import annotations

import time
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from textwrap import wrap

from textual.app import ComposeResult
from textual.message import Message
from textual.widgets import Static

from lotwake.trace.actions.evidence import Evidence, evidence_of
from lotwake.trace.actions.find import TRACEABLE, find_one
from lotwake.trace.actions.trace import Traced, first_of_wide, trace_both
from lotwake.trace.actions.trace_files import save_answer, save_trace
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Head, head
from lotwake.trace.screens.asking_page import STOP, AskingPage, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import CHOOSE, FIND, PAPER, VIEW, Command
from lotwake.trace.screens.pack_words import packs
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.trace_rows import HERE, IN, TraceRows, balance_lines, trace_rows
from lotwake.trace.screens.trace_words import (
    COMPLETE,
    answer_lines,
    answer_text,
    evidence_rows,
    row_texts,
    sentences,
    to_be_shown,
)
from lotwake.trace.screens.widgets import Column, Ledger, Row

CONTACT = Command("contact", "Contact", "Shared brine, loads and tables: add them, or leave them out again.")
BEFORE = Command("before", "Before", "Go back to the thing traced before this one.", (), ("-",))
WALK = Command("walk", "Walk", "Trace the marked row; Enter does the same.")
SAVE = Command("save", "Save", "Write the whole trace into files: data (JSON) and text.")

_LOW_LINES, _TALL_LINES, _TALL = 2, 6, 36
_FILE_WIDTH = 100
_PDF, _TEXT = "a page to send (PDF)", "text with how we know it"
_TRACING, _LOOKING = "Tracing", "Looking for the entries"
_READS = (_TRACING, _LOOKING)
"""Work that only reads, in whose place another trace may begin at once."""


class FirstRows(Message):
    """From the working thread: what stands at the beginning of a wide trace."""

    def __init__(self, start: Thing, rows: TraceRows) -> None:
        super().__init__()
        self.start = start
        self.rows = rows


class TracePage(AskingPage):
    """Both ways at once."""

    NAME = "trace"
    TITLE = "TRACE"
    PURPOSE = "Follow anything back to its boats and forward to its buyers, and say where it is from."
    TAKES = TRACEABLE
    OFFERS = (
        FIND.here("Find", "Find a row of this trace: /find deli. Without a text, find a command or a record."),
        VIEW.here("Answer", "The answer to read out with how we know it, or the chain again."),
        CHOOSE.here("Contact", "Shared brine, loads and tables: add them, or leave them out again."),
        PAPER.here("To file", "The page to send (PDF, with who asks), or the answer and how we know it as text."),
        CONTACT,
        WALK,
        BEFORE,
        SAVE,
        STOP,
    )
    DEFAULT_CSS = """
    TracePage #trace-head { height: 1; padding: 0 1; text-style: bold; }
    TracePage #trace-balance { height: auto; padding: 0 1; background: $raised; }
    TracePage #trace-marked { height: 1; padding: 0 1; color: $faint-text; }
    TracePage #trace-answer { height: auto; padding: 0 1; }
    TracePage #trace-said { height: auto; max-height: 11; padding: 0 2; background: $raised; }
    TracePage #trace-known { height: 1; padding: 0 1; text-style: bold; }
    TracePage #trace-chain, TracePage #trace-answers { height: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._traced: Traced | None = None
        self.rows: TraceRows | None = None
        self._before: TraceRows | None = None
        self._contact = False
        self._answer_first = False
        self._walked: list[Thing] = []
        self._evidence: Sequence[Evidence] | None = None
        self._took_s = 0.0
        self._stood: Head | None = None

    def body(self) -> ComposeResult:
        """Head; then the chain with its balance, or the answer with its evidence."""
        yield Static(id="trace-head")
        yield Static(id="trace-balance")
        yield Ledger(
            Column("", 1), Column("", 4), Column("chain"), Column("code", 18, from_width=100), Column("when", 12),
            Column("kg", 8, right=True), Column("packs", 6, right=True), Column("state", 9),
            empty="Scan a pack, a case or a landing; or type its code.", id="trace-chain",
        )  # fmt: skip
        yield Static(id="trace-marked")
        yield Static(id="trace-answer")
        yield Static(id="trace-said")
        yield Static(id="trace-known")
        yield Ledger(
            Column("how we know", 15), Column("code", 15), Column("when", 12), Column("by", 4), Column("it says"),
            empty="The entries are looked up ...", id="trace-answers",
        )  # fmt: skip

    @property
    def subject(self) -> Thing | None:
        """The thing that is traced."""
        return None if self._traced is None else self._traced.start

    # Opening and tracing

    def on_open(self) -> None:
        """Trace what was handed over; a single pack is answered first, since somebody is on the phone."""
        thing = self.handed()
        self._show()
        if thing is not None:
            self._answer_first = thing.kind is Kind.PACK
            self.follow(thing)

    def on_changed(self) -> None:
        """Somebody wrote something: trace it anew, where the person stands."""
        if self._traced is not None and not self.doing and head(self.desk.records) != self._stood:
            self._start(self._traced.start, keep=True)

    def on_scanned(self, scan: Scanned) -> None:
        """Trace what was scanned."""
        self.text_given(scan.text)

    def text_given(self, text: str) -> None:
        """Trace what was typed; a row of this trace is gone to."""
        self.follow(find_one(self.desk.records, text, self.desk.settings.separator))

    def number_given(self, number: int) -> None:
        """A document number, else the number of a row."""
        try:
            self.text_given(str(number))
        except NotFound:
            if self.rows is None or not 1 <= number <= len(self.rows):
                raise
            self._chain.mark_row(number - 1)

    def follow(self, thing: Thing) -> None:
        """Trace this thing, and remember the way here."""
        if self._traced is not None and self._traced.start != thing:
            self._walked.append(self._traced.start)
        self._start(thing)

    def _start(self, thing: Thing, keep: bool = False) -> None:
        desk, contact, begun = self.desk, self._contact, time.perf_counter()
        self._stood = head(desk.records)

        def work() -> tuple[Traced, TraceRows, float]:
            if (first := first_of_wide(desk, thing)) is not None:
                self.post_message(FirstRows(thing, trace_rows(desk, first)))
            traced = trace_both(desk, thing, contact, lambda: self.stop_asked or self.taken_over(work))
            return traced, trace_rows(desk, traced), time.perf_counter() - begun

        self.begin(
            f"{_TRACING} {thing.shown}", work, partial(self._arrived, keep), instead=self.doing.startswith(_READS)
        )

    def on_first_rows(self, message: FirstRows) -> None:
        """Show the first rows of a wide trace while the rest is counted."""
        if self.doing == f"{_TRACING} {message.start.shown}":
            self._before, self.rows = self.rows, message.rows
            self._chain.show_rows(message.rows)
            self._put(
                "head", f"{message.start.kind.upper()} {message.start.shown}   the first rows; the rest is counted"
            )

    def work_failed(self) -> None:
        """Show again what stood here before the first rows."""
        if self._before is not None:
            self.rows, self._before = self._before, None
            self._chain.show_rows(self.rows)
        self._show()

    def _arrived(self, keep: bool, found: tuple[Traced, TraceRows, float]) -> None:
        self._traced, self.rows, self._took_s = found
        self._evidence = self._before = None
        place = self._chain.selected if keep else self.rows.here
        self.rows.light_up(place)
        self._chain.show_rows(self.rows, keep_selected=keep)
        self._show()
        if not keep:
            self._chain.mark_row(place)

    @property
    def _chain(self) -> Ledger:
        return self.query_one("#trace-chain", Ledger)

    # Showing

    def _show(self) -> None:
        answer = self._answer_first and self._traced is not None
        for name in ("balance", "chain", "marked", "answer"):
            self.query_one(f"#trace-{name}").display = not answer
        for name in ("said", "known", "answers"):
            self.query_one(f"#trace-{name}").display = answer
        self._show_head()
        if answer:
            self._show_answer()
        self.await_next()

    def _show_head(self) -> None:
        width = self.size.width - 2
        if self._traced is None or self.rows is None:
            self._put("head", "Nothing is traced yet.")
            return
        start, weighed = self._traced.start, self._traced.balance
        state = "BALANCED" if weighed.balanced else f"NOT BALANCED by {show_mass(weighed.gap_g)}"
        contact = "   with CONTACT" if self._contact else ""
        more = f" of {len(self.rows) + self._traced.forward.left_out:,}" if self._traced.forward.left_out else ""
        rows = f"{len(self.rows):,}{more} rows in {self._took_s:.2f} s"
        self._put("head", f"{start.kind.upper()} {start.shown}   {state}{contact}   {rows}")
        self._put("balance", *balance_lines(weighed, width))
        most = _TALL_LINES if self.size.height >= _TALL else _LOW_LINES
        self._put("answer", *answer_lines(self._traced, width, most))
        self._show_marked()

    def _show_marked(self) -> None:
        rows, place = self.rows, self._chain.selected
        if rows is None or not len(rows):
            self._put("marked", "")
            return
        line = rows.lines[place]
        name = " ".join(part for part in (line.what, "" if line.code in line.what else line.code) if part)
        joined = f"^ {len(rows.up):,} into it  v {len(rows.down):,} out of it" if line.key else ""
        self._put("marked", f"{place + 1} of {len(rows):,}   {name}   {joined}")

    def _put(self, name: str, *texts: str) -> None:
        self.query_one(f"#trace-{name}", Static).update(lines(*texts))

    def await_next(self) -> None:
        """Say what comes next."""
        if self._traced is None:
            self.now("scan or type anything: pack, case, landing, batch, document")
        elif self._answer_first:
            self.now("read it out; F4 shows the chain, F7 writes it down; scan the next")
        else:
            self.now("up and down mark a row, Enter walks to it, - walks back; or scan")

    def on_ledger_row_marked(self, event: Ledger.RowMarked) -> None:
        """Light up what the marked row came from and went to."""
        if event.ledger is self._chain and self.rows is not None:
            self.rows.light_up(self._chain.selected)
            self._chain.redraw()
            self._show_marked()

    # The answer

    def _show_answer(self) -> None:
        assert self._traced is not None
        width = self.size.width - 6
        said = [part for sentence in sentences(self._traced) for part in wrap(sentence, width)]
        self._put("said", *said)
        problems = self._traced.problems
        known = f"NOT KNOWN  {problems[0]}" if problems else COMPLETE
        self._put("known", f"{known}   answered in {self._took_s:.2f} s")
        if self._evidence is None:
            self._look_for_evidence()
        else:
            self.query_one("#trace-answers", Ledger).show_rows(evidence_rows(self.desk, self._evidence))

    def _look_for_evidence(self) -> None:
        assert self._traced is not None
        if not self.doing:
            work = partial(evidence_of, self.desk, to_be_shown(self._traced))
            self.begin(_LOOKING, work, self._found_evidence)

    def _found_evidence(self, found: Sequence[Evidence]) -> None:
        self._evidence = found
        if self._answer_first:
            self.query_one("#trace-answers", Ledger).show_rows(evidence_rows(self.desk, found))

    # Commands

    def on_row(self, row: Row) -> None:
        """Walk to the marked row, or to the thing an entry is about."""
        if self._answer_first:
            self._answer_first = False
            self.follow(find_one(self.desk.records, row.key))
            return
        assert self.rows is not None
        line = self.rows.lines[int(row.key)]
        if line.thing is None:
            if line.role == IN:
                raise CallError(f"{packs(line.packs or 0)} are in our house.", "The cases below say which.")
            raise CallError(
                f"{packs(line.packs or 0)} are with {line.what}.", "Mark a run and press Enter to see its cases."
            )
        if line.role == HERE:
            self.say(Result.check("This is where you are.", "Mark another row, then Enter."))
            return
        self.follow(line.thing)

    def do_walk(self, _rest: str) -> None:
        """The same as Enter."""
        self._must_be_traced()
        self._chain.action_choose()

    def do_before(self, _rest: str) -> None:
        """The thing before this one."""
        if not self._walked:
            raise CallError("Nothing was traced before this.", "Mark a row and press Enter to walk on.")
        self._start(self._walked.pop())

    def do_view(self, _rest: str) -> None:
        """Answer or chain."""
        self._must_be_traced()
        self._answer_first = not self._answer_first
        self._show()

    def do_choose(self, _rest: str) -> None:
        """Contact on or off."""
        self.do_contact("")

    def do_contact(self, _rest: str) -> None:
        """Contact on or off, and trace again."""
        self._contact = not self._contact
        if self._traced is not None:
            self._start(self._traced.start)
        self.say(
            Result.good(
                "Shared contact is shown, marked CONTACT and counted nowhere."
                if self._contact
                else "Shared contact is left out.",
                "F6 changes it back.",
            )
        )

    def do_find(self, rest: str) -> None:
        """The next row with this text; without one, the finder."""
        if not rest.strip() or self.rows is None:
            self.shell.do_find(rest)
            return
        place = self.rows.holding(rest.strip(), self._chain.selected)
        if place is None:
            raise NotFound(f"No row of this trace has {rest.strip()!r} in it.", "Type a part of a name, code or state.")
        self._chain.mark_row(place)

    def do_paper(self, rest: str) -> None:
        """The page to send is made on the origin page, where it is said who asks; the text is written here."""
        traced, desk = self._must_be_traced(), self.desk
        if not rest.strip():
            self.ask(Question("Onto which paper?", (_PDF, _TEXT), self.do_paper, free=False))
            return
        if rest.strip() in (_PDF, "pdf"):
            self.house.open("origin", traced.start)
            return

        def work() -> Path:
            return save_answer(desk, traced, answer_text(desk, traced, evidence_of(desk, to_be_shown(traced))))

        self.begin("Writing the answer", work, self._answer_saved)

    def _answer_saved(self, path: Path) -> None:
        self.say(Result.good(f"The answer is written into {path.name}.", "It lies in traces/ of the house's folder."))

    def do_save(self, _rest: str) -> None:
        """The whole trace as data and text."""
        shown, rows, desk = self._must_be_traced(), self.rows, self.desk
        assert rows is not None

        def work() -> tuple[Path, Path]:
            whole = shown.forward.tally is None
            traced = shown if whole else trace_both(desk, shown.start, most=None)
            rows_of_it = rows if whole else trace_rows(desk, traced)
            answer = answer_text(desk, traced, evidence_of(desk, to_be_shown(traced)))
            text = [*answer, "", *balance_lines(traced.balance, _FILE_WIDTH), "", *row_texts(rows_of_it)]
            return save_trace(desk, traced, text)

        self.begin("Writing the trace", work, self._trace_saved)

    def _trace_saved(self, paths: tuple[Path, Path]) -> None:
        names = " and ".join(path.name for path in paths)
        self.say(Result.good("The trace is saved in traces/ of the house's folder.", names))

    def _must_be_traced(self) -> Traced:
        if self._traced is None:
            raise CallError("Nothing is traced yet.", "Scan it, or type its code.")
        return self._traced
