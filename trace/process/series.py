"""Temperature series of several probes, and the one line that governs: the coldest or the warmest at each moment.

Between two readings of a probe its temperature is taken as a straight line. Two readings further apart than the plan
allows are a gap: nothing is known between them. The governing line exists only where **every** probe is known, so a
probe that falls out breaks the evidence, and adding a probe can never make a batch look better.
"""

from __future__ import annotations

import math
import operator
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, groupby, pairwise

from lotwake.trace.base.errors import CallError

COLDEST_C, HOTTEST_C = -80.0, 150.0
"""No core of fish gets beyond these."""


@dataclass(frozen=True)
class ProbeSeries:
    """Readings of one probe: ``time_s`` seconds from any common origin, rising; ``core_c`` degrees C.

    CallError names the first reading that cannot be: time standing still or going back, a temperature outside -80 to
    150 C.
    """

    name: str
    time_s: Sequence[float]
    core_c: Sequence[float]

    def __post_init__(self) -> None:
        times, core = self.time_s, self.core_c
        if len(times) != len(core):
            raise CallError(f"{self.name} has {len(times)} times and {len(core)} temperatures.", "Pair them up.")
        if not times:
            raise CallError(f"{self.name} has no readings.", "Leave it out, or give its readings.")
        if not all(map(math.isfinite, times)) or not all(map(math.isfinite, core)):
            raise CallError(f"{self.name} has a reading that is not a number.", "Correct or leave out that reading.")
        if not all(map(operator.lt, times, times[1:])):
            at = next(i for i, (before, after) in enumerate(pairwise(times)) if before >= after)
            raise CallError(
                f"{self.name}: reading {at + 2} ({times[at + 1]:g} s) is not later than the one before it "
                f"({times[at]:g} s).",
                "A clock was set back or a reading stands twice; correct the times.",
            )
        if min(core) < COLDEST_C or max(core) > HOTTEST_C:
            at = next(i for i, value in enumerate(core) if not COLDEST_C <= value <= HOTTEST_C)
            raise CallError(
                f"{self.name}: reading {at + 1} of {core[at]:g} C cannot be the core of fish.",
                "Fahrenheit taken for Celsius, or a broken probe?",
            )


@dataclass(frozen=True)
class Run:
    """An unbroken piece of the governing line: straight between its points; ``probe`` is which probe governs there."""

    time_s: Sequence[float]
    core_c: Sequence[float]
    probe: Sequence[int]

    @property
    def start_s(self) -> float:
        return self.time_s[0]

    @property
    def end_s(self) -> float:
        return self.time_s[-1]


@dataclass(frozen=True)
class Governing:
    """The governing line of several probes as runs in time order; between two runs there is no evidence."""

    runs: tuple[Run, ...]
    probes: tuple[str, ...]

    @property
    def gaps(self) -> tuple[tuple[float, float], ...]:
        """(start, end) in seconds of each stretch without evidence inside the record."""
        return tuple((before.end_s, after.start_s) for before, after in pairwise(self.runs))


def series_of_pairs(name: str, pairs: Iterable[tuple[float, float]]) -> ProbeSeries:
    """A probe's series from (seconds, degrees C) pairs in time order."""
    listed = list(pairs)
    return ProbeSeries(name, tuple(time for time, _ in listed), tuple(core for _, core in listed))


def series_of_readings(
    name: str, pairs: Sequence[tuple[float, float]], keep: Callable[[Iterable[float]], float]
) -> ProbeSeries:
    """A probe's series from (seconds, degrees C) pairs in order of time; of several at one moment ``keep`` chooses."""
    if not doubled(pairs):
        return series_of_pairs(name, pairs)
    return series_of_pairs(
        name, ((at, keep(core_c for _, core_c in group)) for at, group in groupby(pairs, key=lambda pair: pair[0]))
    )


