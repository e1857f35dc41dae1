"""Landing: write down what came in, of all four kinds."""

from __future__ import annotations

from functools import partial
from typing import Any

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Input, Static

from lotwake.labels.gs1.scan import read_scan
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.receive import receive
from lotwake.trace.base.errors import CallError, LotwakeError, WrittenAlready
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries.lots import LANDING, UNDERSIZE_CAUTION
from lotwake.trace.records.facts import lots
from lotwake.trace.records.find import Thing
from lotwake.trace.screens.arrival_form import TITLES, arrival, arrival_fields, usual_lot, usual_sender
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import CHOOSE, VIEW, VOID, Command
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import content
from lotwake.trace.screens.widgets import Field, Form

ANOTHER = Command("another", "Another", "Enter the lot all the same: a second one like it really came that day.")
EMPTY = Command("empty", "Empty", "Empty the form that is shown; what stood in it is forgotten.")
_KINDS = tuple(TITLES)
_NOW = "Enter takes what is offered and goes on; in the last field it enters all"
_FROM_LABELS = ("their_code", "document", "note")


class LandingPage(HousePage):
    """A form for each kind of lot; one is shown."""

    NAME = "landing"
    TITLE = "LANDING"
    PURPOSE = "Write down what came in: a landing, farmed or bought-in fish, or a material. It gets its lot code here."
    OFFERS = (
        CHOOSE.here("Kind", "Another kind of lot: /choose landing, farmed, bought-in or material."),
        VIEW.here("Fields", "Show all fields, or only those that are asked for each time."),
        VOID.here("Put right", "Put the last lot right by an entry that corrects it."),
        ANOTHER,
        EMPTY,
    )
    DEFAULT_CSS = """
    LandingPage #landing-kind { height: 1; padding: 0 1; text-style: bold; }
    LandingPage #landing-forms { height: 1fr; }
    """

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._kind = LANDING
        self._all_fields = False
        self._last: Thing | None = None
        self._doubted: dict[str, Any] | None = None

    def body(self) -> ComposeResult:
        """What is entered, and its form; a form is made when it is first asked for."""
        yield Static(id="landing-kind")
        yield Vertical(id="landing-forms")

    async def on_open(self) -> None:
        """The form of the kind that was used last, where it was left."""
        await self._show(self._kind)

    def _desk(self) -> Desk:
        return self.desk

    async def _show(self, kind: str) -> None:
        self._kind, self._doubted = kind, None
        place = self.query_one("#landing-forms", Vertical)
        made = {form.form_name: form for form in place.query(Form)}
        if kind not in made:
            made[kind] = Form(kind, arrival_fields(kind, self._desk), self._drafts)
            await place.mount(made[kind])
        for name, form in made.items():
            form.display = name == kind
        made[kind].show_all(self._all_fields)
        self._offer(made[kind])
        self._say_kind()
        next((f for f in made[kind].fields if f.display and not f.text), made[kind].fields[0]).focus_here()
        self.now(_NOW)

    def _say_kind(self) -> None:
        more = "fewer fields" if self._all_fields else "more fields"
        self.query_one("#landing-kind", Static).update(content(f"{TITLES[self._kind]}   F6 other kind   F4 {more}"))

    def _form(self) -> Form:
        return next(form for form in self.query(Form) if form.form_name == self._kind)

    # Defaults

    def _offer(self, form: Form) -> None:
        """Offer the last sender, and what the sender in the form, or else the last one, usually brings."""
        fields = {field.field_name: field for field in form.fields}
        usual = usual_sender(self.desk, self._kind)
        fields["sender"].suggest(usual)
        try:
            sender = fields["sender"].value() if fields["sender"].text else usual
            lot = usual_lot(self.desk, self._kind, sender) if sender else None
        except LotwakeError:  # a draft may name a sender that is not there; the field itself says so
            lot = None
        for name in ("species", "presentation", "area", "gear", "item"):
            if name in fields:
                fields[name].suggest(getattr(lot, name) if lot else "")

    def on_field_passed(self, event: Field.Passed) -> None:
        """Once the sender is known, offer what that sender usually brings."""
        if event.field.field_name == "sender":
            self._offer(self._form())

    # Entering

    async def on_form_filled(self, event: Form.Filled) -> None:
        """Enter in the last field."""
        await self.act(partial(self._enter, event.values))

    def _enter(self, values: dict[str, Any], another: bool = False) -> None:
        try:
            thing = receive(self.desk, arrival(self._kind, values), another)
        except WrittenAlready as doubt:
            self._doubted = values
            self.say(Result.check(doubt.sentence, "If it is another one: /another + Enter. Nothing was entered yet."))
            self._to_line()
            self.now("/another + Enter enters it all the same; Tab goes back to the form")
            return
        self._last, self._doubted = thing, None
        form = self._form()
        form.confirmed()
        form.show_all(self._all_fields)
        self._offer(form)
        seen = lots(self.desk.records, [thing.id])[thing.id]
        said = f"{show_mass(seen.g)} {seen.name} from {seen.sender} is lot {thing.shown}."
        more = UNDERSIZE_CAUTION if seen.undersize_g else "Write the code on the boxes. Wrong? F8 puts it right."
        self.say(Result.good(said, more))
        self.now(_NOW)

    def _to_line(self) -> None:
        self.query_one("LineInput").focus()

    def do_another(self, _rest: str) -> None:
        """A second lot like one of that day."""
        if self._doubted is None:
            raise CallError("No lot waits for this.", "Fill the form first.")
        self._enter(self._doubted, another=True)

    def do_empty(self, _rest: str) -> None:
        """Begin the form anew."""
        form = self._form()
        self._doubted = None
        form.confirmed()
        self._offer(form)
        self.say(Result.good("The form is empty.", "Nothing was entered."))

    def on_form_restored(self, event: Form.Restored) -> None:
        """Say that what stands here was not entered, and how to be rid of it."""
        event.prevent_default()  # the page would say it a second time
        said = "This is your draft from before; it is not entered yet."
        self.say(Result.check(said, "Go on; or /empty + Enter forgets it."))

    async def do_choose(self, rest: str) -> None:
        """The next kind, or the one that is named."""
        if rest and rest not in _KINDS:
            raise CallError(f"There is no kind of lot {rest!r}.", f"There are: {', '.join(_KINDS)}.")
        await self._show(rest or _KINDS[(_KINDS.index(self._kind) + 1) % len(_KINDS)])

    def do_view(self, _rest: str) -> None:
        """All fields, or the usual ones."""
        self._all_fields = not self._all_fields
        self._form().show_all(self._all_fields)
        self._say_kind()

    def do_void(self, _rest: str) -> None:
        """Put the last lot right."""
        if self._last is None:
            raise CallError("No lot was entered here since the program began.", "Scan or type the code of the lot.")
        self.house.open("correct", self._last)

    # Scans

    def on_scanned(self, scan: Scanned) -> None:
        """In a field for somebody else's code the scan is that code; else it is looked up."""
        field = self._field_with_cursor()
        if field is None or field.field_name not in _FROM_LABELS:
            self.shell.look_up(scan.text)
            return
        lot = read_scan(scan.text, stand_in=self.desk.settings.separator).value("10")
        field.text = lot or scan.data
        field.finish()

    def _field_with_cursor(self) -> Field | None:
        focused = self.focused
        if not isinstance(focused, Input):
            return None
        return next((field for field in self._form().fields if field.input is focused), None)
