"""The verdict on a batch as rows and sentences: planned steps, limits, claims, core temperature. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

from lotwake.trace.actions.batch_chart import longest_gaps
from lotwake.trace.actions.batch_judged import BatchJudged
from lotwake.trace.actions.yields import BatchYield
from lotwake.trace.base.moments import show_moment
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.cooling import TWO_STAGES
from lotwake.trace.process.instruments import Standing
from lotwake.trace.process.plan import LimitKind, ScheduledProcess
from lotwake.trace.process.verdict import LimitFinding
from lotwake.trace.process.yields import YieldWord
from lotwake.trace.screens.widgets import Row

NO_PLAN = "made without a scheduled process, so no limit is judged"


def finding_rows(judged: BatchJudged) -> list[Row]:
    """Each limit with its verdict and the number found, each yield, then each claim, YES or NO."""
    rows = [
        Row(f"limit {at}", (str(item.verdict), item.limit.key, item.found), (_TONES[item.verdict],))
        for at, item in enumerate(judged.verdict.findings if judged.verdict else ())
    ]
    rows += [
        Row(f"outlook {at}", (item.word, item.about, item.text), ("stop" if item.late else "",))
        for at, item in enumerate(judged.outlook)
    ]
    rows += [
        Row(
            f"instrument {at}",
            (str(item.trust.standing), f"read with {item.name}", item.trust.why),
            (_STANDINGS.get(item.trust.standing, "check"),),
        )
        for at, item in enumerate(judged.instruments)
    ]
    rows += [
        Row(f"yield {at}", _yield(item), ("check" if item.out_of_line else "",))
        for at, item in enumerate(judged.yields)
    ]
    return rows + [
        Row(
            f"claim {at}",
            ("YES" if claim.allowed else "NO", str(claim.kind), claim.why),
            ("good" if claim.allowed else "",),
        )
        for at, claim in enumerate(judged.claims)
    ]


def _yield(item: BatchYield) -> tuple[str, str, str]:
    percent = f"{item.finding.yield_percent:.1f} %"
    word = "" if item.finding.word is YieldWord.UNKNOWN else str(item.finding.word)
    return word, f"yield {item.step.step}", f"{percent}, {item.usual}"


def told_in_full(judged: BatchJudged, key: str, zone: ZoneInfo) -> str:
    """What stands behind a row of ``finding_rows``: the rule, what was found, when, and whose rule it is."""
    kind, _, number = key.partition(" ")
    if kind == "outlook":
        item = judged.outlook[int(number)]
        return f"{item.about.capitalize()}: {item.word}, {item.text}. Source: {item.source}. A forecast or a sum, no evidence."
    if kind == "instrument":
        used = judged.instruments[int(number)]
        return f"{used.readings:,} readings with {used.said}."
    if kind == "yield":
        found = judged.yields[int(number)]
        return f"Yield of {found.said}. Source: {found.finding.basis.source}."
    if kind == "claim":
        claim = judged.claims[int(number)]
        return f"{'YES' if claim.allowed else 'NO'}, kept {judged.keeping}: {claim.why} Source: {claim.source}."
    assert judged.verdict is not None
    return _finding(judged.verdict.findings[int(number)], zone)


def _finding(item: LimitFinding, zone: ZoneInfo) -> str:
    told = item.limit.packaging in item.limit.says
    only = "" if told else f" (for {item.limit.packaging} packs)"
    at = "" if item.at_s is None else f" ({show_moment(datetime.fromtimestamp(item.at_s, UTC), zone)})"
    return f"{item.limit.says}{only}: {item.verdict}. Found: {item.found}{at}. Source: {item.limit.source}."


_TONES = {Verdict.MET: "good", Verdict.NOT_MET: "stop", Verdict.NO_EVIDENCE: "check"}
_STANDINGS = {Standing.IN_ORDER: "good", Standing.FAILED: "stop"}


def verdict_line(judged: BatchJudged, charted: bool) -> str:
    """The verdict in one word, and under which plan; ``charted`` adds what the signs of the chart mean."""
    if judged.verdict is None:
        return f"NO PLAN   {NO_PLAN}"
    plan = judged.verdict.plan
    levels = ", ".join(f"{level_c:g}" for level_c in limits_c(plan, bool(judged.evidence.core)))
    signs = [f"- limit {levels} C"] if levels else []
    signs += [". cooling"] if cooling_levels_c(plan, bool(judged.evidence.core)) else []
    signs += ["a air"] if judged.evidence.air else []
    legend = f"{'  '.join([*signs, '= set points'])}   " if charted else ""
    return f"{judged.verdict.word}   {legend}{plan.name}"


def limits_c(plan: ScheduledProcess | None, with_core: bool) -> list[float]:
    """The temperatures (degrees C) that the plan limits: of the core where one was read, and of the air."""
    figures = (item.figures for item in plan.limits) if plan else ()
    names = ("core_c", "air_c") if with_core else ("air_c",)
    return [found[name] for found in figures for name in names if name in found]


def cooling_levels_c(plan: ScheduledProcess | None, with_core: bool) -> list[float]:
    """The temperatures (degrees C) between which cooling is timed, where the plan limits it."""
    timed = with_core and plan is not None and any(item.kind is LimitKind.COOLING for item in plan.limits)
    return sorted({level for stage in TWO_STAGES for level in (stage.from_c, stage.to_c)}) if timed else []


def missing_line(judged: BatchJudged) -> str:
    """What stands between the batch and its packs."""
    odd = [f"{item.name} {item.trust.standing}" for item in judged.instruments if item.in_doubt]
    odd += [f"yield {item.step.step} {item.finding.word}" for item in judged.yields if item.out_of_line]
    look = f"Look at: {'; '.join(odd)}. " if odd else ""
    return f"{look}Still missing before packing: {'; '.join(judged.missing) or 'nothing'}."


def core_words(judged: BatchJudged, zone: ZoneInfo) -> str:
    """Lowest, highest and last core temperature of all probes, and where nothing was read for longer than allowed."""
    core = judged.evidence.core
    if not core:
        return "Core: no temperature was read."
    last_s, last_c = max((probe.time_s[-1], probe.core_c[-1]) for probe in core)
    values = [core_c for probe in core for core_c in probe.core_c]
    names = (
        ", ".join(f"{number} {probe.name}" for number, probe in enumerate(core, 1)) if len(core) > 1 else core[0].name
    )
    gaps = "; ".join(_gaps(judged, zone))
    return (
        f"Core ({names}): lowest {min(values):.1f} C, highest {max(values):.1f} C, last {last_c:.1f} C at "
        f"{_clock(last_s, zone)}, {len(values)} readings. {f'No reading {gaps}.' if gaps else 'No gap.'}"
    )


def _gaps(judged: BatchJudged, zone: ZoneInfo) -> Iterator[str]:
    plan = judged.verdict.plan if judged.verdict else None
    for probe in judged.evidence.core:
        allowed = longest_gaps(probe, judged.evidence, plan)
        for (start, end), gap_s in zip(pairwise(probe.time_s), allowed, strict=False):
            if end - start > gap_s:
                yield f"{_clock(start, zone)} to {_clock(end, zone)} ({probe.name})"


def _clock(time_s: float, zone: ZoneInfo) -> str:
    return f"{datetime.fromtimestamp(time_s, zone):%H:%M}"
