"""The instruments behind the readings of a batch, and how each stood against its checks when it was read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from lotwake.trace.base.moments import day_of, instant_of
from lotwake.trace.process.instruments import Check, Standing, Trust, trust, worst
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.batches import READING_KINDS

_READ_BY = {"c100": ("thermometer", "logger"), "deg100": ("hydrometer",), "g": ("scale",)}
"""Which kinds of instrument give a reading, by its unit; what a laboratory measured names none of the house's."""


@dataclass(frozen=True)
class InstrumentUsed:
    """An instrument that a batch was read with: what was read, how often, and how it stood then at its worst."""

    id: int
    name: str
    kinds: tuple[str, ...]
    readings: int
    trust: Trust

    @property
    def in_doubt(self) -> bool:
        return self.trust.standing is not Standing.IN_ORDER

    @property
    def said(self) -> str:
        """``core thermometer 1 (core) OUT OF DATE: was to be checked by 02 Nov 2026``."""
        why = f": {self.trust.why}" if self.trust.why else ""
        return f"{self.name} ({', '.join(self.kinds)}) {self.trust.standing}{why}"


def instruments_of(records: Records, batch: int) -> tuple[InstrumentUsed, ...]:
    """Every instrument the readings of a batch name, by name; its first and its last reading are held against its checks."""
    rows = records.rows(
        "SELECT e.id, e.name, r.kind, COUNT(*), MIN(r.at), MAX(r.at) FROM reading r JOIN equipment e ON e.id = r.equipment"
        " WHERE r.batch = ? GROUP BY e.id, e.name, r.kind ORDER BY e.name, r.kind",
        batch,
    )
    read: dict[tuple[int, str], list[tuple[str, int, str, str]]] = defaultdict(list)
    for ref, name, *rest in rows:
        read[ref, name].append((rest[0], rest[1], rest[2], rest[3]))
    zone = house_zone(records) if rows else ZoneInfo("UTC")
    return tuple(_used(records, ref, name, parts, zone) for (ref, name), parts in read.items())


def _used(
    records: Records, ref: int, name: str, parts: Sequence[tuple[str, int, str, str]], zone: ZoneInfo
) -> InstrumentUsed:
    checks = checks_of(records, ref)
    moments = [instant_of(at) for _, _, first, last in parts for at in (first, last)]
    found = worst([trust(checks, moment, day_of(moment, zone)) for moment in moments])
    return InstrumentUsed(ref, name, tuple(kind for kind, *_ in parts), sum(part[1] for part in parts), found)


def checks_of(records: Records, instrument: int) -> tuple[Check, ...]:
    """The checks of an instrument, in order of time."""
    rows = records.rows(
        "SELECT at, passed, due_on, found FROM calibration WHERE equipment = ? ORDER BY at, id", instrument
    )
    return tuple(Check(instant_of(at), bool(ok), date.fromisoformat(due), found) for at, ok, due, found in rows)


def house_zone(records: Records) -> ZoneInfo:
    """The time zone of the house."""
    return ZoneInfo(records.value("SELECT zone FROM site ORDER BY id LIMIT 1"))


def usual_instrument(records: Records, kind: str, probe: str = "") -> str:
    """What a reading of this kind is taken with when nobody says: the instrument called like the probe, or the only one
    of its kind in the house; empty when that leaves a choice."""
    wanted = _READ_BY.get(READING_KINDS.get(kind, ""), ())
    if not wanted:
        return ""
    marks = ", ".join("?" * len(wanted))
    names = [
        name for (name,) in records.rows(f"SELECT name FROM equipment WHERE kind IN ({marks}) ORDER BY id", *wanted)
    ]
    named = next((name for name in names if probe and name.casefold() == probe.strip().casefold()), None)
    return named or (names[0] if len(names) == 1 else "")


def trust_now(records: Records, name: str, moment_text: str) -> Trust:
    """How the instrument of this name stands at a stored instant."""
    ref = records.value("SELECT id FROM equipment WHERE name = ?", name)
    moment = instant_of(moment_text)
    return trust(checks_of(records, ref), moment, day_of(moment, house_zone(records)))
