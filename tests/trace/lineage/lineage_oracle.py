"""What a trace must say, from an account of single packs and a networkx graph of lots, batches and runs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction

import networkx as nx
from lineage_account import Edge, Pack
from lineage_history import History

from lotwake.trace.lineage.chain import Chain, Direction, Key, Link, LinkKind
from lotwake.trace.records.find import Kind

GOODS = (Kind.CASE, Kind.PALLET, Kind.DISPATCH, Kind.RETURN)


@dataclass
class Expected:
    """The nodes of a trace, and its links with their packs (None where packs are not counted)."""

    nodes: set[Key] = field(default_factory=set)
    links: set[Edge] = field(default_factory=set)
    packs: dict[Edge, set[Pack]] = field(default_factory=lambda: defaultdict(set))
    reached: set[Pack] = field(default_factory=set)


def graph(history: History, contact: bool = False) -> nx.DiGraph[Key]:
    """Lots, batches and runs with the grams between them; with contact also from each batch to those that met it later."""
    made: nx.DiGraph[Key] = nx.DiGraph()
    made.add_nodes_from(key for key in history.things if key[0] in (Kind.LOT, Kind.BATCH, Kind.RUN))
    for (lot, work), g in history.uses.items():
        if g != 0:
            made.add_edge((Kind.LOT, lot), work_key(history, work), g=g)
    for (parent, child), g in history.flows.items():
        if g:
            made.add_edge(work_key(history, parent), work_key(history, child), g=g)
    for kind, batches in history.met if contact else ():
        for place, batch in enumerate(batches):
            for other in batches[place + 1 :] if kind == "brine" else batches:
                if other != batch:
                    made.add_edge((Kind.BATCH, batch), (Kind.BATCH, other))
    return made


def work_key(history: History, work: int) -> Key:
    """The key of a batch or run."""
    return (Kind.BATCH if (Kind.BATCH, work) in history.things else Kind.RUN), work


def expected(history: History, start: Key, direction: Direction, contact: bool, serial: int = 0) -> Expected:
    """Everything a trace from ``start`` must hold."""
    made = Expected(nodes={start})
    if start[0] is Kind.PACK:
        made.links.add((LinkKind.PACKED, (Kind.RUN, start[1]), start))
    if direction is Direction.BACK:
        _back(history, start, contact, made)
    else:
        _forward(history, start, contact, serial, made)
    return made


def _back(history: History, start: Key, contact: bool, made: Expected) -> None:
    edges = history.within.get(start, {})
    for edge, packs in edges.items():
        made.packs[edge] = packs
        made.nodes |= {edge[1], edge[2]}
    works = {key for key in made.nodes if key[0] is Kind.RUN}
    works |= {(Kind.RUN, start[1])} if start[0] is Kind.PACK else set()
    works |= {start} if start[0] in (Kind.BATCH, Kind.RUN) else set()
    whole = graph(history, contact)
    for work in works:
        made.nodes |= {work, *nx.ancestors(whole, work)}
    made.nodes = {key for key in made.nodes if key[0] is not Kind.LOT or key == start or _fed(history, key, made.nodes)}
    inside = {key for key in made.nodes if key[0] in (Kind.BATCH, Kind.RUN)}
    _add_flows(history, made, lambda flow: flow[1] in inside)
    _add_uses(history, made, lambda use: use[1] in inside)


def _fed(history: History, lot: Key, nodes: set[Key]) -> bool:
    return any(work_key(history, work) in nodes for (of, work), g in history.uses.items() if of == lot[1] and g != 0)


def _forward(history: History, start: Key, contact: bool, serial: int, made: Expected) -> None:
    whole = graph(history, contact)
    if start[0] in (Kind.LOT, Kind.BATCH, Kind.RUN):
        made.nodes |= {key for key in nx.descendants(whole, start) if key[0] is not Kind.LOT}
        packs = {(key[1], s) for key in made.nodes if key[0] is Kind.RUN for s in history.made[key[1]]}
        inside = {key for key in made.nodes if key[0] in (Kind.BATCH, Kind.RUN)}
    else:
        first = {(start[1], serial)} if start[0] is Kind.PACK else _packs_of(history, start)
        batches = {batch for one, (_, batch) in history.ended.items() if one in first and batch}
        inside = {
            key for batch in batches for key in {(Kind.BATCH, batch), *nx.descendants(whole, (Kind.BATCH, batch))}
        }
        by_mass = graph(history)
        own = {run for run, _ in first}  # contact alone does not widen the packs a trace is about to their whole run
        own -= {key[1] for batch in batches for key in nx.descendants(by_mass, (Kind.BATCH, batch))}
        packs = first | {(key[1], s) for key in inside if key[0] is Kind.RUN and key[1] not in own
                         for s in history.made[key[1]]}  # fmt: skip
        made.nodes |= inside | {(Kind.RUN, run) for run, _ in first}
        for one in first:
            if one in history.ended and history.ended[one][1] and (Kind.RUN, one[0]) not in inside:
                edge = LinkKind.REWORKED, (Kind.RUN, one[0]), (Kind.BATCH, history.ended[one][1])
                made.packs[edge].add(one)
    made.reached = packs
    _add_flows(history, made, lambda flow: flow[0] in inside)
    _add_uses(history, made, lambda use: use[0] == start)
    for edge, carried in history.carried.items():
        if carried & packs:
            made.packs[edge] = carried & packs
            made.nodes |= {edge[1], edge[2]}


def _packs_of(history: History, start: Key) -> set[Pack]:
    return set().union(*(packs for edge, packs in history.within.get(start, {}).items() if edge[1][0] is Kind.RUN))


def _add_uses(history: History, made: Expected, belongs: Callable[[tuple[Key, Key]], bool]) -> None:
    pairs = [((Kind.LOT, lot), work_key(history, work)) for (lot, work), g in history.uses.items() if g != 0]
    made.links |= {(LinkKind.USED, *pair) for pair in pairs if belongs(pair)}


def _add_flows(history: History, made: Expected, belongs: Callable[[tuple[Key, Key]], bool]) -> None:
    for pair in [
        (work_key(history, parent), work_key(history, child)) for (parent, child), g in history.flows.items() if g
    ]:
        how = LinkKind.BLENDED if pair[0][0] is Kind.BATCH else LinkKind.REWORKED
        if belongs(pair):
            made.links.add((LinkKind.PACKED if pair[1][0] is Kind.RUN else how, *pair))


def fish_shares(history: History, work: int) -> dict[int, Fraction]:
    """The share of each fish lot in a batch or run, well mixed: grams followed from the work back to the lots."""
    fish = graph(history)
    fish.remove_nodes_from([(Kind.LOT, lot) for lot in history.materials])
    weight: dict[Key, Fraction] = defaultdict(Fraction)
    weight[work_key(history, work)] = Fraction(1)
    found: dict[int, Fraction] = {}
    above = fish.subgraph({work_key(history, work), *nx.ancestors(fish, work_key(history, work))})
    for key in reversed(list(nx.topological_sort(above))):
        if key[0] is Kind.LOT:
            found[key[1]] = weight[key]
            continue
        total = sum(g for _, _, g in above.in_edges(key, data="g"))
        for parent, _, g in above.in_edges(key, data="g"):
            weight[parent] += weight[key] * Fraction(g, total)
    return found


def most_g(history: History, lot: int, work: int) -> int:
    """The most grams of a lot that can be in a batch or run: the largest flow through what really went over (networkx)."""
    fish = graph(history)
    net: nx.DiGraph[Key] = nx.DiGraph()
    net.add_edges_from((a, b, {"capacity": g}) for a, b, g in fish.edges(data="g") if g)
    return int(nx.maximum_flow_value(net, (Kind.LOT, lot), work_key(history, work)))


def edges_of(chain: Chain) -> dict[Edge, Link]:
    """The links of a chain, without contact between batches."""
    return {(link.kind, link.parent, link.child): link for link in chain.links if link.kind is not LinkKind.CONTACT}


def in_house(history: History, packs: Iterable[Pack]) -> set[Pack]:
    """The packs that are neither with a buyer nor ended."""
    return {one for one in packs if one not in history.away and one not in history.ended}
