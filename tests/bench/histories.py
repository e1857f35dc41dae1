"""Invented histories of a house, put into the shipped schema with executemany: a small one of a year, big ones of ten years.

Journal lines are left out, since neither a trace nor a page reads them; a batch brings about forty rows with it.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import peewee

from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.codes import CodeKind, check_digits
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.house import SiteFacts
from lotwake.trace.records.find import Kind, Thing

SIZES = {"S": (1_900, 1), "M": (22_000, 10), "L": (225_000, 10)}
"""Batches in each history, and years."""
CASES, PACKS = 7, 12
WIDE = 1
"""The lot that is in three batches of ten; the others come in as they are needed."""
TRIALS = 30
BEGAN = datetime(2016, 1, 4, 5, tzinfo=UTC)
SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")


@dataclass
class House:
    """A filled record and what to ask it."""

    places: Places
    records: Records
    path: Path
    now: datetime
    rows: int
    lots: list[Thing]
    salts: list[Thing]
    packs: list[Thing]
    models: dict[str, Any]


def filled(size: str, folder: Path) -> House:
    """A history of this size."""
    (batches, years), draw = SIZES[size], random.Random(7)
    apart = timedelta(days=365 * years) / batches
    now = BEGAN + timedelta(days=365 * years + 30)
    places = places_at(folder / size)
    records = set_up_house(places, SITE, "SK", "Signe Kvist", SetClock(now)).records
    records.run("PRAGMA foreign_keys = 0")
    records.run("PRAGMA synchronous = off")
    put = _Putter(records)
    put.small_lists()
    lot, salt, open_lots = WIDE, 0, [WIDE]
    put.lot(WIDE)
    fish: list[int] = []
    salts: list[int] = []
    for batch in range(1, batches + 1):
        run = batches + batch
        put.at = BEGAN + apart * batch
        if batch % 40 == 1:
            salt = lot = lot + 1
            salts.append(lot)
            put.lot(lot, "material", "salt")
        if batch % 2 == 1:
            lot += 1
            fish.append(lot)
            put.lot(lot)
            open_lots = [*open_lots[-3:], lot]
        used = {draw.choice(open_lots[-3:]), lot if lot != salt else open_lots[-1]} - {WIDE}
        put.batch(batch, run, [*used, *([WIDE] if batch % 10 < 3 else [])], salt)
        if batch % 20 == 0:
            put.rows["flow"].append((batch - 3, batch, 2_000, 1))
        if batch % 100 == 0:
            put.rework(run - 2, batch)
        put.cases(batch, run)
        if batch % 500 == 0:
            put.flush()
    put.flush()
    middle = fish[len(fish) // 3 : 2 * len(fish) // 3]
    return House(
        places, records, places.records, now, put.count,
        lots=[Thing(Kind.LOT, ref, code(CodeKind.LOT, ref)) for ref in draw.sample(middle, TRIALS)],
        salts=[Thing(Kind.LOT, ref, code(CodeKind.LOT, ref)) for ref in salts[len(salts) // 2 :][:10]],
        packs=[
            Thing(Kind.PACK, batches + n, code(CodeKind.RUN, batches + n), 5)
            for n in draw.sample(range(batches // 3, batches * 2 // 3), TRIALS)
        ],
        models=models(records),
    )  # fmt: skip


BUYERS = 40
CODE_DAY = "16004"
"""All things of a history are numbered on its first day: the codes are right, and as long as numbers get."""


def code(kind: CodeKind, number: int) -> str:
    """A code with right check digits."""
    body = f"{kind.value}{CODE_DAY}{number:03d}"
    return body + check_digits(body)


COLUMNS = {
    "lot": "id, code, kind, item, source, supplier, species, presentation, method, their_code, landed_on, received, g,"
    " document, note, entry",
    "work": "id, kind, entry",
    "batch": "id, code, smoking, started, note, entry",
    "run": "id, code, product, packed, packed_on, best_before, net_g, entry",
    "lot_use": "lot, work, g, entry",
    "flow": "parent, child, g, entry",
    "pack_range": "run, first, last, at, entry",
    "pack_end": "run, first, last, kind, batch, reason, at, entry",
    "unit": "sscc, kind, closed, entry",
    "content": "run, first, unit, last, since, entry",
    "unit_content": "child, parent, since, entry",
    "dispatch": "id, code, buyer, document, carrier, at, entry",
    "dispatch_line": "unit, dispatch, top, entry",
}


class _Putter:
    """Rows by table, written many at a time."""

    def __init__(self, records: Records) -> None:
        self.connection = records.database.connection()
        self.rows: dict[str, list[tuple[object, ...]]] = defaultdict(list)
        self.count = 0
        self.at = BEGAN

    def small_lists(self) -> None:
        run = self.connection.execute
        run("INSERT INTO source VALUES (1, 'boat', 'Aurora', 'N-1', '', '', '', '', '', 1)")
        run("INSERT INTO supplier VALUES (1, 'Salt House', '', '', 1)")
        for buyer in range(1, BUYERS + 1):
            run("INSERT INTO buyer (id, name, phone, email, address, gln, entry) VALUES (?, ?, '+47', '', '', NULL, 1)",
                (buyer, f"Buyer {buyer}"))  # fmt: skip
        run("INSERT INTO product (id, gtin, name, species, smoking, net_g, packaging, life_days, ingredients, allergens,"
            " storage, cook, case_packs, entry) VALUES (1, '09520000000028', 'Smoked haddock', 'HAD', 'hot smoked', 300,"
            " 'air', 60, '', '', '', '', 12, 1)")  # fmt: skip

    def later(self, hours: int) -> str:
        return instant_text(self.at + timedelta(hours=hours))

    def lot(self, ref: int, kind: str = "landing", item: str = "") -> None:
        fish = kind == "landing"
        self.rows["lot"].append(
            (ref, code(CodeKind.LOT, ref), kind, item, 1 if fish else None, None if fish else 1, "HAD" if fish else None, "",
             "", "", self.at.date().isoformat(), self.later(0), 10**8, "", "", 1)
        )  # fmt: skip

    def batch(self, batch: int, run: int, lots: Iterable[int], salt: int) -> None:
        self.rows["work"] += [(batch, "batch", 1), (run, "run", 1)]
        self.rows["batch"].append((batch, code(CodeKind.BATCH, batch), "hot smoked", self.later(1), "", 1))
        self.rows["run"].append(
            (run, code(CodeKind.RUN, run), 1, self.later(2), self.at.date().isoformat(), "2030-05-02", 300, 1)
        )
        self.rows["lot_use"] += [(lot, batch, 20_000, 1) for lot in sorted({*lots})] + [(salt, batch, 900, 1)]
        self.rows["flow"].append((batch, run, 28_000, 1))
        self.rows["pack_range"].append((run, 1, CASES * PACKS, self.later(2), 1))

    def rework(self, run: int, batch: int) -> None:
        self.rows["pack_end"].append((run, 1, 2, "REWORK", batch, "torn", self.later(0), 1))
        self.rows["flow"].append((run, batch, 600, 1))

    def cases(self, batch: int, run: int) -> None:
        first, dispatch, pallet = batch * 10, 1 + batch // 3, batch * 10 + CASES
        closed = self.later(3)
        self.rows["unit"] += [(first + n, "case", closed, 1) for n in range(CASES)] + [(pallet, "pallet", closed, 1)]
        self.rows["content"] += [(run, 1 + n * PACKS, first + n, (n + 1) * PACKS, closed, 1) for n in range(CASES)]
        self.rows["unit_content"] += [(first + n, pallet, closed, 1) for n in range(4)]
        self.rows["dispatch_line"] += [(first + n, dispatch, int(n > 3), 1) for n in range(CASES)] + [
            (pallet, dispatch, 1, 1)
        ]
        if batch % 3 == 0 or batch == 1:
            self.rows["dispatch"].append(
                (
                    dispatch,
                    code(CodeKind.DISPATCH, dispatch),
                    1 + dispatch % BUYERS,
                    f"D{dispatch}",
                    "",
                    self.later(24),
                    1,
                )
            )

    def flush(self) -> None:
        self.connection.execute("BEGIN")
        for table, rows in self.rows.items():
            marks = ", ".join("?" * (COLUMNS[table].count(",") + 1))
            self.connection.executemany(f"INSERT INTO {table} ({COLUMNS[table]}) VALUES ({marks})", rows)
            self.count += len(rows)
        self.connection.execute("COMMIT")
        self.rows.clear()


def models(records: Records) -> dict[str, Any]:
    """peewee models of the tables, links as plain numbers."""
    made: dict[str, Any] = {}
    for table in ("work", "lot_use", "flow", "content", "unit", "unit_content", "dispatch", "dispatch_line"):
        key = records.keys[table]
        fields: dict[str, Any] = {
            name: peewee.BareField(primary_key=[name] == list(key)) for name in records.columns[table]
        }
        meta = type("Meta", (), {"database": records.database} | ({} if len(key) == 1 else {"primary_key": False}))
        made[table] = type(table, (peewee.Model,), {**fields, "Meta": meta})
    return made
