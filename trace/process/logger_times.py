"""The times in a logger's file: dates in any common order, clock times, time zones, and seconds in UTC.

What can be read in two ways is never guessed: 05/06 asks for the order of day and month, and a clock time in the hour
when the clocks change asks for the logger's own offset.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from enum import StrEnum
from typing import Generic, TypeVar

from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import MONTHS, zone_named

Key = TypeVar("Key")
Value = TypeVar("Value")

DAY_S = 86_400
_HALF_HOUR_S = 1_800
"""The clocks of every zone change on the hour or the half."""
_EPOCH_DAY = date(1970, 1, 1).toordinal()

_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})", re.ASCII)
_NUMBERS = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})", re.ASCII)
_DAY_NAMED = re.compile(r"(\d{1,2})[ -]([a-z]{3})[a-z]*\.?[ -](\d{4}|\d{2})", re.ASCII | re.IGNORECASE)
_NAMED_DAY = re.compile(r"([a-z]{3})[a-z]*\.? (\d{1,2}),? (\d{4})", re.ASCII | re.IGNORECASE)
_OFFSET = r"Z|UTC|GMT|[+-]\d{2}:?\d{2}"
_CLOCK = re.compile(
    rf"(\d{{1,2}})([:.])(\d{{2}})(?:\2(\d{{2}})(?:[.,](\d{{1,9}}))?)?\s*([ap]\.?m\.?)?\s*({_OFFSET})?",
    re.ASCII | re.IGNORECASE,
)
_FIXED = re.compile(r"(?:UTC|GMT)?\s*([+-])(\d{1,2})(?::?(\d{2}))?", re.ASCII | re.IGNORECASE)


class DateOrder(StrEnum):
    """The order of day, month and year in a date of three numbers."""

    DMY = "dmy"
    MDY = "mdy"
    YMD = "ymd"


def is_date(text: str) -> bool:
    """Whether this is written like a date."""
    return any(form.fullmatch(text) for form in (_YEAR_FIRST, _NUMBERS, _DAY_NAMED, _NAMED_DAY))


def is_clock(text: str) -> bool:
    """Whether this is written like a time of day. Standing alone, dots would make it a number or a date."""
    return ":" in text and _CLOCK.fullmatch(text) is not None


def is_moment(text: str) -> bool:
    """Whether this is written like a date with a time of day."""
    day, clock = split_moment(text)
    return bool(day) and is_date(day) and _CLOCK.fullmatch(clock) is not None


def split_moment(text: str) -> tuple[str, str]:
    """The part with the date and the part with the time of day; either may be empty."""
    colon = text.find(":")
    end = colon if colon >= 0 else len(text)
    start = max(text.rfind(" ", 0, end), text.rfind("T", 0, end)) + 1
    return text[: max(start - 1, 0)].strip(" ,"), text[start:].strip()


def split_moments(texts: Sequence[str]) -> tuple[list[str], list[str]]:
    """``split_moment`` of a whole column; the usual form, a date and a time with one blank or T between, goes fast."""
    mark = "T" if "T" in texts[0] else " "
    if texts[0].count(" ") + texts[0].count("T") != 1:
        halves = [split_moment(text) for text in texts]
        return [day for day, _ in halves], [clock for _, clock in halves]
    days, clocks = [], []
    for text in texts:
        day, found, clock = text.partition(mark)
        if not found:
            day, clock = split_moment(text)
        days.append(day)
        clocks.append(clock)
    return days, clocks


def settle_order(dates: Iterable[str], told: DateOrder | None) -> DateOrder | None:
    """The one order in which all these dates exist; CallError asks when there are several. None where no date is written
    in three numbers, or none in an order that all have."""
    if told is not None:
        return told
    written = [text for text in dates if _NUMBERS.fullmatch(text)]
    possible = [order for order in DateOrder if all(day_number(text, order) is not None for text in written)]
    if written and len(possible) > 1:
        shown = " or ".join(
            f"{date.fromordinal(_EPOCH_DAY + (day_number(written[0], order) or 0)):%d %b %Y} (--order {order})"
            for order in possible
        )
        raise CallError(f"The date {written[0]} can be read in {len(possible)} ways.", f"Say which: {shown}.")
    return possible[0] if written and possible else None


def day_number(text: str, order: DateOrder | None) -> int | None:
    """Days since 1 Jan 1970 of a written date, in this order if it is of three numbers; None when there is no such day.

    A year of two digits is in this century.
    """
    try:
        year, month, day = _parts(text, order)
        return date(year, month, day).toordinal() - _EPOCH_DAY
    except ValueError:
        return None


def _parts(text: str, order: DateOrder | None) -> tuple[int, int, int]:
    """Year, month, day; ValueError when the text is no date in this order."""
    if found := _YEAR_FIRST.fullmatch(text):
        return int(found[1]), int(found[3]), int(found[4])
    if found := _DAY_NAMED.fullmatch(text):
        return _year(found[3]), MONTHS.index(found[2].lower()) + 1, int(found[1])
    if found := _NAMED_DAY.fullmatch(text):
        return int(found[3]), MONTHS.index(found[1].lower()) + 1, int(found[2])
    found = _NUMBERS.fullmatch(text)
    if found is None or (order is DateOrder.YMD and len(found[4]) == 4):
        raise ValueError(text)
    first, second, third = found[1], found[3], found[4]
    match order:
        case DateOrder.DMY:
            return _year(third), int(second), int(first)
        case DateOrder.MDY:
            return _year(third), int(first), int(second)
        case DateOrder.YMD:
            return _year(first), int(second), int(third)
        case None:
            raise ValueError(text)


def _year(text: str) -> int:
    if len(text) < 2:
        raise ValueError(text)
    return int(text) if len(text) == 4 else 2000 + int(text)


@dataclass(frozen=True)
class ClockTime:
    """A time of day: seconds since midnight, to the nearest, and its offset from UTC in seconds if it carries one."""

    second: int
    offset_s: int | None


def clock_time(text: str) -> ClockTime | None:
    """A written time of day, on 12 or 24 hours, with or without an offset; None when it is none."""
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        return None
    hour, minute, second = int(found[1]), int(found[3]), float(f"{found[4] or 0}.{found[5] or 0}")
    if half := found[6]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    if hour > 23 or minute > 59 or second >= 60:
        return None
    offset = read_zone(found[7]).utcoffset(None) if found[7] else None
    return ClockTime(
        3600 * hour + 60 * minute + round(second), None if offset is None else round(offset.total_seconds())
    )


def read_zone(text: str) -> tzinfo:
    """A zone as people write it: ``Europe/Oslo``, ``UTC``, ``+01:00``, ``GMT+1``; CallError if there is none."""
    typed = text.strip()
    if typed.upper() in ("Z", "UTC", "GMT"):
        return UTC
    if found := _FIXED.fullmatch(typed):
        hours, minutes = int(found[2]), int(found[3] or 0)
        if hours <= 14 and minutes < 60:
            offset = timedelta(hours=hours, minutes=minutes)
            return timezone(-offset if found[1] == "-" else offset)
    return zone_named(typed)


class Known(dict[Key, Value], Generic[Key, Value]):
    """Answers that were worked out before: the same few texts come back many thousand times."""

    def __init__(self, work_out: Callable[[Key], Value]) -> None:
        super().__init__()
        self._work_out = work_out

    def __missing__(self, key: Key) -> Value:
        answer = self[key] = self._work_out(key)
        return answer


class LocalClock:
    """Seconds in UTC of local times in one zone."""

    def __init__(self, zone: tzinfo) -> None:
        self.zone = zone
        self._offsets: Known[int, int | None] = Known(self._offset_s)

    def _offset_s(self, half_hour: int) -> int | None:
        local = datetime(1970, 1, 1) + timedelta(seconds=half_hour * _HALF_HOUR_S)
        first, second = (local.replace(tzinfo=self.zone, fold=fold).utcoffset() for fold in (0, 1))
        return None if first is None or first != second else round(first.total_seconds())

    def utc_s(self, local_s: int) -> int | None:
        """Seconds since 1970 in UTC of seconds since 1970 on the local clock; None where the clocks change."""
        offset = self._offsets[local_s // _HALF_HOUR_S]
        return None if offset is None else local_s - offset
