"""Show the last entries of the journal.

With --json: a list, the newest last, of ``entry``, ``entered``, ``happened``, ``zone``, ``who``, ``act``, ``why``, ``hash``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import asdict

from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import journal_lines
from lotwake.trace.cli.values import whole
from lotwake.trace.records.history import last_lines

NAME = "journal"
HELP = "Show the last entries of the journal."


def arguments(parser: ArgumentParser) -> None:
    """How many."""
    parser.add_argument("--last", type=whole, default=20, metavar="N", help="how many entries (default: 20)")


def run(args: Namespace, shell: Shell) -> None:
    """Read the end of the journal."""
    with shell.desk() as desk:
        lines = last_lines(desk.records, args.last)
        zone = desk.zone
    ends = [f"The last hash is {lines[-1].hash}."] if lines else []
    shell.give([asdict(line) for line in lines], [*journal_lines(lines, zone), *ends])
