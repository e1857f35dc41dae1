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
