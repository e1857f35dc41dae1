"""List what waits, most urgent first: deviations, results, packing, calibrations, reviews.

With --json: ``{"waiting": [...]}``, each with ``kind``, ``code`` (empty for an instrument), ``shown``, ``since`` and
``sentence``. Kinds are those of --only.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from lotwake.trace.actions.waiting import waiting
from lotwake.trace.base.codes import show_code
from lotwake.trace.cli.command import Shell
from lotwake.trace.process.basis import CAUTION
from lotwake.trace.records.waiting import Urgency, Waiting

NAME = "waiting"
HELP = "List what waits, most urgent first: deviations, results, packing, calibrations, reviews."
_JUDGED = (Urgency.DEVIATION_OPEN, Urgency.RESULT_AWAITED)


def arguments(parser: ArgumentParser) -> None:
    """Which kinds, if not all."""
    words = [urgency.word for urgency in Urgency]
    parser.add_argument(
        "--only", choices=words, action="append", metavar="KIND", help=f"{', '.join(words)}; repeat for more"
    )


def run(args: Namespace, shell: Shell) -> None:
    """Look, judge, and list."""
    with shell.desk() as desk:
        found = [item for item in waiting(desk) if args.only is None or item.urgency.word in args.only]
    lines: list[str] = []
    for item in found:
        lines += [] if lines and item.urgency.word.upper() in lines else [item.urgency.word.upper()]
        lines.append(f"  {item.sentence}.")
    lines += [CAUTION] if any(item.urgency in _JUDGED for item in found) else []
    shell.give({"waiting": [_data(item) for item in found]}, lines or ["Nothing waits."])


def _data(item: Waiting) -> dict[str, Any]:
    return {
        "kind": item.urgency.word, "code": item.code, "shown": show_code(item.code) if item.code else "",
        "since": item.since, "sentence": item.sentence,
    }  # fmt: skip
