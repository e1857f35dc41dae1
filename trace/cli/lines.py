"""One line for each kind of thing, for people: kilograms, local times, names."""

from __future__ import annotations

from datetime import date
from functools import singledispatch
from zoneinfo import ZoneInfo

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import instant_of, show_day, show_moment
from lotwake.trace.base.units import show_mass, show_temperature
from lotwake.trace.records.facts import BatchSeen, DispatchSeen, LotSeen, RunSeen, UnitSeen
from lotwake.trace.records.places import PlaceSeen
from lotwake.trace.records.seen import Facts, OperatorSeen, PackSeen, ReturnSeen


def local(instant: str, zone: ZoneInfo) -> str:
    """A stored instant in the time of the house."""
    return show_moment(instant_of(instant), zone)


def day_line(iso_day: str) -> str:
    """A stored day for people."""
    return show_day(date.fromisoformat(iso_day))


@singledispatch
def fact_line(facts: Facts, zone: ZoneInfo) -> str:
    """What this thing is, in one line."""
    raise TypeError(f"{type(facts).__name__} in {zone} has no line")


@fact_line.register
def _(facts: LotSeen, zone: ZoneInfo) -> str:
    name = f"{facts.name} ({facts.scientific})" if facts.scientific else facts.name
    parts = [
        f"{name}, {show_mass(facts.g)} from {facts.sender} {facts.mark}".rstrip(),
        f"received {local(facts.received, zone)}",
        f"area {facts.area} {facts.area_name}" if facts.area else "",
        f"gear {facts.gear_name}" if facts.gear else "",
        f"core {show_temperature(facts.core_c100)}" if facts.core_c100 is not None else "",
        f"their lot {facts.their_code}" if facts.their_code else "",
        facts.received_as,
        f"trip {facts.trip}" if facts.trip else "",
        f"{show_mass(facts.undersize_g)} under the minimum size" if facts.undersize_g else "",
        f"{show_mass(facts.left_g)} left",
    ]
    return ", ".join(filter(None, parts))


@fact_line.register
def _(facts: BatchSeen, zone: ZoneInfo) -> str:
    what = f"{facts.product} ({facts.smoking})" if facts.product else facts.smoking
    where = f" in {facts.equipment}" if facts.equipment else ""
    return (
        f"{what}{where}, started {local(facts.started, zone)}: {show_mass(facts.in_g)} in, {show_mass(facts.lost_g)} lost,"
        f" {show_mass(facts.passed_on_g)} passed on, {show_mass(facts.left_g)} left"
    )


@fact_line.register
def _(facts: RunSeen, zone: ZoneInfo) -> str:
    return (
        f"{facts.product}, {facts.packs} packs of {facts.pack}, packed {local(facts.packed, zone)},"
        f" best before {day_line(facts.best_before)}, {show_mass(facts.left_g)} left to pack"
    )


@fact_line.register
def _(facts: PackSeen, _zone: ZoneInfo) -> str:
    parts = [
        f"{facts.product}, {show_mass(facts.net_g)}, packed {day_line(facts.packed_on)}",
        f"best before {day_line(facts.best_before)}",
        f"in case {facts.case}" if facts.case else "",
        f"left to {facts.buyer} on {show_code(facts.dispatch)}" if facts.dispatch else "",
    ]
    return ", ".join(filter(None, parts))


@fact_line.register
def _(facts: UnitSeen, zone: ZoneInfo) -> str:
    packs = f"{facts.packs} packs, " if facts.kind == "case" else ""
    return f"{packs}closed {local(facts.closed, zone)}"


@fact_line.register
def _(facts: DispatchSeen, zone: ZoneInfo) -> str:
    carrier = f" with {facts.carrier}" if facts.carrier else ""
    document = f", document {facts.document}" if facts.document != facts.code else ""
    return f"to {facts.buyer} (telephone {facts.phone}){document}{carrier}, left {local(facts.at, zone)}"


@fact_line.register
def _(facts: ReturnSeen, zone: ZoneInfo) -> str:
    document = f", document {facts.document}" if facts.document else ""
    return f"from {facts.buyer}, came back {local(facts.at, zone)}{document}: {facts.reason}"


@fact_line.register
def _(facts: OperatorSeen, _zone: ZoneInfo) -> str:
    return f"{facts.initials}, {facts.name}"


@fact_line.register
def _(facts: PlaceSeen, _zone: ZoneInfo) -> str:
    return f"{facts.name}, {facts.kind}"
