"""Recall: the clock, where every pack is, whom to ring, and always the one thing to do next. A drill is the same."""

from __future__ import annotations

from dataclasses import replace
from textwrap import wrap

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Digits, Static

from lotwake.trace.actions import recall_answers
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.recall_figures import Figure, figures_of
from lotwake.trace.actions.recall_scope import packs_of_scope
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.recall.board import About, first_to_do, reminders
from lotwake.trace.recall.classes import DRILL_RULE
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.entries.recall import CASE_KINDS
from lotwake.trace.records.recalls import CaseSeen, case_coded, case_of, cases, open_case
from lotwake.trace.screens.asking_page import Done
from lotwake.trace.screens.call_page import CallPage
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.case_page import CasePage
from lotwake.trace.screens.count_page import CountPage
from lotwake.trace.screens.recall_commands import RECALL_OFFERS
from lotwake.trace.screens.recall_words import (
    amount_lines,
    board_rows,
    case_rows,
    clock_lines,
    due_line,
    figure_rows,
    gaps_line,
    head_lines,
    record_rows,
    step_rows,
)
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import fitted, lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

_BOARD, _FIGURES, _STEPS, _CASES = "board", "figures", "steps", "cases"
_VIEWS = (_BOARD, _FIGURES, _STEPS)
_CLOCK_S = 1.0


