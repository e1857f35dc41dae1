"""Weigh fish after a step, and hold the yields of a batch against what its product usually gives."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.actions.smoke import take_readings
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import instant_of
from lotwake.trace.base.units import show_mass
from lotwake.trace.process.plan import ScheduledProcess, read_plan
from lotwake.trace.process.yields import (
    WENT_IN,
    WHOLE,
    StepYield,
    YieldFinding,
    YieldWord,
    judge_yield,
    step_yields,
    weighing,
)
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.facts import BatchSeen
from lotwake.trace.records.find import Kind

MOST_HISTORY = 40
"""How many earlier batches of a product its usual yield is taken from: the season's, not those of years ago."""
Pair = tuple[str, str]


@dataclass(frozen=True)
class BatchYield:
    """One yield of a batch, and how it stands."""

    step: StepYield
    finding: YieldFinding

    @property
    def out_of_line(self) -> bool:
        return self.finding.word in (YieldWord.LOW, YieldWord.HIGH)

    @property
    def said(self) -> str:
        """``smoking at 80 LOW: 71.2 % of brine (31.4 kg to 22.4 kg), usual 79 to 88 % in 14 batches``."""
        step, finding = self.step, self.finding
        weights = f"({show_mass(step.in_g)} to {show_mass(step.out_g)})"
        return f"{step.step} {finding.word}: {finding.yield_percent:.1f} % of {step.of} {weights}, {self.usual}"

    @property
    def short(self) -> str:
        """``71.2 % of brine: LOW, usual 79 to 88 % in 14 batches``."""
        word = "" if self.finding.word is YieldWord.UNKNOWN else f": {self.finding.word}, {self.usual}"
        return f"{self.finding.yield_percent:.1f} % of {self.step.of}{word}"

    @property
    def usual(self) -> str:
        """What it was held against."""
        finding = self.finding
        if finding.low_percent is None or finding.high_percent is None:
            return "no usual yield known yet"
        bounds = f"usual {finding.low_percent:.0f} to {finding.high_percent:.0f} %"
        return f"{bounds} in {finding.batches} batches" if finding.by_history else f"{bounds} by the plan"


def batch_yields(records: Records, batch: int) -> tuple[BatchYield, ...]:
    """The yield from each weighed step to the next, and that of the whole batch once its last step is over.

    The whole is what went in less all named losses. History is what the last released batches of the same product gave
    between the same two steps; while they are few, the plan's usual range counts where it gives one.
    """
    seen = facts.batches(records, [batch])[batch]
    product, process = records.one(
        "SELECT b.product, p.text FROM batch b LEFT JOIN scheduled_process p ON p.id = b.process WHERE b.id = ?", batch
    ) or (None, None)
    plan = None if process is None else read_plan(process)
    found = _yields(records, {batch: seen})[batch]
    if seen.released is not None or _is_over(records, batch, plan):
        found.extend(_whole(seen))
    if not found:
        return ()
    history = _history(records, seen, product)
    return tuple(
        BatchYield(item, judge_yield(item.in_g, item.out_g, history[item.step, item.of], _by_plan(plan, item)))
        for item in found
    )


def out_of_line(records: Records, batch: int) -> tuple[BatchYield, ...]:
    """The yields of a batch that are not as usual."""
    return tuple(item for item in batch_yields(records, batch) if item.out_of_line)


def _yields(records: Records, seen: Mapping[int, BatchSeen]) -> dict[int, list[StepYield]]:
    """The yields between weighed steps of many batches."""
    ids = list(seen)
    steps = _starts(records, ids)
    weights = defaultdict(list)
    for batch, probe, at, value in records.rows(
        f"SELECT batch, probe, at, value FROM reading WHERE batch IN ({_marks(ids)}) AND kind = 'weight' ORDER BY at, id",
        *ids,
    ):
        weights[batch].append(weighing(probe, instant_of(at).timestamp(), value, steps[batch]))
    return {ref: list(step_yields(item.in_g, weights[ref])) for ref, item in seen.items()}


