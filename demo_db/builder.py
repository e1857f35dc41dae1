"""Build the season: every entry is made by the actions a person uses, at the moment it is said to have happened."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from importlib import resources
from pathlib import Path
from random import Random
from types import MappingProxyType

from lotwake.demo_db import arrivals, checks, incidents, planning, plans, scenario
from lotwake.demo_db.arrivals import Came
from lotwake.demo_db.diary import Diary, workdays
from lotwake.demo_db.packing import pack_day
from lotwake.demo_db.scenario import LEAD, STORE
from lotwake.demo_db.season import Season
from lotwake.demo_db.stores import Heap
from lotwake.demo_db.trade import FRIDAY, TUESDAY, ready_for_tomorrow, ship_day
from lotwake.trace.actions import judge, receive, set_up
from lotwake.trace.actions.desk import Desk, set_up_house
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.base.settings import holds_house
from lotwake.trace.records.entries.lots import BOUGHT_IN, FARMED, LANDING
from lotwake.trace.records.stock import MATERIAL

STORY = "STORY.md"
"""The story lies beside the record; it also tells a built season from a house."""


@dataclass(frozen=True)
class Built:
    """A season on disk: where it lies, and the codes the story tells of, by a short name."""

    places: Places
    landmarks: Mapping[str, str]


def build(folder: Path, tell: Callable[[str], None] = lambda _: None) -> Built:
    """Build the season into ``folder``, which must be new or empty; ``tell`` hears of each month.

    All or nothing: it is built beside the folder and moved in when it is whole. Refused when anything is there already.
    """
    places = places_at(folder)
    if places.folder.exists() and any(places.folder.iterdir()):
        raise Refused(f"{places.folder} is not empty; nothing was changed.", "Name another folder.")
    places.folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=".building-", dir=places.folder.parent) as workshop:
        house = places_at(Path(workshop) / "house")
        landmarks = _play(house, tell)
        house.settings.write_text(f'operator = "{LEAD}"\ncountry_of_origin = "Norway"\n', encoding="utf-8")
        (house.folder / STORY).write_text(story(), encoding="utf-8")
        _move_in(house, places)
    return Built(places, MappingProxyType(landmarks))


def story() -> str:
    """The season in plain words, in Markdown."""
    return resources.files("lotwake.demo_db").joinpath("story.md").read_text(encoding="utf-8")


def holds_season(places: Places) -> bool:
    """Whether this folder holds a season that was built here, perhaps with entries added since."""
    return holds_house(places) and (places.folder / STORY).exists()


def _move_in(house: Places, places: Places) -> None:
    """The record goes last: a folder with a record is a whole one."""
    places.folder.mkdir(exist_ok=True)
    for path in sorted(house.folder.iterdir(), key=lambda path: path == house.records):
        path.rename(places.folder / path.name)


def _play(places: Places, tell: Callable[[str], None]) -> dict[str, str]:
    places.folder.mkdir()
    clock = SetClock(scenario.OPENED)
    desk = set_up_house(places, scenario.SITE, LEAD, scenario.OPERATORS[LEAD], clock)
    season = Season(desk, Diary(clock, desk.zone), Random(scenario.SEED))
    try:
        # One transaction for the whole: nobody relies on half a season, and the disk is waited for once.
        with desk.records.transaction():
            _introduce(desk)
            _put_in_diary(season, tell)
            season.diary.work_until(scenario.MORNING_AFTER)
    finally:
        desk.close()
    return season.landmarks


def _introduce(desk: Desk) -> None:
    """Everybody and everything the house deals with."""
    for initials, name in scenario.OPERATORS.items():
        if initials != LEAD:
            set_up.add_operator(desk, initials, name)
    for source in scenario.SOURCES:
        set_up.add_source(desk, source)
    for supplier in scenario.SUPPLIERS:
        set_up.add_supplier(desk, *supplier)
    for customer in scenario.CUSTOMERS:
        set_up.add_buyer(desk, customer.facts)
    for equipment in scenario.EQUIPMENT:
        set_up.add_equipment(desk, *equipment)
    for text in plans.plans_at_opening():
        judge.adopt(desk, text)
    for product in scenario.PRODUCTS:
        set_up.add_product(desk, product)


def _put_in_diary(season: Season, tell: Callable[[str], None]) -> None:
    diary = season.diary
    for kind, came in _all_arrivals():
        diary.put(diary.moment(date.fromisoformat(came.day), came.time), partial(_receive, season, kind, came))
    days = workdays(scenario.FIRST_DAY, scenario.LAST_DAY)
    for month_begins in {day.month: day for day in reversed(days)}.values():
        diary.put(diary.moment(month_begins, "05:00"), partial(tell, f"{month_begins:%B %Y} ..."))
    shipping = 0
    for day in days:
        diary.put(diary.moment(day, "06:45"), partial(planning.plan_day, season))
        diary.put(diary.moment(day, "08:30"), partial(pack_day, season))
        if day.weekday() in (TUESDAY, FRIDAY):
            diary.put(diary.moment(day, "13:00"), partial(ship_day, season, shipping))
            shipping += 1
    incidents.put_in_diary(season)
    checks.put_in_diary(season, days)
    diary.put(diary.moment(scenario.LAST_DAY, "15:30"), partial(ready_for_tomorrow, season))


def _all_arrivals() -> list[tuple[str, Came]]:
    kinds = (
        (LANDING, arrivals.LANDINGS),
        (FARMED, arrivals.FARMED),
        (BOUGHT_IN, arrivals.BOUGHT_IN),
        (MATERIAL, arrivals.MATERIALS),
    )
    return [(kind, came) for kind, rows in kinds for came in rows]


def _receive(season: Season, kind: str, came: Came) -> None:
    material = kind == MATERIAL
    landed_on = season.today
    core_c100 = season.random.randint(4, 19) * 10
    if came.their_code == incidents.REJECTED_LOT:
        core_c100 = incidents.REJECTED_CORE_C100
    lot = receive.receive(
        season.by(STORE),
        Arrival(
            kind=kind,
            sender=came.sender,
            g=came.g,
            species="" if material else came.what,
            item=came.what if material else "",
            area=came.area,
            gear=came.gear,
            presentation=came.presentation,
            their_code=came.their_code,
            caught_from=landed_on - timedelta(days=2) if kind == LANDING else None,
            caught_to=landed_on - timedelta(days=1) if kind == LANDING else None,
            core_c100=None if material else core_c100,
            document=f"{came.day[5:7]}{came.day[8:]}-{season.random.randint(100, 999)}",
        ),
    )
    if came.their_code == incidents.REJECTED_LOT:
        incidents.reject_warm(season, lot.code, came.g)
        return
    store = season.materials if material else season.ice
    store.lots.append(Heap(lot.code, came.what, came.g, season.desk.now))
