"""Time out of temperature: minutes in the band where pathogens grow, added up over the day's steps.

Above 50 F (10 C) and below 135 F (57.2 C) 2 hours in all (3 if *S. aureus* is the only concern), or 4 hours if no more
than 2 of them lie above 70 F (21.1 C). Never above 70 F: 5 hours (12 for *S. aureus*). FDA guidance App. 4 Table A-2;
the last pair from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from lotwake.trace.process.basis import CAUTION, Basis, Verdict
from lotwake.trace.process.limits import published
from lotwake.trace.process.series import ProbeSeries, Run, coldest

COOL_C, WARM_C, HOT_C = 10.0, 21.1, 57.2

EXPOSURE_BASIS = Basis(
    "minutes above 10 C and below 57.2 C, and those of them above 21.1 C, by the worst probe; unrecorded time counts "
    "against the record",
    "FDA Fish and Fishery Products Hazards and Controls Guidance, App. 4 Table A-2",
    CAUTION,
)


@dataclass(frozen=True)
class ExposureLimit:
    """The hours of Table A-2, in minutes; ``mostly_cool_min`` holds while the warm part stays within ``warm_part_min``.

    ``mostly_cool_min`` None: the table has no such alternative.
    """

    any_min: float
    mostly_cool_min: float | None
    warm_part_min: float
    never_warm_min: float


def _minutes(key: str) -> float:
    return 60 * published(key).value


_WARM_PART_MIN = _minutes("exposure_warm_part")
GENERAL = ExposureLimit(
    _minutes("exposure_total"),
    _minutes("exposure_mostly_cool"),
    _WARM_PART_MIN,
    _minutes("exposure_never_warm"),
)
ONLY_S_AUREUS = ExposureLimit(
    _minutes("exposure_s_aureus"), None, _WARM_PART_MIN, _minutes("exposure_s_aureus_never_warm")
)


@dataclass(frozen=True)
class Exposure:
    """Minutes in the growth band, of which warm (above 21.1 C), and minutes without a reading."""

    band_min: float
    warm_min: float
    unrecorded_min: float

    def __add__(self, other: Exposure) -> Exposure:
        return Exposure(
            self.band_min + other.band_min,
            self.warm_min + other.warm_min,
            self.unrecorded_min + other.unrecorded_min,
        )


NO_EXPOSURE = Exposure(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class ExposureEvidence:
    """The exposure of one probe, the worst, against the limit that applies to it."""

    exposure: Exposure
    allowed_min: float
    verdict: Verdict
    basis: Basis = EXPOSURE_BASIS


def exposure_of(probe: ProbeSeries, longest_gap_min: float) -> Exposure:
    """What one probe shows; the time of a gap is unrecorded, whatever stands at its ends."""
    line = coldest([probe], longest_gap_min * 60)
    return Exposure(
        sum(_minutes_between(run, COOL_C, HOT_C) for run in line.runs),
        sum(_minutes_between(run, WARM_C, HOT_C) for run in line.runs),
        sum(end - start for start, end in line.gaps) / 60,
    )


def worst_exposure(probes: Sequence[ProbeSeries], longest_gap_min: float) -> Exposure:
    """The most any of the probes shows, figure by figure."""
    shown = [exposure_of(probe, longest_gap_min) for probe in probes]
    return Exposure(
        max((e.band_min for e in shown), default=0.0),
        max((e.warm_min for e in shown), default=0.0),
        max((e.unrecorded_min for e in shown), default=0.0),
    )


def judge_exposure(exposure: Exposure, limit: ExposureLimit = GENERAL) -> ExposureEvidence:
    """A total (steps are added with ``+``) against the limit.

    NOT MET if the recorded time alone breaks it; NO EVIDENCE if it would be broken with the unrecorded time counted.
    """
    if exposure.band_min > _allowed_min(exposure, limit):
        verdict = Verdict.NOT_MET
    else:
        unseen = exposure.unrecorded_min
        worst = Exposure(exposure.band_min + unseen, exposure.warm_min + unseen, 0.0)
        verdict = Verdict.MET if worst.band_min <= _allowed_min(worst, limit) else Verdict.NO_EVIDENCE
    return ExposureEvidence(exposure, _allowed_min(exposure, limit), verdict)


def _allowed_min(exposure: Exposure, limit: ExposureLimit) -> float:
    if exposure.warm_min <= 0:
        return limit.never_warm_min
    if limit.mostly_cool_min is not None and exposure.warm_min <= limit.warm_part_min:
        return limit.mostly_cool_min
    return limit.any_min


def _minutes_between(run: Run, low_c: float, high_c: float) -> float:
    """Minutes of a run that lie between two temperatures."""
    total_s = 0.0
    for (t0, t1), (c0, c1) in zip(pairwise(run.time_s), pairwise(run.core_c), strict=True):
        cooler, warmer = (c0, c1) if c0 <= c1 else (c1, c0)
        if warmer == cooler:
            total_s += t1 - t0 if low_c < cooler < high_c else 0.0
        else:
            inside = max(0.0, min(warmer, high_c) - max(cooler, low_c))
            total_s += (t1 - t0) * inside / (warmer - cooler)
    return total_s / 60
