"""What the suspects of a recall reach in the record as it is now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.refs import packs_of
from lotwake.trace.base.ranges import Serials, common, counted
from lotwake.trace.lineage.chain import Chain, Direction
from lotwake.trace.lineage.trace import packs_in, trace
from lotwake.trace.recall.scope import ScopePart, Suspect, packs_in_scope, placed_in, reach
from lotwake.trace.recall.state import RecallState, Resolved, Unpacked
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.pack_places import PackPlace, places_of
from lotwake.trace.records.places import where_lots, where_works
from lotwake.trace.records.recalls import ScopeSeen, SuspectSeen
from lotwake.trace.records.stock import MATERIAL, run_packs
from lotwake.trace.records.suspicions import reworked_into


def key_of(item: SuspectSeen) -> tuple[Kind, int]:
    """The key in a chain of what is suspected."""
    if item.lot is not None:
        return Kind.LOT, item.lot
    assert item.work is not None
    return Kind(item.work_kind), item.work


def resolve(records: Records, suspects: Sequence[SuspectSeen], contact: bool) -> Resolved:
    """What these suspects reach in the record as it is now."""
    wanted = [Suspect(key_of(item), item.packs, item.taken_out) for item in suspects]
    chains = [chain for item in wanted if not item.taken_out for chain in _forward(records, item, contact)]
    found = reach(chains, wanted, contact)
    runs = found.of_kind(Kind.RUN) | {item.key[1] for item in wanted if item.packs is not None}
    parts = packs_in_scope(found, wanted, places_of(records, runs).packs)
    lots = [item.key[1] for item in wanted if item.key[0] is Kind.LOT and not item.taken_out]
    unpacked = (*_lots_left(records, lots), *_works_left(records, found.of_kind(Kind.BATCH), found.of_kind(Kind.RUN)))
    return Resolved(found, parts, unpacked)


def _forward(records: Records, item: Suspect, contact: bool) -> Iterator[Chain]:
    kind, ref = item.key
    if item.packs is None:
        yield trace(records, Thing(kind, ref, ""), Direction.FORWARD, contact)
        return
    for batch in reworked_into(records, ref, item.packs.first, item.packs.last):
        yield trace(records, Thing(Kind.BATCH, batch, ""), Direction.FORWARD, contact)


def _lots_left(records: Records, lots: Iterable[int]) -> Iterator[Unpacked]:
    found = facts.lots(records, lots)
    where = where_lots(records, found)
    for lot in found.values():
        if lot.left_g > 0:
            yield Unpacked("lot", lot.code, lot.name, lot.left_g, lot.kind != MATERIAL, where.get(lot.id, ""))


def _works_left(records: Records, batches: Iterable[int], runs: Iterable[int]) -> Iterator[Unpacked]:
    found = facts.batches(records, batches)
    where = where_works(records, found)
    for batch in found.values():
        if batch.left_g > 0:
            name = batch.product or batch.smoking
            yield Unpacked("batch", batch.code, name, batch.left_g, where=where.get(batch.id, ""))
    for run in facts.runs(records, runs).values():
        if run.left_g > 0:
            yield Unpacked("run", run.code, run.product, run.left_g)


def last_scope(scopes: Sequence[ScopeSeen]) -> list[ScopePart]:
    """The packs of the scope that holds."""
    return [ScopePart(*part) for part in scopes[-1].parts]


def placed_now(records: Records, scope: Sequence[ScopePart]) -> list[PackPlace]:
    """Every pack of a scope in its one place."""
    return placed_in(scope, places_of(records, {part.run for part in scope}).packs)


@dataclass(frozen=True)
class InScope:
    """Something that was asked about: ``inside`` of its ``packs`` are in the scope, and ``where`` those are, in words."""

    shown: str
    packs: int
    inside: int
    where: str


def packs_of_scope(desk: Desk, state: RecallState, text: str) -> InScope:
    """Whether what this text names is in the scope of a case, pack by pack."""
    found = packs_of(desk.records, text)
    thing = found[0] if found else find_one(desk.records, text, desk.settings.separator)
    asked = {found[0].id: [found[1]]} if found else _packs_behind(desk.records, thing)
    placed = [
        replace(item, packs=packs) for item in state.placed for packs in common([item.packs], asked.get(item.run, []))
    ]
    names = {call.buyer: call.name for call in state.calls}
    where = {names.get(item.buyer or 0, "") or item.where or item.place.lower() for item in placed}
    shown = f"packs {found[1]} of run {thing.shown}" if found else f"{thing.kind} {thing.shown}"
    inside = counted(item.packs for item in placed)
    return InScope(
        shown.capitalize(), sum(counted(packs) for packs in asked.values()), inside, ", ".join(sorted(where))
    )


def _packs_behind(records: Records, thing: Thing) -> dict[int, list[Serials]]:
    """The packs a thing is about: those in it, or those that came of it."""
    if thing.kind not in (Kind.LOT, Kind.BATCH, Kind.RUN):
        return packs_in(records, thing)
    chain = trace(records, thing, Direction.FORWARD)
    runs = [node.id for node in chain.of_kind(Kind.RUN) if not node.contact]
    return {run: run_packs(records, run) for run in runs}
