"""Places of the house, such as a freezer or a shelf, and what is put there."""

from __future__ import annotations

from datetime import date

from lotwake.trace.base.codes import CodeKind, make_code, show_code
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.ranges import Serials, without
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries.rules import must_say, one_of
from lotwake.trace.records.entries.units import sscc_text
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import batch_left_g, lot_left_g, packs_at_home, unit_dispatch

PLACE_KINDS = ("freezer", "chill", "ice store", "shelf", "dry store", "quarantine")
"""What a place is, in the words of the trade."""


def add_place(entry: Entry, name: str, kind: str, code_day: date) -> str:
    """A place with a card of its own; its code is given back. Two places never bear one name."""
    said = must_say("The name", name)
    if any(known.casefold() == said.casefold() for (known,) in entry.records.rows("SELECT name FROM place")):
        raise Refused(f"There is a place called {said} already.", "Give it another name, such as one with a number.")
    code = make_code(CodeKind.PLACE, code_day, entry.take(f"place:{code_day:%y%j}"))
    entry.add("place", code=code, name=said, kind=one_of("The kind of place", kind, PLACE_KINDS))
    return code


def put(entry: Entry, place: int, thing: Thing, packs: Serials | None = None) -> int:
    """A lot, batch, run, packs of a run, case or pallet lies here from now on; the latest such entry holds.

    Refused for what is not in the house.
    """
    _must_be_here(entry, thing, packs)
    column = {Kind.LOT: "lot", Kind.CASE: "unit", Kind.PALLET: "unit"}.get(thing.kind, "work")
    row: dict[str, int | None] = {"lot": None, "work": None, "unit": None, column: thing.id}
    first, last = (None, None) if packs is None else (packs.first, packs.last)
    return entry.add("lies", place=place, **row, first=first, last=last, at=entry.at)


def _must_be_here(entry: Entry, thing: Thing, packs: Serials | None) -> None:
    records = entry.records
    if thing.kind in (Kind.CASE, Kind.PALLET):
        if unit_dispatch(records, thing.id) is not None:
            raise Refused(f"{sscc_text(thing.id)} is not in the house.", "It was sent; take it back first if it came.")
        return
    if thing.kind is Kind.RUN:
        here = packs_at_home(records, thing.id)
        if not here or (packs is not None and without([packs], here)):
            what = f"Packs {packs} of run" if packs else "Run"
            raise Refused(
                f"{what} {thing.shown} is not in the house, or not all of it.", "Name the packs that are here."
            )
        return
    left = lot_left_g(records, thing.id) if thing.kind is Kind.LOT else batch_left_g(records, thing.id)
    if left <= 0:
        raise Refused(
            f"{thing.kind.capitalize()} {show_code(thing.code)} has {show_mass(left)} left.", "It is used up."
        )
