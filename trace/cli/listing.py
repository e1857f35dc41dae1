"""List lots, batches, runs, cases, dispatches, boats, buyers, products and the rest.

With --json: ``{"what", "rows": [...], "more"}``; things of the house have ``kind``, ``code``, ``shown``, ``status`` and
``facts``, everything else its facts alone; ``more`` says that there are more rows than were asked for.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, astuple, fields
from datetime import datetime, time, timedelta
from functools import partial
from typing import Any

from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.units import show_mass
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.lines import fact_line
from lotwake.trace.cli.rows import aligned
from lotwake.trace.cli.show import thing_data
from lotwake.trace.cli.values import day, whole
from lotwake.trace.records import lists
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind
from lotwake.trace.records.lists import Wanted

NAME = "list"
HELP = "List lots, batches, runs, cases, dispatches, boats, buyers, products and the rest."

_THINGS = {
    "lots": Kind.LOT, "batches": Kind.BATCH, "runs": Kind.RUN, "cases": Kind.CASE, "pallets": Kind.PALLET,
    "dispatches": Kind.DISPATCH, "returns": Kind.RETURN,
}  # fmt: skip
_OTHERS: Mapping[str, Callable[[Records], Sequence[Any]]] = {
    "boats": partial(lists.sources, kind="boat"),
    "farms": partial(lists.sources, kind="farm"),
    "dealers": partial(lists.sources, kind="dealer"),
    "suppliers": lists.suppliers,
    "buyers": lists.buyers,
    "products": lists.products,
    "equipment": lists.equipment,
    "calibrations": lists.calibrations,
    "operators": lists.operators,
    "species": lists.species,
    "areas": lists.areas,
    "gear": lists.gear,
}


def arguments(parser: ArgumentParser) -> None:
    """What, and how much of it."""
    words = (*_THINGS, *_OTHERS)
    parser.add_argument("what", choices=words, metavar="WHAT", help=", ".join(words))
    parser.add_argument("--since", metavar="DAY", help="from this day on (lots, batches, runs, cases, dispatches, ...)")
    parser.add_argument("--until", metavar="DAY", help="up to this day")
    parser.add_argument("--status", default="", metavar="WORD", help="only those in this state, such as HELD")
    parser.add_argument("--holding", default="", metavar="TEXT", help="only rows with this text in them")
    parser.add_argument("--most", type=whole, default=50, metavar="N", help="at most N rows (default: 50)")


def run(args: Namespace, shell: Shell) -> None:
    """Read the list and show it, the newest first."""
    with shell.desk() as desk:
        rows, lines, more = _things(desk, args) if args.what in _THINGS else _others(desk, args)
    shell.give({"what": args.what, "rows": rows, "more": more}, lines or [f"There are no {args.what} like that."])
    if more and not shell.as_json:
        shell.say(f"There are more than {args.most}; ask for --most N, or narrow it.")


_Found = tuple[list[dict[str, Any]], list[str], bool]


def _things(desk: Desk, args: Namespace) -> _Found:
    wanted = Wanted(
        since=_midnight(desk, args.since, 0),
        until=_midnight(desk, args.until, 1),
        status=args.status.strip().upper(),
        holding=args.holding,
    )
    found = lists.things(desk.records, _THINGS[args.what], wanted, args.most + 1)
    shown = found[: args.most]
    rows = [(each.thing.shown, each.status, fact_line(each.facts, desk.zone)) for each in shown]
    lines = list(aligned(("code", "state", ""), rows)) if rows else []
    return [thing_data(each.thing, each.status, each.facts) for each in shown], lines, len(found) > args.most


def _others(desk: Desk, args: Namespace) -> _Found:
    if args.since or args.until or args.status:
        raise CallError(f"A list of {args.what} has no days and states.", "Use --holding TEXT to narrow it.")
    found = [row for row in _OTHERS[args.what](desk.records) if _holds(row, args.holding)]
    shown = found[: args.most]
    lines = list(aligned(*_columns(shown))) if shown else []
    return [_data(row) for row in shown], lines, len(found) > args.most


def _midnight(desk: Desk, text: str | None, days_on: int) -> str:
    """The stored instant at which a typed day of the house begins, or the day ``days_on`` after it."""
    chosen = day(desk, text)
    if chosen is None:
        return ""
    return instant_text(datetime.combine(chosen + timedelta(days=days_on), time(), tzinfo=desk.zone))


def _holds(row: Any, text: str) -> bool:
    return any(text.casefold() in str(value).casefold() for value in astuple(row))


def _data(row: Any) -> dict[str, Any]:
    return {name: value for name, value in asdict(row).items() if name != "id"}


def _columns(rows: Sequence[Any]) -> tuple[list[str], list[list[str]]]:
    """The columns that say something in at least one row; grams as a mass."""
    names = [item.name for item in fields(rows[0]) if item.name != "id"]
    names = [name for name in names if any(getattr(row, name) not in ("", None) for row in rows)]
    headings = [name.removesuffix("_g").replace("_", " ") for name in names]
    return headings, [[_cell(name, getattr(row, name)) for name in names] for row in rows]


def _cell(name: str, value: Any) -> str:
    if value is None:
        return ""
    return show_mass(value) if name.endswith("_g") else str(value)
