"""What may stand in a field of an old log book, and how it is read: the same readers as for typed entries.

Only whole dates count here: ``today`` or ``5 Jan`` would mean something else each time the file is read.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from lotwake.labels.gs1.keys import check_sscc
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import read_day, read_moment
from lotwake.trace.base.units import parse_mass_g, parse_temperature_centi_c
from lotwake.trace.records.journal import must_be_past

Value = str | int | date | datetime
YES = "yes"
MOST = 999_999_999
"""Serials and counts end here: no house packs a thousand million packs in a run."""
LONGEST_TEXT = 2_000
MOST_KNOWN = 10_000

_DAY = re.compile(r"\d{4}-\d{1,2}-\d{1,2}", re.ASCII)


@dataclass(frozen=True)
class Times:
    """The present and the time zone of the house, by which days and moments are read."""

    now: datetime
    zone: ZoneInfo
    known: dict[str, datetime] = field(default_factory=dict)
    """Texts that were read already: the rows of one case or dispatch all say the same."""


@dataclass(frozen=True)
class Form:
    """A kind of field: ``says`` what is written in it, ``read`` makes its value or raises CallError or Refused."""

    says: str
    read: Callable[[str, Times], Value]


def _text(text: str, _times: Times) -> str:
    if len(text) > LONGEST_TEXT:
        raise CallError(f"A text of {len(text)} characters is too long.", f"Keep it to {LONGEST_TEXT}.")
    return text


def _count(text: str, _times: Times) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= len(str(MOST))):
        raise CallError(f"{text!r} is not a whole number.", f"Write digits only, up to {MOST}.")
    return int(text)


def _day(text: str, times: Times) -> date:
    if not _DAY.match(text):
        raise CallError(f"{text!r} is not a day.", "Write it as 2026-11-24.")
    return read_day(text, times.now.date())


def _moment(text: str, times: Times) -> datetime:
    known = times.known.get(text)
    if known is None:
        if len(times.known) == MOST_KNOWN:
            times.known.clear()
        known = times.known[text] = _read(text, times)
    return known


def _read(text: str, times: Times) -> datetime:
    if not _DAY.match(text):
        raise CallError(f"{text!r} is not a time.", "Write it as 2026-11-24 05:40.")
    if _DAY.fullmatch(text):
        moment = datetime.combine(read_day(text, times.now.date()), time(), tzinfo=times.zone)
    else:
        moment = read_moment(text, times.now, times.zone)
    must_be_past(moment, times.now, times.zone)
    return moment


def _yes(text: str, _times: Times) -> str:
    if text.casefold() != YES:
        raise CallError(f"{text!r} is not understood here.", f"Write {YES}, or leave it empty.")
    return YES


def _yes_or_moment(text: str, times: Times) -> str | datetime:
    return YES if text.casefold() == YES else _moment(text, times)


TEXT = Form("text", _text)
KG = Form("kilograms", lambda text, _: parse_mass_g(text, "kg"))
G = Form("grams", lambda text, _: parse_mass_g(text, "g"))
COUNT = Form("whole number", _count)
CELSIUS = Form("degrees C", lambda text, _: parse_temperature_centi_c(text, "C"))
DAY = Form("day", _day)
MOMENT = Form("time", _moment)
YES_ONLY = Form("yes", _yes)
YES_OR_MOMENT = Form("yes or time", _yes_or_moment)
SSCC = Form("18 digits", lambda text, _: int(check_sscc(text)))
