"""The core temperatures of a batch as a chart on a page: every probe, the limit, what was held, and where nothing was read."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from lotwake.labels.layout.faces import Style, font_name, text_width
from lotwake.trace.process.heat import HeatLimit, judge_heat
from lotwake.trace.process.plan import LimitKind, ScheduledProcess
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.process.verdict import BatchEvidence

SIZE_PT = 6.5
_LEFT_PT, _BOTTOM_PT, _TOP_PT = 24.0, 24.0, 14.0
_DASHES: tuple[tuple[float, ...], ...] = ((), (4, 2), (1, 1.5), (6, 2, 1, 2))
_COOLING_C = (57.2, 21.1, 4.4)
_PLACE_HOURS = (1, 2, 3, 6, 12, 24)


@dataclass(frozen=True)
class Frame:
    """Where the chart lies on the page (points), and what its edges mean (seconds since 1970, degrees C)."""

    x: float
    y: float
    width: float
    height: float
    from_s: float
    to_s: float
    low_c: float
    high_c: float

    def at(self, time_s: float) -> float:
        return self.x + (time_s - self.from_s) / (self.to_s - self.from_s) * self.width

    def level(self, core_c: float) -> float:
        return self.y + (core_c - self.low_c) / (self.high_c - self.low_c) * self.height


def draw_chart(
    canvas: Any, evidence: BatchEvidence, plan: ScheduledProcess | None, zone: ZoneInfo, box: tuple[float, ...]
) -> None:
    """Draw the readings, of which there is at least one, into ``box`` (left, bottom, width, height in points)."""
    left, bottom, width, height = box
    series = (*evidence.core, *evidence.air)
    frame = _frame(series, (left + _LEFT_PT, bottom + _BOTTOM_PT, width - _LEFT_PT, height - _BOTTOM_PT - _TOP_PT))
    _gaps(canvas, frame, evidence, plan)
    _grid(canvas, frame, zone)
    _steps(canvas, frame, evidence)
    _limits(canvas, frame, plan, bool(evidence.core))
    for number, probe in enumerate(evidence.core):
        _line(canvas, frame, probe, _DASHES[number % len(_DASHES)], 0.9, 0.0, longest_gaps(probe, evidence, plan))
    for probe in evidence.air:
        _line(canvas, frame, probe, (), 0.5, 0.6, [math.inf] * len(probe.time_s))
    _held(canvas, frame, evidence, plan)
    _legend(canvas, frame, evidence, bottom)


def longest_gaps(probe: ProbeSeries, evidence: BatchEvidence, plan: ScheduledProcess | None) -> list[float]:
    """The longest time (s) the plan lets pass after each reading: that of the heat up to the hottest moment of the batch,
    that of the cooling from then on."""
    hottest_s = max(zip(probe.core_c, probe.time_s, strict=True))[1] if evidence.core else 0.0
    heat_s, cooling_s = (_gap_s(plan, kind) for kind in (LimitKind.CORE_HEAT, LimitKind.COOLING))
    return [heat_s if time_s < hottest_s else cooling_s for time_s in probe.time_s]


def _gap_s(plan: ScheduledProcess | None, kind: LimitKind) -> float:
    limit = next((item for item in plan.limits if item.kind is kind), None) if plan else None
    gap_min = None if limit is None else limit.figures.get("longest_gap_min")
    return math.inf if gap_min is None else gap_min * 60


def _frame(series: Sequence[ProbeSeries], place: tuple[float, float, float, float]) -> Frame:
    times = [time_s for probe in series for time_s in (probe.time_s[0], probe.time_s[-1])]
    values = [core_c for probe in series for core_c in probe.core_c]
    low_c, high_c = min(0.0, math.floor(min(values) / 10) * 10.0), max(40.0, math.ceil(max(values) / 10) * 10.0)
    return Frame(*place, min(times), max(max(times), min(times) + 3600), low_c, high_c)


def _grid(canvas: Any, frame: Frame, zone: ZoneInfo) -> None:
    canvas.setDash()
    canvas.setLineWidth(0.3)
    canvas.setStrokeGray(0.85)
    for core_c in range(int(frame.low_c), int(frame.high_c) + 1, 10 if frame.high_c - frame.low_c <= 100 else 20):
        canvas.line(frame.x, frame.level(core_c), frame.x + frame.width, frame.level(core_c))
        _text(canvas, frame.x - 3, frame.level(core_c) - 2, f"{core_c}", "right")
    for moment in _hours(frame, zone):
        x = frame.at(moment.timestamp())
        canvas.line(x, frame.y, x, frame.y + frame.height)
        _text(canvas, x, frame.y - 8, f"{moment:%H:%M}", "centre")


def _hours(frame: Frame, zone: ZoneInfo) -> Iterator[datetime]:
    """Full hours in the time of the house, as many as find room."""
    every = next((n for n in _PLACE_HOURS if (frame.to_s - frame.from_s) / 3600 / n <= 14), _PLACE_HOURS[-1])
    first = datetime.fromtimestamp(frame.from_s, UTC).astimezone(zone).replace(minute=0, second=0)
    moment = first.astimezone(UTC)
    while moment.timestamp() <= frame.to_s:
        here = moment.astimezone(zone)
        if moment.timestamp() >= frame.from_s and here.hour % every == 0:
            yield here
        moment += timedelta(hours=1)


def _steps(canvas: Any, frame: Frame, evidence: BatchEvidence) -> None:
    """Each step's name above the chart, where there is room for it, and its ends as ticks."""
    canvas.setStrokeGray(0.4)
    for step in evidence.steps:
        start = max(step.start_s, frame.from_s)
        end = min(step.end_s or evidence.now_s, frame.to_s)
        if end <= start:
            continue
        top = frame.y + frame.height
        for moment in (start, end):
            canvas.line(frame.at(moment), top, frame.at(moment), top + 4)
        room = frame.at(end) - frame.at(start) - 2
        name = next((n for n in (step.name, step.name[-2:]) if text_width(n, Style.REGULAR, 75, SIZE_PT) <= room), "")
        _text(canvas, (frame.at(start) + frame.at(end)) / 2, top + 5, name, "centre")


