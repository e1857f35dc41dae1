"""Take goods back from a buyer.

With --json: the return (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.ship import take_back
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, add_why, when

NAME = "return"
HELP = "Take goods back from a buyer."


def arguments(parser: ArgumentParser) -> None:
    """From whom, what, why."""
    parser.add_argument("buyer", help="by name")
    parser.add_argument("goods", nargs="+", metavar="SSCC|RUN/1-12")
    add_why(parser)
    parser.add_argument("--document", default="", help="the buyer's return note")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Take it back."""
    with shell.desk() as desk:
        back = take_back(desk, args.buyer, args.goods, args.why, when(desk, args), args.document)
        give_thing(shell, desk, back, "Took back")
