"""What is smoked today: the fish that has lain longest, in loads that leave no small rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from lotwake.demo_db import incidents
from lotwake.demo_db.diary import next_workday
from lotwake.demo_db.processes import BY_SPECIES, FLAKES, SALMON, Process
from lotwake.demo_db.scenario import LEAD, PACKER, SMOKEHOUSES, TANKS
from lotwake.demo_db.season import Batch, Season
from lotwake.demo_db.smokehouse import Load, begin, plan_load, weigh_drip
from lotwake.demo_db.stores import Portion
from lotwake.trace.actions import smoke
from lotwake.trace.actions.smoke import Input

USUAL_LOAD_G = 70_000


def plan_day(season: Season) -> None:
    """Fill the smokehouses that are free today."""
    weigh_drip(season, season.today)
    free = [name for name in SMOKEHOUSES if (season.today, name) not in season.taken]
    if season.today == incidents.MIXED_LOAD_DAY:
        _mixed_load(season, free.pop(0))
    if season.today in incidents.FLAKES_DAYS:
        _flakes(season, free.pop())
    for smokehouse in free:
        kinds = _waiting(season, smokehouse)
        if kinds:
            _one_load(season, BY_SPECIES[kinds[0]], smokehouse)


def _waiting(season: Season, smokehouse: str) -> list[str]:
    """Fish for this smokehouse, the oldest first. Salmon is smoked on its second day, and only in smokehouse 2."""
    tomorrow = (next_workday(season.today), SMOKEHOUSES[1])
    salmon_fits = smokehouse == SMOKEHOUSES[1] and tomorrow not in season.taken and season.today.weekday() < 3
    return [kind for kind in season.ice.kinds() if kind != SALMON.product.species or salmon_fits]


def _one_load(season: Season, process: Process, smokehouse: str) -> None:
    species = process.product.species or ""
    g = _load_g(season.ice.left_g(species))
    load = _planned(season, process, season.ice.take(species, g), smokehouse)
    if process is SALMON:
        season.taken.add((season.today + timedelta(days=1), SMOKEHOUSES[1]))
    begin(season, *incidents.met_by(season, load))


def _planned(season: Season, process: Process, portions: list[Portion], smokehouse: str) -> Load:
    g = sum(part for _, part in portions)
    tank = TANKS[SMOKEHOUSES.index(smokehouse)]
    if process.product.species == incidents.SHARED_BRINE_SPECIES and season.today in incidents.SHARED_BRINE_DAYS:
        tank = incidents.SHARED_TANK
    return plan_load(season, process, [Input(code, part) for code, part in portions], g, smokehouse, tank)


def _load_g(waiting_g: int) -> int:
    """An even part of what waits, near the usual load, to the nearest 100 g; the last part takes the rest."""
    loads = max(1, round(waiting_g / USUAL_LOAD_G))
    return waiting_g if loads == 1 else waiting_g // loads // 100 * 100


def _mixed_load(season: Season, smokehouse: str) -> None:
    """Two small batches of two species hang in one smokehouse at once: contact, though no gram is mixed."""
    first, second = (kind for kind in season.ice.kinds() if kind in ("HAD", "POK"))
    loads = [
        _planned(season, BY_SPECIES[species], season.ice.take(species, incidents.MIXED_LOAD_G), smokehouse)
        for species in (first, second)
    ]
    together: list[Batch] = []

    def note(batch: Batch, _load: Load) -> None:
        together.append(batch)
        if len(together) == len(loads):
            codes = [each.code for each in together]
            smoke.note_contact(season.by(LEAD), "load", f"{smokehouse}, one load of two species", codes)
            season.landmarks["same load, first"], season.landmarks["same load, second"] = codes

    for load in loads:
        begin(season, replace(load, steps=loads[0].steps), note)


def _flakes(season: Season, smokehouse: str) -> None:
    """Broken ends of earlier haddock batches, and packs that were opened again, become flakes."""
    ends, season.ends = season.ends, []
    rework = incidents.rework_due(season)
    g = sum(part for _, part in (*ends, *rework))
    load = plan_load(season, FLAKES, [Input(code, part) for code, part in ends], g, smokehouse, TANKS[0])

    def rework_too(batch: Batch, _load: Load) -> None:
        season.landmarks[f"flakes of {season.today}"] = batch.code
        for packs, _ in rework:
            smoke.add_inputs(season.by(PACKER), batch.code, [Input(packs)])

    begin(season, load, rework_too)
