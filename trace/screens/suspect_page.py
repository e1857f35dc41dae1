"""Suspect: name what is suspected, or have a lot drawn, and begin a drill or a recall. The clock starts at the name."""

from __future__ import annotations

import re
import secrets
from datetime import datetime
from functools import partial
from textwrap import wrap

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions import recall
from lotwake.trace.actions.common_source import common_source_of, complaint_packs
from lotwake.trace.actions.find import TRACEABLE, find_one
from lotwake.trace.actions.recall import Start, Terms
from lotwake.trace.actions.recall_answers import next_due
from lotwake.trace.actions.refs import packs_of
from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.base.moments import read_moment, show_moment
from lotwake.trace.recall.classes import CLASS_SOURCE, CLASSES, DRILL_RULE, TARGETS_ARE
from lotwake.trace.recall.common_source import CommonSource
from lotwake.trace.recall.terms import read_goal, show_goal
from lotwake.trace.records.entries.recall import DRILL, RECALL
from lotwake.trace.screens.asking_page import AskingPage, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import VOID
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.recall_commands import COMPLAINTS, DRAW, EQUIPMENT, GOAL, INSTRUMENT, ONLY
from lotwake.trace.screens.recall_page import RecallPage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import fitted, lines
from lotwake.trace.screens.trace_page import CONTACT
from lotwake.trace.screens.widgets import Column, Ledger, Row

_DRAFT = "suspect"
_BETWEEN = "\n"
_PRACTICE, _EARNEST = "a drill (practice)", "a recall in earnest: it is held"
_REASONS = (
    "Listeria found",
    "core not hot enough",
    "allergen not on the label",
    "foreign body",
    "complaints of illness",
)
_NOT_DECIDED = "not decided yet"
_WINDOWS = ("equipment", "instrument")
_WINDOW = re.compile(r"(?P<name>.+?)\s+from\s+(?P<since>.+?)(?:\s+to\s+(?P<until>.+))?", re.IGNORECASE)


