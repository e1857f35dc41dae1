"""Places: scan the card of a freezer or shelf, then what is put there; see what lies where."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions import places
from lotwake.trace.actions.cards import print_cards
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.places import Held
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.records.entries.places import PLACE_KINDS
from lotwake.trace.records.find import Kind
from lotwake.trace.records.lying import Lying
from lotwake.trace.records.places import place_named
from lotwake.trace.screens.asking_page import AskingPage, Done, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import CHOOSE, PAPER, Command
from lotwake.trace.screens.line import on_card
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import kg
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

PLACE = Command("place", "New place", "Add a freezer, a shelf or another place.", takes="NAME")


class PlacesPage(AskingPage):
    """The list of places, or one place and what lies in it."""

    NAME = "places"
    TITLE = "PLACES"
    PURPOSE = "Say where things lie: scan the card of a place, then what you put there. The latest word holds."
    TAKES = (Kind.PLACE,)
    OFFERS = (
        CHOOSE.here("All", "Every place, and how much lies there."),
        PAPER.here("Cards", "Print a card to scan for each place; /paper FILE names the file."),
        PLACE,
    )
    DEFAULT_CSS = """
    PlacesPage #places-head { height: 2; padding: 0 1; text-style: bold; }
    PlacesPage Ledger { height: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._place = ""

    def body(self) -> ComposeResult:
        """The places, or what lies in the one that is chosen."""
        yield Static(id="places-head")
        yield Ledger(Column("", 3, right=True), Column("place"), Column("kind", 12), Column("packs", 8, right=True),
                     Column("kg not packed", 14, right=True), id="places-all",
                     empty="No place yet. /place Freezer 1")  # fmt: skip
        yield Ledger(Column("lies here", 34), Column("name"), Column("packs", 6, right=True), Column("kg", 8, right=True),
                     empty="Nothing by the record. Scan what you put here.", id="places-one")  # fmt: skip

    def on_open(self) -> None:
        """The place that was handed over, or the list."""
        if (thing := self.handed()) is not None:
            self._place = thing.code
        self._show()

    def on_changed(self) -> None:
        """Something was put elsewhere."""
        if self.question is None:
            self._show()

    def _show(self) -> None:
        one = bool(self._place)
        self.query_one("#places-all").display, self.query_one("#places-one").display = not one, one
        if one:
            held = places.what_lies(self.desk, self._place)
            self._put(f"{held.place.name.upper()}   {held.place.kind}   {held.packs:,} packs, {kg(held.g)} kg not packed",
                      f"card {held.place.shown}")  # fmt: skip
            self._fill("one", [_thing_row(item) for item in held.things])
        else:
            self._put(
                "Where does it lie?  Scan the card of the place first.", "A pallet takes along what stands on it."
            )
            self._fill("all", [_place_row(at, held) for at, held in enumerate(places.all_places(self.desk), 1)])
        if self.question is None:
            self.await_next()

    def _put(self, *texts: str) -> None:
        self.query_one("#places-head", Static).update(lines(*texts))

    def _fill(self, name: str, rows: list[Row]) -> None:
        self.query_one(f"#places-{name}", Ledger).show_rows(rows, keep_selected=True)

    def await_next(self) -> None:
        """Say what comes next."""
        if self._place:
            self.now("scan what you put here, or the card of another place; F6 all places")
        else:
            self.now("scan the card of a place, or its number + Enter; /place NAME adds one")

    def on_scanned(self, scan: Scanned) -> Done:
        """A place, or something that is put there."""
        self.drop_question()
        return self.text_given(on_card(scan.data) if self._is_place(on_card(scan.data)) else scan.text)

    def _is_place(self, text: str) -> bool:
        try:
            place_named(self.desk.records, text)
        except NotFound:
            return False
        return True

    def text_given(self, text: str) -> Done:
        """A place by name or card; else something that lies in the chosen place from now on."""
        if self._is_place(text):
            self._place = place_named(self.desk.records, text).code
            self._show()
            return None
        if not self._place:
            words = places.named_goods(self.desk, text)
            raise CallError(f"Where does {words} lie?", "Scan the card of the place first, then this again.")
        said = places.put(self.desk, self._place, [text])
        self._show()
        name = place_named(self.desk.records, self._place).name
        self.say(Result.good(f"In {name}: {', '.join(said)}.", "Wrong? Scan the right place, then it again."))
        return None

    def number_given(self, number: int) -> Done:
        """The number of a place in the list."""
        if self._place:
            return self.text_given(str(number))
        known = places.all_places(self.desk)
        if not 1 <= number <= len(known):
            raise CallError(f"There is no place {number}.", "Type the number in front of it, or /place NAME.")
        return self.text_given(known[number - 1].place.name)

    def on_row(self, row: Row) -> Done:
        """Choose the place, or open what lies there."""
        if not self._place:
            return self.text_given(row.key)
        self.house.open("thing", find_one(self.desk.records, row.key))
        return None

    def do_choose(self, _rest: str) -> None:
        """Every place."""
        self._place = ""
        self._show()

    def do_place(self, rest: str) -> None:
        """A new place."""
        name = rest.strip()
        if not name:
            raise CallError("What is it called?", "Type /place Freezer 1.")
        self.ask(Question(f"What is {name}?", PLACE_KINDS, lambda kind: self._add(name, kind), free=False))

    def _add(self, name: str, kind: str) -> None:
        made = places.add_place(self.desk, name, kind)
        self._place = made.code
        self._show()
        self.say(Result.good(f"Added the {kind} {made.name}.", "F7 prints the cards; scan what lies in it."))

    def do_paper(self, rest: str) -> None:
        """The cards."""
        cards = places.place_cards(self.desk)
        if not cards:
            raise CallError("No place is known yet.", "Add one first: /place Freezer 1.")
        out = self.desk.places.printed / (rest.strip() or "place-cards.pdf")
        out.parent.mkdir(parents=True, exist_ok=True)
        print_cards(self.desk, cards, out)
        self.say(
            Result.good(
                f"{len(cards)} cards are in {out.parent.name}/{out.name}.", "Print it, and hang each on its door."
            )
        )


def _place_row(number: int, held: Held) -> Row:
    place = held.place
    return Row(place.name, (str(number), place.name, place.kind, f"{held.packs:,}", kg(held.g) if held.g else ""))


def _thing_row(item: Lying) -> Row:
    grams = kg(item.g) if item.g is not None else ""
    if item.packs is None:
        return Row(item.code, (f"{item.kind} {show_code(item.code)}", item.name, "", grams))
    if item.unit is not None:
        return Row(item.unit, (f"case {item.unit}", item.name, f"{item.packs:,}", grams))
    what = f"loose {item.first}-{item.last} of {show_code(item.code)}"
    return Row(f"{item.code}/{item.first}", (what, item.name, f"{item.packs:,}", grams))
