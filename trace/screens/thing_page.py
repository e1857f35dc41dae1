"""What is this: facts, state and what can be done with it. Anything that is scanned elsewhere is shown here."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions import hold as holds
from lotwake.trace.actions.correct import correct
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.look import look
from lotwake.trace.actions.pack import undo_end
from lotwake.trace.base.errors import CallError
from lotwake.trace.records.entries.packs import END_KINDS
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.seen import PackSeen
from lotwake.trace.screens.command import CHOOSE, VIEW, Command
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import read_kg
from lotwake.trace.screens.text import content
from lotwake.trace.screens.thing_facts import Said, headline, said_facts
from lotwake.trace.screens.widgets import Column, Ledger, Row

HOLD = Command("hold", "Hold", "Put it on hold, with a reason; what was made from it is held too.", takes="REASON")
LIFT = Command("lift", "Lift", "Lift the hold in your name, with a reason.", takes="REASON")
REJECT = Command("reject", "Reject", "Reject it for good, with a reason.", takes="REASON")
FIX = Command(
    "fix", "Put right", "Correct an entry; alone it opens a form.", takes="FIELD VALUE because WHY"
)  # the form is the same act with three fields
UNDO = Command(
    "undo",
    "Undo end",
    "A pack that was void, destroyed, a sample, lost or reworked did not end; of a run: /undo 5-7 WHY.",
    takes="[SERIALS] WHY",
)
_WAYS = {
    Kind.LOT: ("batch", "put it into a batch"),
    Kind.BATCH: ("batch", "go on with this batch"),
    Kind.RUN: ("pack", "pack and print"),
    Kind.PACK: ("trace", "trace it"),
    Kind.CASE: ("dispatch", "send it"),
    Kind.PALLET: ("dispatch", "send it"),
    Kind.DISPATCH: ("trace", "trace it"),
    Kind.RETURN: ("trace", "trace it"),
}
"""The page that most likely comes next, and what for."""


class ThingPage(HousePage):
    """One thing, and the way it was come by."""

    NAME = "thing"
    TITLE = "WHAT IS THIS"
    PURPOSE = "What the record says about one thing, and what can be done with it. Scan or type any code."
    OFFERS = (
        VIEW.here("Trace", "Trace it, back to its boats and forward to its buyers."),
        CHOOSE.here("Work on", "Open the page where it is worked on."),
        HOLD,
        LIFT,
        REJECT,
        FIX,
        UNDO,
    )
    DEFAULT_CSS = "ThingPage #thing-head { height: 1; padding: 0 2; text-style: bold; }"

    def __init__(self) -> None:
        super().__init__()
        self._trail: list[Thing] = []
        self._lines: list[Said] = []

    def body(self) -> ComposeResult:
        """Headline and facts."""
        yield Static(id="thing-head")
        yield Ledger(
            Column("about", 11),
            Column("what the record says"),
            empty="Scan or type any code, from a lot to a dispatch.",
        )

    @property
    def thing(self) -> Thing:
        """What is shown; CallError while nothing is."""
        if not self._trail:
            raise CallError("Nothing is shown here yet.", "Scan it, or type its code.")
        return self._trail[-1]

    @property
    def subject(self) -> Thing | None:
        """What is shown."""
        return self._trail[-1] if self._trail else None

    def on_open(self) -> None:
        """Show what was handed over, or the same as before."""
        thing = self.handed()
        if thing is not None and thing not in self._trail:
            self._trail.append(thing)
        elif thing is not None:
            del self._trail[self._trail.index(thing) + 1 :]
        self._show(keep=thing is None)

    def on_changed(self) -> None:
        """Its state may be another."""
        self._show(keep=True)

    def _show(self, keep: bool) -> None:
        if not self._trail:
            self.query_one("#thing-head", Static).update("Nothing yet.")
            self.now("scan or type any code")
            return
        seen = look(self.desk.records, self.thing)
        self._lines = said_facts(self.desk, seen)
        self.query_one("#thing-head", Static).update(content(headline(seen)))
        rows = [Row(str(at), (line.label, line.text)) for at, line in enumerate(self._lines)]
        self.query_one(Ledger).show_rows(rows, keep_selected=keep)
        page, what_for = _WAYS[self.thing.kind]
        work_on = "" if page == "trace" else f"F6 {what_for}   "
        correct_it = "/hold /fix   " if self.thing.kind in holds.HOLDABLE else ""
        if isinstance(seen.facts, PackSeen) and seen.facts.status in END_KINDS:
            correct_it = "/undo WHY takes the end back   "
        self.now(f"F4 traces it   {work_on}{correct_it}or scan the next")

    def on_row(self, row: Row) -> None:
        """Open the thing that the line is about."""
        line = self._lines[int(row.key)]
        if not line.opens:
            self.say(Result.check("There is nothing to open in this line.", "F4 traces it, F6 works on it."))
            return
        self.house.open(self.NAME, find_one(self.desk.records, line.opens))

    def do_back(self, rest: str) -> None:
        """To the thing before this one, then to the page before."""
        if len(self._trail) > 1:
            self._trail.pop()
            self._show(keep=False)
        else:
            self.house.do_back(rest)

    def do_view(self, _rest: str) -> None:
        """Trace it."""
        self.house.open("trace", self.thing)

    def do_choose(self, _rest: str) -> None:
        """Work on it."""
        self.house.open(_WAYS[self.thing.kind][0], self.thing)

    def do_hold(self, rest: str) -> None:
        """Put on hold."""
        holds.hold(self.desk, self.thing.code, reason(rest, "hold"))
        self._done(f"{self.thing.shown} is on hold, and all that was made from it.", "/lift REASON lifts it.")

    def do_lift(self, rest: str) -> None:
        """Lift the hold."""
        who = self.desk.operator.name if self.desk.operator else ""
        holds.release(self.desk, self.thing.code, who, reason(rest, "lift"))
        self._done(f"The hold on {self.thing.shown} is lifted by {who}.", "/hold REASON holds it again.")

    def do_reject(self, rest: str) -> None:
        """Reject."""
        holds.hold(self.desk, self.thing.code, reason(rest, "reject"), reject=True)
        self._done(f"{self.thing.shown} is rejected. That is final.", "Name its grams as waste.")

    def do_fix(self, rest: str) -> None:
        """Correct a field here, or open the form."""
        if not rest:
            self.house.open("correct", self.thing)
            return
        field, value, why = read_fix(rest)
        correct(self.desk, self.thing.code, field, f"{read_kg(value)} g" if field == "weight" else value, why)
        self._done(
            f"{field.capitalize()} of {self.thing.shown} is {value} now.", "What it said before stays in the record."
        )

    def do_undo(self, rest: str) -> None:
        """Take back the end of this pack, or of packs of this run."""
        thing, serials = self.thing, ""
        if thing.kind is Kind.RUN:
            serials, _, rest = rest.strip().partition(" ")
        if thing.kind is not Kind.PACK and not serials[:1].isdecimal():
            raise CallError("Which packs did not end?", "Scan one and type /undo WHY; or on their run /undo 5-7 WHY.")
        text = f"{thing.code}/{serials or thing.serial}"
        _, packs, kinds = undo_end(self.desk, text, reason(rest, "undo"))
        self._done(
            f"{packs} did not end as {' or '.join(kinds)}: in the house again.", "Both entries stay in the record."
        )

    def _done(self, sentence: str, next_step: str) -> None:
        self._show(keep=True)
        self.say(Result.good(sentence, next_step))


def reason(rest: str, word: str) -> str:
    """The reason that must follow a command."""
    if not rest.strip():
        raise CallError("Say why.", f"Type the reason behind it: /{word} and a few words.")
    return rest.strip()


def read_fix(rest: str) -> tuple[str, str, str]:
    """``weight 39 kg because the box was weighed too`` as field, value and reason."""
    said, because, why = rest.partition(" because ")
    field, _, value = said.strip().partition(" ")
    if not (because and field and value.strip() and why.strip()):
        raise CallError("What is wrong, and why?", "Type /fix FIELD VALUE because WHY, or /fix alone for a form.")
    return field.lower(), value.strip(), why.strip()
