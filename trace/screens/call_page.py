"""A call: one buyer on the telephone, four figures by the keypad, whom they passed it on to, and it is written down."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions import recall_answers
from lotwake.trace.actions.correct import correct_party
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.recall_answers import Answer
from lotwake.trace.actions.recall_notices import notices
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.recall.board import About
from lotwake.trace.recall.calling import QUESTIONS, CallSheet, opening_words
from lotwake.trace.recall.notices import NO_PHONE, Call, SubBuyer
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.find import Kind
from lotwake.trace.records.recalls import case_of
from lotwake.trace.screens.asking_page import AskingPage, Done, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.case_page import TOLD_BY, CasePage
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.recall_commands import CALL_OFFERS
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import short_moment
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

_DRAFT = "call"
_AGAIN = "ask once more"
_UNKNOWN = "they do not know: enter it so"


@dataclass(frozen=True)
class _Work:
    """Whom the call is to, about which case, and what was answered so far; ``run`` a lot's code, empty for all."""

    case: int
    about: str
    ref: int
    run: str = ""
    person: str = ""
    note: str = ""
    figures: tuple[int, ...] = ()
    subs: tuple[tuple[str, str, int], ...] = ()


class CallPage(AskingPage):
    """What stands here is a draft until the last figure is in."""

    NAME = "call"
    TITLE = "CALL"
    PURPOSE = "Ask one buyer how many packs are in stock, passed on, sent back or destroyed, and write it down."
    OFFERS = CALL_OFFERS
    DEFAULT_CSS = """
    CallPage #call-head { height: 2; padding: 0 1; text-style: bold; }
    CallPage #call-say { height: auto; max-height: 5; padding: 0 1; background: $raised; }
    CallPage #call-sheet { height: 8; }
    CallPage #call-sent { height: 1fr; }
    """

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._work: _Work | None = None
        self._state: RecallState | None = None
        self._naming = False
        self._restored = False

    def body(self) -> ComposeResult:
        """Who, what to say, the figures, and what was sent to them."""
        yield Static(id="call-head")
        yield Static(id="call-say")
        yield Ledger(
            Column("", 3, right=True), Column("ask"), Column("packs", 8, right=True), marks=False, id="call-sheet"
        )
        yield Ledger(Column("read out: lot", 18), Column("product"), Column("packs", 6, right=True), Column("documents", 20),
                     id="call-sent")  # fmt: skip

    def work_on(self, case: int, key: str) -> None:
        """Call this buyer, or one a buyer passed packs on to (``sub``), about this case. An unfinished call goes on."""
        about, _, ref = key.partition(":")
        self._restore()
        if self._work is None or (self._work.case, self._work.about, self._work.ref) != (case, about, int(ref)):
            self._work = _Work(case, about, int(ref))
            self._naming = False

    def on_open(self) -> None:
        """Show the call; after a break, the one that was not finished."""
        self._restore()
        self._look()

    def on_changed(self) -> None:
        """The scope, or what they hold, may be another."""
        if self.question is None:
            self._look()

    def _restore(self) -> None:
        if self._restored:
            return
        self._restored = True
        draft = self._drafts.get(_DRAFT)
        if draft is not None:
            kept = json.loads(draft["work"])
            kept["figures"], kept["subs"] = tuple(kept["figures"]), tuple(map(tuple, kept["subs"]))
            self._work = _Work(**kept)
            self.call_after_refresh(
                self.say, Result.check("This call is from before; it is not entered yet.", "Go on.")
            )

    def _keep(self, work: _Work) -> None:
        self._work = work
        if work.figures or work.person or work.note:
            self._drafts.put(_DRAFT, {"work": json.dumps(vars(work))})
        else:
            self._drafts.drop(_DRAFT)

    # Showing

    def _look(self) -> None:
        if self._work is not None:
            case = case_of(self.desk.records, self._work.case)
            self._state = look_at(self.desk, case)
            if case.ended is not None or self._call() is None:
                self._work, self._state = None, None
                self._drafts.drop(_DRAFT)
        self._show()

    def _show(self) -> None:
        if self._work is None or self._state is None:
            self._put("head", "Nobody is called.", "")
            self._put("say")
            for name in ("sheet", "sent"):
                self._fill(name, [])
            self.now("Esc, then Enter on a buyer's row of the recall page")
            return
        self._show_who()
        sheet = self._sheet()
        filled = sheet.filled if sheet.whole else sheet.figures
        rows = [
            Row(str(at), (f"{'>' if at == len(sheet.figures) and not sheet.whole else ''}{at + 1}", asks,
                          f"{filled[at]:,}" if at < len(filled) else ""))
            for at, asks in enumerate(QUESTIONS)
        ]  # fmt: skip
        rows.append(Row("left", ("", "not named yet" if not sheet.whole else "they do not know", f"{sheet.left:,}")))
        rows += [Row(f"sub{at}", ("", f"passed on to {name}, {phone or 'no telephone number'}", f"{packs:,}"))
                 for at, (name, phone, packs) in enumerate(sheet.subs)]  # fmt: skip
        self._fill("sheet", rows)
        if self.question is None:
            self.await_next()

    def _show_who(self) -> None:
        work, call, state = self._need()
        sub = self._sub()
        about = f"lot {show_code(work.run)}" if work.run else "all lots"
        asked = f"asked {short_moment(self.desk, call.asked)}" if call.asked else "not asked yet"
        phone = call.phone_or_warning if sub is None else sub.phone or NO_PHONE
        kind = "DRILL" if state.practice else "RECALL"
        name = call.name if sub is None else f"{sub.name}, passed on by {call.name}"
        who = f"   {work.person} answers" if work.person else ""
        self._put("head", f"{kind} {state.case.shown}   {name}   TELEPHONE {phone}",
                  f"{self._sheet().packs:,} packs, {about}   {call.risk}   {asked}{who}")  # fmt: skip
        notice = next(item for item in notices(self.desk, state) if item.buyer.name == call.name)
        self._put("say", f"SAY  {opening_words(notice)}")
        self._fill("sent", [
            Row(item.lot, (show_code(item.lot), f"{item.product}, {item.pack}, best before {item.best_before}",
                           f"{item.packs:,}", ", ".join(item.documents)))
            for item in notice.goods
        ])  # fmt: skip

    def _put(self, name: str, *texts: str) -> None:
        self.query_one(f"#call-{name}", Static).update(lines(*texts))

    def _fill(self, name: str, rows: list[Row]) -> None:
        self.query_one(f"#call-{name}", Ledger).show_rows(rows, keep_selected=True)

    def await_next(self) -> None:
        """The question to ask."""
        sheet = self._sheet()
        if self._naming:
            self.now(f"{sheet.not_named} of {sheet.sold} passed on: NAME, TELEPHONE, PACKS; Enter alone writes it down")
        elif sheet.whole:
            self.now("Enter writes it down; - takes the last figure back")
        else:
            at = len(sheet.figures)
            self.now(f"{at + 1}  {QUESTIONS[at]}: packs + Enter; Enter alone 0; * the rest; /silent")

    # What is typed

    def on_scanned(self, scan: Scanned) -> Done:
        """A pack of the lot that is spoken of."""
        self.drop_question()
        return self.text_given(scan.text)

    def number_given(self, number: int) -> None:
        """The next figure."""
        if self._naming:
            raise CallError("Whom did they pass it on to?", "Type NAME, TELEPHONE, PACKS; Enter alone goes on.")
        self._take(self._sheet().with_figure(number))

    def enter_given(self) -> None:
        """None of it, or write it down."""
        if self._naming or self._sheet().whole:
            self._finish()
        else:
            self._take(self._sheet().with_figure(0))

    def text_given(self, text: str) -> Done:
        """A sub-buyer while they are named; else the lot that the next figures are about."""
        if not self._naming:
            self._choose_lot(text)
            return None
        self._keep(replace(self._need()[0], subs=self._sheet().with_sub(text).subs))
        self._show()
        if self._sheet().not_named == 0:
            self._finish()
        return None

    def on_row(self, row: Row) -> None:
        """A click on a lot asks about that lot alone."""
        self._choose_lot(row.key)

    def _choose_lot(self, text: str) -> None:
        """The lot of what was typed or scanned, if they hold some of it."""
        work, call, state = self._need()
        thing = find_one(self.desk.records, text, self.desk.settings.separator)
        if thing.id not in self._held(call, state) or thing.kind not in (Kind.RUN, Kind.PACK) or self._sub():
            raise CallError(
                f"{call.name} has nothing of {thing.kind} {thing.shown} in this scope.", "F6 goes lot by lot."
            )
        self._naming = False
        self._keep(replace(work, run=state.runs[thing.id].code, figures=(), subs=()))
        self._show()

    def _take(self, sheet: CallSheet) -> None:
        self._keep(replace(self._need()[0], figures=sheet.figures, subs=sheet.subs))
        self._naming = False
        if sheet.whole and sheet.sold and self._sub() is None:
            self._naming = True
            self._show()
        elif sheet.whole:
            self._show()
            self._finish()
        else:
            self._show()

    def _finish(self) -> None:
        sheet = self._sheet()
        if sheet.left:
            self._naming = False
            asks = f"{sheet.left} of {sheet.packs} packs are not named. What now?"
            self.ask(Question(asks, (_AGAIN, _UNKNOWN), self._about_the_rest, free=False))
        else:
            self._enter()

    def _about_the_rest(self, answer: str) -> None:
        if answer == _UNKNOWN:
            self._enter()
        else:
            self._keep(replace(self._need()[0], figures=(), subs=()))
            self._show()

    def _enter(self) -> None:
        """Write it down and go back to the board, where the next thing to do stands."""
        work, call, state = self._need()
        sheet, sub = self._sheet(), self._sub()
        stock, sold, returned, destroyed = sheet.filled
        answer = Answer(True, work.run, work.person, stock, sold, returned, destroyed, work.note, sheet.subs)
        if sub is not None:
            after = recall_answers.take_sub_reply(self.desk, state.case, call.name, sub.name, answer)
        else:
            after = recall_answers.take_reply(self.desk, state.case, call.name, answer)
        self._ended(f"{sheet.name}: {sheet.said} of {sheet.packs} packs answered for.", after)

    def _ended(self, sentence: str, after: RecallState) -> None:
        self._work, self._naming = None, False
        self._drafts.drop(_DRAFT)
        page = self.house.page_named("recall")
        assert isinstance(page, CasePage)
        page.mark_next()
        self.house.open("recall")
        said = Result.good(sentence, f"NEXT {after.next_step}")
        self.house.page.call_after_refresh(self.house.page.say, said)

    # Commands

    def do_repeat(self, _rest: str) -> None:
        """All that is not named yet."""
        self.drop_question()
        self._take(self._sheet().with_figure(self._sheet().left))

    def do_void(self, _rest: str) -> None:
        """One step back."""
        self.drop_question()
        sheet = self._sheet().without_last()
        self._naming = self._naming and sheet.whole
        self._keep(replace(self._need()[0], figures=sheet.figures, subs=sheet.subs))
        self._show()

    def do_choose(self, _rest: str) -> None:
        """The next lot they hold, then all lots again."""
        work, call, state = self._need()
        if self._sub() is not None:
            raise CallError("They are asked about all of it.", "Only a buyer of ours is asked lot by lot.")
        lots = ["", *(state.runs[run].code for run in self._held(call, state))]
        self._naming = False
        self._keep(replace(work, run=lots[(lots.index(work.run) + 1) % len(lots)], figures=(), subs=()))
        self._show()

    def do_told(self, rest: str) -> None:
        """They were told, whatever they answer."""
        _, call, state = self._need()
        if not rest.strip():
            self.ask(Question(f"How was {call.name} told?", TOLD_BY, self.do_told))
            return
        self.drop_question()
        recall_answers.told(self.desk, state.case, call.name, rest.strip())
        self._look()
        self.say(Result.good(f"{call.name} was told by {rest.strip()}.", "Figures? Type them; or Esc, and ask later."))

    def do_silent(self, _rest: str) -> None:
        """Nobody answers there."""
        work, call, state = self._need()
        sub, answer = self._sub(), Answer(reached=False, note=work.note)
        if sub is not None:
            after = recall_answers.take_sub_reply(self.desk, state.case, call.name, sub.name, answer)
        else:
            after = recall_answers.take_reply(self.desk, state.case, call.name, answer)
        self._ended(f"{self._called(sub, call)} was not reached.", after)

    def do_phone(self, rest: str) -> None:
        """Put the number right; it stays so for every other call."""
        _, call, _ = self._need()
        if not rest.strip():
            raise CallError("Which number?", "Type it behind the word: /phone +47 ...")
        correct_party(self.desk, "buyer", call.name, "phone", rest, "found while calling")
        self._look()
        self.say(
            Result.good(f"{call.name} is called on {rest.strip()} from now on.", "It was put right in the record.")
        )

    def do_person(self, rest: str) -> None:
        """Who answers."""
        self._keep(replace(self._need()[0], person=rest.strip()))
        self._show()

    def do_note(self, rest: str) -> None:
        """Something to remember."""
        self._keep(replace(self._need()[0], note=rest.strip()))
        self.say(Result.good(f"Noted: {rest.strip()}.", "It is entered with the answer."))

    # Helpers

    def _need(self) -> tuple[_Work, Call, RecallState]:
        call = self._call()
        if self._work is None or self._state is None or call is None:
            raise CallError("Nobody is called.", "Choose a buyer on the recall page: /recall.")
        return self._work, call, self._state

    def _call(self) -> Call | None:
        work, state = self._work, self._state
        if work is None or state is None:
            return None
        about_sub = work.about == About.SUB
        return next(
            (
                call
                for call in state.calls
                if (any(sub.id == work.ref for sub in call.subs) if about_sub else call.buyer == work.ref)
            ),
            None,
        )

    def _sub(self) -> SubBuyer | None:
        work, call, _ = self._need()
        if work.about != About.SUB:
            return None
        return next(sub for sub in call.subs if sub.id == work.ref)

    def _called(self, sub: SubBuyer | None, call: Call) -> str:
        return call.name if sub is None else sub.name

    def _held(self, call: Call, state: RecallState) -> dict[int, int]:
        return dict(next(at.held for at in state.found.buyers if at.buyer == call.buyer))

    def _sheet(self) -> CallSheet:
        work, call, state = self._need()
        sub = self._sub()
        held = {state.runs[run].code: packs for run, packs in self._held(call, state).items()}
        packs = sub.packs if sub is not None else held.get(work.run, 0) if work.run else sum(held.values())
        return CallSheet(self._called(sub, call), packs, work.figures, work.subs)
