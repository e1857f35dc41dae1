"""Every figure of a reconciliation with the records it rests on: cases, dispatches, answers, ended packs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from lotwake.trace.actions.desk import Desk
from lotwake.trace.recall.replies import Tally
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records import facts
from lotwake.trace.records.pack_places import HERE, PackPlace, Place

_AWAY = ("waiting", "stock", "sold_on", "coming_back", "destroyed_there")
_ENDED = {"destroyed": Place.DESTROYED, "sampled": Place.SAMPLE, "reworked": Place.REWORK, "lost": Place.LOST}
_HERE = {"in_house": Place.IN_HOUSE, "returned": Place.RETURNED}


@dataclass(frozen=True)
class Behind:
    """A record behind a figure: ``opens`` is the code it is found by, ``packs`` of the run that it is about."""

    what: str
    opens: str
    first: int
    last: int

    @property
    def packs(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True)
class Figure:
    """Packs of one run in one part of its tally (``Tally``'s names), and what says so."""

    run: int
    part: str
    packs: int
    records: tuple[Behind, ...]


def figures_of(desk: Desk, state: RecallState) -> list[Figure]:
    """Every figure that is not nothing, run by run in the order people read the parts."""
    away = {item.dispatch for item in state.placed if item.dispatch is not None}
    sent = facts.dispatches(desk.records, away)
    return [
        Figure(run, part.name, packs, tuple(_behind(state, run, part.name, sent)))
        for run, tally in state.found.by_run.items()
        for part in fields(Tally)
        if (packs := getattr(tally, part.name))
    ]


def _behind(state: RecallState, run: int, part: str, sent: dict[int, facts.DispatchSeen]) -> Iterator[Behind]:
    """The places of the packs; what nobody can account for rests on all that were answered or counted short."""
    for item in state.placed:
        if item.run == run and _counts(state, item, part):
            what, opens = _record(state, item, sent)
            yield Behind(what, opens, item.packs.first, item.packs.last)


def _counts(state: RecallState, item: PackPlace, part: str) -> bool:
    if part in _HERE:
        return item.place is _HERE[part]
    if part in _ENDED:
        return item.place is _ENDED[part]
    if item.place in HERE:
        return part in ("unaccounted", "not_by_lot") and _house_short(state, item.run)
    if item.place is not Place.SENT or part not in (*_AWAY, "unaccounted", "not_by_lot"):
        return False
    settled = next(at.settled for at in state.found.buyers if at.buyer == item.buyer)
    return bool(getattr(settled.by_run.get(item.run, Tally()), part))


def _house_short(state: RecallState, run: int) -> bool:
    """Whether the house itself has packs of the run that were not found, or were counted without regard to the lot."""
    tally = state.found.by_run[run]
    at_buyers = sum(
        (at.settled.by_run.get(run, Tally()) for at in state.found.buyers),
        Tally(),
    )
    return tally.unaccounted > at_buyers.unaccounted or tally.not_by_lot > at_buyers.not_by_lot


def _record(state: RecallState, item: PackPlace, sent: dict[int, facts.DispatchSeen]) -> tuple[str, str]:
    """What the record says in words, and the code that opens it."""
    if item.place is Place.SENT and item.dispatch is not None:
        seen = sent[item.dispatch]
        return f"sent to {seen.buyer}, document {seen.document}", seen.code
    if item.unit is not None:
        where = f" in {item.where}" if item.where else ""
        return f"case{where}", f"{item.unit:018d}"
    where = f" in {item.where}" if item.where else ""
    words = f"loose{where}" if item.place in HERE else item.place.lower()
    return words, f"{state.runs[item.run].code}/{item.packs.first}"
