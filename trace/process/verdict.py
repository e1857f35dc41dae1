"""The verdict of a batch: each critical limit of its plan, met, not met or without evidence, with the numbers that decided."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.cooling import judge_cooling
from lotwake.trace.process.heat import HeatLimit, judge_heat
from lotwake.trace.process.histamine import judge_receiving
from lotwake.trace.process.plan import CriticalLimit, LimitKind, PlannedStep, ScheduledProcess
from lotwake.trace.process.salt import NITRITE_COUNTS_FROM_PPM, SaltSample, judge_wps
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.process.steps import StepTiming, StepWord, time_step

_WORST_LAST = (Verdict.MET, Verdict.NO_EVIDENCE, Verdict.NOT_MET)


@dataclass(frozen=True)
class StepDone:
    """A step as it was done; seconds from any one origin, ``end_s`` None while it runs."""

    name: str
    start_s: float
    end_s: float | None


@dataclass(frozen=True)
class FishIn:
    """A fish lot in the batch: whether its species forms histamine, its core (degrees C) and age (hours) at receiving."""

    name: str
    histamine: bool
    core_c: float | None
    hours_since_death: float | None


@dataclass(frozen=True)
class BatchEvidence:
    """What was written down about a batch. Times are seconds from the same origin; ``water_activity`` the highest measured."""

    now_s: float
    steps: tuple[StepDone, ...] = ()
    core: tuple[ProbeSeries, ...] = ()
    air: tuple[ProbeSeries, ...] = ()
    salt: tuple[SaltSample, ...] = ()
    nitrite_ppm: float | None = None
    water_activity: float | None = None
    fish: tuple[FishIn, ...] = ()


@dataclass(frozen=True)
class LimitFinding:
    """One limit and what the record shows: ``found`` in words, ``at_s`` when the reading that decided was taken."""

    limit: CriticalLimit
    verdict: Verdict
    found: str
    at_s: float | None = None


@dataclass(frozen=True)
class BatchVerdict:
    """All findings, and every planned step against its window."""

    plan: ScheduledProcess
    findings: tuple[LimitFinding, ...]
    timings: tuple[tuple[PlannedStep, StepTiming], ...]

    @property
    def holding_back(self) -> tuple[LimitFinding, ...]:
        """The limits, for all packagings, that are not met: each needs a cause, a corrective action and a named release."""
        return tuple(item for item in self.findings if item.verdict is not Verdict.MET and not item.limit.packaging)

    @property
    def word(self) -> Verdict:
        """The worst verdict among the limits that count for all packagings."""
        return max(
            (i.verdict for i in self.findings if not i.limit.packaging), key=_WORST_LAST.index, default=Verdict.MET
        )

    def finding(self, kind: LimitKind, packaging: str = "") -> LimitFinding | None:
        """The worst finding of this kind that counts for this packaging."""
        found = [item for item in self.findings if item.limit.kind is kind and item.limit.packaging in ("", packaging)]
        return max(found, key=lambda item: _WORST_LAST.index(item.verdict), default=None)


def judge_batch(plan: ScheduledProcess, evidence: BatchEvidence) -> BatchVerdict:
    """Hold the record of a batch against its plan."""
    findings = tuple(_JUDGES[limit.kind](limit, plan, evidence) for limit in plan.limits)
    return BatchVerdict(plan, findings, _timings(plan, evidence))


def _core_heat(limit: CriticalLimit, _plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    if not evidence.core:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, "no core temperature was read")
    figures = limit.figures
    gap_min = figures.get("longest_gap_min", HeatLimit.longest_gap_min)
    heat = judge_heat(evidence.core, HeatLimit(figures["core_c"], figures["held_min"], gap_min))
    decided = heat.deciding
    found = f"{figures['core_c']:g} C or hotter for {heat.held_min:.0f} min unbroken"
    if decided is not None:
        found += f"; {decided.why}: {decided.core_c:.1f} C, {decided.probe}"
    return LimitFinding(limit, heat.verdict, found, None if decided is None else decided.time_s)


def _cooling(limit: CriticalLimit, _plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    if not evidence.core:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, "no core temperature was read")
    cooled = judge_cooling(evidence.core, limit.figures.get("longest_gap_min", 30.0))
    found = (f"{item.stage.from_c:g} to {item.stage.to_c:g} C {item.said}, {item.probe}" for item in cooled.stages)
    return LimitFinding(limit, cooled.verdict, "; ".join(found))


def _salt(limit: CriticalLimit, _plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    nitrite = evidence.nitrite_ppm or 0.0
    with_nitrite = limit.figures.get("with_nitrite_percent")
    enough = with_nitrite is not None and nitrite >= NITRITE_COUNTS_FROM_PPM
    wanted = with_nitrite if with_nitrite is not None and enough else limit.figures["percent"]
    wps = judge_wps(evidence.salt, wanted)
    if wps.wps_percent is None or wps.deciding is None:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, "no salt and moisture result")
    found = f"{wps.wps_percent:.4g} % in the lowest sample {wps.deciding.name}, {wanted:g} % wanted"
    return LimitFinding(limit, wps.verdict, found + (f", nitrite {nitrite:g} ppm" if nitrite else ""))


def _air(limit: CriticalLimit, _plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    done = [step for step in evidence.steps if step.name == limit.step]
    readings = [
        (core_c, time_s)
        for series in evidence.air
        for time_s, core_c in zip(series.time_s, series.core_c, strict=True)
        if any(step.start_s <= time_s <= (evidence.now_s if step.end_s is None else step.end_s) for step in done)
    ]
    if not readings:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, f"no air temperature was read during {limit.step}")
    hottest_c, at_s = max(readings)
    verdict = Verdict.MET if hottest_c <= limit.figures["air_c"] else Verdict.NOT_MET
    return LimitFinding(limit, verdict, f"hottest air {hottest_c:.1f} C of {len(readings)} readings", at_s)


def _receiving(limit: CriticalLimit, _plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    at_risk = [fish for fish in evidence.fish if fish.histamine]
    if not at_risk:
        return LimitFinding(limit, Verdict.MET, "no fish of a kind that forms histamine")
    judged = [(judge_receiving(fish.core_c, fish.hours_since_death), fish) for fish in at_risk]
    worst, fish = max(judged, key=lambda item: _WORST_LAST.index(item[0].verdict))
    core = "no core temperature" if fish.core_c is None else f"core {fish.core_c:.1f} C"
    age = "hours since landing not known" if fish.hours_since_death is None else f"{fish.hours_since_death:.0f} h old"
    return LimitFinding(limit, worst.verdict, f"{fish.name}: {core}, {age}")


def _step_time(limit: CriticalLimit, plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    planned = plan.step_named(limit.step)
    done = [step for step in evidence.steps if step.name == limit.step]
    if planned is None or not done:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, f"the step {limit.step} was not written down")
    timing = _timing(planned, done[-1], evidence)
    if done[-1].end_s is None:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, f"{limit.step} has not ended")
    verdict = Verdict.MET if timing.word is StepWord.IN_WINDOW else Verdict.NOT_MET
    return LimitFinding(limit, verdict, f"{timing.actual_min or 0:.0f} min", done[-1].end_s)


_JUDGES: Mapping[LimitKind, Callable[[CriticalLimit, ScheduledProcess, BatchEvidence], LimitFinding]] = {
    LimitKind.CORE_HEAT: _core_heat,
    LimitKind.COOLING: _cooling,
    LimitKind.WATER_PHASE_SALT: _salt,
    LimitKind.AIR_AT_MOST: _air,
    LimitKind.RECEIVING: _receiving,
    LimitKind.STEP_TIME: _step_time,
}


def _timings(plan: ScheduledProcess, evidence: BatchEvidence) -> tuple[tuple[PlannedStep, StepTiming], ...]:
    last: dict[str, StepDone] = {step.name: step for step in evidence.steps}
    return tuple((planned, _timing(planned, last.get(planned.name), evidence)) for planned in plan.steps)


def _timing(planned: PlannedStep, done: StepDone | None, evidence: BatchEvidence) -> StepTiming:
    """A step against its window. It was ready when the last step before it ended; overlapping steps did not wait."""
    start_s = None if done is None else done.start_s
    end_s = None if done is None else done.end_s
    until_s = evidence.now_s if start_s is None else start_s
    before = [
        step.end_s for step in evidence.steps if step is not done and step.end_s is not None and step.end_s <= until_s
    ]
    return time_step(
        planned.window, evidence.now_s / 60, _minutes(max(before, default=None)), _minutes(start_s), _minutes(end_s)
    )


def _minutes(seconds: float | None) -> float | None:
    return None if seconds is None else seconds / 60
