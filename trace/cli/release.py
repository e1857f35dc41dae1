"""Release a lot, batch or run from hold, by name and with a reason.

With --json: the lot, batch or run (``kind``, ``code``, ``shown``, ``status``, ``facts``). To sign that a finished batch
may be packed, use ``lotwake batch release``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.hold import release
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, add_why, when

NAME = "release"
HELP = "Release a lot, batch or run from hold, by name and with a reason."


def arguments(parser: ArgumentParser) -> None:
    """What, by whom, why."""
    parser.add_argument("code", help="the lot, batch or run that was held")
    parser.add_argument("--by", required=True, metavar="NAME", help="who decided it")
    add_why(parser)
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Write it down."""
    with shell.desk() as desk:
        give_thing(shell, desk, release(desk, args.code, args.by, args.why, when(desk, args)), "Released")
