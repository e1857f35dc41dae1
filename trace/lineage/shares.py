"""How much of a batch or run each lot is. Pure; fractions are exact."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter

from lotwake.trace.base.errors import NeedsAttention
from lotwake.trace.lineage.chain import Share

Use = tuple[int, int, int]
"""(lot, work, g) of fish."""
Flow = tuple[int, int, int]
"""(parent, child, g)."""
Amounts = list[tuple[int, int]]
"""(lot or parent, g)."""


class Circle(NeedsAttention):
    """The record holds batches or runs made from themselves: ``works``, each made from the one before it."""

    def __init__(self, works: tuple[int, ...]) -> None:
        around = " > ".join(map(str, works))
        super().__init__(
            f"The record holds fish made from itself: {around}.", "Run `lotwake verify`: no entry could do this."
        )
        self.works = works


def order_of_making(flows: Iterable[Flow]) -> list[int]:
    """Batches and runs so that each comes after what it was made from. Raises Circle when there is no such order."""
    sorter: TopologicalSorter[int] = TopologicalSorter()
    for parent, child, _ in flows:
        sorter.add(child, parent)
    try:
        return list(sorter.static_order())
    except CycleError as error:
        raise Circle(tuple(error.args[1])) from None


def shares(uses: Iterable[Use], flows: Iterable[Flow], wanted: Iterable[int]) -> dict[int, tuple[Share, ...]]:
    """For each wanted batch or run the share of each fish lot above it, largest first.

    Well mixed: a batch has its lots in proportion to the grams that went in, and everything taken from it has them in the
    same proportion; the shares of a run sum to 1. At the most: all of a lot that went into a batch may have gone out in any
    part of it, up to that part's grams and to what was used of the lot on the way to it.
    """
    flows = list(flows)
    entering: dict[int, Amounts] = defaultdict(list)
    coming: dict[int, Amounts] = defaultdict(list)
    for lot, work, g in uses:
        entering[work].append((lot, g))
    for parent, child, g in flows:
        coming[child].append((parent, g))
    mixed: dict[int, dict[int, Fraction]] = {}
    most = _Most()
    for work in dict.fromkeys((*order_of_making(flows), *entering)):
        lots, parents = entering.get(work, []), coming.get(work, [])
        total_g = sum(g for _, g in lots) + sum(g for _, g in parents)
        mixed[work] = _mixed(lots, parents, mixed, total_g)
        most.add(work, lots, parents, total_g)
    return {work: _largest_first(mixed.get(work, {}), most.part(work)) for work in wanted}


def _largest_first(mixed: Mapping[int, Fraction], most: Mapping[int, Fraction]) -> tuple[Share, ...]:
    made = (Share(lot, part, most[lot]) for lot, part in mixed.items())
    return tuple(sorted(made, key=lambda share: (-share.mixed, share.lot)))


def _mixed(
    lots: Amounts, parents: Amounts, known: Mapping[int, dict[int, Fraction]], total_g: int
) -> dict[int, Fraction]:
    parts: dict[int, Fraction] = {}
    for lot, g in lots:
        parts[lot] = parts.get(lot, Fraction(0)) + Fraction(g, total_g)
    for parent, g in parents:
        weight = Fraction(g, total_g)
        for lot, part in known[parent].items():
            parts[lot] = parts[lot] + part * weight if lot in parts else part * weight
    return parts


_Ways = tuple[int, int]


def _either(some: _Ways | None, others: _Ways) -> _Ways:
    if some is None or some == others:
        return others
    first = min(some[0], others[0])
    return first, some[1] << (some[0] - first) | others[1] << (others[0] - first)


class _Most:
    """The most grams of each lot that can be in each batch or run, work by work in the order of making.

    ``ways`` remembers by which uses a lot came into a work, so that what reaches it on several paths counts once: a lowest
    use, and bits for it and those above. A lot that went into very much is used near by in each chain, so these are few.
    """

    def __init__(self) -> None:
        self.grams: dict[int, dict[int, int]] = {}
        self.total_g: dict[int, int] = {}
        self.ways: dict[int, dict[int, _Ways]] = {}
        self.used: dict[int, list[int]] = defaultdict(list)
        self.known: dict[tuple[int, _Ways], int] = {}

    def add(self, work: int, lots: Amounts, parents: Amounts, total_g: int) -> None:
        """A work and what goes into it; its parents were added before."""
        grams: dict[int, int] = defaultdict(int)
        ways: dict[int, _Ways] = {}
        for lot, g in lots:
            grams[lot] += g
            ways[lot] = _either(ways.get(lot), (len(self.used[lot]), 1))
            self.used[lot].append(g)
        for parent, g in parents:
            for lot, most in self.grams[parent].items():
                grams[lot] += min(g, most)
                ways[lot] = _either(ways.get(lot), self.ways[parent][lot])
        self.total_g[work] = total_g
        self.ways[work] = ways
        self.grams[work] = {lot: min(g, total_g, self._used_g(lot, ways[lot])) for lot, g in grams.items()}

    def part(self, work: int) -> dict[int, Fraction]:
        """The most each lot can be of a work."""
        return {lot: Fraction(g, self.total_g[work]) for lot, g in self.grams.get(work, {}).items()}

    def _used_g(self, lot: int, ways: _Ways) -> int:
        if (lot, ways) not in self.known:
            total_g, (first, left) = 0, ways
            while left:
                lowest = left & -left
                total_g += self.used[lot][first + lowest.bit_length() - 1]
                left ^= lowest
            self.known[lot, ways] = total_g
        return self.known[lot, ways]
