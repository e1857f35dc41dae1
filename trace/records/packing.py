"""What the packing table asks of the record: what a batch may be packed as, its run of the day, and the labels printed."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.base.ranges import Serials, counted, without
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.entries.packs import REPRINT
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.lists import products
from lotwake.trace.records.stock import FAILED, LAST_STATE, MATERIAL, PENDING, PRINTED, VOID, WAITING


@dataclass(frozen=True)
class PrintSeen:
    """Labels that were printed for packs of a run, or the label of a case or pallet, or the card of a batch (then without
    packs).

    ``state``: PENDING when nobody knows what came out, WAITING when nothing did and it can be sent again, PRINTED,
    REPRINTED, FAILED, or VOID once all its packs are; ``void`` counts them; ``note`` is why it waits or is not known, else
    the reason of the reprint or of the void. ``job`` is the number of the first print that was entered with it: they are
    one file and are sent together.
    """

    id: int
    thing: Thing
    product: str
    packs: Serials | None
    at: str
    state: str
    note: str
    void: int
    who: str
    job: int = 0

    @property
    def count(self) -> int:
        return 1 if self.packs is None else self.packs.count


def fish_species(records: Records, batch: int) -> set[str]:
    """The FAO codes of all fish in a batch, through every batch that went into it."""
    rows = records.rows(
        "WITH RECURSIVE up (id) AS (SELECT CAST(? AS BIGINT) UNION SELECT f.parent FROM up CROSS JOIN flow f"
        " WHERE f.child = up.id AND f.g > 0) SELECT DISTINCT l.species FROM up CROSS JOIN lot_use u CROSS JOIN lot l"
        " WHERE u.work = up.id AND u.g > 0 AND l.id = u.lot AND l.kind <> ?",
        batch, MATERIAL,
    )  # fmt: skip
    return {species for (species,) in rows}


def possible_products(records: Records, batch: int) -> list[ProductFacts]:
    """What a batch may be packed as: the same kind of smoking, and its fish; what was packed last comes first."""
    smoking = records.value("SELECT smoking FROM batch WHERE id = ?", batch)
    species = fish_species(records, batch)
    last = dict(records.rows("SELECT p.name, MAX(r.id) FROM run r JOIN product p ON p.id = r.product GROUP BY p.name"))
    fitting = [
        product
        for product in products(records)
        if product.smoking == smoking and (product.species is None or species == {product.species})
    ]
    return sorted(fitting, key=lambda product: -last.get(product.name, 0))


def run_of_the_day(records: Records, batch: int, product: str, packed_on: str) -> Thing | None:
    """The run that this batch is packed into on a day (ISO text), the latest if there are several."""
    row = records.one(
        "SELECT r.id, r.code FROM flow f JOIN run r ON r.id = f.child JOIN product p ON p.id = r.product"
        " WHERE f.parent = ? AND f.g > 0 AND r.packed_on = ? AND p.name = ? ORDER BY r.id DESC LIMIT 1",
        batch, packed_on, product,
    )  # fmt: skip
    return None if row is None else Thing(Kind.RUN, *row)


def batches_of_run(records: Records, run: int) -> list[str]:
    """The codes of the batches that a run was filled from."""
    rows = records.rows(
        "SELECT DISTINCT b.code FROM flow f JOIN batch b ON b.id = f.parent WHERE f.child = ? AND f.g > 0 ORDER BY b.code",
        run,
    )
    return [code for (code,) in rows]


_PRINTS = f"""SELECT p.id, p.unit, u.kind, p.batch, b.code, p.run, r.code, COALESCE(d.name, ''), p.first, p.last, p.at, p.kind,
  p.reason, COALESCE(o.initials, ''), {LAST_STATE}, {LAST_STATE.replace("s.state", "s.note")},
  (SELECT MIN(x.id) FROM label_print x WHERE x.entry = p.entry)
  FROM label_print p LEFT JOIN run r ON r.id = p.run LEFT JOIN product d ON d.id = r.product
  LEFT JOIN unit u ON u.sscc = p.unit LEFT JOIN batch b ON b.id = p.batch
  JOIN journal j ON j.seq = p.entry LEFT JOIN operator o ON o.id = j.who"""


def recent_prints(records: Records, most: int) -> list[PrintSeen]:
    """The last label prints for packs, the newest first."""
    rows = records.rows(f"{_PRINTS} WHERE p.run IS NOT NULL ORDER BY p.id DESC LIMIT ?", most)
    return [_print_seen(records, *row) for row in rows]


def pending_prints(records: Records) -> list[PrintSeen]:
    """Prints that were sent and of which nobody knows what came out, the oldest first."""
    return _by_state(records, PENDING)


def waiting_prints(records: Records) -> list[PrintSeen]:
    """Prints that certainly did not arrive at the printer and can be sent again, the oldest first."""
    return _by_state(records, WAITING)


def open_prints(records: Records) -> list[PrintSeen]:
    """Prints that wait or of which nobody knows what came out, of packs, cases and cards, the oldest first."""
    return sorted([*waiting_prints(records), *pending_prints(records)], key=lambda seen: seen.id)


def prints_of(records: Records, thing: Thing) -> list[PrintSeen]:
    """Every print of the labels of a run, the label of a unit or the card of a batch, the oldest first."""
    column = {Kind.RUN: "run", Kind.BATCH: "batch"}.get(thing.kind, "unit")
    rows = records.rows(f"{_PRINTS} WHERE p.{column} = ? ORDER BY p.id", thing.id)
    return [_print_seen(records, *row) for row in rows]


def prints_of_job(records: Records, number: int) -> list[PrintSeen]:
    """All prints that were entered together with this one: one file, sent and settled as one. None for no such print."""
    rows = records.rows(
        f"{_PRINTS} WHERE p.entry = (SELECT entry FROM label_print WHERE id = ?) ORDER BY p.id",
        number,
    )
    return [_print_seen(records, *row) for row in rows]


def _by_state(records: Records, state: str) -> list[PrintSeen]:
    rows = records.rows(f"{_PRINTS} WHERE {LAST_STATE} = ? ORDER BY p.id", state)
    return [_print_seen(records, *row) for row in rows]


def _print_seen(
    records: Records, number: int, unit: int | None, unit_kind: str | None, batch: int | None, batch_code: str | None,
    run: int | None, code: str | None, product: str, first: int, last: int, at: str, kind: str, reason: str, who: str,
    state: str, said: str, job: int,
) -> PrintSeen:  # fmt: skip
    shown = "REPRINTED" if state == PRINTED and kind == REPRINT else state
    note = said if state in (PENDING, WAITING, FAILED) and said else reason
    if run is None:
        thing = Thing(Kind(unit_kind or Kind.CASE), unit, f"{unit:018d}") if unit else _card(batch, batch_code)
        return PrintSeen(number, thing, product, None, at, shown, note, 0, who, job)
    packs = Serials(first, last)
    ends = records.rows(
        "SELECT first, last, reason FROM pack_end WHERE run = ? AND kind = ? AND first <= ? AND last >= ?",
        run, VOID, last, first,
    )  # fmt: skip
    void = packs.count - counted(without([packs], [Serials(*row[:2]) for row in ends]))
    if void == packs.count:
        shown, note = VOID, ends[-1][2]
    return PrintSeen(number, Thing(Kind.RUN, run, code or ""), product, packs, at, shown, note, void, who, job)


def _card(batch: int | None, code: str | None) -> Thing:
    assert batch is not None, "a print is of packs, a unit or a batch"
    return Thing(Kind.BATCH, batch, code or "")
