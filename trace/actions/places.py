"""Places of the house: add one, put things there, see what lies where, print their cards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.trace.actions.cards import Card
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.refs import packs_of
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records import places as known
from lotwake.trace.records.entries import places as entries
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.lying import Lying, lying_in
from lotwake.trace.records.places import PlaceSeen

_MOVED = (Kind.LOT, Kind.BATCH, Kind.RUN, Kind.CASE, Kind.PALLET)


@dataclass(frozen=True)
class Held:
    """A place and what lies in it now."""

    place: PlaceSeen
    things: tuple[Lying, ...]

    @property
    def packs(self) -> int:
        return sum(item.packs or 0 for item in self.things)

    @property
    def g(self) -> int:
        """Grams of fish and material that are not packed."""
        return sum(item.g or 0 for item in self.things)


def add_place(desk: Desk, name: str, kind: str) -> PlaceSeen:
    """A new place; its card is printed with the others."""
    with desk.entry("add place") as entry:
        code = entries.add_place(entry, name, kind, desk.today)
    return known.place_named(desk.records, code)


def put(desk: Desk, place: str, goods: Sequence[str]) -> list[str]:
    """Put lots, batches, runs, packs (``RUN/1-24``), cases or pallets into a place, all or none.

    What was put is given back in words. Whatever was said before about where they lie no longer holds.
    """
    if not goods:
        raise CallError("What lies there?", "Scan the cases, pallets, lots or packs.")
    where = known.place_named(desk.records, place)
    named = [_named(desk, text) for text in goods]
    with desk.entry(f"put into {where.name}") as entry:
        for thing, packs in named:
            entries.put(entry, where.id, thing, packs)
    return [_words(thing, packs) for thing, packs in named]


def named_goods(desk: Desk, text: str) -> str:
    """What one text names, in words, if it is something that can lie in a place."""
    return _words(*_named(desk, text))


def _named(desk: Desk, text: str) -> tuple[Thing, Serials | None]:
    if packs := packs_of(desk.records, text):
        return packs
    thing = find_one(desk.records, text, desk.settings.separator)
    if thing.kind not in _MOVED:
        raise CallError(f"A {thing.kind} does not lie in a place.", "Scan a case, pallet, lot, batch, run or packs.")
    return thing, None


def _words(thing: Thing, packs: Serials | None) -> str:
    return f"{thing.kind} {thing.shown}" if packs is None else f"packs {packs} of run {thing.shown}"


def all_places(desk: Desk) -> list[Held]:
    """Every place with what lies in it."""
    return [Held(place, tuple(lying_in(desk.records, place))) for place in known.places(desk.records)]


def what_lies(desk: Desk, place: str) -> Held:
    """One place, by name or code, with what lies in it."""
    seen = known.place_named(desk.records, place)
    return Held(seen, tuple(lying_in(desk.records, seen)))


def place_cards(desk: Desk) -> list[Card]:
    """A card for each place, to hang on its door."""
    return [
        Card(place.name.upper(), place.code, f"on the places page, what is scanned next lies in this {place.kind}.")
        for place in known.places(desk.records)
    ]
