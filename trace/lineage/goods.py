"""Packs on their way: which were in which unit, on which dispatch, came back on which return, and are away now.

Pure, and linear in what a trace touched. A case is filled once and opened once, and is never opened while it is away; so
packs were on a dispatch of their case if they were still in it after the goods had left, and came back whenever it did.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from lotwake.trace.base.ranges import Serials, without
from lotwake.trace.lineage.gather import Content, Gathered, Stand
from lotwake.trace.lineage.statements import OPEN

LOOSE = 0
"""The unit of packs that are in none."""


@dataclass
class Goods:
    """The packs of a chain by where they were.

    ``inside``: by unit, at any depth and any time; ``stands``: by unit and the pallet it stood on; ``sent``: by
    outermost unit (LOOSE for none) and dispatch; ``back``: by dispatch and return; ``away``: with a buyer now, by run.
    """

    inside: dict[int, list[Content]] = field(default_factory=lambda: defaultdict(list))
    stands: dict[tuple[int, int], list[Content]] = field(default_factory=lambda: defaultdict(list))
    sent: dict[tuple[int, int], list[Content]] = field(default_factory=lambda: defaultdict(list))
    back: dict[tuple[int, int], list[Content]] = field(default_factory=lambda: defaultdict(list))
    away: dict[int, list[Serials]] = field(default_factory=lambda: defaultdict(list))

    @property
    def dispatches(self) -> dict[int, list[Content]]:
        """The packs of each dispatch."""
        on: dict[int, list[Content]] = defaultdict(list)
        for (_, dispatch), contents in self.sent.items():
            on[dispatch] += contents
        return on

    @property
    def returns(self) -> dict[int, list[Content]]:
        """The packs of each return."""
        on: dict[int, list[Content]] = defaultdict(list)
        for (_, goods_return), contents in self.back.items():
            on[goods_return] += contents
        return on


def goods_of(found: Gathered) -> Goods:
    """Follow every pack of the chain through its cases, pallets, dispatches and returns."""
    goods = Goods()
    above: dict[int, list[Stand]] = defaultdict(list)
    for stand in found.stands:
        above[stand.child].append(stand)
    left_on: dict[int, list[int]] = defaultdict(list)
    for unit, dispatch in found.lines:
        left_on[unit].append(dispatch)
    _follow_cases(found, goods, above, left_on)
    _follow_loose(found, goods)
    return goods


def _follow_cases(found: Gathered, goods: Goods, above: dict[int, list[Stand]], left_on: dict[int, list[int]]) -> None:
    around: dict[tuple[int, str], set[tuple[int, int]]] = {}
    for item in found.contents:
        key = item.unit, item.until
        if key not in around:
            around[key] = {(stand.child, stand.parent) for stand in _stands_over(item, above)}
        goods.inside[item.unit].append(item)
        for pair in around[key]:
            goods.stands[pair].append(item)
        for pallet in {parent for _, parent in around[key]}:
            goods.inside[pallet].append(item)
        for dispatch in left_on.get(item.unit, ()):
            if item.until > found.lines[item.unit, dispatch].at:
                goods.sent[_outermost(item.unit, dispatch, found, above), dispatch].append(item)
                if (item.unit, dispatch) in found.backs:
                    goods.back[dispatch, found.backs[item.unit, dispatch]].append(item)
                else:
                    goods.away[item.run].append(item.packs)


def _stands_over(item: Content, above: dict[int, list[Stand]]) -> list[Stand]:
    """Every standing on a pallet, at any height, while the packs were in their case."""
    waiting, reached = [(item.unit, item.until)], {}
    while waiting:
        unit, until = waiting.pop()
        for stand in above.get(unit, ()):
            if stand not in reached and until > stand.since:
                reached[stand] = min(until, stand.until)
                waiting.append((stand.parent, reached[stand]))
    return list(reached)


def _outermost(unit: int, dispatch: int, found: Gathered, above: dict[int, list[Stand]]) -> int:
    """The unit in which this one left: itself, or the pallet it was on when the goods left."""
    passed = {unit}
    while not found.lines[unit, dispatch].top:
        at = found.lines[unit, dispatch].at
        over = (stand.parent for stand in above.get(unit, ()) if stand.until > at)
        parent = next((parent for parent in over if (parent, dispatch) in found.lines), None)
        if parent is None or parent in passed:
            break  # the pallet is not part of this chain
        unit = parent
        passed.add(unit)
    return unit


def _follow_loose(found: Gathered, goods: Goods) -> None:
    came: dict[tuple[int, int], list[Serials]] = defaultdict(list)
    for item in found.loose_back:
        came[item.run, item.dispatch].append(item.packs)
        goods.back[item.dispatch, item.goods_return].append(Content(item.run, LOOSE, item.packs, OPEN))
    for item in found.loose:
        goods.sent[LOOSE, item.dispatch].append(Content(item.run, LOOSE, item.packs, OPEN))
        goods.away[item.run] += without([item.packs], came[item.run, item.dispatch])