def _starts(records: Records, ids: Sequence[int]) -> dict[int, list[tuple[str, float]]]:
    """Every step of many batches with its start in seconds."""
    steps: dict[int, list[tuple[str, float]]] = defaultdict(list)
    sql = f"SELECT batch, name, started FROM step WHERE batch IN ({_marks(ids)}) ORDER BY started, id"
    for batch, name, started in records.rows(sql, *ids):
        steps[batch].append((name.strip().lower(), instant_of(started).timestamp()))
    return steps


def _marks(ids: Sequence[int]) -> str:
    return ", ".join("?" * len(ids))


def _history(records: Records, seen: BatchSeen, product: int | None) -> dict[Pair, list[float]]:
    """What earlier batches of the product gave, by pairs of steps; nothing without a product."""
    history: dict[Pair, list[float]] = defaultdict(list)
    if product is None:
        return history
    rows = records.rows(
        "SELECT b.id FROM batch b WHERE b.product = ? AND (b.started < ? OR (b.started = ? AND b.id < ?))"
        " AND EXISTS (SELECT 1 FROM batch_release r WHERE r.batch = b.id)"
        " AND NOT EXISTS (SELECT 1 FROM hold h WHERE h.work = b.id AND h.kind = 'REJECT')"
        f" ORDER BY b.started DESC, b.id DESC LIMIT {MOST_HISTORY}",
        product, seen.started, seen.started, seen.id,
    )  # fmt: skip
    earlier = facts.batches(records, [ref for (ref,) in rows])
    if not earlier:
        return history
    for ref, found in _yields(records, earlier).items():
        for item in (*found, *_whole(earlier[ref])):
            history[item.step, item.of].append(item.percent)
    return history


def _whole(seen: BatchSeen) -> Iterator[StepYield]:
    if seen.in_g > 0 and seen.lost_g > 0:
        yield StepYield(WHOLE, WENT_IN, seen.in_g, seen.in_g - seen.lost_g)


def _is_over(records: Records, batch: int, plan: ScheduledProcess | None) -> bool:
    """Whether the last step of the plan has ended."""
    rows = records.rows("SELECT name FROM step WHERE batch = ? AND ended IS NOT NULL", batch)
    return plan is not None and plan.steps[-1].name in {name.strip().lower() for (name,) in rows}


def _by_plan(plan: ScheduledProcess | None, item: StepYield) -> tuple[float, float] | None:
    of = "" if item.of == WENT_IN else item.of
    for usual in plan.usual_yields if plan else ():
        if (usual.step, usual.of) == (item.step, of):
            return usual.low_percent, usual.high_percent
    return None


def weigh(
    desk: Desk, batch: str, g: int, step: str = "", at: datetime | None = None, scale: str = ""
) -> tuple[str, BatchYield | None]:
    """Write down the weight of all the fish of a batch after a step: the one named, or else the one begun last.

    Before the first step it is the weight that went in. Given back: after which step, and the yield, None where there is
    none yet.
    """
    thing = thing_of(desk.records, batch, [Kind.BATCH], "a weight")
    steps = _starts(desk.records, [thing.id])[thing.id]
    name, moment = step.strip().lower(), at or desk.now
    if name and name not in {begun for begun, _ in steps}:
        said = ", ".join(dict.fromkeys(begun for begun, _ in steps)) or "none yet"
        raise CallError(f"Batch {thing.shown} has no step {step.strip()!r} to be weighed after.", f"Begun: {said}.")
    after = weighing(name, moment.timestamp(), g, steps).step
    take_readings(desk, batch, "weight", [(moment, g)], "" if after == WENT_IN else after, scale)
    found = (item for item in batch_yields(desk.records, thing.id) if item.step.step == after)
    return after, next(found, None)
