"""From what people say to the rows they mean: a boat by name or mark, a species by code or name, packs by ``RUN/1-24``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches

from lotwake.trace.actions.find import find_one, is_scan
from lotwake.trace.base import areas, gear, species
from lotwake.trace.base.errors import CallError, LotwakeError, NotFound
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.house import add_area
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import INSTRUMENTS

_PACKS = re.compile(r"(.+)/\s*(\d+)\s*(?:-\s*(\d+))?\s*", re.ASCII)


def source_id(records: Records, kind: str, text: str) -> int:
    """The boat, farm or dealer of this name or registration mark."""
    rows = records.rows("SELECT id, name, mark FROM source WHERE kind = ? ORDER BY name", kind)
    found = [row for row in rows if text.strip().casefold() in (row[1].casefold(), row[2].casefold() or None)]
    if len(found) > 1:
        marks = ", ".join(mark for _, _, mark in found)
        raise CallError(f"There are several {kind}s called {text.strip()!r}.", f"Use the mark: {marks}.")
    if not found:
        raise _unknown(kind, text, [name for _, name, _ in rows])
    return int(found[0][0])


def named_id(records: Records, table: str, text: str) -> int:
    """The supplier, buyer, site or piece of equipment of this name."""
    rows = records.rows(f"SELECT id, name FROM {table} ORDER BY name")
    for ref, name in rows:
        if name.casefold() == text.strip().casefold():
            return int(ref)
    raise _unknown(table, text, [name for _, name in rows])


def instrument_id(records: Records, text: str) -> int:
    """The thermometer, scale, hydrometer or logger of this name."""
    ref = named_id(records, "equipment", text)
    kind = records.value("SELECT kind FROM equipment WHERE id = ?", ref)
    if kind not in INSTRUMENTS:
        raise CallError(
            f"{text.strip()} is a {kind}, not an instrument.", f"Instruments are: {', '.join(INSTRUMENTS)}."
        )
    return ref


def instrument_called(records: Records, name: str) -> int | None:
    """The instrument of just this name, if there is one."""
    marks = ", ".join("?" * len(INSTRUMENTS))
    sql = f"SELECT id FROM equipment WHERE lower(name) = ? AND kind IN ({marks})"
    found = records.value(sql, name.strip().lower(), *INSTRUMENTS) if name.strip() else None
    return None if found is None else int(found)


def product_id(records: Records, text: str) -> int:
    """The product of this name or GTIN; a shorter GTIN is filled with zeros in front."""
    bare = text.strip()
    rows = records.rows("SELECT id, name, gtin FROM product ORDER BY name, id")
    found = [row for row in rows if bare.isdecimal() and row[2] == bare.zfill(14)]
    found = found or [row for row in rows if row[1].casefold() == bare.casefold()]
    if len(found) > 1:
        raise CallError(
            f"There are several products called {bare!r}.", f"Use the GTIN: {', '.join(row[2] for row in found)}."
        )
    if not found:
        raise _unknown("product", text, [name for _, name, _ in rows])
    return int(found[0][0])


def species_code(records: Records, text: str) -> str:
    """The species of this FAO code, Latin or English name: the house's own additions first, then the shipped list."""
    row = records.one(
        "SELECT code FROM species WHERE code = ? OR lower(scientific) = ? OR lower(english) = ?",
        text.strip().upper(), text.strip().lower(), text.strip().lower(),
    )  # fmt: skip
    return str(row[0]) if row else species.find_species(text).code


def area_code(entry: Entry, text: str) -> str:
    """The catch area of this FAO code or name; a smaller area that is valid by its form is added to the house's list."""
    known = entry.records.value("SELECT code FROM area WHERE code = ?", text.strip().lower())
    if known:
        return str(known)
    found = areas.find_area(text)
    if entry.records.value("SELECT 1 FROM area WHERE code = ?", found.code) is None:
        add_area(entry, found.code, found.name, areas.SOURCE)
    return found.code


def gear_code(records: Records, text: str) -> str:
    """The gear of this ISSCFG code, abbreviation or name."""
    row = records.one("SELECT code FROM gear WHERE code = ? OR abbr = ?", text.strip(), text.strip().upper())
    return str(row[0]) if row else gear.find_gear(text).code


def thing_of(records: Records, text: str, kinds: Sequence[Kind], why: str) -> Thing:
    """The thing of this code, typed or scanned, which must be one of these kinds."""
    thing = find_one(records, text)
    if thing.kind not in kinds:
        raise CallError(f"{thing.shown} is a {thing.kind}; {why} needs a {' or '.join(kinds)}.", "Scan the right code.")
    return thing


def packs_of(records: Records, text: str) -> tuple[Thing, Serials] | None:
    """``RUN/24``, ``RUN/1-24`` or the scanned label of one pack: the run and the serials; None for anything else."""
    if is_scan(text.strip()):
        pack = find_one(records, text)
        run = Thing(Kind.RUN, pack.id, pack.code)
        return None if pack.serial is None else (run, Serials(pack.serial, pack.serial))
    form = _PACKS.fullmatch(text.strip())
    if form is None:
        return None
    run = thing_of(records, form[1], [Kind.RUN], "packs")
    first = int(form[2])
    return run, Serials(first, int(form[3] or first))


def units_and_packs(records: Records, goods: Sequence[str]) -> tuple[list[int], list[tuple[int, Serials]]]:
    """Cases and pallets by SSCC, and loose packs by ``RUN/1-24``, from what was scanned or typed."""
    units: list[int] = []
    packs: list[tuple[int, Serials]] = []
    for text in goods:
        if found := packs_of(records, text):
            packs.append((found[0].id, found[1]))
        else:
            units.append(thing_of(records, text, [Kind.CASE, Kind.PALLET], "this").id)
    return units, packs


def _unknown(what: str, text: str, names: Sequence[str]) -> LotwakeError:
    near = get_close_matches(text.strip(), names, n=3, cutoff=0.5) or names[:5]
    hint = f"There are: {', '.join(near)}." if near else f"Add the {what} first."
    return NotFound(f"The house knows no {what} called {text.strip()!r}.", hint)
