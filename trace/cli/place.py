"""Say where things lie in the house: freezers, chill rooms, shelves; a recall then lists what is here by place.

With --json: ``add`` gives ``kind``, ``code``, ``shown``, ``name``, ``place_kind``; ``put`` gives ``place`` and ``put``;
``show`` and ``list`` give ``places``, each with ``name``, ``code``, ``place_kind``, ``packs``, ``unpacked_g`` and
``things`` (``kind``, ``code``, ``name``, ``packs``, ``first``, ``last``, ``unit``, ``g``); ``cards`` gives ``file``, ``count``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import asdict
from pathlib import Path
from typing import Any

from lotwake.trace.actions import places
from lotwake.trace.actions.places import Held
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import show_mass
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.rows import aligned
from lotwake.trace.records.entries.places import PLACE_KINDS
from lotwake.trace.records.lying import Lying

NAME = "place"
HELP = "Say where things lie in the house, by place: freezers, chill rooms, shelves."
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """The words of places."""
    nouns = Nouns(parser)
    added = nouns.add("add", "Add a place; it gets a card of its own.", _add)
    added.add_argument("name")
    added.add_argument("kind", choices=PLACE_KINDS, metavar="KIND", help=", ".join(PLACE_KINDS))
    put = nouns.add("put", "Put things into a place; the latest word holds.", _put)
    put.add_argument("place", help="its name or code")
    put.add_argument("goods", nargs="+", metavar="CODE", help="cases, pallets, lots, batches, runs, packs RUN/1-24")
    nouns.add("list", "Every place, and how much lies there.", _list)
    shown = nouns.add("show", "What lies in one place.", _show)
    shown.add_argument("place", help="its name or code")
    cards = nouns.add("cards", "Print a card for each place, as one PDF.", _cards)
    cards.add_argument("--out", type=Path, required=True, metavar="FILE", help="the PDF")


def _add(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        made = places.add_place(desk, args.name, args.kind)
    data = {"kind": "place", "code": made.code, "shown": made.shown, "name": made.name, "place_kind": made.kind}
    shell.give(data, f"Added the {made.kind} {made.name}, {made.shown}. `lotwake place cards` prints its card.")


def _put(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        said = places.put(desk, args.place, args.goods)
        name = places.what_lies(desk, args.place).place.name
    shell.give({"place": name, "put": said}, [f"In {name}: {words}." for words in said])


def _list(_args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        known = places.all_places(desk)
    rows = [
        (held.place.name, held.place.kind, held.place.shown, f"{held.packs:,}", show_mass(held.g) if held.g else "-")
        for held in known
    ]
    lines = list(aligned(("place", "kind", "card", ">packs", ">not packed"), rows)) if rows else [
        "No place yet. Add one: lotwake place add 'Freezer 1' freezer."
    ]  # fmt: skip
    shell.give({"places": [_data(held) for held in known]}, lines)


def _show(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        held = places.what_lies(desk, args.place)
    lines = [f"{held.place.name}, {held.place.kind}: {held.packs:,} packs, {show_mass(held.g)} not packed."]
    shell.give({"places": [_data(held)]}, [*lines, *(f"  {_line(item)}" for item in held.things)])


def _line(item: Lying) -> str:
    if item.packs is None:
        return f"{item.kind} {show_code(item.code)}, {item.name}, {show_mass(item.g or 0)}"
    where = f" in {item.unit}" if item.unit else ", loose"
    return f"{item.packs} packs {item.first}-{item.last} of run {show_code(item.code)}, {item.name}{where}"


def _data(held: Held) -> dict[str, Any]:
    place = held.place
    return {
        "name": place.name, "code": place.code, "shown": place.shown, "place_kind": place.kind, "packs": held.packs,
        "unpacked_g": held.g, "things": [asdict(item) for item in held.things],
    }  # fmt: skip


def _cards(args: Namespace, shell: Shell) -> None:
    from lotwake.trace.actions.cards import print_cards

    with shell.desk() as desk:
        cards = places.place_cards(desk)
        if not cards:
            raise CallError("No place is known yet.", "Add one first: lotwake place add NAME KIND.")
        print_cards(desk, cards, args.out)
    shell.give({"file": str(args.out), "count": len(cards)}, f"{len(cards)} cards are in {args.out}.")
