"""``lotwake reckon``: the calculations of the bench, each with its formula, its numbers and its source."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.reckoning.every import CALCULATIONS
from lotwake.trace.cli.command import Shell

NAME = "reckon"
HELP = "Work out a number of the trade: brine, salt, heat, cooling, ice, type height, code look-ups."


def arguments(parser: ArgumentParser) -> None:
    """One sub-command for each calculation."""
    names = parser.add_subparsers(dest="calculation", metavar="NAME", required=True)
    for calculation in CALCULATIONS:
        own = names.add_parser(
            calculation.name, help=calculation.help, description=calculation.help, allow_abbrev=False
        )
        calculation.arguments(own)


def run(args: Namespace, shell: Shell) -> None:
    """Reckon and give the answer; CallError or NotFound for what cannot be."""
    calculation = next(each for each in CALCULATIONS if each.name == args.calculation)
    answer = calculation.reckon(args)
    shell.give(answer.data(), answer.lines())
