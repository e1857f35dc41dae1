"""Load the old log book of a house from CSV files, all or nothing.

Every bad row is reported with its file, line and reason, and then nothing is kept: mend the files and bring them in again.
`--dry-run` only tries; `--format` says how the files are written. While it runs, no other station can write.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from lotwake.trace.base.errors import CallError, ExitCode
from lotwake.trace.cli.command import Shell

if TYPE_CHECKING:
    from lotwake.trace.actions.bring_in.load import Outcome

NAME = "bring-in"
HELP = "Load the old log book of a house from CSV files, all or nothing."


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("folder", type=Path, nargs="?", metavar="FOLDER", help="the folder with the CSV files")
    parser.add_argument("--dry-run", action="store_true", help="try every row, keep nothing")
    parser.add_argument("--format", action="store_true", help="say which files and columns there are")


def run(args: Namespace, shell: Shell) -> int | None:
    if args.format:
        from lotwake.trace.actions.bring_in.describe import as_data, as_text

        shell.give(as_data(), as_text())
        return None
    if args.folder is None:
        raise CallError("The folder with the CSV files is missing.", "Name it, or see `lotwake bring-in --format`.")
    from lotwake.trace.actions.bring_in.load import bring_in

    with shell.desk() as desk:
        outcome = bring_in(desk, args.folder, args.dry_run, _Teller(shell).tell)
    shell.give(asdict(outcome), _in_words(outcome))
    return ExitCode.DONE if outcome.clean else ExitCode.CALL_WRONG


class _Teller:
    """Tells somebody at a terminal how far it is, one line for each tenth."""

    def __init__(self, shell: Shell) -> None:
        self._shell = shell
        self._told = 0

    def tell(self, what: str, done: int, total: int) -> None:
        step = max(total // 10, 20_000)
        if done // step != self._told and sys.stderr.isatty():
            self._told = done // step
            self._shell.say(f"{what}: {done:,} of {total:,}" if total else f"{what}: {done:,}")


def _in_words(outcome: Outcome) -> Iterator[str]:
    for problem in outcome.problems:
        yield f"{problem.file} line {problem.line}: {problem.reason}"
    if outcome.more:
        yield f"... and {outcome.more:,} more."
    for file, rows in outcome.counts.items():
        yield f"{rows:>9,}  {file}"
    if not outcome.clean:
        yield f"Nothing was brought in. Problems: {len(outcome.problems) + outcome.more:,}."
    elif outcome.dry_run:
        yield "All rows are right. Nothing was written: this was a dry run."
    else:
        yield f"Brought in: {sum(outcome.counts.values()):,} rows."
