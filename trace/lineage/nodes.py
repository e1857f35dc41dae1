"""From what a trace touched to nodes and links, with names, times, states and amounts looked up many at a time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.ranges import Serials, counted, in_words
from lotwake.trace.lineage.chain import Direction, Key, Link, LinkKind, Node
from lotwake.trace.lineage.gather import Content, Gathered
from lotwake.trace.lineage.goods import LOOSE, Goods
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind


@dataclass(frozen=True)
class Seen:
    """The facts of everything in a trace, by id."""

    lots: dict[int, facts.LotSeen]
    batches: dict[int, facts.BatchSeen]
    runs: dict[int, facts.RunSeen]
    units: dict[int, facts.UnitSeen]
    dispatches: dict[int, facts.DispatchSeen]
    returns: dict[int, facts.ReturnSeen]

    def g_of(self, run: int, *packs: Serials) -> int:
        """Grams of packs of a run; 0 for a run that is gone from the record, which is reported as a gap."""
        return self.runs[run].g_of(*packs) if run in self.runs else 0

    def work_key(self, work: int) -> Key:
        """The key of a batch or run."""
        return (Kind.RUN if work in self.runs else Kind.BATCH), work

    def unit_key(self, unit: int) -> Key:
        """The key of a case or pallet."""
        return (Kind(self.units[unit].kind) if unit in self.units else Kind.CASE), unit


class Amount(NamedTuple):
    """Grams and packs; ``contact`` when shared contact alone leads to all of them."""

    g: int
    packs: int
    contact: bool


def look_up(records: Records, found: Gathered, goods: Goods) -> Seen:
    """Read the facts of everything a trace touched, and of its start."""
    start = found.start

    def and_start(ids: Iterable[int], *kinds: Kind) -> set[int]:
        return {*ids, start.id} if start.kind in kinds else set(ids)

    runs = {run for run, _ in found.made} | {item.run for item in found.contents} | {item.run for item in found.loose}
    works = found.works | runs | {work for pair in (*found.flows, *_reworked(found)) for work in pair}
    works = and_start(works, Kind.BATCH, Kind.RUN, Kind.PACK)
    return Seen(
        facts.lots(records, and_start((lot for lot, _ in found.uses), Kind.LOT)),
        facts.batches(records, works),
        facts.runs(records, works),
        facts.units(records, and_start(goods.inside, Kind.CASE, Kind.PALLET)),
        facts.dispatches(records, and_start(goods.dispatches.keys() | {on for on, _ in goods.back}, Kind.DISPATCH)),
        facts.returns(records, and_start(goods.returns, Kind.RETURN)),
    )


def nodes_of(found: Gathered, seen: Seen, goods: Goods) -> dict[Key, Node]:
    """Every node of the chain by its key."""
    made = [
        *_lot_nodes(found, seen),
        *_work_nodes(found, seen),
        *_goods_nodes(found, seen, goods),
        *_pack_node(found, seen, goods),
    ]
    return {node.key: node for node in made}


def _lot_nodes(found: Gathered, seen: Seen) -> Iterator[Node]:
    by_mass = {lot for (lot, work) in found.uses if work not in found.by_contact}
    by_mass |= {found.start.id} if found.start.kind is Kind.LOT else set()
    for lot in seen.lots.values():
        name = f"{lot.name}, {lot.sender}"
        yield Node(
            Kind.LOT, lot.id, lot.code, name, lot.received, lot.status, g=lot.g, contact=lot.id not in by_mass
        )  # fmt: skip


def _work_nodes(found: Gathered, seen: Seen) -> Iterator[Node]:
    for batch in seen.batches.values():
        name = f"{batch.product}, {batch.smoking}" if batch.product else batch.smoking
        contact = batch.id in found.by_contact
        yield Node(Kind.BATCH, batch.id, batch.code, name, batch.started, batch.status, g=batch.in_g, contact=contact)
    for run in seen.runs.values():
        yield Node(
            Kind.RUN, run.id, run.code, run.product, run.packed, run.status, g=run.packs_g, packs=run.packs,
            contact=run.id in found.by_contact,
        )  # fmt: skip


def _goods_nodes(found: Gathered, seen: Seen, goods: Goods) -> Iterator[Node]:
    for unit in seen.units.values():
        amount = _amount(found, seen, goods.inside.get(unit.id, ()))
        yield Node(Kind(unit.kind), unit.id, unit.code, unit.kind, unit.closed, unit.status, **amount._asdict())
    sent, back = goods.dispatches, goods.returns
    for dispatch in seen.dispatches.values():
        amount = _amount(found, seen, sent.get(dispatch.id, ()))
        yield Node(
            Kind.DISPATCH, dispatch.id, dispatch.code, dispatch.buyer, dispatch.at, "SENT", **amount._asdict()
        )  # fmt: skip
    for came in seen.returns.values():
        amount = _amount(found, seen, back.get(came.id, ()))
        name = f"{came.buyer}: {came.reason}"
        yield Node(Kind.RETURN, came.id, came.code, name, came.at, "RETURNED", **amount._asdict())


def _pack_node(found: Gathered, seen: Seen, goods: Goods) -> Iterator[Node]:
    start = found.start
    if start.kind is Kind.PACK:
        run = seen.runs[start.id]
        state = where_is_pack(found, goods)
        serial = start.serial or 0
        g = run.g_of(Serials(serial, serial))
        yield Node(Kind.PACK, run.id, start.code, f"pack {serial}", run.packed, state, g=g, packs=1)


def where_is_pack(found: Gathered, goods: Goods) -> str:
    """The state word of the one pack a forward trace started from; a backward trace says only that it is PACKED."""
    if found.direction is Direction.BACK:
        return "PACKED"
    own = [item.kind for item in found.ended if item.run == found.start.id]
    if own:
        return own[0]
    if goods.away.get(found.start.id):
        return "SENT"
    came_back = any(item.run == found.start.id for contents in goods.back.values() for item in contents)
    return "RETURNED" if came_back else "IN HOUSE"


def _amount(found: Gathered, seen: Seen, contents: Iterable[Content]) -> Amount:
    """What is reached by mass is counted; contact is counted apart, and only where there is nothing else."""
    every = list(contents)
    by_mass = [item for item in every if item.run not in found.by_contact] if found.by_contact else every
    g = packs = 0
    for item in by_mass or every:
        g += seen.g_of(item.run, item.packs)
        packs += item.packs.count
    return Amount(g, packs, bool(every) and not by_mass)


def links_of(found: Gathered, seen: Seen, goods: Goods) -> list[Link]:
    """Every link of the chain, from the boats' side to the buyers'."""
    links = [*_work_links(found, seen), *_goods_links(found, seen, goods)]
    if found.start.kind is Kind.PACK:
        links.append(Link(LinkKind.PACKED, (Kind.RUN, found.start.id), (Kind.PACK, found.start.id), packs=1))
    return links


def _work_links(found: Gathered, seen: Seen) -> Iterator[Link]:
    for (lot, work), g in sorted(found.uses.items()):
        contact = work in found.by_contact
        yield Link(LinkKind.USED, (Kind.LOT, lot), seen.work_key(work), g=g, contact=contact)
    for (parent, child), g in sorted(found.flows.items()):
        before, after = seen.work_key(parent), seen.work_key(child)
        how = LinkKind.BLENDED if before[0] is Kind.BATCH else LinkKind.REWORKED
        contact = bool({parent, child} & found.by_contact)
        yield Link(LinkKind.PACKED if after[0] is Kind.RUN else how, before, after, g=g, contact=contact)
    for (run, batch), packs in sorted(_reworked(found).items()):
        g, count = seen.g_of(run, *packs), counted(packs)
        yield Link(LinkKind.REWORKED, (Kind.RUN, run), (Kind.BATCH, batch), g, count, in_words(packs))
    for item in sorted(found.met):
        how_met = f"{item.kind} {item.name}"
        yield Link(
            LinkKind.CONTACT, (Kind.BATCH, item.batch), (Kind.BATCH, item.other), serials=how_met, contact=True
        )  # fmt: skip


def _reworked(found: Gathered) -> dict[tuple[int, int], list[Serials]]:
    """Of a trace of packs, those that were reworked; a trace of whole runs has all of them among its flows."""
    packs: dict[tuple[int, int], list[Serials]] = defaultdict(list)
    for item in found.ended:
        if item.batch and item.run in (found.limits or ()):
            packs[item.run, item.batch].append(item.packs)
    return packs


def _goods_links(found: Gathered, seen: Seen, goods: Goods) -> Iterator[Link]:
    cased = [(item.unit, item) for item in found.contents]
    yield from _by_run(LinkKind.CASED, cased, seen.unit_key, found, seen)
    for (child, parent), contents in sorted(goods.stands.items()):
        g, packs, contact = _amount(found, seen, contents)
        yield Link(LinkKind.STACKED, seen.unit_key(child), seen.unit_key(parent), g, packs, contact=contact)
    loose: list[tuple[int, Content]] = []
    for (unit, dispatch), contents in sorted(goods.sent.items()):
        if unit == LOOSE:
            loose += [(dispatch, item) for item in contents]
        else:
            g, packs, contact = _amount(found, seen, contents)
            yield Link(LinkKind.SENT, seen.unit_key(unit), (Kind.DISPATCH, dispatch), g, packs, contact=contact)
    yield from _by_run(LinkKind.SENT, loose, lambda dispatch: (Kind.DISPATCH, dispatch), found, seen)
    for (dispatch, back), contents in sorted(goods.back.items()):
        g, packs, contact = _amount(found, seen, contents)
        yield Link(LinkKind.RETURNED, (Kind.DISPATCH, dispatch), (Kind.RETURN, back), g, packs, contact=contact)


def _by_run(
    kind: LinkKind, into: list[tuple[int, Content]], key: Callable[[int], Key], found: Gathered, seen: Seen
) -> Iterator[Link]:
    """One link from each run to each thing its packs went into, with their serials."""
    packs: dict[tuple[int, int], list[Serials]] = defaultdict(list)
    for target, item in into:
        packs[item.run, target].append(item.packs)
    for (run, target), parts in sorted(packs.items()):
        count, contact = counted(parts), run in found.by_contact
        yield Link(kind, (Kind.RUN, run), key(target), seen.g_of(run, *parts), count, in_words(parts), contact)


def problems_of(nodes: dict[Key, Node], links: list[Link]) -> list[str]:
    """Gaps and wrong orders: a link to nothing, or something made before what it was made from."""
    gaps = {key for link in links for key in (link.parent, link.child) if key not in nodes}
    found = [f"A link leads to a {kind} (number {ref}) that is not in the record." for kind, ref in sorted(gaps)]
    for link in links:
        parent, child = nodes.get(link.parent), nodes.get(link.child)
        if parent and child and link.kind is not LinkKind.CONTACT and parent.at > child.at:
            found.append(
                f"{child.kind.capitalize()} {show_code(child.code)} ({child.at}) comes before"
                f" {parent.kind} {show_code(parent.code)} ({parent.at}), which was {link.kind} it."
            )
    return found
