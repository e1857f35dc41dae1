"""Batches: what goes in, each step with its readings and losses when it is over, the release at the end of the day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial

from lotwake.demo_db import curves
from lotwake.demo_db.diary import next_workday
from lotwake.demo_db.processes import PlannedStep, Process
from lotwake.demo_db.scenario import (
    HYDROMETER,
    LEAD,
    PROBES,
    SCALE,
    SECOND_THERMOMETERS,
    SMOKEHOUSES,
    SMOKER,
    THERMOMETERS,
)
from lotwake.demo_db.season import Batch, Season
from lotwake.trace.actions import receive, smoke, yields
from lotwake.trace.actions.smoke import Input

FIRST_CORE_C = 5.0
OVERNIGHT_MIN = 300
"""A step as long as this is written down when it begins, and again when it is over."""
THERMOMETERS_FAIL_DAY, THERMOMETERS_MENDED_DAY = date(2026, 10, 8), date(2026, 10, 12)
LAB_SAMPLES = ("loin 1", "loin 2")


@dataclass(frozen=True)
class TimedStep:
    """A step with the times it will have, and the core at its start and each minute after, by probe."""

    plan: PlannedStep
    started: datetime
    ended: datetime
    core_c: dict[str, list[float]]
    air_c: list[float]

    @property
    def minutes(self) -> int:
        return len(self.air_c)


@dataclass(frozen=True)
class Load:
    """One batch to be: its inputs, its smokehouse and tank, its timed steps.

    ``silent_from`` is set when the core thermometers stop reading in the smokehouse; ``signed`` is False when the batch is
    not released at the end of its day, ``results_come`` when the laboratory's results stay out.
    """

    process: Process
    inputs: tuple[Input, ...]
    g: int
    smokehouse: str
    tank: str
    steps: tuple[TimedStep, ...]
    silent_from: datetime | None = None
    signed: bool = True
    results_come: bool = True
    note: str = ""

    @property
    def started(self) -> datetime:
        return self.steps[0].started


Then = Callable[[Batch, Load], None]
"""What is to be done once a load has become a batch."""


def timed(season: Season, process: Process, start: datetime) -> tuple[TimedStep, ...]:
    """Draw the times and temperatures of one batch."""
    lags = {probe: curves.about(season.random, process.lag_min, 3) for probe in PROBES}
    core = dict.fromkeys(PROBES, FIRST_CORE_C)
    steps: list[TimedStep] = []
    moment = start
    for plan in process.steps:
        minutes = season.random.randint(plan.least_min, plan.most_min)
        air = curves.set_points(plan.air_c, minutes)
        line = {probe: curves.follow(core[probe], air, lags[probe]) for probe in PROBES}
        core = {probe: line[probe][-1] for probe in PROBES}
        begin = moment + timedelta(minutes=plan.wait_min if steps else 0)
        moment = begin + timedelta(minutes=minutes)
        steps.append(TimedStep(plan, begin, moment, line, air))
    return tuple(steps)


def plan_load(season: Season, process: Process, inputs: Sequence[Input], g: int, smokehouse: str, tank: str) -> Load:
    """A load of ``g`` grams of fish today, with the materials its process asks for."""
    portions = [
        portion
        for what, per_kg in process.materials
        for portion in season.materials.take(what, max(10, g * per_kg // 1_000))
    ]
    start = season.diary.moment(season.today, process.start)
    later = timedelta(minutes=35 if smokehouse.endswith("2") else 0)
    steps = timed(season, process, start + later)
    return Load(process, (*inputs, *(Input(code, part) for code, part in portions)), g, smokehouse, tank, steps)


def begin(season: Season, load: Load, then: Then | None = None) -> None:
    """Put a load into the diary; ``then`` is told the batch once it has its code."""
    season.diary.put(load.started, partial(_start, season, load, then))


def _start(season: Season, load: Load, then: Then | None) -> None:
    product = load.process.product
    made = smoke.start_batch(
        season.by(SMOKER), product.smoking, load.inputs, product.name, load.smokehouse, note=load.note
    )
    batch = Batch(made.code, product.name, product.species or "", load.g, awaited=load.process.lab)
    for step in load.steps:
        if step.minutes >= OVERNIGHT_MIN:
            season.diary.put(step.started, partial(_begin_step, season, load, batch, step))
        season.diary.put(step.ended, partial(_end_step, season, load, batch, step))
        if step.plan.where == "brine tank":
            season.brined.append((season.today, batch.species, batch.code))
    season.diary.put(load.steps[-1].ended + timedelta(minutes=20), partial(_finish, season, load, batch))
    if then is not None:
        then(batch, load)


def _begin_step(season: Season, load: Load, batch: Batch, step: TimedStep) -> None:
    smoke.take_step(season.by(SMOKER), batch.code, step.plan.name, step.started, None, _where(load, step))


def _end_step(season: Season, load: Load, batch: Batch, step: TimedStep) -> None:
    desk = season.by(SMOKER)
    if step.minutes >= OVERNIGHT_MIN:
        smoke.end_step(desk, batch.code, step.plan.name, step.ended)
    else:
        smoke.take_step(desk, batch.code, step.plan.name, step.started, step.ended, _where(load, step))
    if step.plan.where == "brine tank":
        _read_brine(season, batch, step)
    if step.plan.air_every_min:
        _read_air(season, load, batch, step)
    known_until = _known_until(load, step)
    if step.plan.core_every_min and known_until > 0:
        read_core(season, batch, step, PROBES, known_until, instruments=_core_thermometers(season, load))
    for loss in step.plan.losses:
        lost_g = season.thousandths(batch.g, loss.least, loss.most)
        smoke.lose(desk, batch.code, loss.kind, lost_g)
        batch.g -= lost_g
    if step.plan.losses:
        yields.weigh(desk, batch.code, batch.g, step.plan.name, step.ended, SCALE)


def _where(load: Load, step: TimedStep) -> str:
    known = {"smokehouse": load.smokehouse, "brine tank": load.tank, "chiller": "chiller", "table": "packing table"}
    return known.get(step.plan.where, "blast freezer")


def _core_thermometers(season: Season, load: Load) -> tuple[str, ...]:
    """Those of its smokehouse; the first borrows those of the second while its own are being mended."""
    mending = THERMOMETERS_FAIL_DAY < season.today < THERMOMETERS_MENDED_DAY
    return THERMOMETERS if load.smokehouse == SMOKEHOUSES[0] and not mending else SECOND_THERMOMETERS


def _known_until(load: Load, step: TimedStep) -> int:
    """The last minute of a step the thermometers read; those that stopped are dry again in the chiller."""
    if load.silent_from is None or step.plan.where != "smokehouse":
        return step.minutes
    return min(step.minutes, int((load.silent_from - step.started).total_seconds()) // 60)


def read_core(
    season: Season,
    batch: Batch,
    step: TimedStep,
    probes: Sequence[str],
    until_min: int,
    name: str = "",
    instruments: Sequence[str] = (),
) -> None:
    """Write down the core of one step by probe, with the last minute of the step as well.

    The end of a step that the next follows at once is the next one's first reading: it is not written twice.
    """
    first = 0 if step.plan.wait_min else step.plan.core_every_min
    minutes = sorted({*range(first, until_min + 1, step.plan.core_every_min), until_min})
    for probe, instrument in zip(probes, instruments or [name] * len(probes), strict=True):
        line = step.core_c[probe]
        values = [(step.started + timedelta(minutes=minute), curves.centi(line[minute])) for minute in minutes]
        smoke.take_readings(season.by(SMOKER), batch.code, "core", values, name or probe, instrument)


def _read_air(season: Season, load: Load, batch: Batch, step: TimedStep) -> None:
    values = [
        (step.started + timedelta(minutes=minute), curves.centi(curves.about(season.random, step.air_c[minute], 1.2)))
        for minute in range(0, step.minutes, step.plan.air_every_min)
    ]
    read_by = f"air thermometer, {load.smokehouse}" if step.plan.where == "smokehouse" else ""
    smoke.take_readings(season.by(SMOKER), batch.code, "air", values, instrument=read_by)


def _read_brine(season: Season, batch: Batch, step: TimedStep) -> None:
    cold = curves.centi(curves.about(season.random, 7.0, 2.0))
    degrees = 8_000 + season.random.randint(-150, 150)
    smoke.take_readings(season.by(SMOKER), batch.code, "brine", [(step.started, cold)])
    smoke.take_readings(season.by(SMOKER), batch.code, "brine strength", [(step.started, degrees)], "", HYDROMETER)


def _finish(season: Season, load: Load, batch: Batch) -> None:
    if load.process.lab and load.results_come:
        the_morning_after = season.diary.moment(next_workday(season.today), "07:30")
        season.diary.put(the_morning_after, partial(_enter_results, season, batch, season.desk.now))
    if load.signed:
        release(season, batch)


def _enter_results(season: Season, batch: Batch, sampled: datetime) -> None:
    """What the laboratory found in the samples of the evening before."""
    desk = season.by(LEAD)
    for sample in LAB_SAMPLES:
        smoke.take_readings(desk, batch.code, "salt", [(sampled, season.random.randint(255, 310))], sample)
        smoke.take_readings(desk, batch.code, "moisture", [(sampled, season.random.randint(6_050, 6_450))], sample)
    batch.awaited = False


def release(season: Season, batch: Batch, by_name: str = "", note: str = "") -> None:
    """The lead processor signs that a batch may be packed."""
    smoke.release_batch(season.by(LEAD), batch.code, note=note, by_name=by_name)
    season.released.append(batch)
    season.unread.append((season.today, batch.code))


def weigh_drip(season: Season, day: date) -> None:
    """Fish that has lain two days on ice has lost a little; it is named once for each lot."""
    for lot in season.ice.lots:
        if lot.g > 0 and not lot.dripped and (day - season.desk.day(lot.since)).days >= 2:
            drip_g = season.thousandths(lot.g, 3, 8)
            receive.lose_from_lot(season.by(SMOKER), lot.code, "drip", drip_g, note="weighed after two days on ice")
            lot.g, lot.dripped = lot.g - drip_g, True
