"""Take fish and materials in: a landing from a boat, farmed fish, bought-in fish, salt, wood, bags."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import area_code, gear_code, named_id, source_id, species_code, thing_of
from lotwake.trace.records.entries import lots
from lotwake.trace.records.entries.lots import FARMED, LANDING, SOURCE_OF, LotFacts
from lotwake.trace.records.entries.rules import one_of
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.stock import MATERIAL


@dataclass(frozen=True)
class Arrival:
    """A lot as a person says it. ``sender`` is the boat, farm, dealer or supplier by name; ``g`` whole grams.

    ``received`` None is now; ``landed_on`` None is the day of receiving; ``core_c100`` hundredths of a degree Celsius.
    """

    kind: str
    sender: str
    g: int
    species: str = ""
    item: str = ""
    area: str = ""
    gear: str = ""
    presentation: str = ""
    method: str = ""
    their_code: str = ""
    received: datetime | None = None
    landed_on: date | None = None
    caught_from: date | None = None
    caught_to: date | None = None
    core_c100: int | None = None
    document: str = ""
    note: str = ""
    received_as: str = ""
    trip: str = ""
    undersize_g: int | None = None


def receive(desk: Desk, arrival: Arrival, another: bool = False) -> Thing:
    """Write down a lot that came in; ``another`` says that a second one like it really came the same day."""
    one_of("The kind of lot", arrival.kind, lots.LOT_KINDS)
    received = arrival.received or desk.now
    material = arrival.kind == MATERIAL
    with desk.entry(f"receive {arrival.kind}", received) as entry:
        records = desk.records
        facts = LotFacts(
            kind=arrival.kind,
            received=received,
            landed_on=arrival.landed_on or desk.day(received),
            g=arrival.g,
            source=None if material else source_id(records, SOURCE_OF.get(arrival.kind, "boat"), arrival.sender),
            supplier=named_id(records, "supplier", arrival.sender) if material else None,
            item=arrival.item,
            species=species_code(records, arrival.species) if arrival.species else None,
            presentation=arrival.presentation,
            area=area_code(entry, arrival.area) if arrival.area else None,
            gear=gear_code(records, arrival.gear) if arrival.gear else None,
            method=arrival.method or _usual_method(arrival),
            their_code=arrival.their_code,
            caught_from=arrival.caught_from,
            caught_to=arrival.caught_to,
            core_c100=arrival.core_c100,
            document=arrival.document,
            note=arrival.note,
            received_as=arrival.received_as,
            trip=arrival.trip,
            undersize_g=arrival.undersize_g,
        )
        lot, code = lots.receive_lot(entry, facts, desk.day(received), another)
    return Thing(Kind.LOT, lot, code)


def lose_from_lot(desk: Desk, lot: str, kind: str, g: int, at: datetime | None = None, note: str = "") -> Thing:
    """Name grams of a lot in store that will not be used."""
    thing = thing_of(desk.records, lot, [Kind.LOT], "this loss")
    with desk.entry("name a loss", at, note) as entry:
        lots.lose_from_lot(entry, thing.id, kind, g, at or desk.now, note)
    return thing


def _usual_method(arrival: Arrival) -> str:
    if arrival.kind == FARMED:
        return "farmed"
    if arrival.kind != LANDING:
        return ""
    inland = arrival.area.strip()[:1] == "0"
    return "caught in fresh water" if inland else "caught at sea"
