"""Practise a recall on the live record: nothing is held, nobody's goods move, and every step is timed.

``begin`` names a start, ``draw`` has one drawn; the clock runs from then. Then ``notices``, ``told``, ``reply``,
``count``, ``status`` and at last ``finish``. With --json every word but ``list`` answers with the state: ``kind``,
``code``, ``shown``, ``state``, ``clock``, ``accounted_percent``, ``confirmed_percent``, ``enough``, ``where``,
``runs``, ``buyers``, ``in_house``, ``unpacked``, ``suspects``, ``scopes``, ``balance``, ``traced_back``, ``gaps``,
``next``, ``steps`` and more; ``draw`` adds ``drawn``; ``list`` gives ``drills`` and ``due``.
"""

from __future__ import annotations

import secrets
from argparse import ArgumentParser, Namespace
from dataclasses import asdict

from lotwake.trace.actions import recall, recall_answers
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import show_day
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.recall_words import add_terms, add_words, give, terms
from lotwake.trace.cli.rows import aligned
from lotwake.trace.cli.values import whole
from lotwake.trace.recall.classes import DRILL_RULE
from lotwake.trace.recall.drill import clock_text, percent
from lotwake.trace.records.entries.recall import DRILL
from lotwake.trace.records.recalls import cases

NAME = "drill"
HELP = "Practise a recall against the clock: name or draw a lot, find every pack, ring the buyers."
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """The words of a drill."""
    nouns = Nouns(parser)
    add_words(nouns, DRILL)
    drawn = nouns.add("draw", "Have the start drawn, recent and widely mixed lots more often, and begin.", _draw)
    drawn.add_argument("--seed", type=whole, metavar="N", help="the same seed draws the same; shown and kept")
    add_terms(drawn, DRILL)
    nouns.add("list", "The drills so far, compared, and when the next one is due.", _list)


def _draw(args: Namespace, shell: Shell) -> None:
    seed = secrets.randbelow(1_000_000) if args.seed is None else args.seed
    with shell.desk() as desk:
        start, known = recall.drawn(desk, seed)
        state = recall.begin(desk, DRILL, start, terms(desk, args))
    give(shell, state, drawn={"seed": seed, "from": len(known)})


def _list(_args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        past, due = recall_answers.past_drills(desk), recall_answers.next_due(desk)
        still_open = [case.shown for case in cases(desk.records, DRILL) if case.ended is None]
    rows = [
        (show_code(item.code), show_day(item.day), item.began_with, clock_text(item.used), "yes" if item.in_time else "no",
         f"{percent(item.accounted, item.made):g} %", f"{percent(item.confirmed, item.made):g} %",
         f"{item.answered} of {item.buyers}", str(item.gaps), item.signed)
        for item in past
    ]  # fmt: skip
    headings = ("drill", "day", "from", ">time", "in time", ">accounted", ">confirmed", "answered", ">gaps", "signed")
    data = {
        "drills": [
            {**asdict(item), "day": item.day.isoformat(), "used": int(item.used.total_seconds())} for item in past
        ],
        "open": still_open,
        "due": {"on": None if due.on is None else due.on.isoformat(), "overdue": due.overdue, "source": DRILL_RULE},
    }
    lines = [*(aligned(headings, rows) if rows else []), f"{due.sentence} {DRILL_RULE}."]
    shell.give(data, [*lines, *(f"Open: {code}." for code in still_open)])
