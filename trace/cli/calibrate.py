"""Write down the check of a thermometer, scale, hydrometer or logger.

With --json: ``calibration`` (its number), ``equipment``, ``found``, ``passed`` and ``due_on`` (ISO 8601).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions import judge
from lotwake.trace.base.moments import read_day, show_day
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.values import add_when, when

NAME = "calibrate"
HELP = "Write down the check of a thermometer, scale, hydrometer or logger."


def arguments(parser: ArgumentParser) -> None:
    """Which instrument, what the check found, and when the next one is due."""
    parser.add_argument("equipment", help="the instrument by its name")
    parser.add_argument("--found", required=True, help="what the check found, such as '0.1 C high in ice water'")
    parser.add_argument("--due", required=True, metavar="DAY", help="when the next check is due, such as +30")
    parser.add_argument("--failed", action="store_true", help="it failed: it is not to be used")
    add_when(parser)


def run(args: Namespace, shell: Shell) -> None:
    """Enter the check."""
    with shell.desk() as desk:
        due_on = read_day(args.due, desk.today)
        made = judge.calibrate(desk, args.equipment, args.found, not args.failed, due_on, when(desk, args))
    data = {
        "calibration": made, "equipment": args.equipment, "found": args.found, "passed": not args.failed,
        "due_on": due_on.isoformat(),
    }  # fmt: skip
    word = "failed" if args.failed else "passed"
    shell.give(data, f"{args.equipment} {word}: {args.found}; the next check is due {show_day(due_on)}.")
