"""What the suspects of a recall reach in the record as it is now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from lotwake.trace.lineage.chain import Chain, Direction
from lotwake.trace.lineage.trace import trace
from lotwake.trace.recall.scope import ScopePart, Suspect, packs_in_scope, placed_in, reach
from lotwake.trace.recall.state import Resolved, Unpacked
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.pack_places import PackPlace, places_of
from lotwake.trace.records.recalls import ScopeSeen, SuspectSeen
from lotwake.trace.records.stock import MATERIAL
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
    for lot in facts.lots(records, lots).values():
        if lot.left_g > 0:
            yield Unpacked("lot", lot.code, lot.name, lot.left_g, lot.kind != MATERIAL)


def _works_left(records: Records, batches: Iterable[int], runs: Iterable[int]) -> Iterator[Unpacked]:
    for batch in facts.batches(records, batches).values():
        if batch.left_g > 0:
            yield Unpacked("batch", batch.code, batch.product or batch.smoking, batch.left_g)
    for run in facts.runs(records, runs).values():
        if run.left_g > 0:
            yield Unpacked("run", run.code, run.product, run.left_g)


def last_scope(scopes: Sequence[ScopeSeen]) -> list[ScopePart]:
    """The packs of the scope that holds."""
    return [ScopePart(*part) for part in scopes[-1].parts]


def placed_now(records: Records, scope: Sequence[ScopePart]) -> list[PackPlace]:
    """Every pack of a scope in its one place."""
    return placed_in(scope, places_of(records, {part.run for part in scope}).packs)
