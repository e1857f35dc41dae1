"""Temperatures over time, drawn in characters alone: every probe, the air, limits, set points, and gaps left open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from textual_plotext import PlotextPlot

from lotwake.trace.actions.batch_chart import longest_gaps
from lotwake.trace.process.plan import ScheduledProcess
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.process.verdict import BatchEvidence
from lotwake.trace.screens.verdict_rows import cooling_levels_c, limits_c

LIMIT, SET_POINT, COOLING, AIR, PROBE = "-", "=", ".", "a", "•"
_MOST_POINTS = 600
_MOST_TICKS = 7
_TICK_MIN = (15, 30, 60, 120, 180, 360, 720, 1440)
Points = list[tuple[float, float]]


class CoreChart(PlotextPlot):
    """Signs tell the lines apart, not colours: ``-`` limit, ``=`` set point, ``.`` cooling, ``a`` air, numbers for probes."""

    def show(self, evidence: BatchEvidence, plan: ScheduledProcess | None, zone: ZoneInfo) -> None:
        """Draw the readings of a batch."""
        self.theme = "clear"  # no colours of its own: those of the page
        self.plt.clear_figure()
        self.plt.theme("clear")  # before the lines, which take their colours from it
        read = evidence.core or evidence.air
        if not read:
            self.refresh()
            return
        times = [time_s for probe in read for time_s in (probe.time_s[0], probe.time_s[-1])]
        first_s, last_s = min(times), max(*times, min(times) + 60)
        for level_c in cooling_levels_c(plan, bool(evidence.core)):
            self.plt.plot([first_s, last_s], [level_c, level_c], marker=COOLING)
        for level_c in limits_c(plan, bool(evidence.core)):
            self.plt.plot([first_s, last_s], [level_c, level_c], marker=LIMIT)
        for probe in evidence.air:
            points = [(at, c) for at, c in zip(probe.time_s, probe.core_c, strict=True) if first_s <= at <= last_s]
            if points:
                shown = thinned(points)
                self.plt.plot([at for at, _ in shown], [air_c for _, air_c in shown], marker=AIR)
        for start_s, end_s, level_c in _set_points(evidence, plan, first_s, last_s):
            self.plt.plot([start_s, end_s], [level_c, level_c], marker=SET_POINT)
        numbered = sorted(enumerate(evidence.core, 1), key=lambda pair: -max(pair[1].core_c))
        for number, probe in numbered:  # the coldest governs, so it is drawn over the others
            sign = PROBE if len(evidence.core) == 1 else str(number % 10)
            for piece in unbroken(probe, longest_gaps(probe, evidence, plan)):
                self.plt.plot([at for at, _ in piece], [core_c for _, core_c in piece], marker=sign)
        ticks = list(_ticks(first_s, last_s, zone))
        self.plt.xticks([tick.timestamp() for tick in ticks], [f"{tick:%H:%M}" for tick in ticks])
        self.refresh()


def unbroken(probe: ProbeSeries, longest_gap_s: Sequence[float]) -> list[Points]:
    """The readings in pieces without a gap; ``longest_gap_s`` is what is allowed after each reading."""
    points = list(zip(probe.time_s, probe.core_c, strict=True))
    pieces: list[Points] = [points[:1]]
    for (before, after), gap_s in zip(pairwise(points), longest_gap_s, strict=False):
        if after[0] - before[0] > gap_s:
            pieces.append([])
        pieces[-1].append(after)
    return [thinned(piece) for piece in pieces]


def thinned(points: Points) -> Points:
    """At most about 600 points: of each stretch the lowest and the highest, so that no peak is lost."""
    if len(points) <= _MOST_POINTS:
        return points
    step = -(-len(points) * 2 // _MOST_POINTS)
    kept: Points = []
    for first in range(0, len(points), step):
        stretch = sorted(points[first : first + step], key=lambda point: point[1])
        kept += sorted({stretch[0], stretch[-1]})
    return kept


def _set_points(
    evidence: BatchEvidence, plan: ScheduledProcess | None, first_s: float, last_s: float
) -> Iterator[tuple[float, float, float]]:
    """(start, end, degrees C) of the air wanted in each step that was done, as far as the chart reaches."""
    for step in evidence.steps:
        planned = plan.step_named(step.name) if plan else None
        start_s, end_s = max(step.start_s, first_s), min(step.end_s or evidence.now_s, last_s)
        if planned is not None and start_s < end_s:
            for level_c in dict.fromkeys((planned.set_low_c, planned.set_high_c)):
                if level_c is not None:
                    yield start_s, end_s, level_c


def _ticks(first_s: float, last_s: float, zone: ZoneInfo) -> Iterator[datetime]:
    """Even times of the house's day, at most seven."""
    span_min = (last_s - first_s) / 60
    every = next((tick for tick in _TICK_MIN if span_min / tick <= _MOST_TICKS), _TICK_MIN[-1])
    moment = datetime.fromtimestamp(first_s, zone).replace(hour=0, minute=0, second=0, microsecond=0)
    step = timedelta(minutes=every * max(1, int(span_min / every / _MOST_TICKS)))
    while moment.timestamp() <= last_s:
        if moment.timestamp() >= first_s:
            yield moment
        moment += step
