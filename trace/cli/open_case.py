"""Open a case; its packs are loose again.

With --json: the case or pallet (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.ship import open_case
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, when

NAME = "open-case"
HELP = "Open a case; its packs are loose again."


def arguments(parser: ArgumentParser) -> None:
    """The case."""
    parser.add_argument("unit", metavar="SSCC")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Open it."""
    with shell.desk() as desk:
        give_thing(shell, desk, open_case(desk, args.unit, when(desk, args)), "Opened")