def doubled(pairs: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """The moments (seconds) at which there is more than one reading."""
    return tuple(dict.fromkeys(after for (before, _), (after, _) in pairwise(pairs) if before == after))


def coldest(probes: Sequence[ProbeSeries], longest_gap_s: float) -> Governing:
    """The lowest of the probes at each moment. CallError without any probe or with a gap that is not above zero."""
    return _govern(probes, longest_gap_s, sign=1)


def warmest(probes: Sequence[ProbeSeries], longest_gap_s: float) -> Governing:
    """The highest of the probes at each moment."""
    return _govern(probes, longest_gap_s, sign=-1)


def _govern(probes: Sequence[ProbeSeries], longest_gap_s: float, sign: int) -> Governing:
    if not probes:
        raise CallError("There are no readings.", "Give the readings of at least one probe.")
    if not longest_gap_s > 0:
        raise CallError("The longest gap between readings must be above zero.", "Give it in minutes, such as 5.")
    known = [(-math.inf, math.inf)]
    for probe in probes:
        known = _both(known, _stretches(probe.time_s, longest_gap_s))
    runs = [_one(probes[0], *span) if len(probes) == 1 else _lower_line(probes, *span, sign) for span in known]
    return Governing(tuple(runs), tuple(probe.name for probe in probes))


def _stretches(times: Sequence[float], longest_gap_s: float) -> list[tuple[float, float]]:
    """(first, last) time of each stretch of readings without a gap."""
    breaks = [at for at, (before, after) in enumerate(pairwise(times), 1) if after - before > longest_gap_s]
    edges = [0, *breaks, len(times)]
    return [(times[first], times[last - 1]) for first, last in pairwise(edges)]


def _both(left: list[tuple[float, float]], right: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The spans that lie in a span of both lists; the lists are in order, and a span may be a single moment."""
    common, i, j = [], 0, 0
    while i < len(left) and j < len(right):
        start, end = max(left[i][0], right[j][0]), min(left[i][1], right[j][1])
        if start <= end:
            common.append((start, end))
        if left[i][1] < right[j][1]:
            i += 1
        else:
            j += 1
    return common


def _one(probe: ProbeSeries, start: float, end: float) -> Run:
    first, last = bisect_left(probe.time_s, start), bisect_right(probe.time_s, end)
    return Run(probe.time_s[first:last], probe.core_c[first:last], (0,) * (last - first))


def _lower_line(probes: Sequence[ProbeSeries], start: float, end: float, sign: int) -> Run:
    """The lower envelope of the probes (the upper one for ``sign`` -1) over a span where all are known.

    The points are every reading of any probe and every crossing where another probe takes over, so the line is exact.
    """
    inside = (_inside(probe.time_s, start, end) for probe in probes)
    grid = list(dict.fromkeys(sorted(chain((start, end), *inside))))
    lines = [_on_grid(probe, grid, sign) for probe in probes]
    levels = list(zip(*lines, strict=True))
    lowest = list(map(min, levels))
    governs = [level.index(low) for level, low in zip(levels, lowest, strict=True)]
    if any(map(operator.ne, governs, governs[1:])):
        grid, lowest, governs = _with_crossings(grid, levels, lowest, governs)
    return Run(grid, lowest if sign > 0 else [-value for value in lowest], governs)


def _inside(times: Sequence[float], start: float, end: float) -> Sequence[float]:
    return times[bisect_left(times, start) : bisect_right(times, end)]


def _on_grid(probe: ProbeSeries, grid: list[float], sign: int) -> list[float]:
    """The probe's temperature (times ``sign``) at each time of the grid, on straight lines between its readings."""
    times, core = probe.time_s, probe.core_c
    if len(grid) == len(times) and list(times) == grid:
        return [sign * value for value in core]
    values: list[float] = []
    first, last = bisect_right(times, grid[0]) - 1, bisect_left(times, grid[-1])
    at = 0
    for (t0, t1), (c0, c1) in zip(pairwise(times[first : last + 1]), pairwise(core[first : last + 1]), strict=True):
        slope = sign * (c1 - c0) / (t1 - t0)
        c0 *= sign
        while at < len(grid) and grid[at] < t1:
            values.append(c0 + slope * (grid[at] - t0))
            at += 1
    if at < len(grid):  # the last time of the grid is a reading of this probe
        values.append(sign * core[last])
    return values


def _with_crossings(
    grid: list[float], levels: list[tuple[float, ...]], lowest: list[float], governs: list[int]
) -> tuple[list[float], list[float], list[int]]:
    """The line with a point added wherever a different probe takes over between two times of the grid.

    Where the same probe is lowest at both ends, no other can be lower in between: the difference of two straight lines
    does not change sign twice.
    """
    times, line, probes = [grid[0]], [lowest[0]], [governs[0]]
    for i in range(1, len(grid)):
        if governs[i] != governs[i - 1]:
            for share, probe in _takeovers(levels[i - 1], levels[i], governs[i - 1]):
                v0, v1 = levels[i - 1][probe], levels[i][probe]
                times.append(grid[i - 1] + share * (grid[i] - grid[i - 1]))
                line.append(v0 + share * (v1 - v0))
                probes.append(probe)
        times.append(grid[i])
        line.append(lowest[i])
        probes.append(governs[i])
    return times, line, probes


def _takeovers(before: tuple[float, ...], after: tuple[float, ...], current: int) -> list[tuple[float, int]]:
    """(share of the way, probe that takes over) for each crossing on the way from one time of the grid to the next."""
    found: list[tuple[float, int]] = []
    while True:
        crossings = []
        for probe in range(len(before)):
            gap_before, gap_after = before[probe] - before[current], after[probe] - after[current]
            if gap_after < 0:
                crossings.append((max(0.0, gap_before / (gap_before - gap_after)), after[probe], probe))
        if not crossings:
            return [(share, probe) for share, probe in found if 0 < share < 1]
        share, _, current = min(crossings)
        found.append((share, current))
