"""Days and moments: typed at the house, stored in UTC."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.base.clock import SetClock, SystemClock
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import (
    instant_of,
    instant_text,
    read_day,
    read_moment,
    show_day,
    show_moment,
    zone_named,
)

OSLO, MANILA = ZoneInfo("Europe/Oslo"), ZoneInfo("Asia/Manila")
NOW = datetime(2026, 11, 24, 5, 0, tzinfo=UTC)
TODAY = date(2026, 11, 24)
SECONDS = st.datetimes(datetime(1970, 1, 1), datetime(2200, 1, 1), timezones=st.just(UTC)).map(
    lambda moment: moment.replace(microsecond=0)
)


@given(SECONDS)
def test_instants_round_trip(moment: datetime) -> None:
    """A stored instant is read back to the second, and sorts as text as it does in time."""
    assert instant_of(instant_text(moment)) == moment
    assert (instant_text(moment) < instant_text(NOW)) == (moment < NOW)


@given(SECONDS.map(lambda moment: moment.replace(second=0)), st.sampled_from([OSLO, MANILA]))
def test_what_is_shown_can_be_typed(moment: datetime, zone: ZoneInfo) -> None:
    """A moment shown to a person and typed again is the same, or the first of two with that clock time."""
    again = read_moment(show_moment(moment, zone), moment, zone)
    assert show_moment(again, zone) == show_moment(moment, zone)
    assert again <= moment


@pytest.mark.parametrize(
    ("typed", "utc"),
    [
        ("2026-11-24 05:40", "2026-11-24T04:40:00Z"),
        ("2026-11-24T05:40", "2026-11-24T04:40:00Z"),
        ("24 Nov 05:40", "2026-11-24T04:40:00Z"),
        ("24 november 2025 05:40:30", "2025-11-24T04:40:30Z"),
        ("05:40", "2026-11-24T04:40:00Z"),
        ("yesterday 23:30", "2026-11-23T22:30:00Z"),
        ("-2 5:40", "2026-11-22T04:40:00Z"),
        ("now", "2026-11-24T05:00:00Z"),
        ("2026-11-24T05:40:00Z", "2026-11-24T05:40:00Z"),
        ("2026-11-24T05:40+09:00", "2026-11-23T20:40:00Z"),
        ("1 Jul 12:00", "2026-07-01T10:00:00Z"),
        # Summer time ended on 25 Oct 2026 at 03:00, began on 29 Mar 2026 at 02:00 (IANA tz database, EU rules).
        ("25 Oct 01:59", "2026-10-24T23:59:00Z"),
        ("25 Oct 02:30", "2026-10-25T00:30:00Z"),
        ("25 Oct 03:00", "2026-10-25T02:00:00Z"),
        ("29 Mar 01:59", "2026-03-29T00:59:00Z"),
        ("29 Mar 02:30", "2026-03-29T01:30:00Z"),
        ("29 Mar 03:00", "2026-03-29T01:00:00Z"),
    ],
)
def test_moments_are_read_in_the_time_of_the_house(typed: str, utc: str) -> None:
    """What is typed is the clock on the wall, with the first reading where the wall clock is changed."""
    assert instant_text(read_moment(typed, NOW, OSLO)) == utc


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2026-11-24", TODAY),
        ("2026-1-2", date(2026, 1, 2)),
        ("24 Nov", TODAY),
        ("25 Nov", date(2025, 11, 25)),
        ("1 jan", date(2026, 1, 1)),
        ("24 Nov 2027", date(2027, 11, 24)),
        ("today", TODAY),
        ("Yesterday", date(2026, 11, 23)),
        ("tomorrow", date(2026, 11, 25)),
        ("+3", date(2026, 11, 27)),
        ("-10", date(2026, 11, 14)),
    ],
)
def test_days_are_read(typed: str, day: date) -> None:
    """A day and month without a year is the latest such day that is not after today."""
    assert read_day(typed, TODAY) == day


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "24",
        "24/11",
        "11-24-2026",
        "31 Nov",
        "2026-02-29",
        "29 Feb",
        "24 Nvo",
        "24 Nov 26",
        "next week",
        "+99999",
        "0 Jan",
    ],
)
def test_unclear_days_are_refused(typed: str) -> None:
    """A day that cannot be, or could be read two ways, is refused with how to write it."""
    with pytest.raises(CallError, match="Write it as"):
        read_day(typed, TODAY)


@pytest.mark.parametrize(
    "typed",
    ["", "24 Nov", "25:00", "12:60", "12.30", "24 Nov 5", "2026-13-01 05:00", "0001-01-01T00:00+01:00",
     "0001-01-01 00:00", "9999-12-31T23:59-01:00", "12:30Z", "noon"],
)  # fmt: skip
def test_unclear_moments_are_refused(typed: str) -> None:
    """A moment that cannot be is refused with how to write it, at the ends of the calendar too."""
    with pytest.raises(CallError, match="Write it as"):
        read_moment(typed, NOW, OSLO)


@pytest.mark.parametrize("name", ["", "Mars/Base", "../etc/passwd", "Europe"])
def test_unknown_zones_are_refused(name: str) -> None:
    """A time zone that does not exist is refused with examples."""
    with pytest.raises(CallError, match="Europe/Oslo"):
        zone_named(name)


def test_a_moment_without_zone_is_never_stored() -> None:
    """An instant without a time zone is a fault of the program, not a value."""
    with pytest.raises(ValueError, match="time zone"):
        instant_text(datetime(2026, 1, 1))


def test_days_are_shown_so_that_nobody_swaps_them() -> None:
    """A day is shown with the name of its month and all four digits of its year."""
    assert show_day(date(2026, 3, 4)) == "04 Mar 2026"
    assert show_moment(NOW, MANILA) == "24 Nov 2026 13:00"


def test_clocks_give_whole_seconds_in_utc() -> None:
    """Both clocks say the time in UTC to the second."""
    assert SetClock(datetime(2026, 11, 24, 6, 0, 0, 999, tzinfo=OSLO)).now() == NOW
    assert SystemClock().now().microsecond == 0
    assert SystemClock().now().tzinfo is UTC
