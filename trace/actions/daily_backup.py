"""A backup a day, made when somebody begins to work, and the rule by which old ones go."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path

from lotwake.trace.actions.back_up import BackUp, back_up
from lotwake.trace.actions.desk import Desk

DAYS, WEEKS, MONTHS = 7, 4, 12
"""How many days are kept, and of how many weeks and months the newest one."""
_NAME = "daily-{day}.db"


def is_made(desk: Desk) -> bool:
    """Whether today's is there already."""
    return _target(desk).exists()


def _target(desk: Desk) -> Path:
    return desk.places.backups / _NAME.format(day=desk.today)


def back_up_today(desk: Desk) -> BackUp | None:
    """Copy the record into the backups folder, unless that was done today, and verify the copy; None when it was.

    Older daily backups go by the rule, but only once the new one is whole. Other files there are left alone.
    """
    folder, target = desk.places.backups, _target(desk)
    if target.exists():
        return None
    folder.mkdir(parents=True, exist_ok=True)
    for left in folder.glob("daily-*.making*"):  # cut off on an earlier day
        if not left.name.startswith(f"daily-{desk.today}"):
            left.unlink(missing_ok=True)
    # Each station makes its own: whoever is ready last puts a newer copy in the same place.
    made = back_up(desk, folder / f"daily-{desk.today}.{os.getpid()}.making")
    os.replace(made.path, target)
    if made.verdict.whole:
        days = {found: path for path in folder.glob("daily-*.db") if (found := _day(path.stem))}
        for day in set(days) - kept(days):
            days[day].unlink(missing_ok=True)
    return BackUp(target, made.verdict)


def kept(days: Iterable[date]) -> set[date]:
    """Which backups stay: the newest days, and the newest of each of the newest weeks (ISO 8601) and months."""
    newest_first = sorted(days, reverse=True)
    weekly = _newest_of_each(newest_first, lambda day: day.isocalendar()[:2])
    monthly = _newest_of_each(newest_first, lambda day: (day.year, day.month))
    return {*newest_first[:DAYS], *weekly[:WEEKS], *monthly[:MONTHS]}


def _newest_of_each(newest_first: list[date], group: Callable[[date], tuple[int, int]]) -> list[date]:
    found: dict[tuple[int, int], date] = {}
    for day in newest_first:
        found.setdefault(group(day), day)
    return list(found.values())


def _day(name: str) -> date | None:
    try:
        return date.fromisoformat(name.removeprefix("daily-"))
    except ValueError:
        return None
