"""Hold a lot, batch or run, and with it everything made from it.

With --json: the lot, batch or run (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.hold import hold
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, add_why, when

NAME = "hold"
HELP = "Hold a lot, batch or run, and with it everything made from it."


def arguments(parser: ArgumentParser) -> None:
    """What, and why."""
    parser.add_argument("code", help="the lot, batch or run")
    add_why(parser)
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Write it down."""
    with shell.desk() as desk:
        give_thing(shell, desk, hold(desk, args.code, args.why, reject=False, at=when(desk, args)), "Held")
