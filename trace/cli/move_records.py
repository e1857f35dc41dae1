"""Copy the record to a PostgreSQL server, or from there into a folder, and check that all of it arrived.

The record it is copied from stays as it is. With --json: ``to`` and what ``verify`` gives. The exit code is 5 when the record,
and so the copy, is not whole.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.move_records import Moved, move_records
from lotwake.trace.base.errors import ExitCode
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.verify import verdict_data, verdict_lines

NAME = "move-records"
HELP = "Copy the record to a PostgreSQL server, or from there into a folder, and check that all of it arrived."


def arguments(parser: ArgumentParser) -> None:
    """Where to."""
    parser.add_argument(
        "--to",
        required=True,
        metavar="URL|FOLDER",
        help="postgresql://user@host:port/name, or a folder without a record",
    )


def run(args: Namespace, shell: Shell) -> int:
    """Copy, check, and say how to work there."""
    with shell.desk() as desk:
        moved = move_records(desk, args.to)
    shell.give({"to": moved.to, **verdict_data(moved.verdict)}, [*verdict_lines(moved.verdict), *_next(moved)])
    return ExitCode.DONE if moved.verdict.whole else ExitCode.NEEDS_ATTENTION


def _next(moved: Moved) -> list[str]:
    if moved.on_server:
        where = 'To work there, write database = "..." with that address into the house.toml of every station.'
    else:
        where = f"The copy is {moved.to}. To work there, open its folder with --at; its house.toml names no database."
    return [f"Copied up to entry {moved.head.seq}.", where, "Until then nobody enters anything more in the old one."]