class RecallPage(CasePage):
    """One case at a time: the open one, else one chosen from the list."""

    NAME = "recall"
    TITLE = "RECALL"
    PURPOSE = "Work through a recall or drill: where every pack is, whom to ring, what to do next."
    TELLS_TIME = True
    OFFERS = RECALL_OFFERS
    DEFAULT_CSS = """
    RecallPage #recall-head { height: auto; max-height: 3; padding: 0 1; text-style: bold; }
    RecallPage #recall-top { height: 7; }
    RecallPage #recall-time { width: 27; padding: 0 1; background: $raised; }
    RecallPage #recall-amounts { width: 1fr; padding: 0 1; background: $raised; }
    RecallPage #recall-gaps { height: 1; padding: 0 1; text-style: bold; }
    RecallPage Ledger { height: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._case: int | None = None
        self._shown = _CASES
        self._figures: list[Figure] = []
        self._opened: Figure | None = None
        self._marks_next = False

    def body(self) -> ComposeResult:
        """Head, clock and amounts, gaps; below them the board, the figures, the steps or the list of cases."""
        yield Static(id="recall-head")
        with Horizontal(id="recall-top"):
            with Vertical(id="recall-time"):
                yield Static("TIME USED")
                yield Digits("", id="recall-clock")
                yield Static(id="recall-goal")
            yield Static(id="recall-amounts")
        yield Static(id="recall-gaps")
        yield Ledger(
            Column("state", 11), Column("who / where"), Column("what", 24, from_width=112), Column("packs", 6, right=True),
            Column("kg", 7, right=True), Column("next", 22), empty="Nothing.", id="recall-board",
        )  # fmt: skip
        yield Ledger(Column("lot", 18), Column("figure"), Column("packs", 7, right=True), Column("kg", 8, right=True),
                     Column("", 10), id="recall-figures")  # fmt: skip
        yield Ledger(Column("clock", 9), Column("at", 5), Column("what was done"), id="recall-steps")
        yield Ledger(Column("", 6), Column("code", 14), Column("", 11), Column("time", 8), Column("found", 7, right=True),
                     Column("answered", 8), Column("gaps", 4), Column("from"), id="recall-cases",
                     empty="None yet. Scan what is suspected, or /suspect.")  # fmt: skip

    def on_mount(self) -> None:
        """The clock is seen to run."""
        self.set_interval(_CLOCK_S, self._tick)

    # Showing

    def on_open(self) -> None:
        """The case that is under way, else the list of all."""
        if self._case is None and (under_way := open_case(self.desk.records)) is not None:
            self._case, self._shown = under_way.id, _BOARD
        self._look()

    def on_changed(self) -> None:
        """Somebody wrote something, or a minute went by."""
        if not self.doing:
            self._look()

    def show_case(self, case: int) -> None:
        """This case from now on."""
        self._case, self._shown, self._opened = case, _BOARD, None
        if self.is_current:
            self._look()

    def _look(self) -> None:
        self.show_state(None if self._case is None else look_at(self.desk, case_of(self.desk.records, self._case)))

    def show_state(self, state: RecallState | None) -> None:
        self.state = state
        shown = _CASES if state is None else self._shown
        for name in (*_VIEWS, _CASES):
            self.query_one(f"#recall-{name}").display = name == shown
        for name in ("top", "gaps"):
            self.query_one(f"#recall-{name}").display = shown != _CASES
        if state is None or shown == _CASES:
            self._show_cases()
        else:
            self._show_state(state, shown)
        if self.question is None and not self.doing:
            self.await_next()

    def _show_state(self, state: RecallState, shown: str) -> None:
        which, todo = head_lines(state)
        self._put("head", which, *wrap(todo, self.size.width - 2, subsequent_indent="      "))
        self._put("gaps", gaps_line(state))
        self.query_one("#recall-amounts", Static).update(lines(*amount_lines(state, self.size.width - 29)))
        self._show_clock(state)
        if shown == _BOARD:
            self._fill(_BOARD, board_rows(state))
            if self._marks_next:
                self._marks_next = False
                self.query_one("#recall-board", Ledger).mark_row(first_to_do(state), above=9)
        elif shown == _STEPS:
            self._fill(_STEPS, step_rows(state))
        elif self._opened is not None:
            self._fill(_FIGURES, record_rows(self._opened))
        else:
            self._figures = figures_of(self.desk, state)
            self._fill(_FIGURES, figure_rows(state, self._figures))

    def _show_cases(self) -> None:
        known = [case for kind in CASE_KINDS for case in cases(self.desk.records, kind)]
        self._fill(_CASES, case_rows(known, recall_answers.past_drills(self.desk)))
        due = due_line(recall_answers.next_due(self.desk))
        self._put("head", f"RECALLS AND DRILLS   {due}", *wrap(f"{DRILL_RULE}.", self.size.width - 2))

    def _fill(self, name: str, rows: list[Row]) -> None:
        self.query_one(f"#recall-{name}", Ledger).show_rows(rows, keep_selected=True)

    def _put(self, name: str, *texts: str) -> None:
        self.query_one(f"#recall-{name}", Static).update(lines(*(fitted(text, self.size.width - 2) for text in texts)))

    def _show_clock(self, state: RecallState) -> None:
        used, goal = clock_lines(state.clock)
        self.query_one("#recall-clock", Digits).update(used)
        self.query_one("#recall-goal", Static).update(lines(goal))

    def _tick(self) -> None:
        """Only the clock; what is due is looked at each minute."""
        state = self.state
        if state is None or not self.is_current or self._shown == _CASES or state.clock.ended or state.clock.paused:
            return
        self._show_clock(replace(state, clock=replace(state.clock, now=self.desk.clock.now())))

    def await_next(self) -> None:
        """Say what comes next."""
        state = self.state
        if state is None or self._shown == _CASES:
            self.now("scan what is suspected, or /suspect begins; Enter opens the marked one")
        elif state.case.ended is not None:
            self.now("F7 writes the report; F4 shows figures and steps; F6 the other cases")
        elif state.clock.paused:
            self.now("the clock is paused: /resume goes on")
        elif silent := reminders(state):
            self.now(f"RING AGAIN: {', '.join(silent)}; Enter opens the marked call")
        elif self._shown == _FIGURES:
            self.now("Enter opens the records behind the marked figure; F4 what was done")
        else:
            self.now("Enter opens the marked call or count; scan asks if it is in it; /finish")

    # What is typed, scanned and chosen

    def on_scanned(self, scan: Scanned) -> Done:
        """The same as typed; a question that stands is dropped."""
        self.drop_question()
        return self.text_given(scan.text)

    def text_given(self, text: str) -> Done:
        """The code of a case shows it; anything else: is it in the scope? Without a case it is suspected."""
        if (known := case_coded(self.desk.records, text)) is not None:
            self.show_case(known.id)
            return None
        if self.state is None or self._shown == _CASES or self.state.case.ended is not None:
            self.house.go_with("suspect", text)
            return None
        self._is_it_in(text)
        return None

    def _is_it_in(self, text: str) -> None:
        state = self.must_be_shown()
        found = packs_of_scope(self.desk, state, text)
        if not found.inside:
            self.say(Result.good(f"{found.shown} is NOT in the scope.", "Nothing of it is suspected here."))
        else:
            some = "all" if found.inside == found.packs else f"{found.inside} of {found.packs} packs"
            self.say(Result.check(f"{found.shown} IS in the scope, {some}.", f"By the record: {found.where}."))

    def on_row(self, row: Row) -> None:
        """What the row opens."""
        if self._shown == _CASES or self.state is None:
            self.show_case(self._named(row.key).id)
        elif self._shown == _BOARD:
            self._open_line(row.key)
        elif self._shown == _FIGURES:
            self._open_figure(row.key)

    def _named(self, code: str) -> CaseSeen:
        known = case_coded(self.desk.records, code)
        assert known is not None, "its code stands in the list"
        return known

    def _open_line(self, key: str) -> None:
        about, _, ref = key.partition(":")
        if about in (About.BUYER, About.SUB):
            self.open_for("call", key)
        elif about in (About.HOUSE, About.MISSING):
            self.open_for("tally", key)
        elif about == About.UNPACKED:
            self.house.open("thing", find_one(self.desk.records, ref))
        else:
            self._shown = _FIGURES
            self.show_state(self.state)

    def marked_key(self) -> str:
        """The marked row of the board."""
        row = self.query_one("#recall-board", Ledger).selected_row
        return row.key if row is not None and self._shown == _BOARD else ""

    def mark_next(self) -> None:
        """An answer came in: the next row is marked."""
        self._shown, self._marks_next = _BOARD, True

    def open_for(self, name: str, key: str) -> None:
        case = self.must_be_open()
        page = self.house.page_named(name)
        assert isinstance(page, CallPage | CountPage)
        page.work_on(case.id, key)
        self.house.open(name)

    def _open_figure(self, key: str) -> None:
        kind, _, ref = key.partition(":")
        if kind == "figure":
            self._opened = self._figures[int(ref)]
            self.show_state(self.state)
        else:
            self.house.open("trace" if kind == "trace" else "thing", find_one(self.desk.records, ref))

    # Commands

    def do_view(self, _rest: str) -> None:
        """Board, figures, steps."""
        self.must_be_shown()
        at = _VIEWS.index(self._shown) if self._shown in _VIEWS else -1
        self._shown, self._opened = _VIEWS[(at + 1) % len(_VIEWS)], None
        self.show_state(self.state)

    def do_choose(self, _rest: str) -> None:
        """Every case."""
        self._shown = _CASES
        self.show_state(self.state)

    def do_back(self, rest: str) -> None:
        """From the records of a figure to the figures, then to the page before."""
        if self.question is None and self._opened is not None:
            self._opened = None
            self.show_state(self.state)
        elif self.question is None and self._shown in (_FIGURES, _STEPS):
            self._shown = _BOARD
            self.show_state(self.state)
        else:
            super().do_back(rest)