class SuspectPage(AskingPage):
    """A list of what is suspected, kept as a draft; Enter begins."""

    NAME = "suspect"
    TITLE = "SUSPECT"
    PURPOSE = "Begin a recall or a drill: scan or type what is suspected, or have a lot drawn."
    TAKES = TRACEABLE
    OFFERS = (
        VOID.here("Take away", "Take the last thing off the list."),
        DRAW, COMPLAINTS, EQUIPMENT, INSTRUMENT, CONTACT, ONLY, GOAL,
    )  # fmt: skip
    DEFAULT_CSS = """
    SuspectPage #suspect-head { height: 2; padding: 0 1; text-style: bold; }
    SuspectPage #suspect-list { height: 1fr; }
    SuspectPage #suspect-said { height: auto; max-height: 3; padding: 0 1; text-style: bold; }
    SuspectPage #suspect-shared { height: 7; }
    """

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._restored = False
        self._codes: list[str] = []
        self._facts: dict[str, str] = {}
        self._named: datetime | None = None
        self._shared: CommonSource | None = None

    def body(self) -> ComposeResult:
        """What is suspected, and what complaint packs share."""
        yield Static(id="suspect-head")
        yield Ledger(Column("", 3, right=True), Column("suspected"), Column("code", 26, from_width=120),
                     empty="Nothing yet. Scan a pack, case, lot, batch or dispatch; or /draw.", id="suspect-list")  # fmt: skip
        yield Static(id="suspect-said")
        yield Ledger(Column("packs", 5, right=True), Column("of all", 7, right=True), Column("chance", 8, right=True),
                     Column("what the complaints share"), marks=False, id="suspect-shared")  # fmt: skip

    # Showing

    def on_open(self) -> None:
        """The list, with what was not begun the last time."""
        if not self._restored:
            self._restored = True
            draft = self._drafts.get(_DRAFT) or {}
            self._codes = [code for code in draft.get("codes", "").split(_BETWEEN) if code]
            self._facts = {name: text for name, text in draft.items() if name != "codes" and text}
            if self._codes or self._facts:
                self.say(Result.check("This list is from before; nothing is begun yet.", "Go on, or - takes away."))
        thing = self.handed()
        self._show()
        if thing is not None and thing.shown not in self._codes:
            self._add(thing.shown)

    def _show(self) -> None:
        rows = [Row(code, (str(at), self._what(code), code)) for at, code in enumerate(self._codes, 1)]
        for name in _WINDOWS:
            if name in self._facts:
                rows.append(Row(name, ("", f"the {name} {self._facts[name]}", "")))
        self.query_one("#suspect-list", Ledger).show_rows(rows, keep_selected=True)
        self._put("head", self._mode(), self._terms_said())
        shared = self._shared
        self.query_one("#suspect-shared").display = shared is not None
        self._put(
            "said",
            *(
                [next_due(self.desk).sentence, *wrap(f"{DRILL_RULE}.", self.size.width - 2)]
                if shared is None
                else [shared.sentence, ""]
            ),
        )
        if shared is not None:
            self.query_one("#suspect-shared", Ledger).show_rows([
                Row(str(at), (f"{item.with_it}", f"{100 * item.carrying / shared.made:.1f} %", f"{item.corrected:.2g}",
                              "; ".join(f"{factor.kind} {factor.name}" for factor in item.factors)))
                for at, item in enumerate(shared.findings[:20])
            ])  # fmt: skip
        if self.question is None and not self.doing:
            self.await_next()

    def _mode(self) -> str:
        ways = [
            "COMPLAINT PACKS and what they share"
            if "complaints" in self._facts
            else "SUSPECTED with all that was made of it",
            "only these packs" if "only" in self._facts else "",
            "with CONTACT" if "contact" in self._facts else "",
        ]
        return "   ".join(filter(None, ways))

    def _terms_said(self) -> str:
        named = f"named {show_moment(self._named, self.desk.zone)[-5:]}   " if self._named and self._codes else ""
        goal_min, least = self._goal()
        return f"{named}goal {show_goal(goal_min)}, {least} % or more: habits of private schemes, not law"

    def _goal(self) -> tuple[int, int]:
        return read_goal(self._facts["goal"]) if "goal" in self._facts else (
            self.desk.settings.drill_goal_min, self.desk.settings.drill_least_percent
        )  # fmt: skip

    def _what(self, code: str) -> str:
        if packs := packs_of(self.desk.records, code):
            return f"packs {packs[1]} of run {packs[0].shown}"
        thing = find_one(self.desk.records, code, self.desk.settings.separator)
        return f"{thing.kind} {thing.shown}"

    def _put(self, name: str, *texts: str) -> None:
        self.query_one(f"#suspect-{name}", Static).update(lines(*(fitted(text, self.size.width - 2) for text in texts)))

    def await_next(self) -> None:
        """Say what comes next."""
        if self._codes or "equipment" in self._facts or "instrument" in self._facts:
            self.now("scan more, or Enter begins;  /contact  /complaints  - takes the last away")
        else:
            self.now("scan what is suspected; /draw draws a drill; /equipment, /instrument")

    # The list

    def on_scanned(self, scan: Scanned) -> None:
        """The same as typed; a question that stands is dropped."""
        self.drop_question()
        self.text_given(scan.text)

    def text_given(self, text: str) -> None:
        """Something more."""
        self._add(text)

    def number_given(self, number: int) -> None:
        """A document number, perhaps."""
        self._add(str(number))

    def _add(self, text: str) -> None:
        what = self._what(text)
        if packs_of(self.desk.records, text) is None:
            found = find_one(self.desk.records, text, self.desk.settings.separator)
            if found.kind not in TRACEABLE:
                raise CallError(
                    f"A {found.kind} cannot be recalled.", "Name a lot, batch, run, pack, case or dispatch."
                )
        if text in self._codes:
            raise CallError(f"{what.capitalize()} is on the list already.", "Scan the next, or Enter begins.")
        self._named = self._named or self.desk.clock.now()
        self._codes.append(text)
        self._keep()
        self.say(Result.good(f"Suspected: {what}.", "Enter begins; wrong? - takes it away"))

    def _keep(self) -> None:
        if self._codes or self._facts:
            self._drafts.put(_DRAFT, {**self._facts, "codes": _BETWEEN.join(self._codes)})
        else:
            self._drafts.drop(_DRAFT)
        self._shared = self._common() if "complaints" in self._facts and len(self._codes) > 1 else None
        self._show()

    def _common(self) -> CommonSource:
        return common_source_of(self.desk, complaint_packs(self.desk, self._codes))

    def do_void(self, _rest: str) -> None:
        """The last one off."""
        self.drop_question()
        if self._codes:
            gone = self._codes.pop()
        elif self._facts:
            gone = self._facts.pop(next(reversed(self._facts)))
        else:
            raise CallError("The list is empty.", "Scan what is suspected.")
        if not self._codes:
            self._named = None
        self._keep()
        self.say(Result.good(f"Off the list: {gone}."))

    def _switch(self, name: str, on: str, off: str) -> None:
        if name in self._facts:
            del self._facts[name]
        else:
            self._facts[name] = "yes"
        try:
            self._keep()
        except LotwakeError:
            self._facts.pop(name)
            raise
        self.say(Result.good(on if name in self._facts else off, "The same word changes it back."))

    def do_complaints(self, _rest: str) -> None:
        """The list are complaint packs."""
        self._switch(
            "complaints", "These are complaint packs: what they share stands below.", "Taken as suspected goods."
        )

    def do_contact(self, _rest: str) -> None:
        """Contact counts."""
        self._switch("contact", "What met it in a brine, a load or on a table is in it too.", "Contact is left out.")

    def do_only(self, _rest: str) -> None:
        """Only these packs."""
        self._switch("only", "Only these packs, not the rest of their lots.", "The whole lots of these packs.")

    def do_goal(self, rest: str) -> None:
        """Other targets for this one."""
        goal_min, least = read_goal(rest, self.desk.settings.drill_least_percent)
        self._facts["goal"] = rest.strip()
        self._keep()
        self.say(Result.good(f"Goal {show_goal(goal_min)}, {least} % or more.", TARGETS_ARE))

    def do_equipment(self, rest: str) -> None:
        """A time window on a piece of equipment."""
        self._window("equipment", rest)

    def do_instrument(self, rest: str) -> None:
        """A failed instrument."""
        self._window("instrument", rest)

    def _window(self, name: str, rest: str) -> None:
        before, kept = self._facts, {fact: text for fact, text in self._facts.items() if fact not in _WINDOWS}
        self._facts = {**kept, name: rest.strip()}
        try:
            found = self._start()
            if not found.suspected:
                raise CallError(f"No batch: {found.words}.", "Check the name and the times.")
        except LotwakeError:
            self._facts = before
            raise
        self._named = self._named or self.desk.clock.now()
        self._keep()
        self.say(Result.good(f"Suspected: {found.words}, {len(found.suspected)} batches.", "Enter begins"))

    # Beginning

    def _start(self) -> Start:
        desk = self.desk
        if "equipment" in self._facts:
            name, since, until = self._read_window(self._facts["equipment"])
            if since is None:
                raise CallError("From when?", "Type /equipment NAME from 06:00 to 12:00.")
            return recall.from_equipment(desk, name, since, until or desk.now)
        if "instrument" in self._facts:
            return recall.from_instrument(desk, *self._read_window(self._facts["instrument"]))
        if "complaints" in self._facts:
            return recall.from_complaints(desk, self._codes)
        return recall.from_codes(desk, self._codes, "only" in self._facts)

    def _read_window(self, text: str) -> tuple[str, datetime | None, datetime | None]:
        form = _WINDOW.fullmatch(text)
        if form is None:
            return text, None, None
        since, until = (
            None if said is None else read_moment(said, self.desk.now, self.desk.zone)
            for said in (form["since"], form["until"])
        )
        return form["name"], since, until

    def enter_given(self) -> None:
        """A drill or a recall?"""
        self._start()  # says what is wrong before anything is asked
        self.ask(Question("A drill, or a recall in earnest?", (_PRACTICE, _EARNEST), self._kind_said, free=False))

    def _kind_said(self, answer: str) -> None:
        if answer == _PRACTICE:
            self._begin(DRILL, self._start(), Terms())
        else:
            self.ask(Question("Why? The reason stands in every letter.", _REASONS, self._reason_said))

    def _reason_said(self, reason: str) -> None:
        asks = f"Recall class? I serious harm, II temporary, III not likely ({CLASS_SOURCE})"
        answers = (_NOT_DECIDED, *(known.name for known in CLASSES))
        self.ask(Question(asks, answers, partial(self._class_said, reason), free=False))

    def _class_said(self, reason: str, answer: str) -> None:
        hazard = "" if answer == _NOT_DECIDED else answer
        self._begin(RECALL, self._start(), Terms(reason, hazard_class=hazard))

    def do_draw(self, rest: str) -> None:
        """Draw the start of a drill."""
        if rest.strip() and not rest.strip().isdecimal():
            raise CallError(f"{rest.strip()!r} is not a seed.", "Type a whole number, or /draw alone.")
        seed = int(rest) if rest.strip() else secrets.randbelow(1_000_000)
        start, known = recall.drawn(self.desk, seed)
        self._begin(DRILL, start, Terms(), f" Drawn among {len(known)} lots, seed {seed}.")

    def _begin(self, kind: str, start: Start, terms: Terms, more: str = "") -> None:
        goal_min, least = self._goal()
        named = self._named if start.seed is None else None
        full = Terms(terms.reason, named, goal_min, least, "contact" in self._facts, terms.hazard_class)
        state = recall.begin(self.desk, kind, start, full)
        self._codes, self._facts, self._named = [], {}, None
        self._keep()
        page = self.house.page_named("recall")
        assert isinstance(page, RecallPage)
        page.show_case(state.case.id)
        self.house.open("recall")
        held = f" On hold: {len(state.held)}." if state.held else ""
        said = f"{kind.capitalize()} {state.case.shown} begun: {state.total.made:,} packs.{held}{more}"
        page.call_after_refresh(page.say, Result.good(said, f"NEXT {state.next_step}"))
