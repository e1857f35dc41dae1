"""Check that the record is whole: nothing changed behind the program's back.

With --printed the record is also held against the entry and hash of a page that was printed earlier: a journal that was
rewritten since, with new hashes throughout, is found by nothing else.
With --json: ``{"whole", "lines", "rows", "last_hash", "problems": [{"place", "sentence"}]}``. The exit code is 5 when it is
not whole.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from lotwake.trace.base.errors import ExitCode
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.values import whole
from lotwake.trace.records.verify import Verdict, against_paper, verify

NAME = "verify"
HELP = "Check that the record is whole: nothing changed behind the program's back."


def arguments(parser: ArgumentParser) -> None:
    """What a printed page says."""
    parser.add_argument(
        "--printed", nargs=2, metavar=("ENTRY", "HASH"), help="as a printed page has them; the hash's first 12 signs do"
    )


def run(args: Namespace, shell: Shell) -> int:
    """Walk the journal and every table, and hold them against what was printed."""
    with shell.desk() as desk:
        verdict = verify(desk.records)
        if args.printed is not None:
            found = against_paper(desk.records, whole(args.printed[0]), args.printed[1])
            verdict = replace(verdict, problems=(*verdict.problems, *found))
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
