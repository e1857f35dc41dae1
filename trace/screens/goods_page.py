"""A page that collects goods by scanning: what lies here so far, with packs and kilograms, kept as a draft."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Input, Static

from lotwake.trace.actions.goods import Good, look_at, must_be_new
from lotwake.trace.base.errors import LotwakeError
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.find import Thing
from lotwake.trace.records.lists import buyers
from lotwake.trace.screens.asking_page import AskingPage, Done
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.pack_words import packs
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import kg
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row
from lotwake.trace.screens.widgets.choice_field import fitting

_BETWEEN = "\n"


class GoodsPage(AskingPage):
    """A list of goods. A page of this kind says what may be on it (``admit``), and what is done with it (``finish``).

    ``facts`` are further texts kept in the draft: a buyer, a document number.
    """

    DEFAULT_CSS = """
    GoodsPage .goods-head { height: 2; padding: 0 1; text-style: bold; }
    """
    LIST_TITLE: ClassVar[str] = "scanned"

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._restored = False
        self.goods: list[Good] = []
        self.facts: dict[str, str] = {}

    # What a page fills in

    def admit(self, good: Good) -> None:
        """Refuse what cannot be on this list."""

    def head_lines(self) -> tuple[str, str]:
        """What is going on, in two lines."""
        return "", ""

    def finish(self) -> Done:
        """Enter on the empty line: do it with what is on the list."""

    def void_last(self, reason: str) -> Done:
        """Take back what was done last here; the list is empty."""

    # The list

    def body(self) -> ComposeResult:
        """Head and list."""
        yield Static(classes="goods-head")
        yield Ledger(Column("", 3, right=True), Column(self.LIST_TITLE, 34), Column("product"), Column("packs", 6, right=True),
                     Column("kg", 8, right=True), empty="Nothing yet.", id="goods-list")  # fmt: skip

    def on_open(self) -> None:
        """Show the list; the first time, the one that was not finished."""
        if not self._restored:
            self._restored = True
            self._restore()
        thing = self.handed()
        self.show_goods()
        if thing is not None:
            self.handed_over(thing)

    def handed_over(self, thing: Thing) -> None:
        """Another page sent the person here with a thing; only what is scanned here goes on most lists."""

    def _restore(self) -> None:
        draft = self._drafts.get(self.NAME)
        if draft is None:
            return
        self.facts = {name: text for name, text in draft.items() if name != "goods"}
        gone = 0
        for text in filter(None, draft.get("goods", "").split(_BETWEEN)):
            try:
                good = look_at(self.desk, text)
                self.admit(good)
                self.goods.append(good)
            except LotwakeError:
                gone += 1
        lost = f" {gone} of it moved since and are off it." if gone else ""
        if self.goods or gone:
            self.say(Result.check(f"This list is from before; it is not entered yet.{lost}", "Go on, or - takes away."))

    def on_changed(self) -> None:
        """What is on the list may have moved elsewhere; it is looked at again when it is entered."""
        self.show_goods()

    def on_scanned(self, scan: Scanned) -> Done:
        """A thing for the list."""
        self.drop_question()
        return self.text_given(scan.text)

    def text_given(self, text: str) -> Done:
        """A thing for the list."""
        self.add(text)
        return None

    def enter_given(self) -> Done:
        """Do it."""
        return self.finish()

    def add(self, text: str) -> None:
        """Put what the text names on the list."""
        good = look_at(self.desk, text)
        must_be_new(good, self.goods)
        self.admit(good)
        self.goods.append(good)
        self.keep()
        self.show_goods()
        self.query_one("#goods-list", Ledger).action_step(len(self.goods))
        self.say(Result.good(f"{good.shown}  {packs(good.packs)}, {show_mass(good.g)}", "wrong? - takes it away"))

    def keep(self) -> None:
        """Keep the draft as it is now; an empty one is gone."""
        goods = _BETWEEN.join(good.text for good in self.goods)
        fields: Mapping[str, str] = {**self.facts, "goods": goods}
        if any(fields.values()):
            self._drafts.put(self.NAME, fields)
        else:
            self._drafts.drop(self.NAME)

    def emptied(self) -> None:
        """It was entered: the list and its draft are gone."""
        self.goods, self.facts = [], {}
        self.keep()
        self.show_goods()

    def show_goods(self) -> None:
        """Show list and head as they are now."""
        rows = [
            Row(good.text, (str(number), good.shown, good.product, f"{good.packs:,}", kg(good.g)))
            for number, good in enumerate(self.goods, 1)
        ]
        self.query_one("#goods-list", Ledger).show_rows(rows, keep_selected=True)
        self.query_one(".goods-head", Static).update(lines(*self.head_lines()))
        if self.question is None and not self.doing:
            self.await_next()

    @property
    def packs(self) -> int:
        """Packs on the list."""
        return sum(good.packs for good in self.goods)

    @property
    def amount(self) -> str:
        """``3 scanned, 36 packs, 10.8 kg``."""
        return f"{len(self.goods)} scanned, {self.weight}" if self.goods else "nothing scanned"

    @property
    def weight(self) -> str:
        """``36 packs, 10.8 kg``."""
        return f"{packs(self.packs)}, {show_mass(sum(good.g for good in self.goods))}"

    def do_void(self, rest: str) -> Done:
        """Take the last thing off the list; when it is empty, take back what was done last."""
        self.drop_question()
        if not self.goods:
            return self.void_last(rest.strip())
        good = self.goods.pop()
        self.keep()
        self.show_goods()
        self.say(Result.good(f"Off the list: {good.shown}.", f"{self.amount.capitalize()}."))
        return None


class BuyerPage(GoodsPage):
    """A list of goods with one buyer, who is chosen by typing a part of the name."""

    DEFAULT_CSS = "BuyerPage #buyers { height: 1fr; }"

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__(drafts)
        self._typed = ""

    def body(self) -> ComposeResult:
        """Head, then the list of goods or the buyers to choose from."""
        yield from super().body()
        yield Ledger(Column("", 3, right=True), Column("buyer"), Column("telephone", 20), id="buyers",
                     empty="No buyer has this in the name. /set-up adds one.")  # fmt: skip

    @property
    def buyer(self) -> str:
        """The chosen buyer's name, or nothing."""
        return self.facts.get("buyer", "")

    @property
    def choosing(self) -> bool:
        """Whether the buyer is still to be chosen."""
        return not self.buyer

    def show_goods(self) -> None:
        """The buyers while one is chosen, then the goods."""
        self.query_one("#buyers").display = self.choosing
        self.query_one("#goods-list").display = not self.choosing
        if self.choosing:
            self._fill_buyers()
        super().show_goods()

    def _fill_buyers(self) -> None:
        rows = [Row(name, (str(number), name, phone)) for number, (name, phone) in enumerate(self._matching(), 1)]
        self.query_one("#buyers", Ledger).show_rows(rows)

    def _matching(self) -> list[tuple[str, str]]:
        return fitting([(buyer.name, buyer.phone) for buyer in buyers(self.desk.records)], self._typed)

    def on_input_changed(self, event: Input.Changed) -> None:
        """The list of buyers narrows while typing; digits are left for a number or a code."""
        if self.choosing and self.question is None:
            typed = event.value.strip()
            self._typed = "" if typed[:1].isdecimal() or typed.startswith("/") else typed
            self._fill_buyers()

    def number_given(self, number: int) -> Done:
        """The number of a buyer."""
        if not self.choosing:
            return super().number_given(number)
        self._typed = ""
        found = self._matching()
        if 1 <= number <= len(found):
            self.choose_buyer(found[number - 1][0])
        else:
            self.say(Result.check(f"There is no buyer {number} in the list.", "Type a part of the name."))
        return None

    def text_given(self, text: str) -> Done:
        """A part of a buyer's name while one is chosen, else goods; a scanned code is goods at any time."""
        if self.choosing and not text[:1].isdecimal() and text[:1] not in "](":
            self._typed = text
            found = self._matching()
            if found:
                self.choose_buyer(found[0][0])
                return None
            self._typed = ""
            self._fill_buyers()
            self.say(
                Result.check(f"No buyer is called {text}.", "Type a part of the name, or add the buyer in set-up.")
            )
            return None
        return super().text_given(text)

    def enter_given(self) -> Done:
        """Takes the marked buyer, or does it."""
        if not self.choosing:
            return self.finish()
        self.query_one("#buyers", Ledger).action_choose()
        return None

    def on_row(self, row: Row) -> None:
        """A buyer was chosen."""
        if self.choosing:
            self.choose_buyer(row.key)

    def choose_buyer(self, name: str) -> None:
        """This buyer it is."""
        self.facts["buyer"] = name
        self._typed = ""
        self.keep()
        self.show_goods()

    def do_choose(self, _rest: str) -> None:
        """Choose another buyer; the list stays."""
        self.drop_question()
        self.facts.pop("buyer", None)
        self.keep()
        self.show_goods()
