"""What a suspicion is about, and what packs have in common: batches at a piece of equipment or under an instrument, lots a
drill may start from, and every run with all it was made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import day_of, instant_of, instant_text
from lotwake.trace.records.database import Records
from lotwake.trace.records.stock import MATERIAL, VOID

_LATEST = "9"
"""Stands for the end of what has not ended: later than every stored instant."""


def batches_at(records: Records, equipment: int, since: datetime, until: datetime) -> list[int]:
    """The batches that were in or on a piece of equipment between two moments, by their load or by one of their steps."""
    first, last = instant_text(since), instant_text(until)
    rows = records.rows(
        "SELECT b.id FROM batch b WHERE b.equipment = ? AND b.started <= ? AND COALESCE((SELECT MAX(COALESCE(s.ended, ?))"
        " FROM step s WHERE s.batch = b.id), b.started) >= ? UNION SELECT s.batch FROM step s WHERE s.equipment = ?"
        " AND s.started <= ? AND COALESCE(s.ended, ?) >= ? ORDER BY 1",
        equipment, last, _LATEST, first, equipment, last, _LATEST, first,
    )  # fmt: skip
    return [batch for (batch,) in rows]


def batches_read_with(records: Records, instrument: int, since: datetime, until: datetime) -> list[int]:
    """The batches whose evidence rests on readings of an instrument between two moments.

    A reading names its instrument, or only a probe: ``P1`` is the instrument of that name, or ``core thermometer P1``.
    """
    probes = _probes_of(records, instrument)
    by_probe = f" OR (equipment IS NULL AND probe IN ({', '.join('?' * len(probes))}))" if probes else ""
    rows = records.rows(
        f"SELECT DISTINCT batch FROM reading WHERE (equipment = ?{by_probe}) AND at >= ? AND at <= ? ORDER BY batch",
        instrument, *probes, instant_text(since), instant_text(until),
    )  # fmt: skip
    return [batch for (batch,) in rows]


def _probes_of(records: Records, instrument: int) -> list[str]:
    """The probe names, as they were written beside readings, that mean this instrument."""
    name = str(records.value("SELECT name FROM equipment WHERE id = ?", instrument)).casefold()
    written = records.rows("SELECT DISTINCT probe FROM reading WHERE equipment IS NULL AND probe <> ''")
    return [probe for (probe,) in written if name == probe.casefold() or name.endswith(f" {probe.casefold()}")]


def last_good_check(records: Records, instrument: int, before: datetime) -> datetime | None:
    """When an instrument last passed its check."""
    at = records.value(
        "SELECT MAX(at) FROM calibration WHERE equipment = ? AND passed = 1 AND at <= ?",
        instrument,
        instant_text(before),
    )
    return None if at is None else instant_of(at)


def reworked_into(records: Records, run: int, first: int, last: int) -> list[int]:
    """The batches that packs of this range were reworked into."""
    rows = records.rows(
        "SELECT DISTINCT batch FROM pack_end WHERE run = ? AND first <= ? AND last >= ? AND batch IS NOT NULL ORDER BY batch",
        run, last, first,
    )  # fmt: skip
    return [batch for (batch,) in rows]


def lots_in_packs(records: Records, since: datetime) -> list[tuple[int, str, str, str, int]]:
    """Lots that came in since a moment and are in packs: id, code, name, when received, and in how many runs."""
    rows = records.rows(
        "WITH RECURSIVE down (lot, id) AS (SELECT u.lot, u.work FROM lot l CROSS JOIN lot_use u WHERE l.received >= ?"
        " AND u.lot = l.id AND COALESCE(u.g, 1) > 0 UNION SELECT down.lot, f.child FROM down CROSS JOIN flow f"
        " WHERE f.parent = down.id AND f.g > 0) SELECT l.id, l.code, COALESCE(s.english, l.item), l.received, COUNT(r.id)"
        " FROM down JOIN run r ON r.id = down.id JOIN lot l ON l.id = down.lot LEFT JOIN species s ON s.code = l.species"
        " WHERE EXISTS (SELECT 1 FROM pack_range k WHERE k.run = r.id)"
        " GROUP BY l.id, l.code, s.english, l.item, l.received ORDER BY l.id",
        instant_text(since),
    )
    return [(row[0], row[1], row[2], row[3], row[4]) for row in rows]


class Carried(NamedTuple):
    """Something a run carries: ``what`` kind of thing, its key in the record (0 for a day), and its name for people."""

    what: str
    ref: int
    name: str


@dataclass(frozen=True)
class RunMade:
    """A run, its packs, and all it carries."""

    run: int
    packs: int
    carried: frozenset[Carried]


def production(records: Records, since: datetime, until: datetime, zone: ZoneInfo) -> list[RunMade]:
    """Every run that was packed between two moments, with all it was made of and met."""
    times = instant_text(since), instant_text(until)
    first, last = records.one("SELECT MIN(id), MAX(id) FROM run WHERE packed >= ? AND packed <= ?", *times) or (0, 0)
    span = first or 0, last or 0, *times
    in_run: dict[int, set[int]] = defaultdict(set)
    for run, work in records.rows(f"{_ABOVE} SELECT up.run, up.id FROM up", *span):
        in_run[run].add(work)
    carried: dict[int, set[Carried]] = defaultdict(set)
    for work, item in _carried(records, span, zone):
        carried[work].add(item)
    packs = dict(records.rows(_PACKS, *span))
    return [
        RunMade(run, packs[run], frozenset().union(*(carried[work] for work in works)))
        for run, works in sorted(in_run.items())
        if packs.get(run)
    ]


_IN_TIME = "id >= ? AND id <= ? AND packed >= ? AND packed <= ?"
"""Runs packed in a time. They are numbered in the order they were entered, so few others lie between the first and the last."""
_ABOVE = f"""WITH RECURSIVE up (run, id) AS (SELECT id, id FROM run WHERE {_IN_TIME} UNION
  SELECT up.run, f.parent FROM up CROSS JOIN flow f WHERE f.child = up.id AND f.g > 0)"""
_WORKS = f"{_ABOVE}, works (id) AS (SELECT DISTINCT id FROM up)"
_PACKS = f"""SELECT r.id, COALESCE((SELECT SUM(last - first + 1) FROM pack_range WHERE run = r.id), 0)
  - COALESCE((SELECT SUM(last - first + 1) FROM pack_end WHERE run = r.id AND kind = '{VOID}'), 0)
  FROM run r WHERE {_IN_TIME}"""
_ASKED = (
    f"""{_WORKS} SELECT works.id, CASE WHEN l.kind = '{MATERIAL}' THEN 'material lot' ELSE 'lot' END, l.id, l.code,
      COALESCE(s.english, l.item) FROM works CROSS JOIN lot_use u JOIN lot l ON l.id = u.lot
      LEFT JOIN species s ON s.code = l.species WHERE u.work = works.id AND COALESCE(u.g, 1) > 0""",
    f"{_WORKS} SELECT works.id, 'batch', b.id, b.code, b.smoking FROM works CROSS JOIN batch b WHERE b.id = works.id",
    f"""{_WORKS} SELECT works.id, k.kind, k.id, k.name, '' FROM works CROSS JOIN contact_batch m JOIN contact k
      ON k.id = m.contact WHERE m.batch = works.id""",
    f"""{_WORKS} SELECT works.id, 'equipment', e.id, e.name, '' FROM works CROSS JOIN batch b JOIN equipment e
      ON e.id = b.equipment WHERE b.id = works.id""",
    f"""{_WORKS} SELECT works.id, 'equipment', e.id, e.name, '' FROM works CROSS JOIN step t JOIN equipment e
      ON e.id = t.equipment WHERE t.batch = works.id""",
    f"""{_WORKS} SELECT works.id, 'person', o.id, o.name, 'steps' FROM works CROSS JOIN step t JOIN journal j
      ON j.seq = t.entry JOIN operator o ON o.id = j.who WHERE t.batch = works.id""",
    f"""{_WORKS} SELECT works.id, 'person', o.id, o.name, 'packing' FROM works CROSS JOIN pack_range k JOIN journal j
      ON j.seq = k.entry JOIN operator o ON o.id = j.who WHERE k.run = works.id""",
)
_DAYS = (
    f"{_WORKS} SELECT works.id, 'smoked on', b.started FROM works CROSS JOIN batch b WHERE b.id = works.id",
    f"{_WORKS} SELECT works.id, 'packed on', r.packed FROM works CROSS JOIN run r WHERE r.id = works.id",
)


def _carried(records: Records, span: tuple[int, int, str, str], zone: ZoneInfo) -> Iterator[tuple[int, Carried]]:
    known: dict[tuple[str, int, str], Carried] = {}  # many runs carry the same: it is named once
    for sql in _ASKED:
        for work, what, ref, code, name in records.rows(sql, *span):
            if (key := (what, ref, name)) not in known:
                shown = f"{code} ({name})" if what == "person" else f"{show_code(code)} {name}".rstrip()
                known[key] = Carried(what, ref, shown)
            yield work, known[key]
    for sql in _DAYS:
        for work, what, at in records.rows(sql, *span):
            if (key := (what, 0, at)) not in known:
                known[key] = Carried(what, 0, day_of(instant_of(at), zone).isoformat())
            yield work, known[key]
    for run, code, product in records.rows(
        "SELECT r.id, r.code, p.name FROM run r JOIN product p ON p.id = r.product"
        " WHERE r.id >= ? AND r.id <= ? AND r.packed >= ? AND r.packed <= ?",
        *span,
    ):
        yield run, Carried("run", run, f"{show_code(code)} {product}")
