"""The steps of a batch against its plan as rows, and what goes on now in one line. Pure."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from lotwake.trace.actions.batch_judged import BatchJudged
from lotwake.trace.actions.yields import BatchYield
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.plan import LimitKind, PlannedStep
from lotwake.trace.process.steps import StepTiming, StepWindow, StepWord
from lotwake.trace.process.verdict import StepDone
from lotwake.trace.screens.widgets import Column, Row

STEP_COLUMNS = (
    Column("step"), Column("from", 12, from_width=62), Column("to", 12, from_width=76), Column("min", 4, True),
    Column("plan", 7), Column("yield", 7, True, from_width=62), Column("", 12),
)  # fmt: skip


def step_rows(judged: BatchJudged, zone: ZoneInfo) -> list[Row]:
    """Every planned step with its times, minutes, window, yield and word, then the steps that no plan names."""
    timings = judged.verdict.timings if judged.verdict else ()
    done = {step.name: step for step in judged.evidence.steps}
    yields = {item.step.step: item for item in judged.yields}
    rows = [
        _planned(step, timing, _times(done.get(step.name), judged, zone), yields.get(step.name))
        for step, timing in timings
    ]
    known = {step.name for step, _ in timings}
    for at, step in enumerate(judged.evidence.steps):
        if step.name not in known:
            end_s = judged.evidence.now_s if step.end_s is None else step.end_s
            word = "RUNNING" if step.end_s is None else "no window" if timings else ""
            minutes = f"{(end_s - step.start_s) / 60:.0f}"
            given, tone = _yield(yields.get(step.name))
            cells = (step.name, *_times(step, judged, zone), minutes, "", given, word)
            rows.append(Row(f"other {at}", cells, ("", "", "", "", "", tone)))
    return rows


def _yield(found: BatchYield | None) -> tuple[str, str]:
    """The yield of a step, and the colour it has when it is out of line."""
    return ("", "") if found is None else (f"{found.finding.yield_percent:.1f} %", "check" if found.out_of_line else "")


def _times(step: StepDone | None, judged: BatchJudged, zone: ZoneInfo) -> tuple[str, str]:
    """When a step began and ended; with the day where it is not that of the batch."""
    if step is None:
        return "", ""
    first = datetime.fromtimestamp(min(each.start_s for each in judged.evidence.steps), zone).date()
    moments = [None if at is None else datetime.fromtimestamp(at, zone) for at in (step.start_s, step.end_s)]
    begun, ended = (
        "" if at is None else f"{at:%H:%M}" if at.date() == first else f"{at:%d %b %H:%M}" for at in moments
    )
    return begun, ended


_ACT_NOW = (StepWord.OVERDUE, StepWord.RUNNING_LONG)
_NOT_AS_PLANNED = (StepWord.SHORT, StepWord.LONG)


def _planned(step: PlannedStep, timing: StepTiming, times: tuple[str, str], found: BatchYield | None) -> Row:
    minutes = "" if timing.actual_min is None else f"{timing.actual_min:.0f}"
    late = timing.began_late and timing.word is not StepWord.OVERDUE
    word = _LATE.get(timing.word, f"LATE, {timing.word}") if late else str(timing.word)
    tone = "stop" if timing.word in _ACT_NOW else "check" if late or timing.word in _NOT_AS_PLANNED else ""
    tone = "good" if not tone and timing.word is StepWord.MAY_END else tone
    given, odd = _yield(found)
    cells = (step.name, *times, minutes, _window(step.window), given, word)
    return Row(step.name, cells, ("", "", "", "", "", odd, tone))


_LATE = {
    StepWord.IN_WINDOW: "LATE", StepWord.RUNNING: "LATE, RUNS", StepWord.MAY_END: "LATE, ENDS",
    StepWord.RUNNING_LONG: "LATE, LONG",
}  # fmt: skip
"""Words for a step that began late, short enough for their column."""


def live_line(judged: BatchJudged) -> str:
    """What goes on now: the step that runs with the minutes it has left, the heat held so far, what will be too slow."""
    parts = [
        part for step, timing in (judged.verdict.timings if judged.verdict else ()) if (part := _running(step, timing))
    ]
    if not parts:
        parts = [f"{step.name} runs" for step in judged.evidence.steps if step.end_s is None]
    heat = judged.verdict.finding(LimitKind.CORE_HEAT) if judged.verdict and judged.evidence.core else None
    if heat is not None and heat.verdict is not Verdict.MET:
        parts.append(f"core {heat.found.partition(' unbroken')[0]}")
    cooling = [f"{item.text}: {item.word}" for item in judged.outlook if item.about.startswith("cooling")]
    return "; ".join([*parts, *cooling[:1]])


def _running(step: PlannedStep, timing: StepTiming) -> str:
    """``smoking 34 min, may end in 56``."""
    so_far = f"{step.name} {timing.actual_min or 0:.0f} min"
    if timing.word is StepWord.RUNNING:
        return f"{so_far}, may end in {timing.left_min or 0:.0f}"
    if timing.word is StepWord.MAY_END:
        return f"{so_far}, may end" + ("" if timing.left_min is None else f", must end in {timing.left_min:.0f}")
    return f"{so_far}, has gone on too long" if timing.word is StepWord.RUNNING_LONG else ""


def _window(window: StepWindow) -> str:
    least, most = window.least_min, window.most_min
    if least is not None and most is not None:
        return f"{least:g}-{most:g}"
    return f"{least:g}+" if least is not None else f"to {most:g}" if most is not None else ""
