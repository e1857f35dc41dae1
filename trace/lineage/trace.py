"""Asking: run a trace statement, look up what it touched, and put the chain together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.ranges import Serials, merged
from lotwake.trace.base.rest import collector_at_rest
from lotwake.trace.lineage import people
from lotwake.trace.lineage.chain import Chain, Direction, Node, Share, Whereabouts
from lotwake.trace.lineage.gather import Gathered, gather
from lotwake.trace.lineage.goods import Goods, goods_of
from lotwake.trace.lineage.nodes import links_of, look_up, nodes_of, problems_of
from lotwake.trace.lineage.shares import Circle, order_of_making, shares
from lotwake.trace.lineage.statements import Asking, Statement
from lotwake.trace.lineage.tally import (
    Odd,
    came_of_lot,
    first_batches,
    must_be_whole,
    reaches_more_than,
    received,
    tallied,
)
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind, Thing

RANGES = facts.CHUNK // 3
"""How many ranges of packs one statement names: each takes three values."""
WIDEST = 500
"""Batches and runs up to which a trace for people is listed whole; what is wider is counted."""
FIRST = 50
"""How many of the batches a wide lot went into are listed, each with what was packed of it."""
Row = tuple[Any, ...]
Item = TypeVar("Item")


def trace(
    records: Records, start: Thing, direction: Direction, contact: bool = False, most: int | None = None
) -> Chain:
    """Everything ``start`` was made from, to its boats (BACK), or all that came of it, to its buyers (FORWARD).

    A pack, case, pallet, dispatch or return is followed forward pack by pack; those that were reworked go on as the batch
    they went into. With ``contact`` also what met it in a reused brine, a load or on a table, marked as contact and counted
    nowhere. A lot of which more batches and runs came than ``most`` is only counted (``Chain.tally``), unless there is a gap
    or a wrong order to report.
    """
    if start.kind in (Kind.OPERATOR, Kind.PLACE):
        raise CallError(
            "A trace cannot start from a person or a place.", "Start from a lot, batch, run, pack, case or dispatch."
        )
    with records.snapshot():
        if most is not None and direction is Direction.FORWARD and not contact:
            counted = _counted(records, start, most)
            if counted is not None:
                return counted
        with collector_at_rest():
            ask = _gather_back if direction is Direction.BACK else _gather_forward
            found = ask(records, start, contact)
            if contact:
                found.mark_contact(ask(records, start, False).works)
            return _chain(records, found, contact)


def first_of_wide(records: Records, start: Thing, most: int) -> Chain | None:
    """The first batches of a lot and what was packed of them, if more batches and runs than ``most`` came of it; else None."""
    asking = _asking(records)
    if start.kind is not Kind.LOT or not reaches_more_than(records, asking, start.id, most):
        return None
    found = gather(records.rows(first_batches(asking), start.id, FIRST, start.id), start, Direction.FORWARD)
    nothing = Goods()
    seen = look_up(records, found, nothing)
    nodes, links = nodes_of(found, seen, nothing), links_of(found, seen, nothing)
    return Chain(start, Direction.FORWARD, False, _in_order(nodes.values()), tuple(links))


def came_of(records: Records, lot: Thing, works: Sequence[int]) -> set[int]:
    """Which of these batches and runs came of a lot."""
    return came_of_lot(records, _asking(records), lot.id, works)


def _counted(records: Records, start: Thing, most: int) -> Chain | None:
    """The forward chain of a lot that went into very much: its first rows, and all of it counted. None when it is to be
    listed."""
    asking, first = _asking(records), first_of_wide(records, start, most)
    if first is None:
        return None
    try:
        must_be_whole(records, asking, start.id)
        tally, receivers = tallied(records, asking, start.id), received(records, asking, start.id)
    except Odd:
        return None
    away = sum(receiver.packs for receiver in receivers)
    in_house = tally.packs - sum(count for _, count in tally.ended) - away
    where = Whereabouts(tally.packs, in_house, away, tally.ended, tally.void)
    return replace(first, receivers=receivers, whereabouts=where, tally=tally)


def shares_of(records: Records, works: Sequence[int]) -> dict[int, tuple[Share, ...]]:
    """For each batch or run the share of every fish lot in it. Raises Circle, should the record hold one."""
    rows: dict[Row, None] = {}
    for part in _parts(works, facts.CHUNK):
        rows.update(dict.fromkeys(records.rows(_asking(records).upstream(len(part)), *part)))
    found = gather(rows, Thing(Kind.RUN, 0, ""), Direction.BACK)
    uses = [(lot, work, g or 0) for (lot, work), g in found.uses.items()]
    return shares(uses, [(parent, child, g) for (parent, child), g in found.flows.items()], works)


def _asking(records: Records) -> Asking:
    return Asking(lateral=not records.on_sqlite)


def _rows(records: Records, statement: Statement) -> list[Row]:
    return records.rows(statement.sql, *statement.values)


def _gather_back(records: Records, start: Thing, contact: bool) -> Gathered:
    rows = [] if start.kind is Kind.LOT else _rows(records, _asking(records).backward(start, contact))
    return gather(rows, start, Direction.BACK)


def _gather_forward(records: Records, start: Thing, contact: bool) -> Gathered:
    asking = _asking(records)
    if start.kind in (Kind.LOT, Kind.BATCH, Kind.RUN):
        lot = start.id if start.kind is Kind.LOT else None
        rows = _rows(records, asking.forward(lot, [] if lot else [start.id], contact))
        return gather(rows, start, Direction.FORWARD)
    limits = packs_in(records, start)
    rows = []
    for part in _parts([(run, packs) for run, ranges in limits.items() for packs in ranges], RANGES):
        values = [value for run, packs in part for value in (run, packs.first, packs.last)]
        rows += records.rows(asking.forward_packs(len(part)), *values)
    reworked = sorted({batch for tag, _, batch, *_ in rows if tag == "end" and batch})
    for batches in _parts(reworked, facts.CHUNK):
        by_mass = _rows(records, asking.forward(None, batches, False))
        for tag, work, *_ in by_mass:
            if tag == "work":
                limits.pop(work, None)  # reached by rework as well, so all of its packs are concerned
        rows += _rows(records, asking.forward(None, batches, True)) if contact else by_mass
    return gather(rows, start, Direction.FORWARD, limits)


def packs_in(records: Records, start: Thing) -> dict[int, list[Serials]]:
    """The packs that a pack, case, pallet, dispatch or return is about, by run."""
    if start.kind is Kind.PACK:
        assert start.serial is not None
        return {start.id: [Serials(start.serial, start.serial)]}
    packs: dict[int, list[Serials]] = {}
    for tag, run, _, first, last, *_ in _rows(records, _asking(records).contents(start)):
        if tag in ("content", "loose"):
            packs.setdefault(run, []).append(Serials(first, last))
    return {run: merged(ranges) for run, ranges in packs.items()}


def _parts(items: Sequence[Item], size: int) -> Iterator[Sequence[Item]]:
    return (items[start : start + size] for start in range(0, len(items), size))


def _chain(records: Records, found: Gathered, contact: bool) -> Chain:
    goods = goods_of(found)
    seen = look_up(records, found, goods)
    nodes, links = nodes_of(found, seen, goods), links_of(found, seen, goods)
    start, back = found.start, found.direction is Direction.BACK
    works = sorted({*seen.runs, *([start.id] if start.kind is Kind.BATCH else [])})
    parts, circles = _shares(records, found, works)
    by_mass = [start.id] if start.kind in (Kind.BATCH, Kind.RUN, Kind.PACK) else set(works) - found.by_contact
    own = [parts.get(work, ()) for work in by_mass]
    return Chain(
        start=start,
        direction=found.direction,
        with_contact=contact,
        nodes=_in_order(nodes.values()),
        links=tuple(links),
        origins=people.origins(found, seen, own[0] if len(own) == 1 else ()) if back else (),
        receivers=() if back else people.receivers(found, seen, goods),
        whereabouts=None if back else people.whereabouts(found, goods),
        shares=parts,
        problems=(*problems_of(nodes, links), *circles),
    )


def _in_order(nodes: Iterable[Node]) -> tuple[Node, ...]:
    order = {kind: place for place, kind in enumerate(Kind)}
    return tuple(sorted(nodes, key=lambda node: (node.at, order[node.kind], node.id)))


def _shares(
    records: Records, found: Gathered, works: Sequence[int]
) -> tuple[dict[int, tuple[Share, ...]], tuple[str, ...]]:
    """The shares of these batches and runs; none, and a sentence, when the record holds something made from itself."""
    try:
        order_of_making((parent, child, g) for (parent, child), g in found.flows.items())
        return shares_of(records, works), ()
    except Circle as circle:
        codes = {work: batch.code for work, batch in facts.batches(records, circle.works).items()}
        codes |= {work: run.code for work, run in facts.runs(records, circle.works).items()}
        around = " > ".join(show_code(codes.get(work, str(work))) for work in circle.works)
        return {}, (f"The record holds fish made from itself: {around}. {circle.hint}",)
