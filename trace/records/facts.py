"""Lots, batches, runs, units and dispatches as they stand now: frozen, complete, and read many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from lotwake.trace.base.ranges import Serials
from lotwake.trace.base.units import show_pack
from lotwake.trace.records.database import Records
from lotwake.trace.records.pack_mass import VOID, PackMass, Weights, packed_g

CHUNK = 500
"""How many keys one statement names; databases limit the number of values."""


@dataclass(frozen=True)
class LotSeen:
    """A lot: ``g`` grams received, ``left_g`` grams not yet used or lost, moments as stored UTC text, days as ISO text.

    ``undersize_g``: grams under the minimum size, None when nobody said.
    """

    id: int
    code: str
    kind: str
    item: str
    sender: str
    sender_kind: str
    mark: str
    species: str | None
    scientific: str
    english: str
    presentation: str
    area: str | None
    area_name: str
    gear: str | None
    gear_name: str
    method: str
    their_code: str
    caught_from: str | None
    caught_to: str | None
    landed_on: str
    received: str
    g: int
    core_c100: int | None
    document: str
    note: str
    left_g: int
    status: str
    received_as: str = ""
    trip: str = ""
    undersize_g: int | None = None

    @property
    def name(self) -> str:
        """``Haddock`` or ``salt``."""
        return self.item or self.english


@dataclass(frozen=True)
class BatchSeen:
    """A batch: ``in_g`` grams of fish that went in, ``lost_g`` named losses, ``left_g`` what is still to be packed.

    ``process``: the plan and version it was made under; ``in_spite_of``: limits not met when it was released by name.
    """

    id: int
    code: str
    smoking: str
    product: str
    equipment: str
    started: str
    note: str
    in_g: int
    lost_g: int
    passed_on_g: int
    process: str
    in_spite_of: str | None
    released: str | None
    status: str

    @property
    def left_g(self) -> int:
        return self.in_g - self.lost_g - self.passed_on_g


@dataclass(frozen=True)
class RunSeen:
    """A pack run: ``packs`` made and not voided, ``packs_g`` grams in all of them, days as ISO text.

    ``net_g`` grams are in each pack, but with ``weights`` each has its own and ``net_g`` is what one weighs about.
    """

    id: int
    code: str
    product: str
    gtin: str
    smoking: str
    packed: str
    packed_on: str
    best_before: str
    net_g: int
    in_g: int
    lost_g: int
    packs: int
    packs_g: int
    status: str
    weights: Weights | None = None

    @cached_property
    def mass(self) -> PackMass:
        """What its packs weigh."""
        return PackMass(self.net_g, self.weights)

    @property
    def catch_weight(self) -> bool:
        """Whether its packs were weighed one by one."""
        return self.weights is not None

    @property
    def pack(self) -> str:
        """What a pack weighs, in words."""
        return show_pack(self.net_g, self.catch_weight)

    def g_of(self, *parts: Serials) -> int:
        """Grams of these packs."""
        return self.mass.of(parts)

    def g_of_any(self, count: int) -> int | None:
        """Grams of so many packs, whichever they are; None where each has its own weight."""
        return self.net_g * count if self.weights is None or not count else None

    @property
    def left_g(self) -> int:
        return self.in_g - self.lost_g - self.packs_g


@dataclass(frozen=True)
class UnitSeen:
    """A case or pallet; ``packs`` counts those directly in it now."""

    id: int
    kind: str
    closed: str
    packs: int
    status: str

    @property
    def code(self) -> str:
        return f"{self.id:018d}"


@dataclass(frozen=True)
class DispatchSeen:
    """Goods that left to one buyer on one document."""

    id: int
    code: str
    buyer_id: int
    buyer: str
    phone: str
    document: str
    carrier: str
    at: str


@dataclass(frozen=True)
class ReturnSeen:
    """Goods that came back from one buyer, and why."""

    id: int
    code: str
    buyer_id: int
    buyer: str
    document: str
    reason: str
    at: str


_HOLD = """(SELECT MAX(CASE WHEN h.kind = 'REJECT' THEN 'REJECTED' ELSE 'HELD' END) FROM hold h
  WHERE h.{column} = x.id AND (h.kind = 'REJECT' OR NOT EXISTS (SELECT 1 FROM hold_release r WHERE r.hold = h.id)))"""


def lots(records: Records, ids: Iterable[int]) -> dict[int, LotSeen]:
    """The lots with these ids."""
    sql = f"""SELECT x.id, x.code, x.kind, x.item, COALESCE(s.name, p.name), COALESCE(s.kind, 'supplier'),
      COALESCE(s.mark, ''), x.species, COALESCE(f.scientific, ''), COALESCE(f.english, ''), x.presentation, x.area,
      COALESCE(a.name, ''), x.gear, COALESCE(g.name, ''), x.method, x.their_code, x.caught_from, x.caught_to, x.landed_on,
      x.received, x.g, x.core_c100, x.document, x.note,
      x.g - COALESCE((SELECT SUM(u.g) FROM lot_use u WHERE u.lot = x.id), 0)
        - COALESCE((SELECT SUM(o.g) FROM loss o WHERE o.lot = x.id), 0), {_HOLD.format(column="lot")},
      COALESCE(x.received_as, ''), COALESCE(x.trip, ''), x.undersize_g
      FROM lot x LEFT JOIN source s ON s.id = x.source LEFT JOIN supplier p ON p.id = x.supplier
      LEFT JOIN species f ON f.code = x.species LEFT JOIN area a ON a.code = x.area LEFT JOIN gear g ON g.code = x.gear
      WHERE x.id IN ({{marks}})"""
    return {row[0]: LotSeen(*_lot(*row)) for row in _chunked(records, sql, ids)}


def _lot(*row: Any) -> tuple[Any, ...]:
    *said, left_g, hold, received_as, trip, undersize_g = row
    return (*said, left_g, hold or ("IN STORE" if left_g > 0 else "USED UP"), received_as, trip, undersize_g)


def batches(records: Records, ids: Iterable[int]) -> dict[int, BatchSeen]:
    """The batches with these ids."""
    sql = f"""SELECT x.id, x.code, x.smoking, COALESCE(p.name, ''), COALESCE(e.name, ''), x.started, x.note,
      {_IN_G}, {_LOST_G}, COALESCE((SELECT SUM(o.g) FROM flow o WHERE o.parent = x.id), 0),
      COALESCE((SELECT c.name || ', version ' || CAST(c.version AS TEXT) FROM scheduled_process c WHERE c.id = x.process), ''),
      (SELECT MIN(in_spite_of) FROM batch_release r WHERE r.batch = x.id),
      (SELECT MIN(at) FROM batch_release r WHERE r.batch = x.id), {_HOLD.format(column="work")}
      FROM batch x LEFT JOIN product p ON p.id = x.product LEFT JOIN equipment e ON e.id = x.equipment
      WHERE x.id IN ({{marks}})"""
    return {row[0]: BatchSeen(*_closing(row, _batch_state(row))) for row in _chunked(records, sql, ids)}


def runs(records: Records, ids: Iterable[int]) -> dict[int, RunSeen]:
    """The pack runs with these ids."""
    sql = f"""SELECT x.id, x.code, p.name, p.gtin, p.smoking, x.packed, x.packed_on, x.best_before, x.net_g, {_IN_G},
      {_LOST_G}, COALESCE((SELECT SUM(k.last - k.first + 1) FROM pack_range k WHERE k.run = x.id), 0)
        - COALESCE((SELECT SUM(k.last - k.first + 1) FROM pack_end k WHERE k.run = x.id AND k.kind = '{VOID}'), 0),
      {packed_g("x")}, x.catch_weight, {_HOLD.format(column="work")}
      FROM run x JOIN product p ON p.id = x.product WHERE x.id IN ({{marks}})"""
    rows = {row[0]: row for row in _chunked(records, sql, ids)}
    weights = _weights(records, [run for run, row in rows.items() if row[-2]])
    return {run: RunSeen(*(*row[:-2], row[-1] or "PACKED", weights.get(run))) for run, row in rows.items()}


def _weights(records: Records, weighed: list[int]) -> dict[int, Weights]:
    sql = "SELECT run, serial, net_g FROM pack_weight WHERE run IN ({marks}) ORDER BY run, serial"
    found: dict[int, list[tuple[int, int]]] = {run: [] for run in weighed}
    for run, serial, net_g in _chunked(records, sql, weighed):
        found[run].append((serial, net_g))
    return {run: tuple(weights) for run, weights in found.items()}


def units(records: Records, ids: Iterable[int]) -> dict[int, UnitSeen]:
    """The cases and pallets with these SSCCs."""
    sql = """SELECT x.sscc, x.kind, x.closed,
      COALESCE((SELECT SUM(c.last - c.first + 1) FROM content c WHERE c.unit = x.sscc AND c.until IS NULL), 0),
      CASE WHEN EXISTS (SELECT 1 FROM dispatch_line d WHERE d.unit = x.sscc AND NOT EXISTS (SELECT 1 FROM return_line r
        WHERE r.unit = d.unit AND r.dispatch = d.dispatch)) THEN 'SENT'
      WHEN EXISTS (SELECT 1 FROM return_line r WHERE r.unit = x.sscc) THEN 'RETURNED' ELSE 'IN HOUSE' END
      FROM unit x WHERE x.sscc IN ({marks})"""
    return {row[0]: UnitSeen(*row) for row in _chunked(records, sql, ids)}


def dispatches(records: Records, ids: Iterable[int]) -> dict[int, DispatchSeen]:
    """The dispatches with these ids."""
    sql = """SELECT x.id, x.code, b.id, b.name, b.phone, x.document, x.carrier, x.at
      FROM dispatch x JOIN buyer b ON b.id = x.buyer WHERE x.id IN ({marks})"""
    return {row[0]: DispatchSeen(*row) for row in _chunked(records, sql, ids)}


def returns(records: Records, ids: Iterable[int]) -> dict[int, ReturnSeen]:
    """The returns with these ids."""
    sql = """SELECT x.id, x.code, b.id, b.name, x.document, x.reason, x.at
      FROM goods_return x JOIN buyer b ON b.id = x.buyer WHERE x.id IN ({marks})"""
    return {row[0]: ReturnSeen(*row) for row in _chunked(records, sql, ids)}


_IN_G = """COALESCE((SELECT SUM(u.g) FROM lot_use u JOIN lot l ON l.id = u.lot WHERE u.work = x.id
  AND l.kind <> 'material'), 0) + COALESCE((SELECT SUM(i.g) FROM flow i WHERE i.child = x.id), 0)"""
_LOST_G = "COALESCE((SELECT SUM(o.g) FROM loss o WHERE o.work = x.id), 0)"


def _batch_state(row: tuple[Any, ...]) -> str:
    """A release in spite of a limit stays visible wherever the batch is shown."""
    released, in_spite_of = row[-2], row[-3]
    return "RELEASED BY NAME" if in_spite_of else "RELEASED" if released else "RUNNING"


def _closing(row: tuple[Any, ...], otherwise: str) -> tuple[Any, ...]:
    """The row with its hold as status, or another status when there is none."""
    return (*row[:-1], row[-1] or otherwise)


def _chunked(records: Records, sql: str, ids: Iterable[int]) -> Iterator[tuple[Any, ...]]:
    wanted = sorted(set(ids))
    for start in range(0, len(wanted), CHUNK):
        part = wanted[start : start + CHUNK]
        yield from records.rows(sql.format(marks=", ".join("?" * len(part))), *part)
