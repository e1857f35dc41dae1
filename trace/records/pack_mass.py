"""Serial numbers into grams: the one place that knows what packs weigh.

Every pack of a run weighs ``run.net_g``, but in a run of catch weight each was weighed by itself (``pack_weight``); its
``net_g`` is then only what one weighs about.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate

from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.database import Records

VOID = "VOID"
Weights = tuple[tuple[int, int], ...]
"""(serial, grams) of packs that were weighed one by one, in the order of their serials."""


def span_g(run: str, span: str) -> str:
    """SQL for the grams of the packs ``span.first`` to ``span.last`` of ``run``; both are names in the statement."""
    return (
        f"CASE WHEN {run}.catch_weight = 1 THEN COALESCE((SELECT SUM(w.net_g) FROM pack_weight w WHERE w.run = {run}.id"
        f" AND w.serial BETWEEN {span}.first AND {span}.last), 0) ELSE {run}.net_g * ({span}.last - {span}.first + 1) END"
    )


def packed_g(run: str) -> str:
    """SQL for the grams of all packs of ``run`` that are not void."""
    made, void = (
        f"COALESCE((SELECT SUM({span_g(run, 'k')}) FROM {table} k WHERE k.run = {run}.id{more}), 0)"
        for table, more in (("pack_range", ""), ("pack_end", f" AND k.kind = '{VOID}'"))
    )
    return f"({made} - {void})"


def packs_g(records: Records, run: int, parts: Iterable[Serials]) -> int:
    """Grams of these packs of a run."""
    net_g, weights = records.value("SELECT net_g FROM run WHERE id = ?", run), weights_of(records, run)
    return PackMass(net_g, weights).of(parts)


def weights_of(records: Records, run: int) -> Weights | None:
    """What each pack of a run of catch weight weighs; None for packs that all weigh the same."""
    if records.value("SELECT catch_weight FROM run WHERE id = ?", run) != 1:
        return None
    return tuple(records.rows("SELECT serial, net_g FROM pack_weight WHERE run = ? ORDER BY serial", run))


class PackMass:
    """What the packs of one run weigh: ``net_g`` grams each, unless each has one of ``weights``."""

    def __init__(self, net_g: int, weights: Weights | None) -> None:
        self.net_g = net_g
        self.weights = weights
        self._serials = [serial for serial, _ in weights or ()]
        self._sums = [0, *accumulate(g for _, g in weights or ())]

    def of(self, parts: Iterable[Serials]) -> int:
        """Grams of these packs."""
        if self.weights is None:
            return self.net_g * sum(part.count for part in parts)
        return sum(self._of_one(part) for part in parts)

    def each(self, parts: Sequence[Serials]) -> list[int]:
        """Grams of each of these packs, in their order."""
        if self.weights is None:
            return [self.net_g for part in parts for _ in range(part.count)]
        known = dict(self.weights)
        return [known[serial] for part in parts for serial in range(part.first, part.last + 1)]

    def _of_one(self, part: Serials) -> int:
        first, behind = bisect_left(self._serials, part.first), bisect_right(self._serials, part.last)
        return self._sums[behind] - self._sums[first]
