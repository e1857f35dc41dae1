"""Count the house: what of the scope lies where, found by scanning it or by typing how many there are."""

from __future__ import annotations

import json
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions.find import find
from lotwake.trace.actions.recall_answers import count_lots
from lotwake.trace.actions.recall_scope import packs_of_scope
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.actions.refs import packs_of
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.recall.board import NOWHERE
from lotwake.trace.recall.reconcile import InHouse
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.find import Kind
from lotwake.trace.records.recalls import case_of
from lotwake.trace.screens.asking_page import AskingPage, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import REPEAT, VOID, Command
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

ENTER = Command("enter", "Enter it", "Enter the count as it stands; what was not found is missing.")
_DRAFT = "count"
_SHORT, _GO_ON = "enter it so", "look again"


@dataclass(frozen=True)
class Spot:
    """Packs of one run in one case, or loose, in one place: ``key`` says which, the same at every look."""

    key: str
    item: InHouse

    @property
    def shown(self) -> str:
        """The case, or the loose packs."""
        if self.item.unit is None:
            return f"loose {self.item.packs}"
        return f"case {self.item.unit:018d}"


class CountPage(AskingPage):
    """A draft until everything is found, or the rest is said to be missing."""

    NAME = "tally"
    TITLE = "COUNT"
    PURPOSE = "Count the packs of a recall or drill that are in the house, place by place."
    OFFERS = (
        VOID.here("Not found", "The marked row was not found after all; F8 on the next takes that back too."),
        REPEAT.here("All here", "Everything that is not counted yet was found."),
        ENTER,
    )
    DEFAULT_CSS = "CountPage #count-head { height: 2; padding: 0 1; text-style: bold; }"

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._case: int | None = None
        self._state: RecallState | None = None
        self._spots: list[Spot] = []
        self._found: dict[str, int] = {}
        self._serials: dict[str, list[int]] = {}

    def body(self) -> ComposeResult:
        """What lies where."""
        yield Static(id="count-head")
        yield Ledger(Column("found", 6, right=True), Column("of", 6, right=True), Column("place", 16), Column("what", 24),
                     Column("lot"), empty="Nothing of it is in the house by the record.")  # fmt: skip

    def work_on(self, case: int, _key: str) -> None:
        """Count for this case; an unfinished count of it goes on."""
        if self._case != case:
            self._case, self._found, self._serials = case, {}, {}

    def on_open(self) -> None:
        """Show it; after a break, with what was found before."""
        draft = self._drafts.get(_DRAFT) if not self._found else None
        if draft is not None and self._case in (None, int(draft["case"])):
            self._case, self._found = int(draft["case"]), json.loads(draft["found"])
            self._serials = json.loads(draft["serials"])
            self.say(Result.check("This count is from before; it is not entered yet.", "Go on."))
        self._look()

    def on_changed(self) -> None:
        """Packs may have moved."""
        if self.question is None:
            self._look()

    def _look(self) -> None:
        if self._case is None:
            self._put("Nothing is counted.", "")
            self.now("Esc, then Enter on the house's row of the recall page")
            return
        self._state = look_at(self.desk, case_of(self.desk.records, self._case))
        items = sorted(
            self._state.found.in_house,
            key=lambda item: (not item.where, item.where, item.pallet or 0, item.unit or 0, item.run),
        )
        self._spots = [Spot(f"{item.run}/{item.packs.first}-{item.packs.last}/{item.unit}", item) for item in items]
        known = {spot.key: spot.item.packs.count for spot in self._spots}
        self._found = {key: packs for key, packs in self._found.items() if packs <= known.get(key, -1)}
        self._show()

    def _show(self) -> None:
        state = self._state
        assert state is not None
        rows = [
            Row(spot.key, (str(self._found[spot.key]) if spot.key in self._found else "-", f"{spot.item.packs.count:,}",
                           spot.item.where or NOWHERE, spot.shown, show_code(state.runs[spot.item.run].code)))
            for spot in self._spots
        ]  # fmt: skip
        self.query_one(Ledger).show_rows(rows, keep_selected=True)
        all_packs = sum(spot.item.packs.count for spot in self._spots)
        kind = "DRILL" if state.practice else "RECALL"
        self._put(f"{kind} {state.case.shown}   FOUND {sum(self._found.values()):,} of {all_packs:,} packs by the record",
                  f"{len(self._spots) - len(self._found)} of {len(self._spots)} rows are still to be looked for")  # fmt: skip
        if self.question is None:
            self.await_next()

    def _put(self, *texts: str) -> None:
        self.query_one("#count-head", Static).update(lines(*texts))

    def await_next(self) -> None:
        """Say what comes next."""
        if self._left:
            self.now("scan what you find; or Enter: the marked row is all there; a number: so many")
        else:
            self.now("Enter writes the count down; F8: the marked row was not found after all")

    @property
    def _left(self) -> list[Spot]:
        return [spot for spot in self._spots if spot.key not in self._found]

    # What is found

    def on_scanned(self, scan: Scanned) -> None:
        """Found."""
        self.drop_question()
        self.text_given(scan.text)

    def text_given(self, text: str) -> None:
        """What was scanned is ticked off; what is not in the scope is said so."""
        state = self._need()
        found = packs_of_scope(self.desk, state, text)
        if not found.inside:
            raise Refused(f"{found.shown} is NOT in the scope.", "It may stay where it is.")
        spots = [spot for spot in self._spots if self._is_in(spot, text)]
        if not spots:
            raise Refused(
                f"{found.shown} is in the scope, and not in the house by the record.", f"There: {found.where}."
            )
        for spot in spots:
            self._tick(spot, self._with_this(spot, text))
        self._said(f"{found.shown} is found.")

    def _with_this(self, spot: Spot, text: str) -> int:
        """How many of a spot are found with what was scanned: a loose pack counts once, however often it is scanned."""
        packs = packs_of(self.desk.records, text)
        if packs is None or spot.item.unit is not None or packs[1].count >= spot.item.packs.count:
            return spot.item.packs.count
        seen = self._serials.setdefault(spot.key, [])
        if packs[1].first not in seen:
            seen.append(packs[1].first)
        return len(seen)

    def _is_in(self, spot: Spot, text: str) -> bool:
        packs = packs_of(self.desk.records, text)
        if packs is not None:
            run, serials = packs
            whole = serials.first <= spot.item.packs.first and spot.item.packs.last <= serials.last
            one = serials.first == serials.last and spot.item.packs.first <= serials.first <= spot.item.packs.last
            return run.id == spot.item.run and (whole or (one and spot.item.unit is None))
        return any(
            (thing.kind is Kind.CASE and thing.id == spot.item.unit)
            or (thing.kind is Kind.PALLET and thing.id == spot.item.pallet)
            or (thing.kind is Kind.RUN and thing.id == spot.item.run)
            for thing in find(self.desk.records, text, self.desk.settings.separator)
        )

    def number_given(self, number: int) -> None:
        """So many of the marked row."""
        spot = self._marked()
        if number > spot.item.packs.count:
            raise Refused(f"{spot.shown.capitalize()} has {spot.item.packs.count} packs by the record.",
                          "More than that? Scan what is too much, and look where it belongs.")  # fmt: skip
        self._tick(spot, number)
        self._said(f"{number} of {spot.item.packs.count} packs of {spot.shown} are found.")

    def enter_given(self) -> None:
        """The marked row is all there; when every row is counted, it is entered."""
        if self._spots and not self._left:
            self.do_enter("")
            return
        spot = self._marked()
        self._tick(spot, spot.item.packs.count)
        self._said(f"{spot.shown.capitalize()} is all there.")

    def _tick(self, spot: Spot, packs: int) -> None:
        self._found[spot.key] = packs
        self._keep()

    def _said(self, sentence: str) -> None:
        self._show()
        ahead = next((at for at, spot in enumerate(self._spots) if spot.key not in self._found), None)
        if ahead is None:
            self.say(Result.good(sentence, "Every row is counted: Enter writes the count down."))
            return
        self.query_one(Ledger).mark_row(ahead)
        self.say(Result.good(sentence, f"{len(self._left)} rows to go; wrong? F8 on the row."))

    def _keep(self) -> None:
        if self._found:
            self._drafts.put(_DRAFT, {
                "case": str(self._case), "found": json.dumps(self._found), "serials": json.dumps(self._serials)
            })  # fmt: skip
        else:
            self._drafts.drop(_DRAFT)

    # Commands

    def do_void(self, _rest: str) -> None:
        """The marked row is to be looked for again."""
        self.drop_question()
        spot = self._marked()
        self._found.pop(spot.key, None)
        self._serials.pop(spot.key, None)
        self._keep()
        self._show()
        self.say(Result.good(f"{spot.shown.capitalize()} is still to be looked for."))

    def do_repeat(self, _rest: str) -> None:
        """All the others are here."""
        self._need()
        for spot in self._left:
            self._tick(spot, spot.item.packs.count)
        self._said("Everything else is found.")

    def do_enter(self, _rest: str) -> None:
        """Write it down; short ones are asked about first."""
        self._need()
        missing = sum(spot.item.packs.count - self._found.get(spot.key, 0) for spot in self._spots)
        if missing:
            asks = f"{missing} packs were not found. What now?"
            self.ask(Question(asks, (_GO_ON, _SHORT), self._short, free=False))
        else:
            self._enter()

    def _short(self, answer: str) -> None:
        if answer == _SHORT:
            self._enter()

    def _enter(self) -> None:
        state = self._need()
        packs = {spot.item.run: 0 for spot in self._spots}
        for spot in self._spots:
            packs[spot.item.run] += self._found.get(spot.key, 0)
        after = count_lots(self.desk, state.case, packs)
        self._case, self._found, self._serials = None, {}, {}
        self._keep()
        self.house.open("recall")
        said = Result.good(f"{sum(packs.values()):,} packs were found in the house.", f"NEXT {after.next_step}")
        self.house.page.call_after_refresh(self.house.page.say, said)

    def _need(self) -> RecallState:
        if self._state is None or not self._spots:
            raise CallError("There is nothing to count.", "Esc goes back to the recall page.")
        return self._state

    def _marked(self) -> Spot:
        self._need()
        row = self.query_one(Ledger).selected_row
        return next(spot for spot in self._spots if row is not None and spot.key == row.key)
