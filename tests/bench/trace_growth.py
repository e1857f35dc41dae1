"""How traces grow with the record, and how they stand against plain SQL, a walk record by record, and a graph in memory.

    python tests/bench/trace_growth.py           sizes S (about 77,000 rows) and M (0.9 million); under 90 seconds
    python tests/bench/trace_growth.py --large   and L (9 million rows, ten years of a big plant); some minutes, 1 GB of disk

Not collected by pytest. Each history goes straight into the shipped schema with executemany; journal lines are left out, since
no trace reads them. Times are medians in milliseconds; only ratios within this one run have limits. The exit code is 1 if one
is broken.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

import networkx as nx
import peewee

from lotwake.trace.lineage.chain import Direction
from lotwake.trace.lineage.statements import Asking
from lotwake.trace.lineage.trace import trace
from lotwake.trace.records.database import Records, create_records
from lotwake.trace.records.find import Kind, Thing

BACK, FORWARD = Direction.BACK, Direction.FORWARD
SIZES = {"S": 1_900, "M": 22_000, "L": 225_000}
"""Batches in each history; a batch brings about forty rows with it."""
CASES, PACKS = 7, 12
WIDE = 1
"""The lot that is in three batches of ten; the others come in as they are needed."""
TRIALS = 30
AT = "2026-03-02T05:00:00Z"
LANDING = ("landing", "", 1, "HAD", "", "", "", "2026-03-02", AT, 10**8, "", "", 1)

LIMITS = {
    "growth": 2.0,  # a trace that stays as large takes at most this much longer in the larger record
    "over plain SQL, small, ms": 2.5,  # looking everything up and putting the chain together
    "over plain SQL, wide": 20.0,
    "slower walk": 25.0,
    "slower graph": 100.0,
    "wide, us a link": 100.0,
}  # fmt: skip


@dataclass
class House:
    """A filled record and what to ask it."""

    records: Records
    path: Path
    rows: int
    lots: list[Thing]
    salts: list[Thing]
    packs: list[Thing]
    models: dict[str, Any]


def filled(size: str, folder: Path) -> House:
    """A history of this size."""
    batches, draw = SIZES[size], random.Random(7)
    path = folder / f"{size}.db"
    records = create_records(path)
    records.run("PRAGMA foreign_keys = 0")
    records.run("PRAGMA synchronous = off")
    put = _Putter(records)
    put.small_lists()
    lot, salt, open_lots = WIDE, 0, [WIDE]
    put.rows["lot"].append((WIDE, "1w", *LANDING))
    fish: list[int] = []
    salts: list[int] = []
    for batch in range(1, batches + 1):
        run = batches + batch
        if batch % 40 == 1:
            salt = lot = lot + 1
            salts.append(lot)
            put.rows["lot"].append((lot, f"1{lot}", "material", "salt", *LANDING[2:]))
        if batch % 2 == 1:
            lot += 1
            fish.append(lot)
            put.rows["lot"].append((lot, f"1{lot}", *LANDING))
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
        records, path, put.count,
        lots=[Thing(Kind.LOT, ref, "") for ref in draw.sample(middle, TRIALS)],
        salts=[Thing(Kind.LOT, ref, "") for ref in salts[len(salts) // 2 :][:10]],
        packs=[Thing(Kind.PACK, batches + n, "", 5) for n in draw.sample(range(batches // 3, batches * 2 // 3), TRIALS)],
        models=models(records),
    )  # fmt: skip


COLUMNS = {
    "lot": "id, code, kind, item, source, species, presentation, method, their_code, landed_on, received, g, document, note,"
    " entry",
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

    def small_lists(self) -> None:
        run = self.connection.execute
        run("INSERT INTO species VALUES ('HAD', 'Melanogrammus aeglefinus', 'Haddock', 0, '', 1)")
        run("INSERT INTO source VALUES (1, 'boat', 'Aurora', 'N-1', '', '', '', '', '', 1)")
        run("INSERT INTO buyer VALUES (1, 'Quay Deli', '+47', '', '', NULL, 1)")
        run("INSERT INTO product (id, gtin, name, species, smoking, net_g, packaging, life_days, ingredients, allergens,"
            " storage, cook, case_packs, entry) VALUES (1, '09520000000011', 'Smoked haddock', 'HAD', 'hot smoked', 300,"
            " 'air', 60, '', '', '', '', 12, 1)")  # fmt: skip

    def batch(self, batch: int, run: int, lots: Iterable[int], salt: int) -> None:
        self.rows["work"] += [(batch, "batch", 1), (run, "run", 1)]
        self.rows["batch"].append((batch, f"2{batch}", "hot smoked", AT, "", 1))
        self.rows["run"].append((run, f"3{run}", 1, AT, "2026-03-02", "2026-05-02", 300, 1))
        self.rows["lot_use"] += [(lot, batch, 20_000, 1) for lot in sorted({*lots})] + [(salt, batch, 900, 1)]
        self.rows["flow"].append((batch, run, 28_000, 1))
        self.rows["pack_range"].append((run, 1, CASES * PACKS, AT, 1))

    def rework(self, run: int, batch: int) -> None:
        self.rows["pack_end"].append((run, 1, 2, "REWORK", batch, "torn", AT, 1))
        self.rows["flow"].append((run, batch, 600, 1))

    def cases(self, batch: int, run: int) -> None:
        first, dispatch, pallet = batch * 10, 1 + batch // 3, batch * 10 + CASES
        self.rows["unit"] += [(first + n, "case", AT, 1) for n in range(CASES)] + [(pallet, "pallet", AT, 1)]
        self.rows["content"] += [(run, 1 + n * PACKS, first + n, (n + 1) * PACKS, AT, 1) for n in range(CASES)]
        self.rows["unit_content"] += [(first + n, pallet, AT, 1) for n in range(4)]
        self.rows["dispatch_line"] += [(first + n, dispatch, int(n > 3), 1) for n in range(CASES)] + [
            (pallet, dispatch, 1, 1)
        ]
        if batch % 3 == 0 or batch == 1:
            self.rows["dispatch"].append((dispatch, f"4{dispatch}", 1, f"D{dispatch}", "", AT, 1))

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


def timed(do: Callable[[Thing], object], starts: Sequence[Thing], times: int = 3) -> float:
    """Median milliseconds of doing this with each start; each start counts with its best time."""
    best = []
    for start in starts:
        taken = []
        for _ in range(times):
            began = time.perf_counter()
            do(start)
            taken.append(time.perf_counter() - began)
        best.append(min(taken) * 1000)
    return median(best)


def plain(house: House, start: Thing) -> int:
    """The rows of the trace statement, by the driver alone."""
    lot, works = (start.id, []) if start.kind is Kind.LOT else (None, [start.id])
    asked = Asking().backward(start, False) if start.kind is Kind.PACK else Asking().forward(lot, works, False)
    return len(house.records.database.connection().execute(asked.sql, asked.values).fetchall())


def walked(house: House, start: Thing) -> int:
    """The same answer as a forward trace by one question for each record, as models and foreign keys invite to."""
    of, seen = house.models, 1
    works = [use.work for use in of["lot_use"].select().where(of["lot_use"].lot == start.id)]
    reached = set(works)
    while works:
        work = works.pop()
        seen += of["work"].get_by_id(work) is not None
        fresh = {flow.child for flow in of["flow"].select().where(of["flow"].parent == work)} - reached
        reached |= fresh
        works.extend(fresh)
        units = [item.unit for item in of["content"].select().where(of["content"].run == work)]
        for unit in units:
            seen += of["unit"].get_by_id(unit) is not None
            standing = of["unit_content"].select().where(of["unit_content"].child == unit)
            units.extend(stand.parent for stand in standing)
            for line in of["dispatch_line"].select().where(of["dispatch_line"].unit == unit):
                seen += of["dispatch"].get_by_id(line.dispatch) is not None
    return seen


def in_memory(house: House, start: Thing) -> int:
    """Everything loaded into a networkx graph first, then the descendants of the lot."""
    graph: nx.DiGraph[tuple[str, int]] = nx.DiGraph()
    rows = house.records.rows
    graph.add_edges_from((("lot", a), ("work", b)) for a, b in rows("SELECT lot, work FROM lot_use"))
    graph.add_edges_from((("work", a), ("work", b)) for a, b in rows("SELECT parent, child FROM flow"))
    graph.add_edges_from((("work", a), ("unit", b)) for a, b in rows("SELECT run, unit FROM content"))
    graph.add_edges_from((("unit", a), ("unit", b)) for a, b in rows("SELECT child, parent FROM unit_content"))
    graph.add_edges_from((("unit", a), ("dispatch", b)) for a, b in rows("SELECT unit, dispatch FROM dispatch_line"))
    return len(nx.descendants(graph, ("lot", start.id)))


class Report:
    """Prints each figure with its limit, and remembers whether one was broken."""

    def __init__(self) -> None:
        self.broken: list[str] = []

    def say(self, text: str) -> None:
        sys.stdout.write(text + "\n")

    def check(self, what: str, value: float, limit: str, at_least: bool = False) -> None:
        bound = LIMITS[limit]
        right = value >= bound if at_least else value <= bound
        mark = "" if right else "   BROKEN"
        self.say(f"  {what:<46}{value:>10.2f}   limit {'>=' if at_least else '<='} {bound:g}{mark}")
        if not right:
            self.broken.append(what)


def compare(houses: dict[str, House], report: Report) -> None:
    """All figures."""
    kinds: dict[str, tuple[str, Direction]] = {
        "fish": ("lots", FORWARD),
        "salt": ("salts", FORWARD),
        "pack": ("packs", BACK),
    }
    took = {
        (size, name): timed(lambda start, way=way, house=house: trace(house.records, start, way), getattr(house, part))
        for size, house in houses.items()
        for name, (part, way) in kinds.items()
    }  # fmt: skip
    for size, house in houses.items():
        said = ", ".join(f"{name} {took[size, name]:.2f} ms" for name in kinds)
        report.say(f"{size}: {house.rows:,} rows; a trace of {said}")
    small, *larger = houses
    for size in larger:
        for name in kinds:
            report.check(f"growth {size}/{small}, {name}", took[size, name] / took[small, name], "growth")
    last = larger[-1]
    house = houses[last]
    raw = timed(lambda start: plain(house, start), house.lots)
    report.check(f"{last}: over plain SQL, fish, ms", took[last, "fish"] - raw, "over plain SQL, small, ms")
    walk = timed(lambda start: walked(house, start), house.salts[:3], times=1)
    salt = timed(lambda start: trace(house.records, start, FORWARD), house.salts[:3])
    report.check(f"{last}: walk record by record / salt statement",
                 walk / timed(lambda start: plain(house, start), house.salts[:3]), "slower walk", at_least=True)  # fmt: skip
    report.say(f"  {'walk record by record / whole salt trace':<46}{walk / salt:>10.2f}")
    graph = timed(lambda start: in_memory(house, start), house.lots[:1], times=1)
    report.check(f"{last}: graph with loading / trace", graph / took[last, "fish"], "slower graph", at_least=True)
    wide(house, last, report)


def wide(house: House, size: str, report: Report) -> None:
    """The lot that is in three batches of ten."""
    start = Thing(Kind.LOT, WIDE, "")
    began = time.perf_counter()
    chain = trace(house.records, start, FORWARD)
    took = (time.perf_counter() - began) * 1000
    raw = timed(lambda start: plain(house, start), [start])
    report.say(
        f"{size} wide: {len(chain.links):,} links, {len(chain.nodes):,} nodes; {took:,.0f} ms, plain SQL {raw:,.0f} ms"
    )
    report.check(f"{size}: over plain SQL, wide", took / raw, "over plain SQL, wide")
    report.check(f"{size}: wide, microseconds a link", took * 1000 / len(chain.links), "wide, us a link")


def main() -> int:
    parser = argparse.ArgumentParser(description="Measure how traces grow with the record.")
    parser.add_argument("--large", action="store_true", help="also ten years of a big plant")
    sizes = ["S", "M", "L"] if parser.parse_args().large else ["S", "M"]
    report = Report()
    with tempfile.TemporaryDirectory() as folder:
        houses = {}
        for size in sizes:
            began = time.perf_counter()
            houses[size] = filled(size, Path(folder))
            report.say(f"{size} filled in {time.perf_counter() - began:.1f} s")
        compare(houses, report)
        for house in houses.values():
            house.records.close()
    report.say(f"broken: {', '.join(report.broken)}" if report.broken else "all within their limits")
    return 1 if report.broken else 0


if __name__ == "__main__":
    sys.exit(main())
