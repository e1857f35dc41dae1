"""Check that the record is whole: nothing changed behind the program's back.

With --json: ``{"whole", "lines", "rows", "last_hash", "problems": [{"place", "sentence"}]}``. The exit code is 5 when it is
not whole.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from typing import Any

from lotwake.trace.base.errors import ExitCode
from lotwake.trace.cli.command import Shell
from lotwake.trace.records.verify import Verdict, verify

NAME = "verify"
HELP = "Check that the record is whole: nothing changed behind the program's back."


def arguments(_parser: ArgumentParser) -> None:
    """Nothing more to say."""


def run(_args: Namespace, shell: Shell) -> int:
    """Walk the journal and every table."""
    with shell.desk() as desk:
        verdict = verify(desk.records)
    shell.give(verdict_data(verdict), verdict_lines(verdict))
    return ExitCode.DONE if verdict.whole else ExitCode.NEEDS_ATTENTION


def verdict_data(verdict: Verdict) -> dict[str, Any]:
    """What a walk found, for machines."""
    problems = [{"place": problem.place, "sentence": problem.sentence} for problem in verdict.problems]
    return {
        "whole": verdict.whole,
        "lines": verdict.lines,
        "rows": verdict.rows,
        "last_hash": verdict.last_hash,
        "problems": problems,
    }


def verdict_lines(verdict: Verdict) -> Iterator[str]:
    """What a walk found, for people."""
    walked = (
        f"{verdict.lines} journal lines and {verdict.rows} rows were checked; the last hash is {verdict.last_hash}."
    )
    if verdict.whole:
        yield f"The record is whole. {walked}"
        return
    yield f"The record is not whole: {len(verdict.problems)} problems. {walked}"
    yield from (f"  {problem.sentence}" for problem in verdict.problems)
    yield "Make no more entries here; keep this folder as it is and compare it with the last backup."
