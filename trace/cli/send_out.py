"""Send out what authorities and buyers ask for, each as a file whose name says what is written.

CODE is anything the house knows: a lot, batch, run, pack, case or dispatch; its whole chain is sent. Instead of codes,
--from DAY and --to DAY send what happened on these days. With --json: ``files``, ``counts``, ``missing`` (one line each)
and ``notes``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from pathlib import Path

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.send_out import (
    Choice,
    SentOut,
    send_day,
    send_epcis,
    send_eu,
    send_kde,
    send_note,
    send_plan,
)
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.values import day

NAME = "send-out"
HELP = "Send out key data elements, EU lot information, EPCIS, a dispatch note, the traceability plan, a day's record."
run = do_noun
MOST_SHOWN = 12
"""How many missing facts are named before the rest is counted."""


def arguments(parser: ArgumentParser) -> None:
    """One word for each thing that is sent."""
    nouns = Nouns(parser)
    kde = nouns.add("kde", "US key data elements per tracking event, to sort: .xlsx, or .csv with a file each.", _kde)
    eu = nouns.add("eu", "EU lot information of each lot: .json, .csv or .xlsx.", _eu)
    epcis = nouns.add("epcis", "EPCIS 2.0 events of the chain: .json or .jsonld.", _epcis)
    epcis.add_argument("--serials", action="store_true", help="name every pack by its serial instead of counting packs")
    note = nouns.add("dispatch-note", "What goes with the goods: .json, .pdf, .txt or .md.", _note)
    note.add_argument("dispatch", help="the dispatch, by its code or document number")
    plan = nouns.add("plan", "The traceability plan of 21 CFR 1.1315, filled in: .md, .txt or .pdf.", _plan)
    record = nouns.add("day", "The record of one day, with the hash the journal ended with: .pdf, .txt or .md.", _day)
    record.add_argument("day", nargs="?", metavar="DAY", help="default: today")
    for noun in (kde, eu, epcis):
        noun.add_argument("codes", nargs="*", metavar="CODE", help="what the house knows, typed or scanned")
        noun.add_argument("--from", dest="since", metavar="DAY", help="what happened since this day, instead of codes")
        noun.add_argument("--to", dest="until", metavar="DAY", help="and until this one (default: today)")
    for noun in (kde, eu, epcis, note, plan, record):
        noun.add_argument("--out", type=Path, required=True, metavar="FILE", help="the file to write")


def _choice(args: Namespace, desk: Desk) -> Choice:
    return Choice(tuple(args.codes), day(desk, args.since), day(desk, args.until))


def _kde(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, send_kde(desk, _choice(args, desk), args.out))


def _eu(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, send_eu(desk, _choice(args, desk), args.out))


def _epcis(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, send_epcis(desk, _choice(args, desk), args.out, args.serials))


def _note(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, send_note(desk, args.dispatch, args.out))


def _plan(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, send_plan(desk, args.out))


def _day(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, send_day(desk, day(desk, args.day) or desk.today, args.out))


def _give(shell: Shell, sent: SentOut) -> None:
    data = {
        "files": [str(file) for file in sent.files],
        "counts": dict(sent.counts),
        "missing": list(sent.missing),
        "notes": list(sent.notes),
    }
    shell.give(data, _lines(sent))


def _lines(sent: SentOut) -> Iterator[str]:
    for file in sent.files:
        yield f"Written: {file}"
    for name, count in sent.counts.items():
        yield f"{count:>9,}  {name}"
    if sent.missing:
        yield f"Missing in the record: {len(sent.missing):,}."
        yield from (f"  {line}" for line in sent.missing[:MOST_SHOWN])
        if len(sent.missing) > MOST_SHOWN:
            yield f"  ... and {len(sent.missing) - MOST_SHOWN:,} more, named in the file."
    yield from sent.notes
