"""Lots as they come in: landings, farmed fish, bought-in fish, materials; and what is lost of them in store."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from lotwake.trace.base.codes import CodeKind, make_code, show_code
from lotwake.trace.base.errors import CallError, Refused, WrittenAlready
from lotwake.trace.base.moments import instant_text, show_day
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries.rules import must_be_there, must_follow, must_say, must_weigh, one_of
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import MATERIAL, lot_left_g

LANDING, FARMED, BOUGHT_IN = "landing", "farmed", "bought-in"
LOT_KINDS = (LANDING, FARMED, BOUGHT_IN, MATERIAL)
METHODS = ("caught at sea", "caught in fresh water", "farmed", "")
FRESH, FROZEN_FISH, THAWED = "fresh", "frozen", "thawed"
RECEIVED_AS = (FRESH, FROZEN_FISH, THAWED, "")
"""How fish came in; empty where nobody said."""
UNDERSIZE_CAUTION = (
    "Fish under the minimum size is kept apart and, where it must be landed, not sold for people to eat (Reg. (EU) 1380/2013"
    " Art. 15(11), from memory); local codes and a qualified person decide."
)
SOURCE_OF = {LANDING: "boat", FARMED: "farm", BOUGHT_IN: "dealer"}
LOSS_KINDS = ("trim", "drip", "drying", "samples", "waste", "giveaway")


@dataclass(frozen=True)
class LotFacts:
    """A lot as it came in.

    ``source`` and ``supplier`` are ids; ``species``, ``area``, ``gear`` codes; ``landed_on`` the day of landing, harvest
    or delivery; ``received`` the moment it was taken over; ``g`` grams; ``core_c100`` core temperature in hundredths of a
    degree Celsius; ``their_code`` the sender's own lot code; ``received_as`` fresh, frozen or thawed; ``trip`` the number
    of the fishing trip, or several with commas between; ``undersize_g`` grams of it under the minimum size.
    """

    kind: str
    received: datetime
    landed_on: date
    g: int
    source: int | None = None
    supplier: int | None = None
    item: str = ""
    species: str | None = None
    presentation: str = ""
    area: str | None = None
    gear: str | None = None
    method: str = ""
    their_code: str = ""
    caught_from: date | None = None
    caught_to: date | None = None
    core_c100: int | None = None
    document: str = ""
    note: str = ""
    received_as: str = ""
    trip: str = ""
    undersize_g: int | None = None


def receive_lot(entry: Entry, facts: LotFacts, code_day: date, another: bool = False) -> tuple[int, str]:
    """Write a lot down; its id and new code are given back. ``code_day`` is the day of receiving at the house.

    Refused when the same boat, species, presentation, area and day (or the same sender and sender's code) is there already,
    unless it is said to be ``another`` one.
    """
    one_of("The kind of lot", facts.kind, LOT_KINDS)
    one_of("The production method", facts.method, METHODS)
    one_of("How it came in", facts.received_as, RECEIVED_AS)
    must_weigh("A lot", facts.g)
    must_be_part(facts.undersize_g, facts.g)
    _must_be_whole(facts)
    _must_be_in_order(facts, code_day)
    if not another:
        _must_be_new(entry, facts)
    code = make_code(CodeKind.LOT, code_day, entry.take(f"lot:{code_day:%y%j}"))
    row = {name: _stored(value) for name, value in vars(facts).items()}
    return entry.add("lot", code=code, **row), code


def must_be_part(undersize_g: int | None, g: int) -> None:
    """Fish under the minimum size is a part of its lot."""
    if undersize_g is not None and not 0 <= undersize_g <= g:
        raise CallError(
            f"{show_mass(undersize_g)} under the minimum size are not a part of {show_mass(g)}.", "Check both weights."
        )


def lose_from_lot(entry: Entry, lot: int, kind: str, g: int, at: datetime, note: str) -> None:
    """Name grams of a lot that will not be used: waste, samples, drip on ice."""
    one_of("The kind of loss", kind, LOSS_KINDS)
    must_weigh("A loss", g)
    code, received = entry.records.one("SELECT code, received FROM lot WHERE id = ?", lot) or ("", "")
    must_follow(entry, "A loss", instant_text(at), f"the receiving of {show_code(code)}", received)
    must_be_there(f"Lot {show_code(code)}", lot_left_g(entry.records, lot), g)
    entry.add("loss", lot=lot, kind=kind, g=g, at=instant_text(at), note=note)


def _stored(value: object) -> int | str | None:
    if isinstance(value, datetime):
        return instant_text(value)
    if isinstance(value, date):
        return value.isoformat()
    return value if isinstance(value, int | str) else None


def _must_be_whole(facts: LotFacts) -> None:
    if facts.kind == MATERIAL:
        must_say("What the material is", facts.item)
        if facts.supplier is None:
            raise CallError("A material lot needs its supplier.", "Name who delivered it.")
        return
    if facts.source is None:
        raise CallError(f"A {facts.kind} lot needs its {SOURCE_OF[facts.kind]}.", "Name where the fish comes from.")
    if facts.species is None:
        raise CallError("The species is missing.", "Give the FAO three-letter code, such as HAD.")
    if facts.kind == LANDING and facts.area is None:
        raise CallError("The catch area is missing.", "Give the FAO area, such as 27 or 27.4.b.")
    if facts.kind == BOUGHT_IN:
        must_say("The dealer's own lot code", facts.their_code)


def _must_be_in_order(facts: LotFacts, received_on: date) -> None:
    if (facts.caught_from or facts.landed_on) > (facts.caught_to or facts.landed_on):
        raise CallError("The catch would end before it began.", "Check the two catch days.")
    if (facts.caught_to or facts.landed_on) > facts.landed_on:
        raise CallError("The fish would be caught after it was landed.", "Check the catch and landing days.")
    if facts.landed_on > received_on:
        raise Refused(
            f"Landed on {show_day(facts.landed_on)} cannot be after received on {show_day(received_on)}.",
            "Check both days.",
        )


def _must_be_new(entry: Entry, facts: LotFacts) -> None:
    find = entry.records.value
    if facts.kind == LANDING:
        code = find(
            "SELECT code FROM lot WHERE landed_on = ? AND source = ? AND species = ? AND presentation = ? AND area = ?",
            facts.landed_on.isoformat(), facts.source, facts.species, facts.presentation, facts.area,
        )  # fmt: skip
    elif facts.their_code:
        code = find(
            "SELECT code FROM lot WHERE landed_on = ? AND kind = ? AND COALESCE(source, supplier) = ? AND their_code = ?",
            facts.landed_on.isoformat(), facts.kind, facts.source or facts.supplier, facts.their_code,
        )  # fmt: skip
    else:
        return
    if code:
        raise WrittenAlready(
            f"This {facts.kind} lot is written down already as {show_code(code)}.",
            "If a second one really came that day, say that it is another.",
        )
