"""Set-up: the house, and everyone and everything it deals with."""

from __future__ import annotations

from functools import partial

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from lotwake.trace.actions import set_up
from lotwake.trace.actions.correct import correct_party
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_looks import calibration_page
from lotwake.trace.base.errors import CallError
from lotwake.trace.records import lists
from lotwake.trace.records.rights import ROLES
from lotwake.trace.screens.command import CHOOSE, PAPER, VIEW, Command
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.set_up_forms import KINDS
from lotwake.trace.screens.set_up_kind import Kind
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import ChoiceField, Column, Field, Form, Ledger, Row

_BY_NAME = {kind.name: kind for kind in KINDS}
ROLE = Command("role", "Role", "Say what somebody may do: line, lead or reader.", takes="INITIALS ROLE")
PIN = Command("pin", "PIN", "Give a lead a PIN that is asked for, or none.", takes="INITIALS [none]")
_CHOOSE = "number + Enter: what is to be added or put right?"
_FILL = "Enter goes on; in the last field it enters all. Esc goes back to the list"


class SetUpPage(HousePage):
    """A list of kinds; for each a form that adds one and a form that puts one right."""

    NAME = "setup"
    TITLE = "SET-UP"
    PURPOSE = (
        "The house, its people, boats, buyers, products, equipment and checks, its settings, printers, label stock and"
        " phrases: add, or put right."
    )
    OFFERS = (
        CHOOSE.here("List", "Back to the list of what can be added; /choose boat opens its form."),
        VIEW.here("Put right", "Change between adding one and putting one right."),
        PAPER.here("Calibrate", "Make a page to measure the labels of the house's stock with; /paper NAME of another."),
        ROLE,
        PIN,
    )
    DEFAULT_CSS = """
    SetUpPage #setup-head { height: auto; padding: 0 2; }
    SetUpPage #setup-forms { height: 1fr; }
    """

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._chosen: Kind | None = None
        self._fixing = False

    def body(self) -> ComposeResult:
        """The house, then the list or a form."""
        yield Static(id="setup-head")
        yield Ledger(Column("no", 3, True), Column("what", 10), Column("how many", 8, True), Column("who or which"))
        yield Vertical(id="setup-forms")

    async def on_open(self) -> None:
        """The list, or the form that was left."""
        await self._show()

    def _desk(self) -> Desk:
        return self.desk

    async def _show(self) -> None:
        place = self.query_one("#setup-forms", Vertical)
        self.query_one(Ledger).display = self._chosen is None
        place.display = self._chosen is not None
        if self._chosen is None:
            self._show_list()
            return
        kind, name = self._chosen, f"{'fix' if self._fixing else 'add'}-{self._chosen.name}"
        made = {form.form_name: form for form in place.query(Form)}
        if name not in made:
            fields = self._fix_fields(kind) if self._fixing else kind.fields(self._desk)
            made[name] = Form(name, fields, self._drafts)
            await place.mount(made[name])
        for other, form in made.items():
            form.display = other == name
        made[name].fields[0].focus_here()
        known = kind.known(self.desk)
        there = f"{len(known)} {kind.plural}: {', '.join(known)}" if known else f"No {kind.plural} yet."
        act = f"PUT A {kind.name.upper()} RIGHT" if self._fixing else f"ADD: {kind.name.upper()}"
        other_way = "F4 add one" if self._fixing else "F4 put one right" if kind.correctable else ""
        self.query_one("#setup-head", Static).update(lines(f"{act}   {other_way}".rstrip(), there))
        self.now(_FILL)

    def _show_list(self) -> None:
        site = lists.site(self.desk.records)
        self.query_one("#setup-head", Static).update(
            lines(
                f"{site.name}, {site.address}, {site.country}   {site.phone}".rstrip(),
                f"GS1 prefix {site.company_prefix}   {site.zone}   approval {site.approval or 'not said'}",
            )
        )
        known = [(kind, kind.known(self.desk)) for kind in KINDS]
        rows = [
            Row(kind.name, (str(at), kind.plural, str(len(names)), ", ".join(names)))
            for at, (kind, names) in enumerate(known, 1)
        ]
        self.query_one(Ledger).show_rows(rows, keep_selected=True)
        self.query_one("LineInput").focus()
        self.now(_CHOOSE)

    def _fix_fields(self, kind: Kind) -> list[Field]:
        shown = [name if kind.fix else name.replace("_", "-") for name in kind.correctable]
        fields = [
            ChoiceField("who", kind.name.capitalize(), lambda: [(name, "") for name in kind.known(self.desk)]),
            ChoiceField("field", "What is wrong", lambda: [(name, "") for name in shown]),
            Field("value", "It should be"),
        ]
        return fields if kind.fix else [*fields, Field("why", "Why", placeholder="in a few words")]

    # Choosing

    async def on_row(self, row: Row) -> None:
        """A kind was chosen."""
        self._chosen, self._fixing = _BY_NAME[row.key], False
        await self._show()

    async def on_count(self, number: int) -> None:
        """A kind by its number."""
        if not 1 <= number <= len(KINDS):
            raise CallError(f"There is no line {number}.", f"Type a number from 1 to {len(KINDS)}.")
        self._chosen, self._fixing = KINDS[number - 1], False
        await self._show()

    async def do_choose(self, rest: str) -> None:
        """The list, or a kind by its name."""
        if rest and rest not in _BY_NAME:
            raise CallError(f"There is no {rest!r} to set up.", f"There are: {', '.join(_BY_NAME)}.")
        self._chosen, self._fixing = _BY_NAME.get(rest), False
        await self._show()

    async def do_view(self, _rest: str) -> None:
        """Add one, or put one right."""
        if self._chosen is None or not self._chosen.correctable:
            raise CallError(
                "There is nothing to put right here.", "Choose boats, buyers, products or another kind first."
            )
        self._fixing = not self._fixing
        await self._show()

    async def do_back(self, rest: str) -> None:
        """From a form to the list, from the list to the page before."""
        if self._chosen is None:
            self.house.do_back(rest)
            return
        self._chosen, self._fixing = None, False
        await self._show()

    # People

    async def do_role(self, rest: str) -> None:
        """What somebody may do from now on."""
        who, _, role = rest.strip().partition(" ")
        if not role.strip():
            raise CallError("Whose role, and which?", f"Type /role OD lead; there are {', '.join(ROLES)}.")
        done = set_up.set_role(self.desk, who, role.strip().lower())
        await self._show()
        self.say(Result.good(f"{done.name} is {role.strip().lower()} now.", "It holds at every station."))

    def do_pin(self, rest: str) -> None:
        """A PIN typed twice and never shown, or none."""
        who, _, none = rest.strip().partition(" ")
        if not who or none.strip() not in ("", "none"):
            raise CallError("Whose PIN?", "Type /pin SK, or /pin SK none to take it away.")
        if none:
            self._set_pin(who, None)
            return
        desk = self.desk.as_lead("set up people")  # the old one is asked for first

        def again(pin: str) -> None:
            self.house.ask_digits(f"The new PIN of {who.upper()} once more.", lambda second: compared(pin, second))

        def compared(pin: str, second: str) -> None:
            if pin != second:
                raise CallError("The two differ; the PIN is as it was.", f"/pin {who} begins again.")
            self._set_pin(who, pin, desk)

        self.house.ask_digits(f"The new PIN of {who.upper()}.", again)

    def _set_pin(self, who: str, pin: str | None, desk: Desk | None = None) -> None:
        done = set_up.set_pin(desk or self.desk, who, pin)
        alone = pin is not None and set_up.only_lead(self.desk)
        hint = set_up.ONLY_LEAD if alone else "It holds at every station."
        self.say(Result.good(f"{done.name} has {'no PIN' if pin is None else 'a PIN'} now.", hint))

    # Entering

    async def on_form_filled(self, event: Form.Filled) -> None:
        """Enter in the last field."""
        await self.act(partial(self._enter, event.form, event.values))

    async def _enter(self, form: Form, values: dict[str, str]) -> None:
        kind = self._chosen
        assert kind is not None
        if not self._fixing:
            wrong = "F4 puts it right" if kind.correctable else "Enter it anew: the last counts"
            result = Result.good(kind.add(self.desk, values), f"Another one may follow. Wrong? {wrong}.")
        elif kind.fix is not None:
            result = Result.good(kind.fix(self.desk, values), "The rest of the file is as it was.")
        else:
            done = correct_party(self.desk, kind.name, values["who"], values["field"], values["value"], values["why"])
            result = Result.good(
                f"{values['who']}: {values['field']} is {done.now} now.", f"It said {done.was or 'nothing'} before."
            )
        self.house.read_settings_again()
        form.confirmed()
        await self._show()
        self.say(result)

    def do_paper(self, rest: str) -> None:
        """A calibration page, as a file and to the printer where there is one."""
        made = calibration_page(self.desk, rest.strip())
        sent = f" and at {made.target}" if made.target else ""
        self.say(
            Result.good(
                f"A calibration page for {made.stock.name} is in {made.path.name}{sent}.",
                "Print it at full size, measure it, then F4 puts the stock's shifts right.",
            )
        )
