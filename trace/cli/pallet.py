"""Put cases or pallets onto a new pallet.

With --json: the pallet (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.ship import build_pallet
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, when

NAME = "pallet"
HELP = "Put cases or pallets onto a new pallet."


def arguments(parser: ArgumentParser) -> None:
    """What stands on it."""
    parser.add_argument("units", nargs="+", metavar="SSCC")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Build the pallet."""
    with shell.desk() as desk:
        give_thing(shell, desk, build_pallet(desk, args.units, when(desk, args)), "Built")
