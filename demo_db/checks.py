"""What keeps the record trustworthy: instruments checked against a reference, and records read through within the week."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from functools import partial

from lotwake.demo_db.scenario import (
    EQUIPMENT,
    HYDROMETER,
    OPENED,
    PACKER,
    SCALE,
    SECOND_THERMOMETERS,
    SMOKER,
    SPARE_LOGGER,
    THERMOMETERS,
)
from lotwake.demo_db.season import Season
from lotwake.demo_db.smokehouse import THERMOMETERS_FAIL_DAY
from lotwake.demo_db.trade import FRIDAY
from lotwake.trace.actions import judge

THERMOMETER_DAYS = (date(2026, 9, 28), date(2026, 10, 26))
"""Thermometers are checked every fourth Monday, besides the day the house opened."""
BEFORE_USE_DAY = THERMOMETERS_FAIL_DAY
"""On this day the core thermometers of the first smokehouse are checked before use as well."""
_GOOD_FOR = {SCALE: timedelta(days=365), SPARE_LOGGER: timedelta(days=180), HYDROMETER: timedelta(days=81)}
_MONTHLY = timedelta(days=35)
OVERLOOKED_DAY = date(2026, 11, 12)
"""The records of batches released on this day lie under others, and nobody reads them."""


def put_in_diary(season: Season, days: Sequence[date]) -> None:
    """The checks on their days, and on Fridays an hour for reading."""
    diary = season.diary
    instruments = [name for name, kind in EQUIPMENT if kind in ("thermometer", "scale", "logger", "hydrometer")]
    thermometers = [name for name, kind in EQUIPMENT if kind == "thermometer"]
    diary.put(OPENED + timedelta(hours=1), partial(_check, season, instruments))
    diary.put(diary.moment(BEFORE_USE_DAY, "06:10"), partial(_check, season, THERMOMETERS))
    for day in THERMOMETER_DAYS:
        diary.put(diary.moment(day, "06:15"), partial(_check, season, thermometers))
    for day in days:
        if day.weekday() == FRIDAY:
            diary.put(diary.moment(day, "15:00"), partial(_read_records, season))


def _check(season: Season, instruments: Sequence[str]) -> None:
    for name in instruments:
        due = season.today + _GOOD_FOR.get(name, _MONTHLY)
        judge.calibrate(season.by(SMOKER), name, _found(season, name), passed=True, due_on=due)


def _found(season: Season, name: str) -> str:
    if name == SCALE:
        return "20 kg test weight: 20.00 kg"
    if name == HYDROMETER:
        return "80 degrees in a weighed brine of 21.1 %"
    if name in SECOND_THERMOMETERS or (name in THERMOMETERS and season.today == BEFORE_USE_DAY):
        return "0.1 C low in ice water"
    return f"{season.random.randint(0, 2) / 10:.1f} C {season.random.choice(('low', 'high'))} in ice water"


def _read_records(season: Season) -> None:
    """Maren reads through the record of every batch that was released before today."""
    read = [(day, code) for day, code in season.unread if day < season.today and day != OVERLOOKED_DAY]
    for day_and_code in read:
        judge.review(season.by(PACKER), day_and_code[1], "read through, complete")
        season.unread.remove(day_and_code)
