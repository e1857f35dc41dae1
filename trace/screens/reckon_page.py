"""Reckon: the calculations of the bench, each with its formula, the numbers put in, its source and its caution."""

from __future__ import annotations

from functools import partial
from typing import Any

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from lotwake.trace.actions.reckoning.answer import Calculation
from lotwake.trace.actions.reckoning.every import CALCULATIONS
from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.screens.command import CHOOSE
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.page import Page
from lotwake.trace.screens.reckon_form import asked_by, in_fields, put_in
from lotwake.trace.screens.text import content, lines
from lotwake.trace.screens.widgets import Column, Form, Ledger, Row

_BY_NAME = {calculation.name: calculation for calculation in CALCULATIONS}
_CHOOSE = "number + Enter: what is to be reckoned?"
_FILL = "Enter goes on; in the last field it reckons; PgDn: more; Esc: list"


class ReckonPage(Page):
    """A list of calculations; for each a form and, under it, the answer. Nothing is written down."""

    NAME = "reckon"
    TITLE = "RECKON"
    PURPOSE = "Work out a number of the trade: brine, salt, heat, cooling, ice, yield, label figures, code look-ups."
    OFFERS = (CHOOSE.here("List", "Back to the list of calculations; /choose brine opens its form."),)
    DEFAULT_CSS = """
    ReckonPage #reckon-head { height: 1; padding: 0 2; }
    ReckonPage #reckon-forms { height: auto; max-height: 60%; }
    ReckonPage #reckon-answer { height: 1fr; padding: 0 2; }
    ReckonPage #reckon-said { height: auto; }
    ReckonPage #reckon-caution { height: 1; padding: 0 2; text-style: bold; }
    """

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._chosen: Calculation | None = None

    def body(self) -> ComposeResult:
        """The list, or a form with its answer."""
        yield Static(id="reckon-head")
        yield Ledger(Column("no", 3, True), Column("reckon", 15), Column("what it gives"))
        yield Vertical(id="reckon-forms")
        with VerticalScroll(id="reckon-answer", can_focus=False):
            yield Static(id="reckon-said")
        yield Static(id="reckon-caution")

    async def on_open(self) -> None:
        """The list, or the form that was left."""
        await self._show()

    async def _show(self) -> None:
        place = self.query_one("#reckon-forms", Vertical)
        self.query_one(Ledger).display = self._chosen is None
        place.display = self.query_one("#reckon-answer").display = self._chosen is not None
        if self._chosen is None:
            self._show_list()
            return
        made = {form.form_name: form for form in place.query(Form)}
        name = f"reckon-{self._chosen.name}"
        if name not in made:
            made[name] = Form(name, [each.field() for each in asked_by(self._chosen).arguments], self._drafts)
            await place.mount(made[name])
        for other, form in made.items():
            form.display = other == name
        made[name].fields[0].focus_here()
        self.query_one("#reckon-head", Static).update(
            content(f"{self._chosen.name.upper().replace('-', ' ')}   {self._chosen.help}")
        )
        self.now(_FILL)

    def _show_list(self) -> None:
        rows = [Row(each.name, (str(at), each.name, each.help)) for at, each in enumerate(CALCULATIONS, 1)]
        self.query_one(Ledger).show_rows(rows, keep_selected=True)
        self.query_one("#reckon-head", Static).update(content("At the bench: nothing here is written down."))
        self.query_one("LineInput").focus()
        self.now(_CHOOSE)

    async def _choose(self, calculation: Calculation | None) -> None:
        self._chosen = calculation
        self._answer()
        await self._show()

    # Choosing

    async def on_row(self, row: Row) -> None:
        """A calculation was chosen."""
        await self._choose(_BY_NAME[row.key])

    async def on_count(self, number: int) -> None:
        """A calculation by its number."""
        if not 1 <= number <= len(CALCULATIONS):
            raise CallError(f"There is no line {number}.", f"Type a number from 1 to {len(CALCULATIONS)}.")
        await self._choose(CALCULATIONS[number - 1])

    async def do_choose(self, rest: str) -> None:
        """The list, or a calculation by its name."""
        if rest and rest not in _BY_NAME:
            raise CallError(f"There is no {rest!r} to reckon.", f"There are: {', '.join(_BY_NAME)}.")
        await self._choose(_BY_NAME.get(rest))

    async def do_back(self, rest: str) -> None:
        """From a form to the list, from the list to the page before."""
        if self._chosen is None:
            self.shell.do_back(rest)
        else:
            await self._choose(None)

    def action_ledger(self, move: str, by: int) -> None:
        """The arrows move in the list; under a form they scroll the answer."""
        if self._chosen is None:
            super().action_ledger(move, by)
            return
        answer = self.query_one("#reckon-answer", VerticalScroll)
        answer.scroll_relative(y=by * (1 if move == "step" else max(1, answer.size.height - 1)), animate=False)

    # Reckoning

    async def on_form_filled(self, event: Form.Filled) -> None:
        """Enter in the last field; what was typed stays, so that one number can be changed."""
        self.new_act()
        self._answer()
        await self.act(partial(self._reckon, event.form, event.values))

    def _reckon(self, form: Form, values: dict[str, Any]) -> None:
        assert self._chosen is not None
        form.fields[0].focus_here()
        self._drafts.drop(form.form_name)
        try:
            answer = self._chosen.reckon(put_in(asked_by(self._chosen), values))
        except LotwakeError as wrong:
            raise in_fields(wrong) from None
        self._answer(lines(*answer.lines()), answer.basis.caution)  # the caution is seen however long the answer is

    def _answer(self, said: Content | str = "", caution: str = "") -> None:
        self.query_one("#reckon-said", Static).update(said)
        self.query_one("#reckon-caution", Static).update(content(caution))
