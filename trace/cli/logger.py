"""Look at a temperature logger's file, and bring its readings into a batch.

`look` says what is understood of a file, what is in doubt and which option settles it; it writes nothing. `bring` enters
the readings, all or none. A value that begins with a dash is written with an equals sign: --zone=-05:00, --missing=--.
With --json: ``file``, ``sha256``, ``logger``, ``shape``, ``probes``, ``count``, ``first``, ``last``, ``notes``, and from
look also ``first_rows`` and ``problems``, from bring ``batch``. Moments are ISO 8601 in UTC, temperatures hundredths of
a degree Celsius.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from lotwake.trace.actions import logger
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import ExitCode
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.units import show_temperature
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.rows import aligned
from lotwake.trace.cli.values import day, moment
from lotwake.trace.process.logger_checks import ProbeReadings, show_second
from lotwake.trace.process.logger_file import KINDS, Choices, Preview
from lotwake.trace.process.logger_shape import ELAPSED_S, Shape, Told
from lotwake.trace.process.logger_times import DateOrder

NAME = "logger"
HELP = "Look at a temperature logger's file, and bring its readings into a batch."
run = do_noun

_DELIMITERS = {"semicolon": ";", "tab": "\t", "comma": ",", "blank": " "}
_DECIMALS = {"comma": ",", "point": "."}
_UNITS = {"C": "Celsius", "F": "Fahrenheit"}


def arguments(parser: ArgumentParser) -> None:
    """Look, or bring in."""
    nouns = Nouns(parser)
    look = nouns.add("look", "Say what is understood of a logger's file; nothing is written.", _look)
    bring = nouns.add("bring", "Enter the readings of a logger's file on a batch, all or none.", _bring)
    for noun in (look, bring):
        noun.add_argument("file", type=Path, metavar="FILE", help="the file as the logger gave it, CSV or other text")
        _shape_arguments(noun)
        _choice_arguments(noun)
    look.add_argument("--kind", choices=KINDS, default="core", help="what the probes measured (core)")
    bring.add_argument("--kind", choices=KINDS, required=True, help="what the probes measured")
    bring.add_argument("--batch", required=True, metavar="CODE", help="the batch they were in")
    bring.add_argument(
        "--with", dest="instrument", default="", metavar="INSTRUMENT",
        help="the instrument the readings come from (default: the one called like the remembered logger or the probe)",
    )  # fmt: skip
    bring.add_argument(
        "--remember", default="", metavar="NAME", help="remember how this logger writes, under this name"
    )


def _shape_arguments(parser: ArgumentParser) -> None:
    group = parser.add_argument_group("how the file is written, where it does not say so itself")
    group.add_argument("--logger", default="", metavar="NAME", help="as this remembered logger writes")
    group.add_argument("--delimiter", choices=tuple(_DELIMITERS), help="what parts the fields")
    group.add_argument("--decimal", choices=tuple(_DECIMALS), help="the decimal mark")
    group.add_argument("--unit", choices=tuple(_UNITS), help="the scale of the temperatures")
    group.add_argument("--order", choices=tuple(map(str, DateOrder)), help="the order of day, month and year")
    group.add_argument("--zone", metavar="ZONE", help="of the logger's clock: Europe/Oslo, UTC, +01:00 (the house's)")
    group.add_argument("--time", action="append", metavar="COLUMN", help="name or number; twice for a date and a time")
    group.add_argument("--probe-column", metavar="COLUMN", help="the column that names the probe of each line")
    group.add_argument("--values", action="append", metavar="COLUMN", help="a column of temperatures; repeat for more")
    group.add_argument("--elapsed", choices=tuple(ELAPSED_S), help="the times count from the start in this unit")
    group.add_argument("--missing", action="append", metavar="TEXT", help="stands for no reading; repeat for more")


def _choice_arguments(parser: ArgumentParser) -> None:
    group = parser.add_argument_group("what is wanted of this file")
    group.add_argument("--from", dest="since", metavar="TIME", help="only readings from then on, in the house's time")
    group.add_argument("--to", dest="until", metavar="TIME", help="only readings up to then")
    group.add_argument("--only", action="append", default=[], metavar="PROBE", help="only this probe; repeat for more")
    group.add_argument("--start", metavar="TIME", help="when a logger that counts began")
    group.add_argument("--date", metavar="DAY", help="day of the first reading, where there are only times of day")
    group.add_argument(
        "--fallen", choices=("keep", "cut"), default="", help="a core that leaps: keep it, or cut it off there"
    )
    group.add_argument("--jump", choices=("keep",), default="", help="a clock that jumps ahead is right")


def _told(args: Namespace) -> Told:
    return Told(
        delimiter=_DELIMITERS[args.delimiter] if args.delimiter else None,
        decimal=_DECIMALS[args.decimal] if args.decimal else None,
        unit=args.unit,
        order=args.order,
        zone=args.zone,
        time=tuple(args.time) if args.time else None,
        probe=args.probe_column,
        values=tuple(args.values) if args.values else None,
        elapsed=args.elapsed,
        missing=tuple(args.missing) if args.missing else None,
    )


def _choices(desk: Desk, args: Namespace) -> Choices:
    since, until, start = (
        None if at is None else round(at.timestamp())
        for at in (moment(desk, text) for text in (args.since, args.until, args.start))
    )
    first_day = day(desk, args.date)
    return Choices(args.kind, since, until, tuple(args.only), start, first_day, args.fallen, args.jump)


def _look(args: Namespace, shell: Shell) -> int | None:
    with shell.desk() as desk:
        looked = logger.look(desk, args.file, _told(args), _choices(desk, args), args.logger)
        zone = desk.zone
    preview = looked.preview
    data = {
        **_data(looked.file, looked.logger, preview),
        "first_rows": preview.first_rows,
        "problems": [asdict(problem) for problem in preview.problems],
    }
    shell.give(data, _lines(looked, zone))
    return ExitCode.CALL_WRONG if preview.problems else ExitCode.DONE


def _bring(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        brought = logger.bring(
            desk, args.batch, args.file, _told(args), _choices(desk, args), args.logger, args.remember, args.instrument
        )
    count, probes = brought.preview.count, ", ".join(probe.name for probe in brought.preview.probes)
    said = [
        f"Brought {count:,} {args.kind} readings of {probes} into batch {brought.batch.shown}.",
        *brought.preview.notes,
        *([f"The logger is remembered as {brought.remembered}."] if brought.remembered else []),
    ]
    shell.give({"batch": brought.batch.code, **_data(brought.file, brought.remembered, brought.preview)}, said)


def _data(file: logger.LoggerFile, name: str, preview: Preview) -> dict[str, Any]:
    return {
        "file": file.name,
        "sha256": file.sha256,
        "logger": name,
        "shape": None if preview.shape is None else asdict(preview.shape),
        "probes": [_probe_data(probe) for probe in preview.probes],
        "count": preview.count,
        "first": _instant(preview.first_s),
        "last": _instant(preview.last_s),
        "notes": preview.notes,
    }


def _probe_data(probe: ProbeReadings) -> dict[str, Any]:
    return {
        "name": probe.name,
        "unit": probe.unit,
        "readings": len(probe.at_s),
        "first": _instant(min(probe.at_s)),
        "last": _instant(max(probe.at_s)),
        "coldest_c100": min(probe.centi_c),
        "hottest_c100": max(probe.centi_c),
    }


def _instant(at_s: int | None) -> str | None:
    return None if at_s is None else instant_text(datetime.fromtimestamp(at_s, UTC))


def _lines(looked: logger.Looked, zone: ZoneInfo) -> Iterator[str]:
    preview = looked.preview
    yield f"{looked.file.name}, SHA-256 {looked.file.sha256}"
    if preview.shape is not None:
        yield from _shape_lines(preview.shape, looked.logger, zone)
    if preview.first_rows:
        yield "First lines"
        yield from (f"  {' | '.join(row)}" for row in preview.first_rows)
    if preview.probes:
        yield from aligned(
            ("probe", ">readings", "from", "to", ">coldest", ">hottest"),
            [_probe_row(probe, zone) for probe in preview.probes],
        )
    yield from preview.notes
    for problem in preview.problems:
        yield f"NOT CLEAR: {problem.sentence} {problem.hint}"
    yield "Nothing was written." if preview.problems else "All of it is clear. Nothing was written; `bring` enters it."


def _shape_lines(shape: Shape, known_as: str, zone: ZoneInfo) -> Iterator[str]:
    if known_as:
        yield f"Read as the logger {known_as}, which is remembered."
    delimiter = next(word for word, mark in _DELIMITERS.items() if mark == shape.delimiter)
    decimal = next((f", decimal {word}" for word, mark in _DECIMALS.items() if mark == shape.decimal), "")
    order = f", dates {shape.order}" if shape.order else ""
    counted = f", times count in {shape.elapsed}" if shape.elapsed else f", clock of {shape.zone or zone.key}"
    units = " and ".join(_UNITS[unit] for unit in sorted(set(shape.units)))
    yield f"Fields parted by {delimiter}{decimal}{order}{counted}, {units}."
    yield f"Time: {' and '.join(shape.names[at] for at in shape.time)}. " + (
        f"Temperatures: {'; '.join(shape.names[at] for at in shape.values)}."
    )
    if shape.probe is not None:
        yield f"Probes: named by {shape.names[shape.probe]}."


def _probe_row(probe: ProbeReadings, zone: ZoneInfo) -> tuple[str, ...]:
    return (
        probe.name,
        f"{len(probe.at_s):,}",
        show_second(min(probe.at_s), zone),
        show_second(max(probe.at_s), zone),
        show_temperature(min(probe.centi_c)),
        show_temperature(max(probe.centi_c)),
    )
