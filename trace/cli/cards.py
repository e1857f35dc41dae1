"""Print the cards to scan: tests of the scanner, a card for each person, command and quantity.

With --json: ``{"file", "count", "cards": [{"title", "code", "says"}]}``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from importlib import import_module
from pathlib import Path

from lotwake.trace.cli.command import Shell

NAME = "cards"
HELP = "Print the cards to scan: scanner tests, people, commands and quantities, as one PDF."


def arguments(parser: ArgumentParser) -> None:
    """Where to."""
    parser.add_argument("--out", type=Path, required=True, metavar="FILE", help="the PDF")


def run(args: Namespace, shell: Shell) -> None:
    """Write the sheet."""
    from lotwake.trace.actions.cards import print_cards

    program = import_module("lotwake.trace.screens.program")  # by name: nothing else of the shell may load Textual
    with shell.desk() as desk:
        cards = program.all_cards(desk)
        print_cards(desk, cards, args.out)
    shell.give(
        {
            "file": str(args.out),
            "count": len(cards),
            "cards": [{"title": card.title, "code": card.code, "says": card.says} for card in cards],
        },
        f"{len(cards)} cards are in {args.out}.",
    )
