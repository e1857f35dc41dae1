"""Six-digit GS1 dates: YYMMDD with the sliding century, and day 00 for "the month, no day".

Rules as in the GS1 Barcode Syntax Dictionary (Apache-2.0), src/lint_yymmd0.c and lint_yymmdd.c. That day 00 is read as
the last day of the month is from memory of the GS1 General Specifications.
"""

from __future__ import annotations

import calendar
from datetime import date

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.keys import is_digits


def full_year(yy: int, this_year: int) -> int:
    """Return the four-digit year nearest to ``this_year``: 51 or more ahead is last century, 50 or more behind the next.

    Raises:
        WrongData: when ``yy`` is not 0-99.
    """
    if yy not in range(100):
        raise WrongData(f"A two-digit year is 00 to 99, not {yy}.")
    century, ahead = this_year - this_year % 100, yy - this_year % 100
    if ahead >= 51:
        return century - 100 + yy
    if ahead <= -50:
        return century + 100 + yy
    return century + yy


def date_problem(text: str, *, day_00: bool) -> str | None:
    """Say why six characters are no YYMMDD date, or return None. ``day_00`` allows a month without a day."""
    if len(text) != 6 or not is_digits(text):
        return "is not six digits YYMMDD"
    year, month, day = int(text[:2]), int(text[2:4]), int(text[4:])
    if not 1 <= month <= 12:
        return f"has month {text[2:4]}"
    if day == 0:
        return None if day_00 else "has day 00, which is not allowed here"
    # 2000 was a leap year, so within GS1's window of a hundred years only the divisibility by four matters.
    if day > calendar.monthrange(2000 + year, month)[1]:
        return f"has day {text[4:]}, which month {text[2:4]} does not have"
    return None


def read_date(text: str, today: date) -> date:
    """Return the date of six digits YYMMDD; day 00 gives the last day of the month.

    Raises:
        WrongData: when the digits are no date.
    """
    if problem := date_problem(text, day_00=True):
        raise WrongData(f"The date {text!r} {problem}.", "GS1 dates are written YYMMDD.")
    year, month = full_year(int(text[:2]), today.year), int(text[2:4])
    return date(year, month, int(text[4:]) or calendar.monthrange(year, month)[1])


def write_date(day: date) -> str:
    """Return a date as the six digits YYMMDD."""
    return day.strftime("%y%m%d")
