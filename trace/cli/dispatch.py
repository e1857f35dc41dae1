"""Send cases, pallets and loose packs to a buyer.

With --json: the dispatch (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.ship import send
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, when

NAME = "dispatch"
HELP = "Send cases, pallets and loose packs to a buyer."


def arguments(parser: ArgumentParser) -> None:
    """To whom, what, on which paper."""
    parser.add_argument("buyer", help="by name")
    parser.add_argument("goods", nargs="+", metavar="SSCC|RUN/1-12")
    parser.add_argument("--document", default="", help="delivery note (default: the dispatch's own code)")
    parser.add_argument("--carrier", default="", help="who carries it")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Send it."""
    with shell.desk() as desk:
        sent = send(desk, args.buyer, args.goods, args.document, when(desk, args), args.carrier)
        give_thing(shell, desk, sent, "Sent")
