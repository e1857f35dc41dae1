"""Histamine: receiving temperature, the sensory check of a landing, laboratory results.

FDA guidance ch. 7, from memory: 50 F (10 C) or below within 6 hours of death, 40 F (4.4 C) within 24; 18 fish of a lot
looked at, fewer than 2.5 % decomposed; action level 35 ppm (50 in the older guide). Reg. (EC) 2073/2005 row 1.26, from
memory: nine samples, the mean not above 100 mg/kg, two at most between 100 and 200, none above 200.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import CAUTION, Basis, Verdict, must_lie

FDA_ACTION_PPM, FDA_OLDER_ACTION_PPM = 35.0, 50.0
SENSORY_FISH, SENSORY_LEAST_PERCENT = 18, 2.5

RECEIVING_BASIS = Basis(
    "core at receiving against 10 C from 6 h after death, 4.4 C from 24 h",
    "FDA Fish and Fishery Products Hazards and Controls Guidance, ch. 7 (from memory)",
    CAUTION,
)
SAMPLING_BASIS = Basis(
    "n samples: mean <= m, at most c above m, none above M",
    "Reg. (EC) 2073/2005 Annex I ch. 1 row 1.26 (from memory)",
    CAUTION,
)


@dataclass(frozen=True)
class ReceivingEvidence:
    """Core temperature at receiving against the limit for the hours since death; no limit yet in the first hours."""

    core_c: float | None
    hours_since_death: float | None
    limit_c: float | None
    verdict: Verdict
    basis: Basis = RECEIVING_BASIS


def judge_receiving(core_c: float | None, hours_since_death: float | None) -> ReceivingEvidence:
    """One core temperature (the warmest fish) of a histamine-forming species.

    Without a temperature or a time of death there is no evidence. In the first six hours there is no figure to meet:
    that the fish lies in ice is then the evidence, so this says NO EVIDENCE too, unless the core is at 4.4 C already.
    """
    if core_c is not None:
        must_lie("A core temperature", core_c, -40, 45, "C")
    if hours_since_death is not None:
        must_lie("A time since death", hours_since_death, 0, 10_000, "hours")
    if core_c is None or hours_since_death is None:
        return ReceivingEvidence(core_c, hours_since_death, None, Verdict.NO_EVIDENCE)
    limit_c = 4.4 if hours_since_death >= 24 else 10.0 if hours_since_death >= 6 else None
    if limit_c is None:
        verdict = Verdict.MET if core_c <= 4.4 else Verdict.NO_EVIDENCE
    else:
        verdict = Verdict.MET if core_c <= limit_c else Verdict.NOT_MET
    return ReceivingEvidence(core_c, hours_since_death, limit_c, verdict)


def judge_sensory(examined: int, decomposed: int) -> Verdict:
    """The sensory check of one lot: at least 18 fish, fewer than 2.5 % of them decomposed."""
    if not 0 <= decomposed <= examined:
        raise CallError(f"{decomposed} of {examined} fish cannot be.", "Count the fish looked at, then the bad ones.")
    if examined and 100 * decomposed / examined >= SENSORY_LEAST_PERCENT:
        return Verdict.NOT_MET
    return Verdict.MET if examined >= SENSORY_FISH else Verdict.NO_EVIDENCE


@dataclass(frozen=True)
class SamplingPlan:
    """n samples, at most c between m and M (mg/kg), none above M."""

    n: int
    c: int
    m_ppm: float
    big_m_ppm: float


EU_PLAN = SamplingPlan(9, 2, 100.0, 200.0)
EU_BRINE_RIPENED_PLAN = SamplingPlan(9, 2, 200.0, 400.0)


@dataclass(frozen=True)
class SamplingEvidence:
    """Laboratory results (mg/kg) against a sampling plan."""

    plan: SamplingPlan
    results_ppm: tuple[float, ...]
    verdict: Verdict
    basis: Basis = SAMPLING_BASIS


def judge_histamine(results_ppm: Sequence[float], plan: SamplingPlan = EU_PLAN) -> SamplingEvidence:
    """NOT MET as soon as the results break the plan, even if samples are missing; MET only with all n."""
    for result in results_ppm:
        must_lie("Histamine", result, 0, 100_000, "mg/kg")
    above = [result for result in results_ppm if result > plan.m_ppm]
    all_in = len(results_ppm) >= plan.n
    broken = (
        len(above) > plan.c
        or any(result > plan.big_m_ppm for result in above)
        or (all_in and sum(results_ppm) > plan.m_ppm * len(results_ppm))
    )
    verdict = Verdict.NOT_MET if broken else Verdict.MET if all_in else Verdict.NO_EVIDENCE
    return SamplingEvidence(plan, tuple(results_ppm), verdict)
