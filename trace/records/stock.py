"""What is there now: grams left in lots and batches, packs in the house, where a unit is, what is on hold.

Read inside the transaction that relies on it; each question touches only the rows it is about.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.trace.base.ranges import Serials, merged, without
from lotwake.trace.records.database import Records
from lotwake.trace.records.pack_mass import VOID as VOID
from lotwake.trace.records.pack_mass import packed_g

REWORK = "REWORK"
HOLD, REJECT = "HOLD", "REJECT"
HOLDS = ("hold", "hold_release")
"""The tables that say what is on hold."""
MATERIAL = "material"
PENDING, WAITING, PRINTED, FAILED = "PENDING", "WAITING", "PRINTED", "FAILED"
"""How it stands with the printing of labels."""
INSTRUMENTS = ("thermometer", "scale", "hydrometer", "logger")
LAST_STATE = "(SELECT s.state FROM label_state s WHERE s.print = p.id ORDER BY s.id DESC LIMIT 1)"
"""How it stands with the label print ``p``."""
_OPEN_HOLD = "NOT EXISTS (SELECT 1 FROM hold_release r WHERE r.hold = h.id)"


def lot_left_g(records: Records, lot: int) -> int:
    """Grams of a lot not yet used or lost."""
    left: int = records.value(
        "SELECT l.g - COALESCE((SELECT SUM(g) FROM lot_use WHERE lot = l.id), 0)"
        " - COALESCE((SELECT SUM(g) FROM loss WHERE lot = l.id), 0) FROM lot l WHERE l.id = ?",
        lot,
    )
    return left


def work_in_g(records: Records, work: int) -> int:
    """Grams of fish that went into a batch or run. Materials are linked but carry no mass into the balance."""
    total: int = records.value(
        "SELECT COALESCE((SELECT SUM(u.g) FROM lot_use u JOIN lot l ON l.id = u.lot WHERE u.work = ? AND l.kind <> ?), 0)"
        " + COALESCE((SELECT SUM(g) FROM flow WHERE child = ?), 0)",
        work, MATERIAL, work,
    )  # fmt: skip
    return total


def work_lost_g(records: Records, work: int) -> int:
    """Grams named as loss of a batch or run."""
    lost: int = records.value("SELECT COALESCE(SUM(g), 0) FROM loss WHERE work = ?", work)
    return lost


def batch_left_g(records: Records, batch: int) -> int:
    """Grams of a batch neither packed, passed on, nor named as loss."""
    passed_on: int = records.value("SELECT COALESCE(SUM(g), 0) FROM flow WHERE parent = ?", batch)
    return work_in_g(records, batch) - passed_on - work_lost_g(records, batch)


def run_packs(records: Records, run: int) -> list[Serials]:
    """The packs that were made in a run and not voided, as ranges."""
    made = [Serials(*row) for row in records.rows("SELECT first, last FROM pack_range WHERE run = ?", run)]
    void = records.rows("SELECT first, last FROM pack_end WHERE run = ? AND kind = ? AND last IS NOT NULL", run, VOID)
    return without(made, [Serials(*row) for row in void])


def run_left_g(records: Records, run: int) -> int:
    """Grams of a run not yet in packs nor named as loss."""
    in_packs_g: int = records.value(f"SELECT {packed_g('r')} FROM run r WHERE r.id = ?", run) or 0
    return work_in_g(records, run) - work_lost_g(records, run) - in_packs_g


def loose_packs(records: Records, run: int) -> list[Serials]:
    """Packs of a run that are in the house and in no case: they can be put in one, sent, or taken back for rework."""
    gone = records.rows("SELECT first, last FROM pack_end WHERE run = ? AND last IS NOT NULL", run)
    cased = records.rows("SELECT first, last FROM content WHERE run = ? AND until IS NULL", run)
    taken = [Serials(*row) for row in [*gone, *cased]]
    left = without(run_packs(records, run), taken)
    return without(left, [part for _, away in packs_away(records, run) for part in away])


def are_loose(records: Records, run: int, packs: Serials) -> bool:
    """Whether all of these packs are certainly loose in the house. False for packs that came back loose: ``loose_packs``
    knows them, and takes longer the more cases a run has."""
    overlap = "x.run = ? AND x.first <= ? AND x.last >= ?"
    made: int = records.value(
        "SELECT COALESCE(SUM(CASE WHEN x.last > ? THEN ? ELSE x.last END - CASE WHEN x.first < ? THEN ? ELSE x.first END"
        f" + 1), 0) FROM pack_range x WHERE {overlap} AND NOT EXISTS (SELECT 1 FROM pack_end x WHERE {overlap})"
        f" AND NOT EXISTS (SELECT 1 FROM content x WHERE {overlap} AND x.until IS NULL)"
        f" AND NOT EXISTS (SELECT 1 FROM dispatch_packs x WHERE {overlap})",
        *(packs.last, packs.last, packs.first, packs.first), *(run, packs.last, packs.first) * 4,
    )  # fmt: skip
    return made == packs.count


def packs_away(records: Records, run: int) -> list[tuple[int, list[Serials]]]:
    """Packs of a run that were sent loose and have not come back: by dispatch, in the order they were sent."""
    sent: dict[int, list[Serials]] = {}
    back: dict[int, list[Serials]] = {}
    for table, kept in (("dispatch_packs", sent), ("return_packs", back)):
        for dispatch, first, last in records.rows(
            f"SELECT dispatch, first, last FROM {table} WHERE run = ? ORDER BY dispatch, first", run
        ):
            kept.setdefault(dispatch, []).append(Serials(first, last))
    return [(dispatch, without(packs, back.get(dispatch, []))) for dispatch, packs in sent.items()]


def packs_since(records: Records, run: int, packs: Serials) -> str:
    """The stored instant since when the last of these packs is where it is: made, out of its case, or come back."""
    overlap = "x.run = ? AND x.first <= ? AND x.last >= ?"
    since: str = records.value(
        f"SELECT MAX(at) FROM (SELECT x.at AS at FROM pack_range x WHERE {overlap}"
        f" UNION ALL SELECT x.until FROM content x WHERE {overlap}"
        f" UNION ALL SELECT g.at FROM return_packs x JOIN goods_return g ON g.id = x.goods_return WHERE {overlap}) AS moves",
        *(run, packs.last, packs.first) * 3,
    )
    return since


def packs_were_sent(records: Records, run: int, packs: Serials) -> bool:
    """Whether any of these packs ever left the house, loose or in a case."""
    overlap = "x.run = ? AND x.first <= ? AND x.last >= ?"
    sent = records.value(
        f"SELECT 1 WHERE EXISTS (SELECT 1 FROM dispatch_packs x WHERE {overlap}) OR EXISTS"
        f" (SELECT 1 FROM content x JOIN dispatch_line l ON l.unit = x.unit JOIN dispatch d ON d.id = l.dispatch"
        f" WHERE {overlap} AND x.since <= d.at AND (x.until IS NULL OR x.until >= d.at))",
        *(run, packs.last, packs.first) * 2,
    )
    return sent is not None


def unit_since(records: Records, unit: int) -> str:
    """The stored instant since when a case or pallet is where it is: closed, taken off a pallet, or come back."""
    since: str = records.value(
        "SELECT MAX(at) FROM (SELECT closed AS at FROM unit WHERE sscc = ? UNION ALL SELECT until FROM unit_content"
        " WHERE child = ? UNION ALL SELECT g.at FROM return_line r JOIN goods_return g ON g.id = r.goods_return"
        " WHERE r.unit = ?) AS moves",
        unit, unit, unit,
    )  # fmt: skip
    return since


def packs_at_home(records: Records, run: int) -> list[Serials]:
    """Packs of a run that are in the house, loose or in a case."""
    cased = records.rows(
        "SELECT c.first, c.last FROM content c WHERE c.run = ? AND c.until IS NULL AND NOT EXISTS"
        " (SELECT 1 FROM dispatch_line d WHERE d.unit = c.unit AND NOT EXISTS"
        " (SELECT 1 FROM return_line r WHERE r.unit = d.unit AND r.dispatch = d.dispatch))",
        run,
    )
    return merged([*loose_packs(records, run), *(Serials(*row) for row in cased)])


def unit_dispatch(records: Records, unit: int) -> int | None:
    """The dispatch a case or pallet is away on, or None while it is in the house."""
    away: int | None = records.value(
        "SELECT d.dispatch FROM dispatch_line d WHERE d.unit = ? AND NOT EXISTS"
        " (SELECT 1 FROM return_line r WHERE r.unit = d.unit AND r.dispatch = d.dispatch)",
        unit,
    )
    return away


def unit_parent(records: Records, unit: int) -> int | None:
    """The pallet a unit stands on now."""
    parent: int | None = records.value("SELECT parent FROM unit_content WHERE child = ? AND until IS NULL", unit)
    return parent


_INSIDE = (
    "WITH RECURSIVE inside (id) AS (SELECT CAST(? AS BIGINT) UNION SELECT c.child FROM inside CROSS JOIN unit_content c"
    " WHERE c.parent = inside.id AND c.until IS NULL)"
)


def units_within(records: Records, unit: int) -> list[int]:
    """The unit and every unit in it now, at any depth."""
    return [row[0] for row in records.rows(f"{_INSIDE} SELECT id FROM inside", unit)]


def runs_within(records: Records, unit: int) -> list[int]:
    """The runs whose packs are in a unit or in units within it now."""
    rows = records.rows(
        f"{_INSIDE} SELECT DISTINCT c.run FROM inside CROSS JOIN content c WHERE c.unit = inside.id AND c.until IS NULL",
        unit,
    )
    return [row[0] for row in rows]


def unit_contents(records: Records, unit: int) -> list[tuple[int, Serials]]:
    """The packs directly in a case now: (run, serials)."""
    rows = records.rows(
        "SELECT run, first, last FROM content WHERE unit = ? AND until IS NULL ORDER BY run, first", unit
    )
    return [(run, Serials(first, last)) for run, first, last in rows]


def anything_held(records: Records) -> bool:
    """Whether there is any hold or rejection that nobody has released."""
    return records.value(f"SELECT h.id FROM hold h WHERE {_OPEN_HOLD} LIMIT 1") is not None


def packs_under(records: Records, unit: int) -> list[tuple[int, Serials]]:
    """The packs in a case or anywhere on a pallet now: (run, serials)."""
    return [part for inside in units_within(records, unit) for part in unit_contents(records, inside)]


def cases_under(records: Records, unit: int) -> int:
    """How many cases stand on a pallet now, also on pallets on it; none in a case."""
    return sum(_is_case(records, inside) for inside in units_within(records, unit) if inside != unit)


def _is_case(records: Records, unit: int) -> bool:
    return bool(records.value("SELECT kind = 'case' FROM unit WHERE sscc = ?", unit))


@dataclass(frozen=True)
class OpenHold:
    """A hold or rejection nobody has released. ``code`` names the lot, batch or run that carries it."""

    id: int
    kind: str
    code: str
    reason: str


def open_hold_above(records: Records, works: Sequence[int], lots: Sequence[int] = ()) -> OpenHold | None:
    """The first open hold on these lots, on these batches and runs, or on anything they were made from; a rejection
    comes before every hold, since it is final."""
    if not anything_held(records):
        return None
    work_marks = ", ".join("(CAST(? AS BIGINT))" for _ in works) or "(CAST(0 AS BIGINT))"
    lot_marks = ", ".join("?" for _ in lots) or "0"
    row = records.one(
        f"WITH RECURSIVE given (id) AS (VALUES {work_marks}), up (id) AS (SELECT id FROM given"
        f" UNION SELECT f.parent FROM up CROSS JOIN flow f"
        f" WHERE f.child = up.id AND f.g > 0),"
        f" fish (lot) AS (SELECT u.lot FROM up CROSS JOIN lot_use u WHERE u.work = up.id AND COALESCE(u.g, 1) > 0)"
        f" SELECT h.id, h.kind, COALESCE(l.code, b.code, r.code), h.reason FROM hold h LEFT JOIN lot l ON l.id = h.lot"
        f" LEFT JOIN batch b ON b.id = h.work LEFT JOIN run r ON r.id = h.work WHERE {_OPEN_HOLD} AND (h.lot IN ({lot_marks})"
        f" OR h.work IN (SELECT id FROM up) OR h.lot IN (SELECT lot FROM fish)) ORDER BY h.kind DESC, h.id LIMIT 1",
        *works, *lots,
    )  # fmt: skip
    return None if row is None else OpenHold(*row)


def leads_to(records: Records, start: int, goal: int) -> bool:
    """Whether fish of batch or run ``start`` is in ``goal`` already."""
    found = records.value(
        "WITH RECURSIVE down (id) AS (SELECT CAST(? AS BIGINT) UNION SELECT f.child FROM down CROSS JOIN flow f"
        " WHERE f.parent = down.id AND f.g > 0) SELECT 1 FROM down WHERE id = ?",
        start, goal,
    )  # fmt: skip
    return found is not None
