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
from lotwake.trace.actions.logger_said import (
    DECIMALS,
    DELIMITERS,
    SAYABLE,
    UNITS,
    choices,
    probe_row,
    shape_lines,
    told,
)
from lotwake.trace.base.errors import ExitCode
from lotwake.trace.base.moments import instant_text
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.rows import aligned
from lotwake.trace.process.logger_checks import ProbeReadings
from lotwake.trace.process.logger_file import KINDS, Preview
from lotwake.trace.process.logger_shape import ELAPSED_S
from lotwake.trace.process.logger_times import DateOrder

NAME = "logger"
HELP = "Look at a temperature logger's file, and bring its readings into a batch."
run = do_noun


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
    group.add_argument("--delimiter", choices=tuple(DELIMITERS), help="what parts the fields")
    group.add_argument("--decimal", choices=tuple(DECIMALS), help="the decimal mark")
    group.add_argument("--unit", choices=tuple(UNITS), help="the scale of the temperatures")
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


def _said(args: Namespace) -> dict[str, list[str]]:
    """What the options say, by the names the page has for it."""
    named = {"probe-column": args.probe_column, "from": args.since, "to": args.until}
    given = {name: getattr(args, name, None) for name in SAYABLE if name not in named} | named
    return {name: [value] if isinstance(value, str) else list(value) for name, value in given.items() if value}


def _look(args: Namespace, shell: Shell) -> int | None:
    with shell.desk() as desk:
        said = _said(args)
        looked = logger.look(desk, args.file, told(said), choices(desk, said), args.logger)
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
        said = _said(args)
        brought = logger.bring(
            desk, args.batch, args.file, told(said), choices(desk, said), args.logger, args.remember, args.instrument
        )
    count, probes = brought.preview.count, ", ".join(probe.name for probe in brought.preview.probes)
    lines = [
        f"Brought {count:,} {args.kind} readings of {probes} into batch {brought.batch.shown}.",
        *brought.preview.notes,
        *([f"The logger is remembered as {brought.remembered}."] if brought.remembered else []),
    ]
    shell.give({"batch": brought.batch.code, **_data(brought.file, brought.remembered, brought.preview)}, lines)


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
    yield from shape_lines(looked, zone)
    if preview.first_rows:
        yield "First lines"
        yield from (f"  {' | '.join(row)}" for row in preview.first_rows)
    if preview.probes:
        yield from aligned(
            ("probe", ">readings", "from", "to", ">coldest", ">hottest"),
            [probe_row(probe, zone) for probe in preview.probes],
        )
    yield from preview.notes
    for problem in preview.problems:
        yield f"NOT CLEAR: {problem.sentence} {problem.hint}"
    yield "Nothing was written." if preview.problems else "All of it is clear. Nothing was written; `bring` enters it."
