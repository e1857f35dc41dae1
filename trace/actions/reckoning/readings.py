"""Temperature readings given to a calculation: pairs on the command line, or a small CSV file.

A file has one line for each moment: the time first, then one column for each probe; a first line of names is kept as
the names of the probes. Fields are parted by semicolons, tabs or commas; where they are not commas, a comma may be the
decimal mark. A time is minutes ("12.5"), hours and minutes ("14:05", "14:05:30") or a date and time
("2026-11-24 14:05").
"""

from __future__ import annotations

import csv
import re
from argparse import Namespace
from datetime import UTC, datetime
from pathlib import Path

from lotwake.trace.actions.reckoning.answer import Takes
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.base.units import parse_number, parse_temperature_centi_c
from lotwake.trace.process.series import ProbeSeries, series_of_pairs

_Pairs = list[tuple[float, float]]
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d))?", re.ASCII)
_DATED = re.compile(r"\d{4}-\d", re.ASCII)
_DAY_S = 86_400


def add_readings(parser: Takes, default_gap_min: float) -> None:
    """The arguments that ``probes_of`` reads."""
    given = parser.add_mutually_exclusive_group(required=True)
    given.add_argument(
        "--readings",
        action="append",
        metavar="MIN:C,...",
        help='minute:temperature pairs, "0:20,10:45"; again per probe',
    )
    given.add_argument("--csv", type=Path, help="file: time, then a column for each probe")
    parser.add_argument("--unit", choices=("C", "F"), default="C", help="scale of the readings (C)")
    parser.add_argument(
        "--gap-min",
        type=lambda text: float(parse_number(text)),
        default=default_gap_min,
        help=f"longest time between two readings, minutes ({default_gap_min:g})",
    )


def probes_of(args: Namespace) -> tuple[ProbeSeries, ...]:
    """The series that were given; CallError names the reading that cannot be."""
    if args.csv is not None:
        return _from_file(args.csv, args.unit)
    return tuple(_from_pairs(f"probe {at}", text, args.unit) for at, text in enumerate(args.readings, 1))


def _from_pairs(name: str, text: str, unit: str) -> ProbeSeries:
    pairs: _Pairs = []
    for item in text.split(","):
        minute, colon, core = item.partition(":")
        if not colon:
            raise CallError(f"{item!r} is not a reading.", 'Write minute:temperature pairs, as in "0:20,10:45.5".')
        pairs.append((60 * float(parse_number(minute)), _core_c(core, unit)))
    return series_of_pairs(name, pairs)


def _core_c(text: str, unit: str) -> float:
    return parse_temperature_centi_c(text, unit) / 100


def _from_file(path: Path, unit: str) -> tuple[ProbeSeries, ...]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise NotFound(f"There is no file {path}.", "Check its name.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise CallError(f"{path} cannot be read: {error}.", "Give a CSV file in UTF-8.") from None
    numbered = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    delimiter = next((mark for mark in ";\t," if any(mark in line for _, line in numbered)), None)
    if delimiter is None:
        raise CallError(f"{path} has no columns.", "Part the time and the probes by commas, semicolons or tabs.")
    fields = csv.reader((line for _, line in numbered), delimiter=delimiter)
    rows = [(number, row) for (number, _), row in zip(numbered, fields, strict=True)]
    first = rows[0][1]
    if re.match(r"\s*\d", first[0]):
        names = [f"probe {at}" for at in range(1, len(first))]
    else:
        names = [name.strip() for name in first[1:]]
        rows = rows[1:]
    return _columns(path, names, rows, unit)


def _columns(path: Path, names: list[str], rows: list[tuple[int, list[str]]], unit: str) -> tuple[ProbeSeries, ...]:
    columns: list[_Pairs] = [[] for _ in names]
    before_s: float | None = None
    for line, row in rows:
        try:
            time_s = _time_s(row[0].strip(), before_s)
            if len(row) > len(names) + 1:
                raise CallError(
                    f"there are {len(row)} fields for {len(names) + 1} columns.", "Check the decimal marks."
                )
            for column, field in zip(columns, row[1:], strict=False):
                if field.strip():  # a probe may skip a moment
                    column.append((time_s, _core_c(field, unit)))
        except CallError as error:
            raise CallError(f"{path}, line {line}: {error.sentence}", error.hint) from None
        before_s = time_s
    return tuple(series_of_pairs(name, pairs) for name, pairs in zip(names, columns, strict=True))


def _time_s(text: str, before_s: float | None) -> float:
    """Seconds; a clock time that steps back by more than half a day has passed midnight."""
    clock = _CLOCK.fullmatch(text)
    if clock:
        hours, minutes, seconds = (int(part or 0) for part in clock.groups())
        time_s = 3600.0 * hours + 60 * minutes + seconds
        if before_s is not None:
            time_s += _DAY_S * max(0, round((before_s - time_s) / _DAY_S))
        return time_s
    if not _DATED.match(text):
        return 60 * float(parse_number(text))
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise CallError(f"{text!r} is not a time.", "Write it as 2026-11-24 14:05.") from None
    # Without a zone all that counts is the time between two readings.
    return moment.replace(tzinfo=moment.tzinfo or UTC).timestamp()
