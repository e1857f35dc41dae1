"""The rules of the record, asked again about everything that a corrected value touches."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import day_of, instant_of
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries.house import must_be_sellable, must_vary
from lotwake.trace.records.entries.lots import BOUGHT_IN, must_be_part
from lotwake.trace.records.entries.rules import must_not_circle
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import MATERIAL, REWORK, VOID, batch_left_g, lot_left_g, run_left_g

Key = Mapping[str, int | str]


def day_at_house(entry: Entry, instant: str) -> str:
    """The calendar day of a stored instant at the house, as ISO text."""
    return day_of(instant_of(instant), entry.zone).isoformat()


def _check_lot(entry: Entry, key: Key) -> None:
    lot = int(key["id"])
    row = entry.records.one(
        "SELECT code, kind, item, their_code, supplier, received, landed_on, caught_from, caught_to, undersize_g, g FROM lot"
        " WHERE id = ?",
        lot,
    )
    assert row is not None, "it was just changed"
    code, kind, item, their_code, supplier, received, landed_on, caught_from, caught_to, undersize_g, g = row
    shown = show_code(code)
    if (kind == MATERIAL) != (supplier is not None) or (kind == MATERIAL and not item):
        raise CallError("A material has a supplier and says what it is; fish has neither.", f"Lot {shown} is {kind}.")
    if kind == BOUGHT_IN and not their_code:
        raise CallError("The dealer's own lot code cannot be left empty.", "Say what it should be.")
    if not (caught_from or landed_on) <= (caught_to or landed_on) <= landed_on <= day_at_house(entry, received):
        raise Refused("Catch, landing and receiving would be out of order.", "Check the days.")
    must_be_part(undersize_g, g)
    _must_not_be_below_zero(f"Lot {shown}", lot_left_g(entry.records, lot))
    late = entry.records.value(
        "SELECT MIN(at) FROM (SELECT COALESCE(b.started, r.packed) AS at FROM lot_use u LEFT JOIN batch b ON b.id = u.work"
        " LEFT JOIN run r ON r.id = u.work WHERE u.lot = ? AND COALESCE(u.g, 1) > 0"
        " UNION ALL SELECT at FROM loss WHERE lot = ? AND g > 0 UNION ALL SELECT at FROM hold WHERE lot = ?) AS x",
        lot, lot, lot,
    )  # fmt: skip
    if late is not None and late < received:
        raise Refused(f"Lot {shown} would come in after something was done with it.", "Check the time.")


def _check_use(entry: Entry, key: Key) -> None:
    _check_lot(entry, {"id": key["lot"]})
    _check_order(entry, int(key["work"]))
    _check_work(entry, int(key["work"]))


def _check_flow(entry: Entry, key: Key) -> None:
    parent, child = int(key["parent"]), int(key["child"])
    kind, parent_code, _ = _work(entry, parent)
    if kind == "run":
        raise Refused("What a rework took is counted in packs.", "It cannot be corrected in grams.")
    if entry.records.value("SELECT SUM(g) FROM flow WHERE parent = ? AND child = ?", parent, child):
        must_not_circle(entry, parent, child, parent_code, _work(entry, child)[1])
    _check_order(entry, child)
    _check_work(entry, parent)
    _check_work(entry, child)


def _check_loss(entry: Entry, key: Key) -> None:
    lot, work = entry.records.one("SELECT lot, work FROM loss WHERE id = ?", key["id"]) or (None, None)
    if work is not None:
        _check_work(entry, work)
    else:
        _check_lot(entry, {"id": lot})


def _check_batch(entry: Entry, key: Key) -> None:
    batch = int(key["id"])
    _check_order(entry, batch)
    _, code, started = _work(entry, batch)
    late = entry.records.value(
        "SELECT MIN(at) FROM (SELECT started AS at FROM step WHERE batch = ? UNION ALL SELECT at FROM reading WHERE batch = ?"
        " UNION ALL SELECT at FROM batch_release WHERE batch = ? UNION ALL SELECT at FROM hold WHERE work = ?"
        " UNION ALL SELECT at FROM loss WHERE work = ? AND g > 0 UNION ALL SELECT COALESCE(b.started, r.packed) FROM flow f"
        " LEFT JOIN batch b ON b.id = f.child LEFT JOIN run r ON r.id = f.child WHERE f.parent = ? AND f.g > 0) AS x",
        *(batch,) * 6,
    )
    if late is not None and late < started:
        raise Refused(f"Batch {show_code(code)} would begin after something was done with it.", "Check the time.")


def _check_step(entry: Entry, key: Key) -> None:
    row = entry.records.one("SELECT batch, started, ended FROM step WHERE id = ?", key["id"])
    assert row is not None, "it was just changed"
    batch, started, ended = row
    if ended is not None and ended < started:
        raise Refused("The step would end before it began.", "Check the times.")
    _check_batch(entry, {"id": batch})


def _check_reading(entry: Entry, key: Key) -> None:
    _check_batch(entry, {"id": entry.records.value("SELECT batch FROM reading WHERE id = ?", key["id"])})


def _check_run(entry: Entry, key: Key) -> None:
    if entry.records.value("SELECT 1 FROM run WHERE id = ? AND best_before < packed_on", key["id"]):
        raise CallError("Best before lies before packing.", "Write the day with its year.")


def _check_product(entry: Entry, key: Key) -> None:
    row = entry.records.one("SELECT life_days, case_packs, gtin, catch_weight FROM product WHERE id = ?", key["id"])
    assert row is not None, "it was just changed"
    life_days, case_packs, gtin, catch_weight = row
    must_be_sellable(life_days, case_packs)
    if catch_weight:
        must_vary(gtin)


def _check_pack_weight(entry: Entry, key: Key) -> None:
    run, serial = int(key["run"]), int(key["serial"])
    ended = entry.records.value(
        "SELECT kind FROM pack_end WHERE run = ? AND first <= ? AND last >= ? AND kind IN (?, ?)",
        run, serial, serial, VOID, REWORK,
    )  # fmt: skip
    if ended is not None:
        why = "It is void" if ended == VOID else "It was taken back for rework by that weight"
        raise Refused(f"{why}; the weight of pack {serial} stays.", "Correct what was made of it instead.")
    _check_work(entry, run)


def _check_order(entry: Entry, work: int) -> None:
    """Nothing that is in a batch or run came after it began."""
    kind, code, began = _work(entry, work)
    early = entry.records.value(
        "SELECT l.code FROM lot_use u JOIN lot l ON l.id = u.lot WHERE u.work = ? AND COALESCE(u.g, 1) > 0 AND l.received > ?"
        " UNION ALL SELECT COALESCE(b.code, r.code) FROM flow f LEFT JOIN batch b ON b.id = f.parent"
        " LEFT JOIN run r ON r.id = f.parent WHERE f.child = ? AND f.g > 0 AND COALESCE(b.started, r.packed) > ?",
        work, began, work, began,
    )  # fmt: skip
    if early:
        raise Refused(
            f"{kind.capitalize()} {show_code(code)} would begin before {show_code(early)} was there.", "Check the time."
        )


def _check_work(entry: Entry, work: int) -> None:
    kind, code, _ = _work(entry, work)
    left = batch_left_g(entry.records, work) if kind == "batch" else run_left_g(entry.records, work)
    _must_not_be_below_zero(f"{kind.capitalize()} {show_code(code)}", left)


def _work(entry: Entry, work: int) -> tuple[str, str, str]:
    """The kind, code and beginning of a batch or run."""
    row = entry.records.one(
        "SELECT w.kind, COALESCE(b.code, r.code), COALESCE(b.started, r.packed) FROM work w"
        " LEFT JOIN batch b ON b.id = w.id LEFT JOIN run r ON r.id = w.id WHERE w.id = ?",
        work,
    )
    assert row is not None, "the caller looked it up"
    return row[0], row[1], row[2]


def _must_not_be_below_zero(what: str, left_g: int) -> None:
    if left_g < 0:
        raise Refused(
            f"{what} would have given {show_mass(-left_g)} more than it had.", "Correct what was taken from it first."
        )


CHECKS: Mapping[str, Callable[[Entry, Key], None]] = {
    "lot": _check_lot,
    "lot_use": _check_use,
    "flow": _check_flow,
    "loss": _check_loss,
    "batch": _check_batch,
    "run": _check_run,
    "step": _check_step,
    "reading": _check_reading,
    "product": _check_product,
    "pack_weight": _check_pack_weight,
}
"""What is asked after a correction, by table: each takes the key of the corrected row and raises what is wrong."""
