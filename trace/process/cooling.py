"""Did the fish cool fast enough? Every probe is judged, and the one that did worst governs.

That is never kinder than one line of the warmest probe, whose clock would start late when a colder fish has long left
the upper temperature.

Two stages: 135 F to 70 F (57.2 to 21.1 C) within 2 hours, then to 40 F (4.4 C) within 4 more (FDA guidance ch. 12, from
memory; the retail Food Code has the same two steps). Michigan R 285.569 asks cooling to 38 F (3.3 C) at once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import CAUTION, Basis, Verdict, must_lie
from lotwake.trace.process.limits import published
from lotwake.trace.process.series import Governing, ProbeSeries, warmest

COOLING_BASIS = Basis(
    "time from the last moment a probe is at the upper temperature until it stays at or below the lower one; the slowest "
    "probe counts",
    "FDA Fish and Fishery Products Hazards and Controls Guidance, ch. 12 (from memory); retail Food Code",
    CAUTION,
)

_WORST_LAST = (Verdict.MET, Verdict.NO_EVIDENCE, Verdict.NOT_MET)


@dataclass(frozen=True)
class CoolingStage:
    """Cool from one temperature to a lower one within so many minutes."""

    from_c: float
    to_c: float
    most_min: float

    def __post_init__(self) -> None:
        if not self.from_c > self.to_c:
            raise CallError(f"Cooling from {self.from_c:g} to {self.to_c:g} C cannot be.", "Were the two exchanged?")


TWO_STAGES = (
    CoolingStage(57.2, 21.1, 60 * published("cooling_first").value),
    CoolingStage(21.1, 4.4, 60 * published("cooling_second").value),
)


@dataclass(frozen=True)
class StageEvidence:
    """How long one stage took by the probe that did worst.

    It lies between ``least_min`` and ``most_min``, which differ only if an end fell in a gap. Both are None when the
    readings do not show where the stage began; ``reached`` tells whether it has ended, and until then the minutes are
    those so far.
    """

    stage: CoolingStage
    verdict: Verdict
    least_min: float | None
    most_min: float | None
    reached: bool
    said: str
    probe: str


@dataclass(frozen=True)
class CoolingEvidence:
    """The stages in order, and the line of the warmest probe to draw."""

    stages: tuple[StageEvidence, ...]
    line: Governing
    basis: Basis = COOLING_BASIS

    @property
    def verdict(self) -> Verdict:
        """The worst of the stages."""
        return max((stage.verdict for stage in self.stages), key=_WORST_LAST.index)


@dataclass(frozen=True)
class _Passing:
    """When the line passed a level for good: exact, or somewhere in a gap; ``latest_s`` None if not yet."""

    earliest_s: float
    latest_s: float | None


def judge_cooling(
    probes: Sequence[ProbeSeries], longest_gap_min: float = 30, stages: Sequence[CoolingStage] = TWO_STAGES
) -> CoolingEvidence:
    """The evidence in these readings about each cooling stage; CallError without any reading."""
    line = warmest(probes, longest_gap_min * 60)
    alone = [(probe.name, warmest([probe], longest_gap_min * 60)) for probe in probes]
    found = tuple(max((_judge(name, own, stage) for name, own in alone), key=_how_bad) for stage in stages)
    return CoolingEvidence(found, line)


def _how_bad(found: StageEvidence) -> tuple[int, float]:
    return _WORST_LAST.index(found.verdict), found.most_min or 0.0


def _judge(probe: str, line: Governing, stage: CoolingStage) -> StageEvidence:
    start, end = _left(line, stage.from_c, at_level=True), _left(line, stage.to_c, at_level=False)
    if start is None or end is None:
        said = f"no reading at or above {stage.from_c:g} C shows where this stage began"
        return StageEvidence(stage, Verdict.NO_EVIDENCE, None, None, False, said, probe)
    if start.latest_s is None:
        said = f"still at or above {stage.from_c:g} C"
        return StageEvidence(stage, Verdict.NO_EVIDENCE, 0.0, 0.0, False, said, probe)
    now_s = line.runs[-1].end_s
    reached = end.latest_s is not None
    least_min = max(0.0, (end.earliest_s if reached else now_s) - start.latest_s) / 60
    most_min = ((now_s if end.latest_s is None else end.latest_s) - start.earliest_s) / 60
    verdict, said = _verdict(stage, reached, least_min, most_min)
    return StageEvidence(stage, verdict, least_min, most_min, reached, said, probe)


def _verdict(stage: CoolingStage, reached: bool, least_min: float, most_min: float) -> tuple[Verdict, str]:
    if least_min > stage.most_min:
        return Verdict.NOT_MET, f"took longer than {stage.most_min:g} min"
    if not reached:
        return Verdict.NO_EVIDENCE, f"not yet at {stage.to_c:g} C"
    if most_min <= stage.most_min:
        return Verdict.MET, f"within {stage.most_min:g} min"
    return Verdict.NO_EVIDENCE, "the moment it was reached lies in a gap between readings"


def _left(line: Governing, level_c: float, at_level: bool) -> _Passing | None:
    """When the line left this level for good: the last moment above it, or at it too; None if it was never there."""
    for number in range(len(line.runs) - 1, -1, -1):
        times, core = line.runs[number].time_s, line.runs[number].core_c
        for at in range(len(core) - 1, -1, -1):
            if core[at] > level_c or (at_level and core[at] == level_c):
                if at + 1 < len(core):
                    share = (core[at] - level_c) / (core[at] - core[at + 1])
                    moment = times[at] + share * (times[at + 1] - times[at])
                    return _Passing(moment, moment)
                later = line.runs[number + 1].start_s if number + 1 < len(line.runs) else None
                return _Passing(times[at], later)
    return None


FORECAST_BASIS = Basis(
    "T(t) = Ta + (T0 - Ta) e^(-kt); k = ln((T0 - Ta) / (T1 - Ta)) / dt; t = ln((T0 - Ta) / (target - Ta)) / k",
    "Newton's law of cooling",
    "A forecast, no evidence: fish in a stack does not cool like one fish. Record the warmest core.",
)


@dataclass(frozen=True)
class CoolingForecast:
    """Newton's law through two readings: ``rate_per_h`` and the minutes from the first reading to the target."""

    rate_per_h: float
    minutes_to_target: float
    basis: Basis = FORECAST_BASIS


def forecast_cooling(
    first_c: float, later_c: float, minutes_between: float, air_c: float, target_c: float
) -> CoolingForecast:
    """When the target will be reached if cooling goes on as between two readings; CallError if it never will."""
    must_lie("The time between the readings", minutes_between, 1e-6, 100_000, "minutes")
    if not first_c > later_c > air_c:
        raise CallError(
            "These readings do not cool towards the air.",
            "The first must be warmer than the second, and both warmer than the air.",
        )
    if not air_c < target_c:
        raise CallError(f"{target_c:g} C is never reached in air of {air_c:g} C.", "Cool in colder air or on ice.")
    rate_per_min = math.log((first_c - air_c) / (later_c - air_c)) / minutes_between
    return CoolingForecast(60 * rate_per_min, math.log((first_c - air_c) / (target_c - air_c)) / rate_per_min)
