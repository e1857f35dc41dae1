"""Name a loss of a lot, batch or run: trim, drip, drying, samples, waste, giveaway.

With --json: the lot, batch or run as it stands afterwards (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.receive import lose_from_lot
from lotwake.trace.actions.smoke import lose
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, kg, when
from lotwake.trace.records.entries.lots import LOSS_KINDS
from lotwake.trace.records.find import Kind

NAME = "lose"
HELP = "Name a loss of a lot, batch or run: trim, drip, drying, samples, waste, giveaway."


def arguments(parser: ArgumentParser) -> None:
    """Where, what kind, how much."""
    parser.add_argument("code", help="the lot, batch or run")
    parser.add_argument("kind", metavar="KIND", help=", ".join(LOSS_KINDS))
    parser.add_argument("kg", type=kg, metavar="MASS", help="a bare number is kilograms")
    parser.add_argument("--note", default="")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Write the loss down."""
    with shell.desk() as desk:
        act = lose_from_lot if find_one(desk.records, args.code).kind is Kind.LOT else lose
        thing = act(desk, args.code, args.kind, args.kg, when(desk, args), args.note)
        give_thing(shell, desk, thing, f"Named {args.kind} of")
