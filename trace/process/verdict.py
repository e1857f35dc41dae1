"""The verdict of a batch: each critical limit of its plan, met, not met or without evidence, with the numbers that decided."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.cooling import StageEvidence, judge_cooling
from lotwake.trace.process.heat import HeatLimit, judge_heat
from lotwake.trace.process.histamine import judge_receiving
from lotwake.trace.process.plan import CriticalLimit, LimitKind, PlannedStep, ScheduledProcess
from lotwake.trace.process.salt import NITRITE_COUNTS_FROM_PPM, SaltSample, judge_wps
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.process.steps import StepTiming, StepWord, time_step

COOLING_GAP_MIN, AIR_GAP_MIN = 30.0, 60.0
"""Longest time between two readings where the plan does not say (common practice)."""
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
    """What was written down about a batch. Times are seconds from the same origin; ``water_activity`` the highest measured.

    ``core_warmest`` is the core with the warmer of two readings at one moment (empty: there were none), ``doubled`` names
    probe and moment of such readings.
    """

    now_s: float
    steps: tuple[StepDone, ...] = ()
    core: tuple[ProbeSeries, ...] = ()
    air: tuple[ProbeSeries, ...] = ()
    salt: tuple[SaltSample, ...] = ()
    nitrite_ppm: float | None = None
    water_activity: float | None = None
    fish: tuple[FishIn, ...] = ()
    core_warmest: tuple[ProbeSeries, ...] = ()
    doubled: tuple[tuple[str, float], ...] = ()


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
        """The worst verdict among the limits that count for all packagings; without any, nothing was shown."""
        found = (item.verdict for item in self.findings if not item.limit.packaging)
        return max(found, key=_WORST_LAST.index, default=Verdict.NO_EVIDENCE)

    def finding(self, kind: LimitKind, packaging: str = "") -> LimitFinding | None:
        """The worst finding of this kind that counts for this packaging."""
        found = [item for item in self.findings if item.limit.kind is kind and item.limit.packaging in ("", packaging)]
        return max(found, key=lambda item: _WORST_LAST.index(item.verdict), default=None)


def only_what_is_sound(whole: BatchVerdict, sound: BatchVerdict, why: str) -> BatchVerdict:
    """The verdict where some readings are in doubt: what is MET only with them lacks evidence, and says ``why``.

    ``sound`` is the verdict without those readings. Nothing ever looks better for leaving readings out.
    """
    findings = tuple(
        replace(item, verdict=Verdict.NO_EVIDENCE, found=f"{item.found}; but {why}")
        if item.verdict is Verdict.MET and alone.verdict is not Verdict.MET
        else item
        for item, alone in zip(whole.findings, sound.findings, strict=True)
    )
    return replace(whole, findings=findings)


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
    cooled = judge_cooling(
        evidence.core_warmest or evidence.core, limit.figures.get("longest_gap_min", COOLING_GAP_MIN)
    )
    return LimitFinding(limit, cooled.verdict, "; ".join(map(_stage, cooled.stages)))


def _stage(found: StageEvidence) -> str:
    """One stage of cooling with its numbers."""
    stage = f"{found.stage.from_c:g} to {found.stage.to_c:g} C"
    if found.most_min is None:
        return f"{stage}: {found.said}"
    return f"{stage}: {found.most_min:.0f} min{'' if found.reached else ' so far'}, {found.said}, {found.probe}"


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
    """Hot once is too hot; that it never was is shown only by readings over the whole step, without a long gap."""
    done = _done(evidence, limit.step)
    readings = [
        (core_c, time_s)
        for series in evidence.air
        for time_s, core_c in zip(series.time_s, series.core_c, strict=True)
        if any(step.start_s <= time_s <= (evidence.now_s if step.end_s is None else step.end_s) for step in done)
    ]
    if not readings:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, f"no air temperature was read during {limit.step}")
    hottest_c, at_s = max(readings)
    found = f"hottest air {hottest_c:.1f} C of {len(readings)} readings, at most {limit.figures['air_c']:g} C wanted"
    if hottest_c > limit.figures["air_c"]:
        return LimitFinding(limit, Verdict.NOT_MET, found, at_s)
    if any(step.end_s is None for step in done):
        return LimitFinding(limit, Verdict.NO_EVIDENCE, f"{found}; {limit.step} has not ended", at_s)
    times = [time_s for _, time_s in readings]
    gap_min = max(_longest_gap_s(step, times) for step in done) / 60
    if gap_min > limit.figures.get("longest_gap_min", AIR_GAP_MIN):
        return LimitFinding(
            limit, Verdict.NO_EVIDENCE, f"{found}; no reading for {gap_min:.0f} min of {limit.step}", at_s
        )
    return LimitFinding(limit, Verdict.MET, found, at_s)


def _longest_gap_s(step: StepDone, times: Sequence[float]) -> float:
    """The longest time of an ended step without a reading, its start and end counted."""
    end_s = step.start_s if step.end_s is None else step.end_s
    inside = sorted(time_s for time_s in times if step.start_s <= time_s <= end_s)
    return max(after - before for before, after in pairwise([step.start_s, *inside, end_s]))


def _receiving(limit: CriticalLimit, _plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    if not evidence.fish:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, "no fish lot is written down")
    at_risk = [fish for fish in evidence.fish if fish.histamine]
    if not at_risk:
        return LimitFinding(limit, Verdict.MET, "no fish of a kind that forms histamine")
    verdict, found = max((_received(fish) for fish in at_risk), key=lambda item: _WORST_LAST.index(item[0]))
    return LimitFinding(limit, verdict, found)


def _received(fish: FishIn) -> tuple[Verdict, str]:
    """One lot at receiving. What cannot be is no evidence, and is said: it must not hide the rest of the batch."""
    core = "no core temperature" if fish.core_c is None else f"core {fish.core_c:.1f} C"
    age = "hours since landing not known" if fish.hours_since_death is None else f"{fish.hours_since_death:.0f} h old"
    try:
        judged = judge_receiving(fish.core_c, fish.hours_since_death)
    except CallError as wrong:
        return Verdict.NO_EVIDENCE, f"{fish.name}: {wrong.sentence.rstrip('.')}"
    limit = "" if judged.limit_c is None else f", at most {judged.limit_c:g} C wanted"
    return judged.verdict, f"{fish.name}: {core}, {age}{limit}"


def _step_time(limit: CriticalLimit, plan: ScheduledProcess, evidence: BatchEvidence) -> LimitFinding:
    """Every time the step was done counts: doing it once more does not mend the first."""
    planned = plan.step_named(limit.step)
    done = _done(evidence, limit.step)
    if planned is None or not done:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, f"the step {limit.step} was not written down")
    found = [_one_step_time(limit, planned, step, evidence) for step in done]
    return max(found, key=lambda item: _WORST_LAST.index(item.verdict))


def _one_step_time(limit: CriticalLimit, planned: PlannedStep, step: StepDone, evidence: BatchEvidence) -> LimitFinding:
    timing = _timing(planned, step, evidence)
    actual_min = timing.actual_min or 0.0
    if step.end_s is None and timing.word is not StepWord.RUNNING_LONG:
        return LimitFinding(limit, Verdict.NO_EVIDENCE, f"{limit.step} has not ended, {actual_min:.0f} min so far")
    verdict = Verdict.MET if timing.word is StepWord.IN_WINDOW else Verdict.NOT_MET
    bounds = " to ".join(
        f"{bound:g}" for bound in (planned.window.least_min, planned.window.most_min) if bound is not None
    )
    return LimitFinding(limit, verdict, f"{actual_min:.0f} min, {bounds} min wanted", step.end_s)


def _done(evidence: BatchEvidence, name: str) -> list[StepDone]:
    """The steps of this name, in whatever case it was typed."""
    return [step for step in evidence.steps if step.name.strip().lower() == name]


_JUDGES: Mapping[LimitKind, Callable[[CriticalLimit, ScheduledProcess, BatchEvidence], LimitFinding]] = {
    LimitKind.CORE_HEAT: _core_heat,
    LimitKind.COOLING: _cooling,
    LimitKind.WATER_PHASE_SALT: _salt,
    LimitKind.AIR_AT_MOST: _air,
    LimitKind.RECEIVING: _receiving,
    LimitKind.STEP_TIME: _step_time,
}


def _timings(plan: ScheduledProcess, evidence: BatchEvidence) -> tuple[tuple[PlannedStep, StepTiming], ...]:
    last: dict[str, StepDone] = {step.name.strip().lower(): step for step in evidence.steps}
    return tuple((planned, _timing(planned, last.get(planned.name), evidence)) for planned in plan.steps)


def _timing(planned: PlannedStep, done: StepDone | None, evidence: BatchEvidence) -> StepTiming:
    """A step against its window. It was ready when the last step before it ended; overlapping steps did not wait.

    A step may end some seconds after ``now_s``, which is kept to the minute.
    """
    start_s = None if done is None else done.start_s
    end_s = None if done is None else done.end_s
    now_s = max(moment for moment in (evidence.now_s, start_s, end_s) if moment is not None)
    until_s = now_s if start_s is None else start_s
    before = [
        step.end_s for step in evidence.steps if step is not done and step.end_s is not None and step.end_s <= until_s
    ]
    return time_step(
        planned.window, now_s / 60, _minutes(max(before, default=None)), _minutes(start_s), _minutes(end_s)
    )


def _minutes(seconds: float | None) -> float | None:
    return None if seconds is None else seconds / 60
