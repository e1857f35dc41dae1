"""What the record says about a thing, as lines for people: a label, what it says, and the code a line opens."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.look import Seen
from lotwake.trace.actions.readings import show_reading
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import show_day
from lotwake.trace.base.units import show_mass, show_temperature
from lotwake.trace.records.facts import BatchSeen, DispatchSeen, LotSeen, RunSeen, UnitSeen
from lotwake.trace.records.history import HoldSeen
from lotwake.trace.records.places import PlaceSeen
from lotwake.trace.records.seen import Facts, OperatorSeen, PackSeen, Part, ReadingSeen, ReturnSeen, StepSeen
from lotwake.trace.screens.said import said_mass, short_moment


@dataclass(frozen=True)
class Said:
    """One line. ``opens`` is the code of another thing that it is about."""

    label: str
    text: str
    opens: str = ""


def brief(found: Facts) -> str:
    """A thing in a few words, for a list."""
    match found:
        case LotSeen():
            return f"{found.sender}, {found.name}, {show_mass(found.g)}"
        case BatchSeen():
            return f"{found.product or found.smoking}, {show_mass(found.in_g)}"
        case RunSeen():
            return f"{found.product}, {found.packs:,} packs"
        case UnitSeen():
            return f"{found.packs} packs" if found.packs else found.kind
        case DispatchSeen():
            return ", ".join(filter(None, (found.buyer, found.document)))
        case ReturnSeen():
            return f"{found.buyer}, {found.reason}"
        case PackSeen():
            return f"{found.product}, pack {found.serial}"
    return found.name


Pairs = Iterator[tuple[str, str]]


def headline(seen: Seen) -> str:
    """What it is, its code and its state."""
    return f"{seen.thing.kind.upper()}  {seen.thing.shown}   {seen.status}".rstrip()


def said_facts(desk: Desk, seen: Seen) -> list[Said]:
    """Everything about a thing: its facts, what is in it, what was done, holds, corrections, who wrote it."""
    return [
        *(Said(label, text) for label, text in facts(desk, seen.facts) if text),
        *([Said("lies in", seen.where)] if seen.where else []),
        *(_hold(desk, hold) for hold in seen.holds),
        *_linked(seen),
        *(_part(part) for part in seen.contents),
        *(Said("step", _span(desk, step)) for step in seen.steps),
        *(Said(item.kind, _reading(desk, item)) for item in seen.readings),
        *(
            Said("put right", f"{item.what} {item.field}: {item.was} is {item.now}; {item.why} ({item.who})")
            for item in seen.corrections
        ),
        *(
            Said("written", f"{short_moment(desk, line.entered)}  {line.who}  {line.act}  {line.why}".rstrip())
            for line in seen.history
        ),
    ]


def facts(desk: Desk, found: Facts) -> list[tuple[str, str]]:
    """Label and text of each fact; an empty text where nothing was said."""
    return list(_WRITERS[type(found)](desk, found))


def _day(text: str | None) -> str:
    return show_day(date.fromisoformat(text)) if text else ""


def _lot(desk: Desk, lot: LotSeen) -> Pairs:
    yield "what", ", ".join(filter(None, (lot.name, lot.scientific, lot.presentation)))
    yield "from", " ".join(filter(None, (lot.sender_kind, lot.sender, lot.mark)))
    yield "weight", said_mass(lot.g)
    yield "left", show_mass(lot.left_g)
    yield "caught in", " ".join(filter(None, (lot.area, lot.area_name)))
    yield "gear", lot.gear_name
    yield "method", lot.method
    yield "came in as", lot.received_as
    yield "trip", lot.trip
    yield "under size", "" if lot.undersize_g is None else show_mass(lot.undersize_g)
    yield "caught", " to ".join(filter(None, (_day(lot.caught_from), _day(lot.caught_to))))
    yield "landed" if lot.kind == "landing" else "came", _day(lot.landed_on)
    yield "received", short_moment(desk, lot.received)
    yield "core", show_temperature(lot.core_c100) if lot.core_c100 is not None else ""
    yield "their code", lot.their_code
    yield "document", lot.document
    yield "note", lot.note


def _batch(desk: Desk, batch: BatchSeen) -> Pairs:
    yield "what", ", ".join(filter(None, (batch.product, batch.smoking)))
    yield "made in", batch.equipment
    yield "begun", short_moment(desk, batch.started)
    yield "released", short_moment(desk, batch.released) if batch.released else "not yet"
    yield "balance", _balance(batch.in_g, batch.lost_g, batch.passed_on_g, batch.left_g)
    yield "note", batch.note


def _balance(in_g: int, lost_g: int, out_g: int, left_g: int) -> str:
    return f"in {show_mass(in_g)}, lost {show_mass(lost_g)}, out {show_mass(out_g)}, left {show_mass(left_g)}"


def _run(_desk: Desk, run: RunSeen) -> Pairs:
    yield "what", f"{run.product}, {run.pack} packs, GTIN {run.gtin}"
    yield "packed", f"{_day(run.packed_on)}: {run.packs:,} packs, {show_mass(run.packs_g)}"
    yield "best before", _day(run.best_before)
    yield "balance", _balance(run.in_g, run.lost_g, run.packs_g, run.left_g)


def _pack(_desk: Desk, pack: PackSeen) -> Pairs:
    yield "what", f"{pack.product}, {show_mass(pack.net_g)}, GTIN {pack.gtin}"
    yield "packed", _day(pack.packed_on)
    yield "best before", _day(pack.best_before)
    yield "buyer", pack.buyer or ""


def _unit(desk: Desk, unit: UnitSeen) -> Pairs:
    yield "closed", short_moment(desk, unit.closed)
    yield "packs", f"{unit.packs}" if unit.packs else ""


def _dispatch(desk: Desk, sent: DispatchSeen) -> Pairs:
    yield "to", f"{sent.buyer}, telephone {sent.phone}"
    yield "left", short_moment(desk, sent.at)
    yield "document", sent.document
    yield "carrier", sent.carrier


def _return(desk: Desk, back: ReturnSeen) -> Pairs:
    yield "from", back.buyer
    yield "came", short_moment(desk, back.at)
    yield "reason", back.reason
    yield "document", back.document


def _operator(_desk: Desk, who: OperatorSeen) -> Pairs:
    yield "who", f"{who.initials} {who.name}"


def _place(_desk: Desk, place: PlaceSeen) -> Pairs:
    yield "what", f"{place.name}, {place.kind}"


_WRITERS: Mapping[type, Callable[[Desk, Any], Pairs]] = {
    LotSeen: _lot, BatchSeen: _batch, RunSeen: _run, PackSeen: _pack, UnitSeen: _unit, DispatchSeen: _dispatch,
    ReturnSeen: _return, OperatorSeen: _operator, PlaceSeen: _place,
}  # fmt: skip


def _linked(seen: Seen) -> Iterator[Said]:
    found = seen.facts
    if isinstance(found, PackSeen):
        yield Said("of run", show_code(found.run), found.run)
        if found.case:
            yield Said("in case", found.case, found.case)
        if found.dispatch:
            yield Said("sent on", show_code(found.dispatch), found.dispatch)


def _part(part: Part) -> Said:
    weight = f"{show_mass(part.g)}  " if part.g is not None else ""
    packs = f"packs {part.first}-{part.last} of " if part.first is not None else ""
    return Said("holds", f"{weight}{packs}{part.kind} {show_code(part.code)}", part.code)


def _hold(desk: Desk, hold: HoldSeen) -> Said:
    word = "held" if hold.kind == "HOLD" else "rejected"
    said = f"{short_moment(desk, hold.at)} {hold.who}: {hold.reason}"
    if hold.released:
        said += f"; lifted {short_moment(desk, hold.released)} by {hold.released_by}: {hold.released_why}"
    return Said(word, said)


def _reading(desk: Desk, item: ReadingSeen) -> str:
    probe = f"  probe {item.probe}" if item.probe else ""
    return f"{show_reading(item.value, item.unit)}  {short_moment(desk, item.at)}{probe}"


def _span(desk: Desk, step: StepSeen) -> str:
    end = short_moment(desk, step.ended) if step.ended else "running"
    return " ".join(filter(None, (step.name, short_moment(desk, step.started), "to", end, step.equipment, step.note)))
