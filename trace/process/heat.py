"""Did the core get hot enough for long enough? The coldest probe governs.

Default limit: 145 F (62.8 C) for 30 minutes, throughout the fish (FDA guidance ch. 13; Alaska 18 AAC 34.310, Wisconsin
ATCP 70 App. A, New York 1 NYCRR 262.5, read in copies). A plan may ask for more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from lotwake.trace.process.basis import CAUTION, Basis, Verdict
from lotwake.trace.process.lethality import ORGANISMS, Lethality, accumulated_lethality
from lotwake.trace.process.limits import published
from lotwake.trace.process.series import Governing, ProbeSeries, Run, coldest

HELD_BASIS = Basis(
    "longest unbroken time with the coldest probe at or above the limit; straight lines between readings, "
    "broken by any gap longer than the plan allows",
    "FDA Fish and Fishery Products Hazards and Controls Guidance, ch. 13; state rules (Alaska, Wisconsin, New York)",
    CAUTION,
)


@dataclass(frozen=True)
class HeatLimit:
    """Core temperature to reach, minutes to hold it unbroken, and the longest time between two readings."""

    core_c: float = published("hot_smoke_core_c").value
    held_min: float = published("hot_smoke_held").value
    longest_gap_min: float = 15.0


class Why(StrEnum):
    """Why a reading decided."""

    LOWEST_WHILE_HELD = "coldest while the limit was held"
    FELL_BELOW = "fell below the limit"
    GAP = "last before a gap in the readings"
    RECORD_ENDS = "the readings end"
    HIGHEST = "highest reached"


@dataclass(frozen=True)
class DecidingReading:
    """The point of the governing line that decided, and why."""

    time_s: float
    core_c: float
    probe: str
    why: Why


@dataclass(frozen=True)
class HeatEvidence:
    """What the readings prove. ``start_s`` and ``end_s`` bound the longest time held; ``come_up_min`` is from the
    first governing reading to the first moment at the limit (None if never)."""

    limit: HeatLimit
    verdict: Verdict
    held_min: float
    start_s: float | None
    end_s: float | None
    come_up_min: float | None
    deciding: DecidingReading | None
    lethality: tuple[Lethality, ...]
    line: Governing
    basis: Basis = HELD_BASIS


@dataclass(frozen=True)
class _Span:
    """One time at or above the limit: where it lies, the point that was lowest, and the point after it in its run."""

    run: int
    start_s: float
    end_s: float
    lowest_at: int
    after_at: int

    @property
    def length_s(self) -> float:
        return self.end_s - self.start_s


def judge_heat(probes: Sequence[ProbeSeries], limit: HeatLimit) -> HeatEvidence:
    """The evidence in these readings about one heat limit.

    NO EVIDENCE when there is no moment at which every probe is known, or when only a gap in the readings stands between
    the record and the limit.
    """
    line = coldest(probes, limit.longest_gap_min * 60)
    spans = [span for number, run in enumerate(line.runs) for span in _spans(number, run, limit.core_c)]
    longest = max(spans, key=lambda span: span.length_s, default=None)
    held_min = longest.length_s / 60 if longest else 0.0
    verdict, broken = _verdict(line, spans, held_min, limit)
    return HeatEvidence(
        limit,
        verdict,
        held_min,
        longest.start_s if longest else None,
        longest.end_s if longest else None,
        (spans[0].start_s - line.runs[0].start_s) / 60 if spans else None,
        _deciding(line, broken or longest, verdict),
        tuple(accumulated_lethality(line, organism) for organism in ORGANISMS),
        line,
    )


def _spans(number: int, run: Run, limit_c: float) -> list[_Span]:
    """Each time at or above the limit in one run, in order."""
    times, core = run.time_s, run.core_c
    spans: list[_Span] = []
    start: float | None = times[0] if core[0] >= limit_c else None
    lowest_at = 0
    for at, ((t0, t1), (c0, c1)) in enumerate(zip(pairwise(times), pairwise(core), strict=True), 1):
        if c1 >= limit_c:
            if start is None:
                start, lowest_at = t0 + (t1 - t0) * (limit_c - c0) / (c1 - c0), at
            elif c1 < core[lowest_at]:
                lowest_at = at
        elif start is not None:
            end = t0 + (t1 - t0) * (limit_c - c0) / (c1 - c0)
            spans.append(_Span(number, start, end, lowest_at, at))
            start = None
    if start is not None:
        spans.append(_Span(number, start, times[-1], lowest_at, len(times)))
    return spans


def _verdict(line: Governing, spans: list[_Span], held_min: float, limit: HeatLimit) -> tuple[Verdict, _Span | None]:
    """The verdict; with NO EVIDENCE for a gap, the span that the gap broke off."""
    if not line.runs:
        return Verdict.NO_EVIDENCE, None
    if spans and held_min >= limit.held_min:
        return Verdict.MET, None
    across_s, broken = _longest_across_gaps(line, spans)
    return (Verdict.NO_EVIDENCE, broken) if broken and across_s / 60 >= limit.held_min else (Verdict.NOT_MET, None)


def _longest_across_gaps(line: Governing, spans: list[_Span]) -> tuple[float, _Span | None]:
    """The longest time held, seconds, if the limit was held through every gap that has it held on both sides; and the
    span that begins it."""
    chains: list[list[_Span]] = []
    for span in spans:
        if chains and _gap_only(line, chains[-1][-1], span):
            chains[-1].append(span)
        else:
            chains.append([span])
    return max(
        ((chain[-1].end_s - chain[0].start_s, chain[0]) for chain in chains),
        key=lambda found: found[0],
        default=(0.0, None),
    )


def _gap_only(line: Governing, before: _Span, span: _Span) -> bool:
    """True when nothing but one gap in the readings lies between two spans."""
    return (
        span.run == before.run + 1
        and before.end_s == line.runs[before.run].end_s
        and span.start_s == line.runs[span.run].start_s
    )


def _deciding(line: Governing, span: _Span | None, verdict: Verdict) -> DecidingReading | None:
    if not line.runs:
        return None
    if span is None:
        run = max(line.runs, key=lambda run: max(run.core_c))
        return _reading(line, run, run.core_c.index(max(run.core_c)), Why.HIGHEST)
    run = line.runs[span.run]
    if verdict is Verdict.MET:
        return _reading(line, run, span.lowest_at, Why.LOWEST_WHILE_HELD)
    if span.after_at < len(run.time_s):
        return _reading(line, run, span.after_at, Why.FELL_BELOW)
    last = span.run == len(line.runs) - 1
    return _reading(line, run, span.after_at - 1, Why.RECORD_ENDS if last else Why.GAP)


def _reading(line: Governing, run: Run, at: int, why: Why) -> DecidingReading:
    return DecidingReading(run.time_s[at], run.core_c[at], line.probes[run.probe[at]], why)
