"""Instants and days: stored in UTC, typed and shown in the time of the house.

An instant is stored as ``2026-11-24T05:40:00Z`` (sorts as text, the same on every database), a day as ``2026-11-24``.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from lotwake.trace.base.errors import CallError

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FORM = "Write it as 2026-11-24 05:40, 24 Nov 05:40, 05:40, today, yesterday or now."
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_DAY_MONTH = re.compile(r"(\d{1,2})\s+([a-z]{3})[a-z]*(?:\s+(\d{4}))?")
_TIME = re.compile(r"(?:^|[\sT])(\d{1,2}):(\d{2})(?::(\d{2}))?$", re.IGNORECASE)


def zone_named(name: str) -> ZoneInfo:
    """The IANA time zone of this name; CallError if there is none."""
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, KeyError):
        raise CallError(
            f"There is no time zone called {name!r}.", "Use a name such as Europe/Oslo or Asia/Manila."
        ) from None


def instant_text(moment: datetime) -> str:
    """An aware moment as it is stored."""
    if moment.tzinfo is None:
        raise ValueError("a moment without a time zone says nothing")
    return moment.astimezone(UTC).isoformat(timespec="seconds")[:19] + "Z"


def instant_of(text: str) -> datetime:
    """A stored instant, aware, in UTC."""
    return datetime.fromisoformat(f"{text.removesuffix('Z')}+00:00")


def day_of(moment: datetime, zone: ZoneInfo) -> date:
    """The calendar day of a moment at the house."""
    return moment.astimezone(zone).date()


def read_day(text: str, today: date) -> date:
    """A typed day: ``2026-11-24``, ``24 Nov``, ``24 Nov 2026``, ``today``, ``yesterday``, ``tomorrow`` or ``+3``.

    A day and month without a year is the latest such day that is not after today.
    """
    typed = text.strip().lower()
    words = {"today": 0, "yesterday": -1, "tomorrow": 1}
    if typed in words:
        return today + timedelta(days=words[typed])
    if re.fullmatch(r"[+-]\d{1,4}", typed, re.ASCII):
        return today + timedelta(days=int(typed))
    try:
        if found := _ISO.fullmatch(typed):
            year, month, day = map(int, found.groups())
            return date(year, month, day)
        if (found := _DAY_MONTH.fullmatch(typed)) and found[2] in MONTHS:
            month = MONTHS.index(found[2]) + 1
            if found[3]:
                return date(int(found[3]), month, int(found[1]))
            this_year = date(today.year, month, int(found[1]))
            return this_year if this_year <= today else date(today.year - 1, month, int(found[1]))
    except ValueError:
        raise CallError(f"There is no day {text.strip()!r}.", _FORM) from None
    raise CallError(f"{text.strip()!r} is not a day.", _FORM)


def read_moment(text: str, now: datetime, zone: ZoneInfo) -> datetime:
    """A typed moment in the time of the house, aware, in UTC. A time alone is today's; ``now`` is now.

    A text with its own offset (``2026-11-24T05:40:00Z``, ``...+01:00``) keeps it. A clock time that does not exist on
    that day, or exists twice when the clocks go back, is taken as its first reading.
    """
    typed = text.strip()
    if typed.lower() == "now":
        return now.astimezone(UTC)
    if re.search(r"(Z|[+-]\d{2}:\d{2})$", typed):
        try:
            return datetime.fromisoformat(typed).astimezone(UTC)
        except (ValueError, OverflowError):
            raise CallError(f"{typed!r} is not a time.", _FORM) from None
    found = _TIME.search(typed)
    if found is None:
        raise CallError(f"{typed!r} has no time of day.", _FORM)
    today = day_of(now, zone)
    day_part = typed[: found.start()].strip()
    day = read_day(day_part, today) if day_part else today
    try:
        clock_time = time(int(found[1]), int(found[2]), int(found[3] or 0))
        return datetime.combine(day, clock_time, tzinfo=zone).astimezone(UTC)
    except (ValueError, OverflowError):  # the first and the last day of the calendar have no UTC day everywhere
        raise CallError(f"There is no time {typed!r}.", _FORM) from None


def show_day(day: date) -> str:
    """``24 Nov 2026``: a day nobody can read the wrong way round."""
    return f"{day.day:02d} {MONTHS[day.month - 1].capitalize()} {day.year}"


def show_moment(moment: datetime, zone: ZoneInfo) -> str:
    """``24 Nov 2026 05:40`` in the time of the house."""
    local = moment.astimezone(zone)
    return f"{show_day(local.date())} {local:%H:%M}"
