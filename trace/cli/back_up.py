"""Copy the record into one file and check the copy.

The settings (house.toml) and printed files are not in it. With --json: ``file`` and what ``verify`` gives. The exit code is 5
when the record, and so the copy, is not whole.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from lotwake.trace.actions.back_up import back_up
from lotwake.trace.base.errors import ExitCode
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.verify import verdict_data, verdict_lines

NAME = "back-up"
HELP = "Copy the record into one file and check the copy."


def arguments(parser: ArgumentParser) -> None:
    """Where to."""
    parser.add_argument("file", type=Path)


def run(args: Namespace, shell: Shell) -> int:
    """Copy and check."""
    with shell.desk() as desk:
        made = back_up(desk, args.file.expanduser().absolute())
    shell.give(
        {"file": str(made.path), **verdict_data(made.verdict)},
        [f"Backed up into {made.path}.", *verdict_lines(made.verdict)],
    )
    return ExitCode.DONE if made.verdict.whole else ExitCode.NEEDS_ATTENTION
