"""Take a case or pallet off the pallet it stands on.

With --json: the case or pallet (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.ship import take_off_pallet
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, when

NAME = "take-off"
HELP = "Take a case or pallet off the pallet it stands on."


def arguments(parser: ArgumentParser) -> None:
    """The case or pallet."""
    parser.add_argument("unit", metavar="SSCC")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Take it off."""
    with shell.desk() as desk:
        give_thing(shell, desk, take_off_pallet(desk, args.unit, when(desk, args)), "Took off")
