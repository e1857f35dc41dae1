"""Answer where goods are from: boats, landing days, areas, gear, farms and dealers, what was done, where they went.

CODE is anything a buyer can read out or send: pack code, GTIN and lot, case, dispatch document number, or a picture
of a bar code (PNG, JPEG). The answer is written down with who asked. What is withheld: --withhold, else `withhold`
and `[withhold_from]` in house.toml; a buyer is never told of goods sent to others. --out writes one page of PDF, or
text or JSON by the ending of FILE. With --json: ``kind``, ``code``, ``serial``, ``asked_about``, ``asker``,
``house``, ``answered_on``, ``goods``, ``fish`` (with ``share_percent``, ``most_percent``), ``done`` (with ``steps``,
``limits``), ``sent``, ``links``, ``boats``, ``landing_dates``, ``areas``, ``gears``, ``species``, ``lots``,
``buyers``, ``documents``, ``gaps``, ``withheld``, ``text`` and ``file``. The exit code is 5 when the chain has a gap.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from lotwake.trace.actions import origin
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import ExitCode
from lotwake.trace.cli.command import Shell
from lotwake.trace.recall.origin import Withhold, as_data, in_sentences, read_withheld

NAME = "origin"
HELP = "Answer a buyer where goods are from, on one page, and write down who asked."


def arguments(parser: ArgumentParser) -> None:
    """About what, for whom, onto which paper."""
    parser.add_argument("code")
    parser.add_argument("--for", dest="asker", default="", metavar="ASKER", help="who asks")
    parser.add_argument("--withhold", metavar="WORDS", help=f"what to keep back: {', '.join(Withhold)}, or nothing")
    parser.add_argument("--out", type=Path, metavar="FILE", help="write it to FILE.pdf, FILE.txt or FILE.json")


def run(args: Namespace, shell: Shell) -> int:
    """Answer, write it down, and put it onto paper if asked to."""
    with shell.desk() as desk:
        thing = origin.asked_about(desk, args.code)
        answer = origin.answer_origin(desk, thing, args.asker, _withheld(desk, args))
        origin.record_answer(desk, thing, answer)
    data = {**as_data(answer), "file": None if args.out is None else str(args.out)}
    if args.out is not None:
        origin.write_answer(answer, args.out)
    lines = in_sentences(answer)
    shell.give(data, lines if args.out is None else [*lines, f"It is in {args.out}."])
    return ExitCode.NEEDS_ATTENTION if answer.gaps else ExitCode.DONE


def _withheld(desk: Desk, args: Namespace) -> frozenset[Withhold]:
    if args.withhold is not None:
        return read_withheld("" if args.withhold.strip().lower() in ("nothing", "none") else args.withhold)
    return origin.withheld_from(desk, args.asker)
