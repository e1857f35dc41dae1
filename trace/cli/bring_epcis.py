"""Bring a supplier's EPCIS 2.0 file in as bought-in lots.

Each lot the file ships (or, without a shipment, makes) is shown with what the file says of it; then all are written down,
or none. Look first with --dry-run; the options fill in what the file leaves open. With --json: ``lots`` (``their_code``,
``gtin``, ``g``, ``count``, ``species``, ``area``, ``doubts``, ``problems``, ``code``), ``passed_over``, ``dry_run``,
``kept``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lotwake.trace.actions.bring_epcis import Added, Brought, Line, bring_epcis
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, ExitCode
from lotwake.trace.base.units import show_mass
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.values import Portion, add_when, portion, when

NAME = "bring-epcis"
HELP = "Bring a supplier's EPCIS 2.0 file in as bought-in lots, all or none."


def arguments(parser: ArgumentParser) -> None:
    """The file, who sent it, and what it leaves open."""
    parser.add_argument("file", type=Path, metavar="FILE", help="EPCIS 2.0 in JSON")
    parser.add_argument("--dealer", default="", metavar="NAME", help="who it is from")
    parser.add_argument("--species", default="", help="for lots of which the file does not say it")
    parser.add_argument("--area", default="", help="FAO catch area, for the same")
    parser.add_argument("--gear", default="", help="ISSCFG code or name, for the same")
    parser.add_argument("--presentation", default="", help="fillets, gutted, smoked, ...")
    parser.add_argument("--kg", type=portion, action="append", default=[], metavar="LOT=KG", help="what a lot weighs")
    parser.add_argument(
        "--lot", action="append", default=[], metavar="LOT", help="only this lot of theirs; may be repeated"
    )
    parser.add_argument("--dry-run", action="store_true", help="try and show, keep nothing")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> int:
    """Look at the file, and write its lots down."""
    with shell.desk() as desk:
        added = Added(
            dealer=args.dealer, species=args.species, area=args.area, gear=args.gear, presentation=args.presentation,
            g=dict(map(_weighed, args.kg)), only=tuple(args.lot), received=when(desk, args),
        )  # fmt: skip
        brought = bring_epcis(desk, args.file, added, args.dry_run)
    shell.give(_data(brought), _lines(brought))
    return ExitCode.DONE if brought.clean else ExitCode.CALL_WRONG


def _weighed(part: Portion) -> tuple[str, int]:
    if part.g is None:
        raise CallError(f"--kg {part.code} has no weight.", "Write it as LOT=12.5.")
    return part.code, part.g


def _data(brought: Brought) -> dict[str, Any]:
    return {
        "lots": [_line_data(line) for line in brought.lines],
        "passed_over": dict(brought.passed_over),
        "dry_run": brought.dry_run,
        "kept": brought.kept,
    }


def _line_data(line: Line) -> dict[str, Any]:
    name = line.proposal.name
    return {
        "their_code": name.lot, "gtin": name.gtin, "g": line.g, "count": line.proposal.count, "species": line.species,
        "area": line.area, "doubts": list(line.proposal.doubts), "problems": list(line.problems),
        "code": None if line.thing is None else line.thing.code,
    }  # fmt: skip


def _lines(brought: Brought) -> Iterator[str]:
    for line in brought.lines:
        yield _sentence(line)
        yield from (f"    in doubt: {doubt}" for doubt in line.proposal.doubts)
        yield from (f"    STOP: {problem}" for problem in line.problems)
    for reason, count in brought.passed_over.items():
        yield f"Passed over, {count:,} times: {reason}."
    if not brought.clean:
        yield "Nothing was brought in."
    elif brought.dry_run:
        yield "All lots can be written down. Nothing was: this was a dry run."
    else:
        yield f"Brought in: {len(brought.lines):,} lots."


def _sentence(line: Line) -> str:
    name = line.proposal.name
    parts = (
        f"GTIN {name.gtin}" if name.gtin else "", line.species, "" if line.g is None else show_mass(line.g),
        f"{line.proposal.count:,} pieces" if line.proposal.count else "", f"area {line.area}" if line.area else "",
    )  # fmt: skip
    ours = "" if line.thing is None else f"{show_code(line.thing.code)}: "
    return f"{ours}their lot {name.lot}, {', '.join(filter(None, parts)) or 'nothing more is said'}"
