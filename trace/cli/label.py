"""Print labels for packs and cases to a PDF, and print them again.

Packs of the run that have no label yet come first; more packs are made as far as the fish lasts. Every print is in the
record before the first label comes out. With --json: ``file``, ``count`` and, for packs, ``kind``, ``code``, ``shown`` of the
run and ``packs`` (``first`` and ``last`` serials); for cases, ``cases`` with ``code`` and ``shown``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import asdict
from pathlib import Path

from lotwake.trace.actions import labels
from lotwake.trace.actions.labels import Printed
from lotwake.trace.base.ranges import in_words
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.values import add_why, whole

NAME = "label"
HELP = "Print labels for packs and cases to a PDF, and print them again."
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """One word for each kind of print."""
    nouns = Nouns(parser)
    pack = nouns.add("pack", "First labels for the next packs of a run.", _pack)
    pack.add_argument("run")
    pack.add_argument("--count", type=whole, required=True, metavar="N", help="how many labels")
    again = nouns.add("reprint", "Labels once more for packs; destroy the first ones.", _reprint)
    again.add_argument("packs", metavar="RUN/1-24")
    add_why(again)
    case = nouns.add("case", "The labels of cases.", _case)
    case.add_argument("cases", nargs="+", metavar="SSCC")
    case.add_argument("--why", default="", metavar="REASON", help="why a label is printed again")
    for noun in (pack, again):
        noun.add_argument("--no-serial", action="store_true", help="leave the serial number out of the bar code")
    for noun in (pack, again, case):
        noun.add_argument("--out", type=Path, required=True, metavar="FILE", help="the PDF")


def _pack(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give_packs(shell, labels.print_labels(desk, args.run, args.count, args.out, not args.no_serial))


def _reprint(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give_packs(shell, labels.reprint_labels(desk, args.packs, args.why, args.out, not args.no_serial))


def _give_packs(shell: Shell, printed: Printed) -> None:
    run = printed.thing
    shell.give(
        {
            "file": str(printed.path),
            "count": printed.count,
            "kind": str(run.kind),
            "code": run.code,
            "shown": run.shown,
            "packs": [asdict(part) for part in printed.packs],
        },
        f"{printed.count} labels of run {run.shown}, packs {in_words(printed.packs)}, are in {printed.path}.",
    )


def _case(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        printed = labels.print_case_labels(desk, args.cases, args.out, args.why)
    cases = [each.thing for each in printed]
    shell.give(
        {
            "file": str(args.out),
            "count": len(cases),
            "cases": [{"code": case.code, "shown": case.shown} for case in cases],
        },
        f"{len(cases)} case labels ({', '.join(case.shown for case in cases)}) are in {args.out}.",
    )