def _limits(canvas: Any, frame: Frame, plan: ScheduledProcess | None, with_core: bool) -> None:
    for limit in plan.limits if plan else ():
        figure = limit.figures.get("core_c", limit.figures.get("air_c"))
        if figure is not None:
            _level(canvas, frame, figure, 1.0, f"limit {figure:g} C")
        elif limit.kind is LimitKind.COOLING and with_core:
            for core_c in _COOLING_C:
                _level(canvas, frame, core_c, 0.4, f"{core_c:g}")


def _level(canvas: Any, frame: Frame, core_c: float, width: float, says: str) -> None:
    if not frame.low_c <= core_c <= frame.high_c:
        return
    canvas.setStrokeGray(0)
    canvas.setLineWidth(width)
    canvas.setDash(5, 3)
    canvas.line(frame.x, frame.level(core_c), frame.x + frame.width, frame.level(core_c))
    canvas.setDash()
    below = says.startswith(f"{_COOLING_C[0]:g}")  # close under the usual core limit, whose words stand above its line
    _text(canvas, frame.x + frame.width - 2, frame.level(core_c) + (-6.5 if below else 2), says, "right")


def _line(
    canvas: Any, frame: Frame, probe: ProbeSeries, dash: tuple[float, ...], width: float, grey: float, gaps: list[float]
) -> None:
    canvas.setStrokeGray(grey)
    canvas.setFillGray(grey)
    canvas.setLineWidth(width)
    canvas.setDash(*([list(dash)] if dash else []))
    points = list(zip(probe.time_s, probe.core_c, gaps, strict=True))
    for (t0, c0, gap_s), (t1, c1, _) in pairwise(points):
        if t1 - t0 <= gap_s:
            canvas.line(frame.at(t0), frame.level(c0), frame.at(t1), frame.level(c1))
    canvas.setDash()
    for time_s, core_c, _ in points:
        canvas.circle(frame.at(time_s), frame.level(core_c), 0.9, stroke=0, fill=1)
    canvas.setFillGray(0)


def _gaps(canvas: Any, frame: Frame, evidence: BatchEvidence, plan: ScheduledProcess | None) -> None:
    """Grey where a probe was silent for longer than the plan allows."""
    for probe in evidence.core:
        for (start, end), gap_s in zip(pairwise(probe.time_s), longest_gaps(probe, evidence, plan), strict=False):
            if end - start > gap_s:
                canvas.setFillGray(0.9)
                canvas.rect(frame.at(start), frame.y, frame.at(end) - frame.at(start), frame.height, stroke=0, fill=1)
                canvas.setFillGray(0)
                said, room = f"no reading {(end - start) / 60:.0f} min", frame.at(end) - frame.at(start)
                if text_width(said, Style.REGULAR, 75, SIZE_PT) <= room:  # many short gaps would write over each other
                    _text(canvas, frame.at(start) + room / 2, frame.y + frame.height - 8, said, "centre")


def _held(canvas: Any, frame: Frame, evidence: BatchEvidence, plan: ScheduledProcess | None) -> None:
    """The longest unbroken time at or above the core limit, as a bar along its line."""
    limit = next((item for item in plan.limits if item.kind is LimitKind.CORE_HEAT), None) if plan else None
    if limit is None or not evidence.core:
        return
    gap_min = limit.figures.get("longest_gap_min", HeatLimit.longest_gap_min)
    heat = judge_heat(evidence.core, HeatLimit(limit.figures["core_c"], limit.figures["held_min"], gap_min))
    if heat.start_s is None or heat.end_s is None or heat.held_min < 1:
        return
    left, right, y = frame.at(heat.start_s), frame.at(heat.end_s), frame.level(limit.figures["core_c"])
    canvas.setFillGray(0)
    canvas.rect(left, y - 1, right - left, 2, stroke=0, fill=1)
    _text(canvas, (left + right) / 2, y + 3, f"held {heat.held_min:.0f} min", "centre")


def _legend(canvas: Any, frame: Frame, evidence: BatchEvidence, bottom: float) -> None:
    x, y = frame.x, bottom + 4
    named = [(probe.name, _DASHES[number % len(_DASHES)], 0.0) for number, probe in enumerate(evidence.core)]
    named += [("air", (), 0.6)] if evidence.air else []
    for name, dash, grey in named:
        canvas.setStrokeGray(grey)
        canvas.setLineWidth(0.9)
        canvas.setDash(*([list(dash)] if dash else []))
        canvas.line(x, y + 2, x + 18, y + 2)
        canvas.setDash()
        _text(canvas, x + 21, y, name)
        x += 33 + text_width(name, Style.REGULAR, 100, SIZE_PT)


def _text(canvas: Any, x: float, y: float, text: str, align: str = "left") -> None:
    canvas.setFillGray(0)
    canvas.setFont(font_name(Style.REGULAR, 75 if align == "centre" else 100), SIZE_PT)
    draw = {"left": canvas.drawString, "right": canvas.drawRightString, "centre": canvas.drawCentredString}
    draw[align](x, y, text)
