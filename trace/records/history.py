"""What happened to a thing: its holds, its corrections and the journal lines that wrote about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind, Thing


@dataclass(frozen=True)
class Line:
    """A journal line: its place, when it was entered and when it happened (stored instants), who, what and why."""

    entry: int
    entered: str
    happened: str
    zone: str
    who: str
    act: str
    why: str
    hash: str


@dataclass(frozen=True)
class Corrected:
    """A correction. ``was`` and ``now`` as they stand in the record, names in place of references."""

    entry: int
    what: str
    field: str
    was: str | None
    now: str | None
    why: str
    at: str
    who: str


@dataclass(frozen=True)
class HoldSeen:
    """A hold or rejection of a thing itself, and its release if there was one."""

    kind: str
    reason: str
    at: str
    who: str
    released: str | None
    released_by: str | None
    released_why: str | None


_LINE = """SELECT j.seq, j.at, j.happened, j.zone, COALESCE(o.initials, ''), j.act, j.why, j.hash FROM journal j
  LEFT JOIN operator o ON o.id = j.who"""


def last_lines(records: Records, most: int) -> list[Line]:
    """The last ``most`` lines of the journal, the newest last."""
    rows = records.rows(f"{_LINE} ORDER BY j.seq DESC LIMIT ?", most)
    return [Line(*row) for row in reversed(rows)]


def lines_between(records: Records, since: str, until: str) -> list[Line]:
    """The lines entered from one stored instant up to, and without, another, in order."""
    return [Line(*row) for row in records.rows(f"{_LINE} WHERE j.at >= ? AND j.at < ? ORDER BY j.seq", since, until)]


def last_before(records: Records, until: str) -> Line | None:
    """The newest line that was entered before this stored instant."""
    row = records.one(f"{_LINE} WHERE j.at < ? ORDER BY j.seq DESC LIMIT 1", until)
    return None if row is None else Line(*row)


def history_of(records: Records, thing: Thing) -> list[Line]:
    """The journal lines that wrote a row about this thing, in order; for a pack, those of its run."""
    places = _PLACES[Kind.RUN if thing.kind is Kind.PACK else thing.kind]
    wanted = " UNION ".join(f"SELECT x.entry FROM {place}" for place in places)
    changed = f"SELECT x.entry FROM correction x WHERE {_corrections_where(thing)}" if thing.kind in _CORRECTED else ""
    sql = f"{_LINE} WHERE j.seq IN ({wanted}{' UNION ' if changed else ''}{changed}) ORDER BY j.seq"
    return [Line(*row) for row in records.rows(sql, *[thing.id] * sql.count("?"))]


def corrections_of(records: Records, thing: Thing) -> list[Corrected]:
    """The corrections of this thing and of the amounts, steps, readings and losses that belong to it, in order."""
    if thing.kind not in _CORRECTED:
        return []
    sql = f"""SELECT x.entry, x.subject, x.ref, x.field, x.was, x.now, x.why, x.at, COALESCE(o.initials, '') FROM correction x
      JOIN journal j ON j.seq = x.entry LEFT JOIN operator o ON o.id = j.who
      WHERE {_corrections_where(thing)} ORDER BY x.id"""
    rows = records.rows(sql, *[thing.id] * sql.count("?"))
    return [_corrected(records, *row) for row in rows]


def _corrected(
    records: Records, entry: int, subject: str, ref: str, field: str, was: str | None, now: str | None, *rest: str
) -> Corrected:
    if subject == "pack_end":
        kind = records.value("SELECT kind FROM pack_end WHERE run = ? AND first = ? AND entry = ?", *_numbers(ref))
        return Corrected(entry, "packs", str(Serials(_numbers(ref)[1], int(was or 0))), kind, "undone", *rest)
    return Corrected(entry, _what(subject, ref), field, _named(records, field, was), _named(records, field, now), *rest)


def _numbers(ref: str) -> list[int]:
    return [int(part) for part in ref.split("/")]


def _what(subject: str, ref: str) -> str:
    return f"pack {ref.rpartition('/')[2]}" if subject == "pack_weight" else _WHAT.get(subject, subject)


def holds_of(records: Records, thing: Thing) -> list[HoldSeen]:
    """The holds and rejections put on this lot, batch or run itself, in order; for a pack, those of its run."""
    if thing.kind not in (Kind.LOT, Kind.BATCH, Kind.RUN, Kind.PACK):
        return []
    column = "lot" if thing.kind is Kind.LOT else "work"
    sql = f"""SELECT h.kind, h.reason, h.at, COALESCE(o.initials, ''), r.at, r.by_name, r.reason FROM hold h
      JOIN journal j ON j.seq = h.entry LEFT JOIN operator o ON o.id = j.who LEFT JOIN hold_release r ON r.hold = h.id
      WHERE h.{column} = ? ORDER BY h.id"""
    return [HoldSeen(*row) for row in records.rows(sql, thing.id)]


def _named(records: Records, field: str, text: str | None) -> str | None:
    if text is None or field not in _REFERENCES:
        return text
    name = records.value(f"SELECT name FROM {field} WHERE id = ?", int(text))
    return text if name is None else str(name)


_REFERENCES = ("source", "supplier", "equipment", "product")
_WHAT = {"lot_use": "amount", "flow": "amount"}
_WORK_PLACES = (
    "lot_use x WHERE x.work = ?", "flow x WHERE x.child = ?", "flow x WHERE x.parent = ?", "loss x WHERE x.work = ?",
    "lies x WHERE x.work = ?",
    "hold x WHERE x.work = ?", "hold_release x JOIN hold h ON h.id = x.hold WHERE h.work = ?",
)  # fmt: skip
_UNIT_PLACES = (
    "unit x WHERE x.sscc = ?", "lies x WHERE x.unit = ?", "content x WHERE x.unit = ?", "unit_content x WHERE x.child = ?",
    "unit_content x WHERE x.parent = ?", "dispatch_line x WHERE x.unit = ?", "return_line x WHERE x.unit = ?",
    "label_print x WHERE x.unit = ?",
)  # fmt: skip
_PLACES: dict[Kind, Sequence[str]] = {
    Kind.LOT: (
        "lot x WHERE x.id = ?", "lies x WHERE x.lot = ?", "lot_use x WHERE x.lot = ?", "loss x WHERE x.lot = ?",
        "hold x WHERE x.lot = ?",
        "hold_release x JOIN hold h ON h.id = x.hold WHERE h.lot = ?",
    ),
    Kind.BATCH: (
        "batch x WHERE x.id = ?", *_WORK_PLACES, "batch_release x WHERE x.batch = ?", "step x WHERE x.batch = ?",
        "reading x WHERE x.batch = ?", "contact_batch x WHERE x.batch = ?", "deviation x WHERE x.batch = ?",
        "review x WHERE x.batch = ?", "label_print x WHERE x.batch = ?",
    ),
    Kind.RUN: (
        "run x WHERE x.id = ?", *_WORK_PLACES, "pack_range x WHERE x.run = ?", "pack_end x WHERE x.run = ?",
        "label_print x WHERE x.run = ?", "label_waste x WHERE x.run = ?", "content x WHERE x.run = ?",
        "dispatch_packs x WHERE x.run = ?", "return_packs x WHERE x.run = ?",
    ),
    Kind.CASE: _UNIT_PLACES,
    Kind.PALLET: _UNIT_PLACES,
    Kind.DISPATCH: ("dispatch x WHERE x.id = ?",),
    Kind.RETURN: ("goods_return x WHERE x.id = ?",),
    Kind.OPERATOR: ("operator x WHERE x.id = ?",),
    Kind.PLACE: ("place x WHERE x.id = ?", "lies x WHERE x.place = ?"),
}  # fmt: skip

# A correction names its row by the values of its key: "7" for a lot, "7/12/31" for lot 7 used in work 12 by entry 31.
_OWN = "x.ref = CAST(? AS TEXT)"
_BY_ID = "x.ref IN (SELECT CAST(id AS TEXT) FROM {table} WHERE {column} = ?)"
_BY_LINK = """x.ref IN (SELECT CAST({first} AS TEXT) || '/' || CAST({second} AS TEXT) || '/' || CAST(entry AS TEXT)
  FROM {table} WHERE {column} = ?)"""


_BY_PACK = (
    """x.ref IN (SELECT CAST(run AS TEXT) || '/' || CAST(serial AS TEXT) FROM pack_weight WHERE run = ?{serial})"""
)


_BY_END = """x.ref IN (SELECT CAST(run AS TEXT) || '/' || CAST(first AS TEXT) || '/' || CAST(entry AS TEXT)
  FROM pack_end WHERE run = ?{end})"""


def _by_id(table: str, column: str) -> tuple[str, str]:
    return table, _BY_ID.format(table=table, column=column)


def _by_link(table: str, column: str, first: str, second: str) -> tuple[str, str]:
    return table, _BY_LINK.format(table=table, column=column, first=first, second=second)


_WORK_CORRECTED = (
    _by_link("lot_use", "work", "lot", "work"), _by_link("flow", "parent", "parent", "child"),
    _by_link("flow", "child", "parent", "child"), _by_id("loss", "work"),
)  # fmt: skip
_CORRECTED: dict[Kind, Sequence[tuple[str, str]]] = {
    Kind.LOT: (("lot", _OWN), _by_link("lot_use", "lot", "lot", "work"), _by_id("loss", "lot")),
    Kind.BATCH: (("batch", _OWN), *_WORK_CORRECTED, _by_id("step", "batch"), _by_id("reading", "batch")),
    Kind.RUN: (("run", _OWN), *_WORK_CORRECTED, ("pack_weight", _BY_PACK), ("pack_end", _BY_END)),
    Kind.PACK: (("pack_weight", _BY_PACK), ("pack_end", _BY_END)),
    Kind.DISPATCH: (("dispatch", _OWN),),
}


def _corrections_where(thing: Thing) -> str:
    one = within = ""
    if thing.serial is not None:
        one = f" AND serial = {thing.serial:d}"
        within = f" AND first <= {thing.serial:d} AND CAST(x.was AS BIGINT) >= {thing.serial:d}"
    return " OR ".join(
        f"(x.subject = '{subject}' AND {where.replace('{serial}', one).replace('{end}', within)})"
        for subject, where in _CORRECTED[thing.kind]
    )
