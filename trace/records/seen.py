"""One thing of the house and what is written down about it: facts, state, what it is made of, steps, readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lotwake.trace.base.ranges import Serials
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.facts import BatchSeen, DispatchSeen, LotSeen, RunSeen, UnitSeen
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.lying import lying_in
from lotwake.trace.records.pack_mass import span_g
from lotwake.trace.records.places import PlaceSeen, places_by_id
from lotwake.trace.records.rights import LEAD
from lotwake.trace.records.stock import open_hold_above, unit_contents, units_within

IN_HOUSE, SENT, RETURNED = "IN HOUSE", "SENT", "RETURNED"


@dataclass(frozen=True)
class ReturnSeen:
    """Goods that came back from one buyer."""

    id: int
    code: str
    buyer: str
    document: str
    reason: str
    at: str


@dataclass(frozen=True)
class OperatorSeen:
    """Somebody who makes entries."""

    id: int
    code: str
    initials: str
    name: str
    role: str


@dataclass(frozen=True)
class PackSeen:
    """One pack: ``net_g`` grams, weighed by itself with ``catch_weight``; ``case`` the SSCC it is in, ``dispatch`` the code
    of the dispatch it last left on."""

    run: str
    serial: int
    product: str
    gtin: str
    net_g: int
    packed_on: str
    best_before: str
    case: str | None
    dispatch: str | None
    buyer: str | None
    status: str
    catch_weight: bool = False


Facts = LotSeen | BatchSeen | RunSeen | UnitSeen | DispatchSeen | ReturnSeen | OperatorSeen | PackSeen | PlaceSeen


@dataclass(frozen=True)
class Part:
    """Something that went into a thing or lies in it: grams, or serials ``first`` to ``last`` of a run."""

    kind: str
    code: str
    g: int | None = None
    first: int | None = None
    last: int | None = None


def facts_of(records: Records, thing: Thing) -> Facts:
    """What is written down about this thing itself."""
    if thing.kind is Kind.PACK:
        return _pack(records, thing)
    return facts_of_all(records, thing.kind, [thing.id])[thing.id]


def facts_of_all(records: Records, kind: Kind, ids: Iterable[int]) -> Mapping[int, Facts]:
    """The facts of many things of one kind (not packs, which are counted in thousands)."""
    return _READERS[kind](records, ids)


def returns(records: Records, ids: Iterable[int]) -> dict[int, ReturnSeen]:
    """The returns with these ids."""
    sql = """SELECT x.id, x.code, b.name, x.document, x.reason, x.at FROM goods_return x JOIN buyer b ON b.id = x.buyer
      WHERE x.id = ?"""
    return {ref: ReturnSeen(*row) for ref in ids if (row := records.one(sql, ref))}


def operators(records: Records, ids: Iterable[int]) -> dict[int, OperatorSeen]:
    """The operators with these ids."""
    sql = "SELECT id, code, initials, name, COALESCE(role, ?) FROM operator WHERE id = ?"
    return {ref: OperatorSeen(*row) for ref in ids if (row := records.one(sql, LEAD, ref))}


_READERS: Mapping[Kind, Callable[[Records, Iterable[int]], Mapping[int, Facts]]] = {
    Kind.LOT: facts.lots,
    Kind.BATCH: facts.batches,
    Kind.RUN: facts.runs,
    Kind.CASE: facts.units,
    Kind.PALLET: facts.units,
    Kind.DISPATCH: facts.dispatches,
    Kind.RETURN: returns,
    Kind.OPERATOR: operators,
    Kind.PLACE: places_by_id,
}


def status_of(records: Records, thing: Thing, seen: Facts) -> str:
    """Its state in one word: HELD or REJECTED when it or anything it was made from is, else its own."""
    own = {Kind.DISPATCH: SENT, Kind.RETURN: RETURNED, Kind.OPERATOR: "", Kind.PLACE: ""}.get(thing.kind)
    if own is not None:
        return own
    status = str(getattr(seen, "status", ""))
    hold = open_hold_above(records, *_works_and_lots(records, thing)) if status not in (SENT, "USED UP") else None
    return status if hold is None else "REJECTED" if hold.kind == "REJECT" else "HELD"


def _works_and_lots(records: Records, thing: Thing) -> tuple[list[int], list[int]]:
    if thing.kind is Kind.LOT:
        return [], [thing.id]
    if thing.kind in (Kind.CASE, Kind.PALLET):
        runs = {run for unit in units_within(records, thing.id) for run, _ in unit_contents(records, unit)}
        return sorted(runs), []
    return [thing.id], []


def _pack(records: Records, pack: Thing) -> PackSeen:
    serial = pack.serial or 0
    run = facts.runs(records, [pack.id])[pack.id]
    end = _covering(records, "SELECT kind FROM pack_end WHERE run = ? AND first <= ? AND last >= ?", pack.id, serial)
    unit = _covering(
        records,
        "SELECT unit FROM content WHERE until IS NULL AND run = ? AND first <= ? AND last >= ?",
        pack.id,
        serial,
    )
    dispatch, buyer, back = _last_sending(records, pack.id, serial)
    away = None if dispatch is None else RETURNED if back else SENT
    case = None if unit is None else f"{unit:018d}"
    return PackSeen(
        run.code, serial, run.product, run.gtin, run.g_of(Serials(serial, serial)), run.packed_on, run.best_before,
        case, dispatch, buyer, str(end or away or IN_HOUSE), run.catch_weight,
    )  # fmt: skip


def _last_sending(records: Records, run: int, serial: int) -> tuple[str | None, str | None, bool]:
    """The last dispatch this pack left on, loose or in a case, its buyer, and whether it came back."""
    row = records.one(
        "SELECT d.code, b.name, back FROM (SELECT p.dispatch, EXISTS (SELECT 1 FROM return_packs r WHERE r.run = p.run"
        " AND r.dispatch = p.dispatch AND r.first <= ? AND r.last >= ?) AS back FROM dispatch_packs p"
        " WHERE p.run = ? AND p.first <= ? AND p.last >= ? UNION ALL SELECT l.dispatch, EXISTS (SELECT 1 FROM return_line r"
        " WHERE r.unit = l.unit AND r.dispatch = l.dispatch) FROM content c JOIN dispatch_line l ON l.unit = c.unit"
        " JOIN dispatch s ON s.id = l.dispatch WHERE c.run = ? AND c.first <= ? AND c.last >= ?"
        " AND c.since <= s.at AND COALESCE(c.until, s.at) >= s.at) AS x"
        " JOIN dispatch d ON d.id = x.dispatch JOIN buyer b ON b.id = d.buyer ORDER BY d.id DESC LIMIT 1",
        serial, serial, run, serial, serial, run, serial, serial,
    )  # fmt: skip
    return (None, None, False) if row is None else (row[0], row[1], bool(row[2]))


def _covering(records: Records, sql: str, run: int, serial: int) -> Any:
    return records.value(sql, run, serial, serial)


def contents_of(records: Records, thing: Thing) -> list[Part]:
    """What went into a batch or run, lies in a case, on a pallet or in a place, and what a dispatch or return carries."""
    if thing.kind is Kind.PLACE:
        return [
            Part(str(item.kind), item.code, item.g, item.first, item.last)
            for item in lying_in(records, places_by_id(records, [thing.id])[thing.id])
        ]
    sql = _CONTENTS.get(thing.kind)
    if sql is None:
        return []
    rows = records.rows(sql, *[thing.id] * sql.count("?"))
    return [_part(*row) for row in rows]


def _part(kind: str, code: str | int, g: int | None, first: int | None, last: int | None) -> Part:
    sscc = kind in (Kind.CASE, Kind.PALLET)  # a number in the record, a text beside the codes of runs
    return Part(kind, str(code).zfill(18) if sscc else str(code), g, first, last)


_WORK_CONTENTS = f"""SELECT 'lot', l.code, u.g, CAST(NULL AS BIGINT), CAST(NULL AS BIGINT) FROM lot_use u
  JOIN lot l ON l.id = u.lot WHERE u.work = ?
  UNION ALL SELECT 'batch', b.code, f.g, NULL, NULL FROM flow f JOIN batch b ON b.id = f.parent WHERE f.child = ?
  UNION ALL SELECT 'run', r.code, {span_g("r", "e")}, e.first, e.last FROM pack_end e
  JOIN run r ON r.id = e.run WHERE e.batch = ? AND e.last IS NOT NULL"""
_CARRIED = f"""SELECT u.kind, CAST(u.sscc AS TEXT), CAST(NULL AS BIGINT), CAST(NULL AS BIGINT), CAST(NULL AS BIGINT)
  FROM {{line}} x JOIN unit u ON u.sscc = x.unit WHERE x.{{owner}} = ?{{top}}
  UNION ALL SELECT 'run', r.code, {span_g("r", "x")}, x.first, x.last
  FROM {{packs}} x JOIN run r ON r.id = x.run WHERE x.{{owner}} = ?"""
_CONTENTS = {
    Kind.BATCH: _WORK_CONTENTS,
    Kind.RUN: _WORK_CONTENTS,
    Kind.CASE: f"""SELECT 'run', r.code, {span_g("r", "c")}, c.first, c.last FROM content c
      JOIN run r ON r.id = c.run WHERE c.unit = ? AND c.until IS NULL ORDER BY r.id, c.first""",
    Kind.PALLET: """SELECT u.kind, u.sscc, NULL, NULL, NULL FROM unit_content c JOIN unit u ON u.sscc = c.child
      WHERE c.parent = ? AND c.until IS NULL ORDER BY u.sscc""",
    Kind.DISPATCH: _CARRIED.format(
        line="dispatch_line", owner="dispatch", packs="dispatch_packs", top=" AND x.top = 1"
    ),
    Kind.RETURN: _CARRIED.format(line="return_line", owner="goods_return", packs="return_packs", top=""),
}


@dataclass(frozen=True)
class StepSeen:
    """A step of a batch by its number in the record; ``ended`` None while it runs."""

    number: int
    name: str
    started: str
    ended: str | None
    equipment: str
    note: str


@dataclass(frozen=True)
class ReadingSeen:
    """A measurement by its number in the record; ``value`` counts ``unit`` (c100: hundredths of a degree Celsius; g;
    deg100, pct100: hundredths of a brine degree or per cent). ``instrument``: what it was read from, empty if not said."""

    number: int
    kind: str
    at: str
    value: int
    unit: str
    probe: str
    instrument: str = ""


@dataclass(frozen=True)
class LossSeen:
    """Grams that were named as lost, by their number in the record."""

    number: int
    kind: str
    g: int
    at: str
    note: str


def losses_of(records: Records, work: int) -> list[LossSeen]:
    """The losses of a batch or run, in order; those that were corrected to nothing are left out."""
    sql = "SELECT id, kind, g, at, note FROM loss WHERE work = ? AND g > 0 ORDER BY at, id"
    return [LossSeen(*row) for row in records.rows(sql, work)]


def steps_of(records: Records, batch: int) -> list[StepSeen]:
    """The steps of a batch, in order."""
    sql = """SELECT s.id, s.name, s.started, s.ended, COALESCE(e.name, ''), s.note FROM step s
      LEFT JOIN equipment e ON e.id = s.equipment WHERE s.batch = ? ORDER BY s.started, s.id"""
    return [StepSeen(*row) for row in records.rows(sql, batch)]


def readings_of(records: Records, batch: int) -> list[ReadingSeen]:
    """The measurements on a batch, in order."""
    sql = """SELECT r.id, r.kind, r.at, r.value, r.unit, r.probe, COALESCE(e.name, '') FROM reading r
      LEFT JOIN equipment e ON e.id = r.equipment WHERE r.batch = ? ORDER BY r.at, r.id"""
    return [ReadingSeen(*row) for row in records.rows(sql, batch)]
