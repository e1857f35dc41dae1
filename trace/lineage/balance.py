"""The kilograms of a chain from the boats to the buyers: what came in, what was lost, what went out, at each stage.

Pure. All fish of the batches and runs in the chain is accounted for:

    fish of the lots + other fish + rework = losses + left over + gone elsewhere + packs

*Other fish* came into a batch further down from lots outside this chain; *elsewhere* is fish of these batches that went
into batches or runs outside it. What was reached by shared contact only counts nowhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lotwake.trace.lineage.chain import Chain, Key, Link, LinkKind, Node, Tally
from lotwake.trace.records.facts import BatchSeen, LotSeen, RunSeen, UnitSeen
from lotwake.trace.records.find import Kind
from lotwake.trace.records.stock import MATERIAL

WHOLE = (Kind.LOT, Kind.BATCH, Kind.RUN)
"""A trace from one of these is about all its packs; from anything else, about some packs of its runs."""


@dataclass(frozen=True)
class Masses:
    """The facts of everything in the chains, by id: what the record says of each by itself."""

    lots: Mapping[int, LotSeen]
    batches: Mapping[int, BatchSeen]
    runs: Mapping[int, RunSeen]
    units: Mapping[int, UnitSeen]


@dataclass(frozen=True)
class Fish:
    """The batches and runs: ``in_g`` grams of fish entered them, ``other_g`` and ``rework_g`` among it; where it went.

    ``packs`` were made and not voided, and weigh ``packs_g``.
    """

    batches: int
    in_g: int
    other_g: int
    rework_g: int
    lost_g: int
    left_g: int
    elsewhere_g: int
    packs: int
    packs_g: int

    @property
    def out_g(self) -> int:
        """Everything that became of it."""
        return self.lost_g + self.left_g + self.elsewhere_g + self.packs_g


@dataclass(frozen=True)
class Goods:
    """The packs: ``void`` labels, ``here`` packs that the trace is about (None: all), those in ``cases`` now or sent in
    them, those that ``buyers`` hold, those in the house, and those that ``ended`` as something else."""

    void: int
    here: int | None
    cases: int
    cased: int
    cased_g: int
    buyers: int
    sold: int
    sold_g: int
    in_house: int
    ended: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Balance:
    """Grams and counts from the boats to the buyers, without contact.

    ``boats`` sources of fish; ``boats_g`` grams of their lots that are in the chain (for a lot: all of it, with
    ``stored_g`` and ``lot_lost_g`` of it not used). ``gap_g``: grams that went into the batches and runs the chain leads
    back to, but that no link accounts for; 0 when the record is whole.
    """

    boats: int
    boats_g: int
    stored_g: int
    lot_lost_g: int
    fish: Fish
    goods: Goods
    gap_g: int

    @property
    def balanced(self) -> bool:
        """Whether every gram is accounted for."""
        return self.gap_g == 0 and self.fish.in_g == self.fish.out_g


def balance(back: Chain, forward: Chain, masses: Masses) -> Balance:
    """The balance of the thing that both chains start from."""
    if forward.tally is not None:
        return _counted(back, forward, forward.tally, masses.lots[back.start.id])
    nodes = {node.key: node for chain in (back, forward) for node in chain.nodes if not node.contact}
    links = _links((back, forward), nodes)
    batches = {key[1] for key in nodes if key[0] is Kind.BATCH}
    runs = {key[1] for key in nodes if key[0] is Kind.RUN}
    cases = _cases(nodes, masses)
    here = back.start
    used_g = sum(link.g or 0 for link in links if _is_fish(link, masses))
    lot = masses.lots.get(here.id) if here.kind is Kind.LOT else None
    if lot is not None and lot.kind == MATERIAL:
        lot = None  # salt and bags carry no mass into the balance
    return Balance(
        boats=len({origin.sender for origin in back.origins if not origin.contact}),
        boats_g=used_g if lot is None else lot.g,
        stored_g=0 if lot is None else lot.left_g,
        lot_lost_g=0 if lot is None else lot.g - lot.left_g - used_g,
        fish=_fish(links, batches, runs, masses, used_g),
        goods=_goods(
            forward,
            len(cases),
            sum(node.packs or 0 for node in cases),
            sum(node.g or 0 for node in cases),
            None if here.kind in WHOLE or forward.whereabouts is None or not runs else forward.whereabouts.made,
        ),
        gap_g=_gap_g(back, links, masses),
    )


def _counted(back: Chain, forward: Chain, tally: Tally, lot: LotSeen) -> Balance:
    """The same of a lot whose chain was counted: all that its batches and runs gave away stayed among them."""
    material = lot.kind == MATERIAL
    used_g = 0 if material else tally.used_g
    in_g = tally.fish_in_g + tally.flow_in_g - tally.passed_on_g
    return Balance(
        boats=len({origin.sender for origin in back.origins if not origin.contact}),
        boats_g=0 if material else lot.g,
        stored_g=0 if material else lot.left_g,
        lot_lost_g=0 if material else lot.g - lot.left_g - used_g,
        fish=Fish(
            batches=tally.batches,
            in_g=in_g,
            other_g=in_g - used_g - tally.rework_g,
            rework_g=tally.rework_g,
            lost_g=tally.lost_g,
            left_g=in_g - tally.lost_g - tally.packs_g,
            elsewhere_g=0,
            packs=tally.packs,
            packs_g=tally.packs_g,
        ),
        goods=_goods(forward, tally.cases, tally.cased, tally.cased_g, None),
        gap_g=0,
    )


def _links(chains: Iterable[Chain], nodes: Mapping[Key, Node]) -> list[Link]:
    """Every link by which mass moved, once."""
    found = {
        (link.kind, link.parent, link.child): link
        for chain in chains
        for link in chain.links
        if link.kind is not LinkKind.CONTACT and link.parent in nodes and link.child in nodes
    }
    return list(found.values())


def _is_fish(link: Link, masses: Masses) -> bool:
    kind, ref = link.parent
    return link.kind is LinkKind.USED and kind is Kind.LOT and masses.lots[ref].kind != MATERIAL


def _fish(links: Iterable[Link], batches: set[int], runs: set[int], masses: Masses, used_g: int) -> Fish:
    """The batches: fish in, and what became of it."""
    into = _into_g(links, masses)
    works: list[BatchSeen | RunSeen] = [masses.batches[ref] for ref in batches]
    works += [masses.runs[ref] for ref in runs]
    other_g = sum(work.in_g - into.get(work.id, 0) for work in works)
    rework_g = sum(link.g or 0 for link in links if link.kind is LinkKind.REWORKED)
    known_out_g = sum(link.g or 0 for link in links if link.parent[0] is Kind.BATCH)
    return Fish(
        batches=len(batches),
        in_g=used_g + other_g + rework_g,
        other_g=other_g,
        rework_g=rework_g,
        lost_g=sum(work.lost_g for work in works),
        left_g=sum(work.left_g for work in works),
        elsewhere_g=sum(masses.batches[ref].passed_on_g for ref in batches) - known_out_g,
        packs=sum(masses.runs[ref].packs for ref in runs),
        packs_g=sum(masses.runs[ref].packs_g for ref in runs),
    )


def _into_g(links: Iterable[Link], masses: Masses) -> dict[int, int]:
    """Grams of fish that the links bring into each batch and run."""
    into: dict[int, int] = {}
    for link in links:
        if link.child[0] in (Kind.BATCH, Kind.RUN) and (link.kind is not LinkKind.USED or _is_fish(link, masses)):
            into[link.child[1]] = into.get(link.child[1], 0) + (link.g or 0)
    return into


def _cases(nodes: Mapping[Key, Node], masses: Masses) -> list[Node]:
    """The cases with packs: one is filled once and opened once, so its packs are all still in it, or none is."""
    return [node for node in nodes.values() if node.kind is Kind.CASE and masses.units[node.id].packs]


def _goods(forward: Chain, cases: int, cased: int, cased_g: int, here: int | None) -> Goods:
    """Cases, buyers and what is in the house, as far as the trace forward goes."""
    where = forward.whereabouts
    holding = [receiver for receiver in forward.receivers if receiver.packs > 0 and not receiver.contact]
    return Goods(
        void=0 if where is None else where.void,
        here=here,
        cases=cases,
        cased=cased,
        cased_g=cased_g,
        buyers=len(holding),
        sold=sum(receiver.packs for receiver in holding),
        sold_g=sum(receiver.g for receiver in holding),
        in_house=0 if where is None else where.in_house,
        ended=() if where is None else where.ended,
    )


def _gap_g(back: Chain, links: Iterable[Link], masses: Masses) -> int:
    """A trace back leads to everything that went in, so each batch and run in it must be the sum of its links."""
    into = _into_g(links, masses)
    works = [node.id for node in back.nodes if node.kind in (Kind.BATCH, Kind.RUN) and not node.contact]
    seen: dict[int, BatchSeen | RunSeen] = {**masses.batches, **masses.runs}
    return sum(abs(seen[ref].in_g - into.get(ref, 0)) for ref in works)
