"""From the lines of a logger's file to the readings of each probe, once its shape is known; every bad line is named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, tzinfo
from typing import cast

from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import parse_temperature_centi_c
from lotwake.trace.process.logger_checks import ProbeReadings, Problem
from lotwake.trace.process.logger_shape import ELAPSED_S, Shape
from lotwake.trace.process.logger_text import Lines, Looks, looks, splitter
from lotwake.trace.process.logger_times import (
    DAY_S,
    ClockTime,
    DateOrder,
    Known,
    LocalClock,
    clock_time,
    day_number,
    settle_order,
    split_moments,
)

_EPOCH = date(1970, 1, 1)


class Rows:
    """The lines from the first reading on as fields of the right number; ``bad`` says what is wrong with a line.

    All fields lie in one list: half a million lists of fields would keep the garbage collector busy for seconds.
    """

    def __init__(self, lines: Lines, shape: Shape) -> None:
        split = splitter(shape.delimiter)
        self.width = len(shape.names)
        self.lines: list[int] = []
        self.bad: dict[int, str] = {}
        self._fields: list[str] = []
        for number, text in zip(lines.numbers[shape.first :], lines.texts[shape.first :], strict=True):
            row = split(text)
            if len(row) == self.width:
                self._fields += row
                self.lines.append(number)
            else:
                self.bad[number] = f"{len(row)} fields instead of {self.width}; was the line cut off?"

    def column(self, at: int) -> list[str]:
        """One column from the top, as written."""
        return self._fields[at :: self.width]

    def row(self, place: int) -> list[str]:
        """The fields of one line without blanks around them."""
        return [field.strip() for field in self._fields[place * self.width : (place + 1) * self.width]]

    def is_wrong(self, place: int, sentence: str) -> None:
        """Note what is wrong with a row; the first fault of a line counts."""
        self.bad.setdefault(self.lines[place], sentence)

    def problems(self) -> list[Problem]:
        """The first line that cannot be read, and how many more there are."""
        if not self.bad:
            return []
        number = min(self.bad)
        more = f" {len(self.bad) - 1} more lines cannot be read." if len(self.bad) > 1 else ""
        return [
            Problem(
                f"Line {number}: {self.bad[number]}{more}",
                "Mend or leave out such lines in a copy of the file; words that stand for no reading are told by --missing.",
            )
        ]


@dataclass(frozen=True)
class Taken:
    """The readings of each probe in the order of the file, and the shape with what only all the lines together tell."""

    probes: tuple[ProbeReadings, ...]
    shape: Shape


@dataclass(frozen=True)
class Began:
    """What a file with times alone does not say: when its count began (seconds since 1970 UTC), or its first day."""

    start_s: int | None = None
    first_day: date | None = None


def take(rows: Rows, shape: Shape, began: Began, zone: tzinfo) -> Taken:
    """All readings. Bad lines are noted in ``rows``; CallError for what the file leaves open as a whole."""
    who = [""] * len(rows.lines) if shape.probe is None else [name.strip() for name in rows.column(shape.probe)]
    at_s, order = _times(rows, shape, who, began, zone)
    marks: set[str] = set()
    values = [_temperatures(rows, shape, at, unit, marks) for at, unit in zip(shape.values, shape.units, strict=True)]
    if len(marks) > 1:
        raise CallError(
            "Some temperatures have a decimal comma and some a decimal point.",
            "Say which is right: --decimal comma or point.",
        )
    shape = replace(shape, order=order, decimal=shape.decimal or "".join(marks))
    if shape.probe is None:
        probes = [
            _probe(name, unit, at_s, column, rows.lines)
            for name, unit, column in zip(shape.probe_names, shape.units, values, strict=True)
        ]
        return Taken(tuple(probes), shape)
    places: dict[str, list[int]] = {}
    for place, name in enumerate(who):
        places.setdefault(name, []).append(place)
    for place in places.pop("", ()):
        rows.is_wrong(place, "the probe is not named.")
    probes = [
        _probe(name, shape.units[0], [at_s[i] for i in own], [values[0][i] for i in own], [rows.lines[i] for i in own])
        for name, own in places.items()
    ]
    return Taken(tuple(probes), shape)


def _probe(
    name: str, unit: str, at_s: Sequence[int | None], values: Sequence[int | None], lines: Sequence[int]
) -> ProbeReadings:
    if None not in at_s and None not in values:
        return ProbeReadings(name, unit, cast("Sequence[int]", at_s), cast("Sequence[int]", values), lines)
    known = [
        (moment, core, line)
        for moment, core, line in zip(at_s, values, lines, strict=True)
        if moment is not None and core is not None
    ]
    if not known:
        return ProbeReadings(name, unit, (), (), ())
    moments, cores, where = zip(*known, strict=True)
    return ProbeReadings(name, unit, moments, cores, where)


def _temperatures(rows: Rows, shape: Shape, at: int, unit: str, marks: set[str]) -> list[int | None]:
    """One column in hundredths of a degree Celsius, None where there is no reading; ``marks`` gathers decimal marks."""
    texts = rows.column(at)
    if shape.unit_beside is not None:
        scales = rows.column(shape.unit_beside)
        texts = [
            f"{text.strip()} {scale.strip('°º ')}" if text.strip() else ""
            for text, scale in zip(texts, scales, strict=True)
        ]
    missing = {word.casefold() for word in shape.missing}
    wrong: dict[str, str] = {}

    def centi_c(written: str) -> int | None:
        text = written.strip()
        if not text or text.casefold() in missing:
            return None
        mark = "," if "," in text else "." if "." in text else ""
        if shape.decimal and mark and mark != shape.decimal:
            wrong[written] = f"{text!r} has the other decimal mark."
        elif looks(text) is not Looks.NUMBER:
            wrong[written] = f"{text!r} is not a temperature."
        else:
            marks.update(mark)
            try:
                return parse_temperature_centi_c(text.replace(",", "."), unit)
            except CallError as error:
                wrong[written] = error.sentence
        return None

    known = Known(centi_c)
    values = [known[text] for text in texts]
    for place, text in enumerate(texts if wrong else ()):
        if text in wrong:
            rows.is_wrong(place, wrong[text])
    return values


def _times(
    rows: Rows, shape: Shape, who: Sequence[str], began: Began, zone: tzinfo
) -> tuple[list[int | None], DateOrder | None]:
    """The moment of each row in seconds since 1970 UTC, None where it cannot be read; and the order of its dates."""
    if shape.elapsed:
        return _elapsed(rows, shape, began), None
    if len(shape.time) == 2:
        days, clocks = (rows.column(at) for at in shape.time)
    else:
        days, clocks = split_moments(rows.column(shape.time[0]))
    if shape.looks[shape.time[0]] is Looks.CLOCK:
        if began.first_day is None:
            raise CallError(
                "The times in the file have no date.", "Say the day of the first reading: --date 2026-11-24."
            )
        return _on_the_clock(rows, _days_gone_by(who, clocks, began.first_day), clocks, zone), None
    order = settle_order(dict.fromkeys(day.strip(" ,") for day in days), shape.order)
    known: Known[str, int | None] = Known(lambda text: day_number(text.strip(" ,"), order))
    return _on_the_clock(rows, [known[text] for text in days], clocks, zone), order


def _elapsed(rows: Rows, shape: Shape, began: Began) -> list[int | None]:
    if began.start_s is None:
        raise CallError("The times in the file count from its start.", "Say when that was: --start '24 Nov 05:40'.")
    found: list[int | None] = []
    for place, written in enumerate(rows.column(shape.time[0])):
        text = written.strip()
        if looks(text) is Looks.NUMBER and text[-1].isdigit():
            found.append(began.start_s + round(float(text.replace(",", ".")) * ELAPSED_S[shape.elapsed]))
        else:
            rows.is_wrong(place, f"{text!r} is not a time since the start.")
            found.append(None)
    return found


def _days_gone_by(who: Sequence[str], clocks: Sequence[str], first: date) -> list[int | None]:
    """The day of each time of day, as a number: for each probe, a step back by more than half a day passes midnight."""
    known: Known[str, ClockTime | None] = Known(clock_time)
    today = (first - _EPOCH).days
    last: dict[str, tuple[int, int]] = {}
    found: list[int | None] = []
    for name, text in zip(who, clocks, strict=True):
        clock = known[text]
        day, before = last.get(name, (today, 0))
        if clock is not None:
            day += before - clock.second > DAY_S / 2
            last[name] = day, clock.second
        found.append(day)
    return found


def _on_the_clock(rows: Rows, days: Sequence[int | None], clocks: Sequence[str], zone: tzinfo) -> list[int | None]:
    known: Known[str, ClockTime | None] = Known(clock_time)
    local = LocalClock(zone)
    found: list[int | None] = []
    for place, (day, text) in enumerate(zip(days, clocks, strict=True)):
        clock = known[text]
        if day is None or clock is None:
            rows.is_wrong(place, f"{_time_as_written(rows, place)} cannot be read as a date and time.")
            found.append(None)
            continue
        on_clock_s = day * DAY_S + clock.second
        utc_s = local.utc_s(on_clock_s) if clock.offset_s is None else on_clock_s - clock.offset_s
        if utc_s is None:
            rows.is_wrong(
                place,
                f"{text} lies where the clocks of {zone} change; say the logger's own offset, as in --zone +01:00.",
            )
        found.append(utc_s)
    return found


def _time_as_written(rows: Rows, place: int) -> str:
    return repr(", ".join(filter(None, rows.row(place)))[:40])
