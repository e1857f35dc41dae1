"""Where things lie in the house: the latest entry about a thing holds, and a pallet takes along what stands on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from lotwake.trace.base.codes import looks_like_code, show_code, tidy
from lotwake.trace.base.errors import NotFound
from lotwake.trace.base.ranges import Serials, common, without
from lotwake.trace.records.database import Records
from lotwake.trace.records.facts import CHUNK

if TYPE_CHECKING:
    from lotwake.trace.records.pack_places import PackPlace


@dataclass(frozen=True)
class PlaceSeen:
    """A place of the house; ``kind`` one of ``entries.places.PLACE_KINDS``."""

    id: int
    code: str
    name: str
    kind: str

    @property
    def shown(self) -> str:
        return show_code(self.code)


_PLACE = "SELECT id, code, name, kind FROM place"


def places(records: Records) -> list[PlaceSeen]:
    """Every place by name."""
    return [PlaceSeen(*row) for row in records.rows(f"{_PLACE} ORDER BY name")]


def places_by_id(records: Records, ids: Iterable[int]) -> dict[int, PlaceSeen]:
    """The places with these ids."""
    wanted = set(ids)
    return {place.id: place for place in places(records) if place.id in wanted}


def place_named(records: Records, text: str) -> PlaceSeen:
    """The place of this name or code; NotFound names those there are."""
    known = places(records)
    bare, code = text.strip(), tidy(text)
    for place in known:
        if place.name.casefold() == bare.casefold() or (looks_like_code(code) and place.code == code):
            return place
    names = [place.name for place in known]
    near = get_close_matches(bare, names, n=3, cutoff=0.5) or names[:5]
    hint = f"There are: {', '.join(near)}." if near else "Add it first: /place NAME, or lotwake place add NAME KIND."
    raise NotFound(f"The house knows no place called {bare!r}.", hint)


def _chunked(records: Records, sql: str, ids: Iterable[int]) -> Iterator[tuple[Any, ...]]:
    wanted = sorted(set(ids))
    for start in range(0, len(wanted), CHUNK):
        part = wanted[start : start + CHUNK]
        yield from records.rows(sql.format(marks=", ".join("?" * len(part))), *part)


def _latest(records: Records, column: str, ids: Iterable[int]) -> dict[int, tuple[str, str]]:
    """Name of the place and stored instant by id, from the latest entry about the whole of each thing."""
    sql = f"""SELECT l.{column}, p.name, l.at FROM lies l JOIN place p ON p.id = l.place
      WHERE l.{column} IN ({{marks}}) AND l.first IS NULL ORDER BY l.id"""
    return {ref: (name, at) for ref, name, at in _chunked(records, sql, ids)}


def where_lots(records: Records, lots: Iterable[int]) -> dict[int, str]:
    """The place of each lot that somebody put somewhere."""
    return {ref: name for ref, (name, _) in _latest(records, "lot", lots).items()}


def where_works(records: Records, works: Iterable[int]) -> dict[int, str]:
    """The place of each batch or run that was put somewhere as a whole."""
    return {ref: name for ref, (name, _) in _latest(records, "work", works).items()}


def where_units(records: Records, units: Iterable[int]) -> dict[int, str]:
    """The place of each case or pallet; a case on a pallet lies where the pallet does, if that is known."""
    wanted = set(units)
    on = dict(
        _chunked(records, "SELECT child, parent FROM unit_content WHERE until IS NULL AND child IN ({marks})", wanted)
    )
    known = _latest(records, "unit", wanted | set(on.values()))
    found = {unit: known.get(on.get(unit, unit)) or known.get(unit) for unit in wanted}
    return {unit: said[0] for unit, said in found.items() if said is not None}


@dataclass(frozen=True)
class _Said:
    """One entry about a run's packs or a unit, by its number; ``packs`` None: all of it."""

    number: int
    name: str
    packs: Serials | None
    at: str


def located(
    records: Records, placed: Iterable[PackPlace], home_since: Mapping[tuple[int, Serials], str]
) -> Iterator[PackPlace]:
    """The same packs in the house with the name of the place each lies in, split where they lie apart.

    ``home_since``: when packs that were away came back (by run and serials); what was said before does not hold for them.
    """
    items = list(placed)
    units = {unit for item in items for unit in (item.unit, item.pallet) if unit is not None}
    runs = {item.run for item in items}
    by_unit, by_run = _said(records, "unit", units), _said(records, "work", runs)
    for run, said_then in _said_of_opened(records, runs):
        by_run[run].append(said_then)
    for item in items:
        since = home_since.get((item.run, item.packs), "")
        on_pallet = [] if item.pallet is None else by_unit.get(item.pallet, [])
        own = [] if item.unit is None else by_unit.get(item.unit, [])
        said = [part for part in (on_pallet or [*own, *by_run.get(item.run, [])]) if part.at >= since]
        yield from _apart(item, sorted(said, key=lambda part: -part.number))


def _said(records: Records, column: str, ids: Iterable[int]) -> dict[int, list[_Said]]:
    sql = f"""SELECT l.{column}, l.id, p.name, l.first, l.last, l.at FROM lies l JOIN place p ON p.id = l.place
      WHERE l.{column} IN ({{marks}}) ORDER BY l.id"""
    found: dict[int, list[_Said]] = defaultdict(list)
    for ref, number, name, first, last, at in _chunked(records, sql, ids):
        found[ref].append(_Said(number, name, None if first is None else Serials(first, last), at))
    return found


def _said_of_opened(records: Records, runs: Iterable[int]) -> Iterator[tuple[int, _Said]]:
    """What was said about a case while packs were in it holds for them after it was opened."""
    sql = """SELECT c.run, l.id, p.name, c.first, c.last, l.at FROM content c JOIN lies l ON l.unit = c.unit
      JOIN place p ON p.id = l.place WHERE c.run IN ({marks}) AND c.until IS NOT NULL AND l.at >= c.since AND l.at <= c.until"""
    for run, number, name, first, last, at in _chunked(records, sql, runs):
        yield run, _Said(number, name, Serials(first, last), at)


def _apart(item: PackPlace, said: Iterable[_Said]) -> Iterator[PackPlace]:
    """``said``: the latest first."""
    left = [item.packs]
    for part in said:
        for packs in common(left, [part.packs or item.packs]):
            yield replace(item, packs=packs, where=part.name)
        left = without(left, [part.packs or item.packs])
    for packs in left:
        yield replace(item, packs=packs)
