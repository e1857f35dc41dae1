"""What is done in a recall or drill on its page: each act writes it down and shows the case as it is then."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from lotwake.trace.actions import recall, recall_answers
from lotwake.trace.actions.recall_papers import folder_of, make_notices, make_report
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.recall.board import About
from lotwake.trace.recall.notices import Call
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.entries.recall import CHECK_RESULTS
from lotwake.trace.records.recalls import CaseSeen
from lotwake.trace.screens.asking_page import AskingPage, Question
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.thing_page import reason

TOLD_BY = ("telephone", "e-mail", "letter", "in person")
_NOTHING_MORE = "nothing more"


class CasePage(AskingPage):
    """A page about one case; it shows ``state`` by ``show_state`` and says which row is marked."""

    def __init__(self) -> None:
        super().__init__()
        self.state: RecallState | None = None

    # What a page fills in

    def show_state(self, state: RecallState | None) -> None:
        """Show this from now on."""

    def marked_key(self) -> str:
        """The key of the marked row of the board; empty when the board is not shown."""
        return ""

    def mark_next(self) -> None:
        """Mark the row with the next thing to do when the board is shown the next time."""

    def open_for(self, name: str, key: str) -> None:
        """Go to a page that works on one row of the case."""

    def must_be_shown(self) -> RecallState:
        """The case that is shown."""
        if self.state is None:
            raise CallError("No recall or drill is shown.", "F6 lists them; /suspect begins one.")
        return self.state

    def must_be_open(self) -> CaseSeen:
        """The case that is shown, while it is under way."""
        case = self.must_be_shown().case
        if case.ended is not None:
            raise Refused(f"{case.shown} is finished and signed.", "F6 lists the others; /suspect begins one.")
        return case

    def marked(self) -> Call:
        """The buyer of the marked row."""
        state = self.must_be_shown()
        about, _, ref = self.marked_key().partition(":")
        if about != About.BUYER:
            raise CallError("Which buyer?", "Mark the buyer's row on the board with up and down.")
        return next(call for call in state.calls if str(call.buyer) == ref)

    def do_told(self, rest: str) -> None:
        """The marked buyer was told."""
        call = self.marked()
        if not rest.strip():
            self.ask(Question(f"How was {call.name} told?", TOLD_BY, self.do_told))
            return
        self.show_state(recall_answers.told(self.desk, self.must_be_open(), call.name, rest.strip()))
        self.say(Result.good(f"{call.name} was told by {rest.strip()}.", "Enter on the row takes the answer."))

    def do_silent(self, _rest: str) -> None:
        """Nobody answered there."""
        call = self.marked()
        self.show_state(
            recall_answers.take_reply(self.desk, self.must_be_open(), call.name, recall_answers.Answer(reached=False))
        )
        self.say(Result.good(f"{call.name} was not reached.", "The row says when to ring again."))

    def do_count(self, rest: str) -> None:
        """With a number so many were found; without one, place by place."""
        if not rest.strip():
            self.open_for("tally", f"{About.HOUSE}:")
            return
        if not rest.strip().isdecimal():
            raise CallError(f"{rest.strip()!r} is not a number of packs.", "Type /count 96, or /count alone.")
        self.show_state(recall_answers.count_house(self.desk, self.must_be_open(), int(rest)))
        self.say(Result.good(f"{int(rest)} packs were found in the house.", "Counted again? The later count holds."))

    def do_widen(self, rest: str) -> None:
        """More is suspected."""
        code, why = _code_and_why(rest, "widen", needs_code=False)
        self.show_state(recall.widen(self.desk, self.must_be_open(), [code] if code else [], why))
        self._say_scope("wider")

    def do_narrow(self, rest: str) -> None:
        """Something is taken out."""
        code, why = _code_and_why(rest, "narrow", needs_code=True)
        self.show_state(recall.narrow(self.desk, self.must_be_open(), [code], why))
        self._say_scope("narrower")

    def _say_scope(self, how: str) -> None:
        state = self.must_be_shown()
        scope = state.scopes[-1]
        self.say(Result.good(f"The scope is {how}: {scope.packs:,} packs now.", "F4 twice shows every scope it had."))

    def do_pause(self, rest: str) -> None:
        """Stop the clock."""
        self.show_state(recall_answers.pause(self.desk, self.must_be_open(), reason(rest, "pause")))
        self.say(Result.good("The clock is paused.", "/resume goes on; the pause does not count."))

    def do_resume(self, _rest: str) -> None:
        """Let it go on."""
        self.show_state(recall_answers.resume(self.desk, self.must_be_open()))
        self.say(Result.good("The clock goes on."))

    def do_check(self, rest: str) -> None:
        """Draw an effectiveness check."""
        level, _, percent = rest.strip().partition(" ")
        if not level:
            answers = ("A", "B", "C", "D", "E")
            asks = "Which level? A all, B 11 to 99 % (type B 50), C 10 %, D 2 %, E none (21 CFR 7.42)"
            self.ask(Question(asks, answers, self.do_check))
            return
        of_b = int(percent) if percent.strip().isdecimal() else None
        case = self.must_be_open()
        before = len(self.must_be_shown().checks)
        self.show_state(recall_answers.draw_checks(self.desk, case, level, case.id, of_b))
        state = self.must_be_shown()
        names = {call.buyer: call.name for call in state.calls}
        drawn = ", ".join(names.get(check.buyer, "?") for check in state.checks[before:]) or "nobody"
        self.say(
            Result.good(f"Level {level.upper()} asks {drawn}.", "/checked RESULT on each row; F4 twice lists them.")
        )

    def do_checked(self, rest: str) -> None:
        """What the check found."""
        call = self.marked()
        result = next((word for word in CHECK_RESULTS if rest.strip().startswith(word)), "")
        if not result:
            self.ask(Question(f"What did the check find at {call.name}?", CHECK_RESULTS, self.do_checked))
            return
        note = rest.strip().removeprefix(result).strip()
        self.show_state(recall_answers.check_result(self.desk, self.must_be_open(), call.name, result, note))
        self.say(Result.good(f"Check at {call.name}: {result}.", "The report counts it."))

    def do_paper(self, rest: str) -> None:
        """Notices while it is under way; the report once it is finished, or when asked for."""
        state = self.must_be_shown()
        desk, case = self.desk, state.case
        folder = folder_of(desk, case)
        if case.ended is not None or rest.strip() == "report":
            out = folder / f"{case.code}-report.pdf"
            self.begin("Writing the report", partial(make_report, desk, state, out), self._report_written)
        else:
            self.begin("Writing the notices", partial(make_notices, desk, case, folder), self._notices_written)

    def _report_written(self, path: Path) -> None:
        self.say(
            Result.good(f"The report is {path.name}.", f"It lies in {path.parent.parent.name}/{path.parent.name}.")
        )

    def _notices_written(self, made: tuple[RecallState, list[Path]]) -> None:
        state, files = made
        self.show_state(state)
        folder = files[0].parent
        self.say(
            Result.good(
                f"{len(files)} papers are in {folder.parent.name}/{folder.name}: letters, call sheet, e-mail texts.",
                "Send or print them; then ring: Enter on the first row.",
            )
        )

    def do_finish(self, rest: str) -> None:
        """What will be done about the gaps, who signs, and the report."""
        state = self.must_be_shown()
        self.must_be_open()
        if state.gaps:
            asks = f"{len(state.gaps)} gaps remain. What will be done about them?"
            self.ask(Question(asks, (_NOTHING_MORE,), partial(self._ask_who, rest.strip())))
        else:
            self._ask_who(rest.strip(), _NOTHING_MORE)

    def _ask_who(self, name: str, action: str) -> None:
        actions = [] if action == _NOTHING_MORE else [action]
        if name:
            self._sign(actions, name)
            return
        own = self.desk.operator.name if self.desk.operator else ""
        self.ask(Question("Who signs it off? It cannot be changed after.", (own,), partial(self._sign, actions)))

    def _sign(self, actions: list[str], name: str) -> None:
        state = recall_answers.finish(self.desk, self.must_be_open(), name, actions)
        self.show_state(state)
        self.do_paper("")


def _code_and_why(rest: str, word: str, needs_code: bool) -> tuple[str, str]:
    code, because, why = f" {rest.strip()}".partition(" because ")
    if not because or not why.strip() or (needs_code and not code.strip()):
        raise CallError("What, and why?", f"Type /{word} CODE because WHY.")
    return code.strip(), why.strip()
