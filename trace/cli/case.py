"""Put packs into cases.

RUN alone fills full cases from its loose packs, in serial order; RUN/1-12 (one or more) puts just these packs into one
new case. With --json: ``{"things": [...]}``, one case each.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions import ship
from lotwake.trace.base.errors import CallError
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_things
from lotwake.trace.cli.values import add_when, when, whole

NAME = "case"
HELP = "Put packs into cases."


def arguments(parser: ArgumentParser) -> None:
    """A run, or packs."""
    parser.add_argument("goods", nargs="+", metavar="RUN|RUN/1-12")
    parser.add_argument("--cases", type=whole, metavar="N", help="how many cases (default: as many as become full)")
    parser.add_argument("--packs", type=whole, metavar="N", help="packs in a case (default: the product's)")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Fill and close the cases."""
    named = [text for text in args.goods if "/" in text]
    if named and (len(named) < len(args.goods) or args.cases or args.packs):
        raise CallError("Packs named one by one go into one case.", "Name packs only, or one run with --cases N.")
    if not named and len(args.goods) > 1:
        raise CallError("Cases are filled from one run at a time.", "Name one run, or packs such as RUN/1-12.")
    with shell.desk() as desk:
        at = when(desk, args)
        made = (
            [ship.close_case(desk, named, at)]
            if named
            else ship.case_up(desk, args.goods[0], args.cases, args.packs, at)
        )
        give_things(shell, desk, made, "Closed")
