"""Recall goods: find every pack, hold what is in the house, tell every buyer, take their answers, report.

``begin`` names what is suspected and puts it on hold with everything made from it; the rest is as in ``lotwake
drill``, with the same keys under --json. ``common-source`` ranks what complaint packs share: ``complaints``,
``made``, ``candidates``, ``stands_out``, ``sentence``, ``findings`` and ``by_count`` (``factors``, ``with_it``,
``carrying``, ``share_percent``, ``chance``, ``corrected``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from lotwake.trace.actions.common_source import common_source_of, complaint_packs
from lotwake.trace.base.moments import read_moment
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.lines import local
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.recall_words import add_words
from lotwake.trace.cli.rows import aligned
from lotwake.trace.recall.common_source import CommonSource, Finding
from lotwake.trace.records.entries.recall import RECALL
from lotwake.trace.records.recalls import cases

NAME = "recall"
HELP = "Recall goods: find every pack, hold what is here, tell the buyers, take their answers."
MOST_SHOWN = 8
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """The words of a recall."""
    nouns = Nouns(parser)
    add_words(nouns, RECALL)
    common = nouns.add("common-source", "What complaint packs share beyond chance.", _common)
    common.add_argument("packs", nargs="+", metavar="RUN/SERIAL")
    common.add_argument("--since", metavar="TIME", help="compare with packs made since then (default: 60 days before)")
    common.add_argument("--until", metavar="TIME", help="and until then (default: 60 days after)")
    nouns.add("list", "The recalls so far.", _list)


def _common(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        since, until = (
            None if text is None else read_moment(text, desk.now, desk.zone) for text in (args.since, args.until)
        )
        found = common_source_of(desk, complaint_packs(desk, args.packs), since, until)
    shell.give(_data(found), _lines(found))


def _data(found: CommonSource) -> dict[str, Any]:
    return {
        "complaints": found.complaints, "made": found.made, "candidates": found.candidates,
        "stands_out": bool(found.first), "sentence": found.sentence,
        "findings": [_finding(item, found) for item in found.findings],
        "by_count": [_finding(item, found) for item in found.by_count],
    }  # fmt: skip


def _finding(item: Finding, found: CommonSource) -> dict[str, Any]:
    return {
        "factors": [{"kind": str(factor.kind), "name": factor.name} for factor in item.factors],
        "with_it": item.with_it, "carrying": item.carrying, "share_percent": round(100 * item.carrying / found.made, 3),
        "chance": item.chance, "corrected": item.corrected, "stands_out": item.stands_out,
    }  # fmt: skip


def _lines(found: CommonSource) -> list[str]:
    rows = [
        (str(item.with_it), f"{100 * item.carrying / found.made:.1f} %", f"{item.corrected:.2g}",
         "; ".join(f"{factor.kind} {factor.name}" for factor in item.factors))
        for item in found.findings[:MOST_SHOWN]
    ]  # fmt: skip
    return [found.sentence, "", *aligned((">complaints", ">of all packs", ">by chance", "what"), rows)]


def _list(_args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        known, zone = cases(desk.records, RECALL), desk.zone
    rows = [
        (case.shown, local(case.at, zone), case.began_with, case.reason, "FINISHED" if case.ended else "OPEN")
        for case in known
    ]
    data = [{"code": case.code, "begun": case.at, "began_with": case.began_with, "reason": case.reason, "ended": case.ended}
            for case in known]  # fmt: skip
    shell.give(
        {"recalls": data}, aligned(("recall", "begun", "from", "reason", "state"), rows) if rows else "No recall yet."
    )
