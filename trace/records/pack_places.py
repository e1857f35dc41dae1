"""Where every pack of these runs is now, each in exactly one place, and which of them came back once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from lotwake.trace.base.ranges import Serials, common, without
from lotwake.trace.records.database import Records
from lotwake.trace.records.facts import CHUNK
from lotwake.trace.records.places import located
from lotwake.trace.records.stock import REWORK, VOID


class Place(StrEnum):
    """Where a pack can be. RETURNED: in the house again; SAMPLE and REWORK: used up here; LOST: said so by somebody."""

    IN_HOUSE = "IN HOUSE"
    RETURNED = "RETURNED"
    SENT = "SENT"
    DESTROYED = "DESTROYED"
    SAMPLE = "SAMPLE"
    LOST = "LOST"
    REWORK = REWORK


HERE = (Place.IN_HOUSE, Place.RETURNED)


@dataclass(frozen=True)
class PackPlace:
    """Packs of a run that are in one place: ``unit`` their case or None, ``pallet`` under it, ``buyer`` and ``dispatch``
    when they are away (ids), ``since`` the stored instant of that dispatch; ``where`` the name of the freezer or shelf
    they lie in, empty when they are away or nobody said."""

    run: int
    packs: Serials
    place: Place
    unit: int | None = None
    pallet: int | None = None
    buyer: int | None = None
    dispatch: int | None = None
    since: str = ""
    where: str = ""


@dataclass(frozen=True)
class CameBack:
    """Packs of a run that a buyer gave back at a stored instant; they may have left again since."""

    run: int
    packs: Serials
    buyer: int
    at: str


@dataclass(frozen=True)
class Places:
    """Every pack of some runs, and every return of them. ``doubtful``: packs the record has in two places at once."""

    packs: tuple[PackPlace, ...]
    came_back: tuple[CameBack, ...]
    doubtful: tuple[tuple[int, Serials], ...] = ()


_MADE = "SELECT run, first, last FROM pack_range WHERE run IN ({marks})"
_VOID = f"SELECT run, first, last FROM pack_end WHERE run IN ({{marks}}) AND kind = '{VOID}' AND last IS NOT NULL"
_ENDED = (
    f"SELECT run, first, last, kind FROM pack_end WHERE run IN ({{marks}}) AND kind <> '{VOID}' AND last IS NOT NULL"
)
_SENT = """SELECT p.run, p.first, p.last, p.dispatch, d.buyer, d.at FROM dispatch_packs p JOIN dispatch d ON d.id = p.dispatch
  WHERE p.run IN ({marks})"""
_BACK = """SELECT p.run, p.first, p.last, p.dispatch, g.buyer, g.at FROM return_packs p
  JOIN goods_return g ON g.id = p.goods_return WHERE p.run IN ({marks})"""
_CASED = """SELECT c.run, c.first, c.last, c.unit, s.parent, d.buyer, d.id, d.at FROM content c
  LEFT JOIN unit_content s ON s.child = c.unit AND s.until IS NULL
  LEFT JOIN dispatch_line l ON l.unit = c.unit AND NOT EXISTS
    (SELECT 1 FROM return_line r WHERE r.unit = l.unit AND r.dispatch = l.dispatch)
  LEFT JOIN dispatch d ON d.id = l.dispatch WHERE c.run IN ({marks}) AND c.until IS NULL"""
_CASE_CAME = """SELECT c.run, c.first, c.last, g.buyer, g.at FROM content c JOIN return_line r ON r.unit = c.unit
  JOIN goods_return g ON g.id = r.goods_return WHERE c.run IN ({marks}) AND c.since <= g.at
  AND (c.until IS NULL OR c.until >= g.at)"""


def places_of(records: Records, runs: Iterable[int]) -> Places:
    """All packs that were made in these runs and not voided, each in one place. Ask it inside a snapshot."""
    wanted = sorted(set(runs))
    back = [
        (run, Serials(a, b), dispatch, buyer, at) for run, a, b, dispatch, buyer, at in _rows(records, _BACK, wanted)
    ]
    came = [CameBack(run, packs, buyer, at) for run, packs, _, buyer, at in back]
    came += [CameBack(run, Serials(a, b), buyer, at) for run, a, b, buyer, at in _rows(records, _CASE_CAME, wanted)]
    found: dict[int, list[PackPlace]] = defaultdict(list)
    for item in (*_ended(records, wanted), *_cased(records, wanted), *_loose_away(records, wanted, back)):
        found[item.run].append(item)
    real = _made(records, wanted)
    placed: list[PackPlace] = []
    doubtful: list[tuple[int, Serials]] = []
    for run, packs in real.items():
        own, twice = _one_place(run, packs, found[run])
        home = [item.packs for item in came if item.run == run]
        placed += [part for item in own for part in _marked_returned(item, home)]
        doubtful += [(run, part) for part in twice]
    away = [item for item in placed if item.place not in HERE]
    here = located(records, [item for item in placed if item.place in HERE], _home_since(placed, came))
    return Places((*away, *here), tuple(came), tuple(doubtful))


def _home_since(placed: Iterable[PackPlace], came: Iterable[CameBack]) -> dict[tuple[int, Serials], str]:
    """When the packs that were away came back the last time."""
    back = list(came)
    return {
        (item.run, item.packs): max(
            other.at for other in back if other.run == item.run and common([other.packs], [item.packs])
        )
        for item in placed
        if item.place is Place.RETURNED
    }


def _made(records: Records, runs: list[int]) -> dict[int, list[Serials]]:
    """The packs of each run; a void label never was on a pack."""
    made: dict[int, list[Serials]] = {run: [] for run in runs}
    for run, first, last in _rows(records, _MADE, runs):
        made[run].append(Serials(first, last))
    void: dict[int, list[Serials]] = defaultdict(list)
    for run, first, last in _rows(records, _VOID, runs):
        void[run].append(Serials(first, last))
    return {run: without(packs, void[run]) for run, packs in made.items()}


def _one_place(run: int, real: list[Serials], found: list[PackPlace]) -> tuple[list[PackPlace], list[Serials]]:
    """Each pack once, and those that were found twice; what is nowhere else is loose in the house."""
    left, placed, twice = real, list[PackPlace](), list[Serials]()
    for item in found:
        placed += [replace(item, packs=packs) for packs in common(left, [item.packs])]
        twice += without([item.packs], left)
        left = without(left, [item.packs])
    return [*placed, *(PackPlace(run, packs, Place.IN_HOUSE) for packs in left)], twice


def _marked_returned(item: PackPlace, came: list[Serials]) -> Iterator[PackPlace]:
    """What is in the house after it was away is RETURNED."""
    if item.place is not Place.IN_HOUSE or not came:
        yield item
        return
    for packs in without([item.packs], came):
        yield replace(item, packs=packs)
    for packs in common([item.packs], came):
        yield replace(item, packs=packs, place=Place.RETURNED)


def _ended(records: Records, runs: list[int]) -> Iterator[PackPlace]:
    for run, first, last, kind in _rows(records, _ENDED, runs):
        yield PackPlace(run, Serials(first, last), Place(kind))


def _cased(records: Records, runs: list[int]) -> Iterator[PackPlace]:
    for run, first, last, unit, pallet, buyer, dispatch, at in _rows(records, _CASED, runs):
        place = Place.IN_HOUSE if dispatch is None else Place.SENT
        yield PackPlace(run, Serials(first, last), place, unit, pallet, buyer, dispatch, at or "")


def _loose_away(
    records: Records, runs: list[int], back: list[tuple[int, Serials, int, int, str]]
) -> Iterator[PackPlace]:
    """Loose packs are away on the dispatch they left on, unless they came back from it."""
    for run, first, last, dispatch, buyer, at in _rows(records, _SENT, runs):
        home = [packs for of, packs, on, _, _ in back if (of, on) == (run, dispatch)]
        for packs in without([Serials(first, last)], home):
            yield PackPlace(run, packs, Place.SENT, buyer=buyer, dispatch=dispatch, since=at)


def _rows(records: Records, sql: str, runs: list[int]) -> Iterator[tuple[Any, ...]]:
    for start in range(0, len(runs), CHUNK):
        part = runs[start : start + CHUNK]
        yield from records.rows(sql.format(marks=", ".join("?" * len(part))), *part)
