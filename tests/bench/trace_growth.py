"""How traces grow with the record, and how they stand against plain SQL, a walk record by record, and a graph in memory.

    python tests/bench/trace_growth.py           sizes S (about 70,000 rows) and M (0.8 million); under 90 seconds
    python tests/bench/trace_growth.py --large   S and L (8 million rows, ten years of a big plant); minutes, 4 GB of memory

Not collected by pytest. Each history goes straight into the shipped schema with executemany; journal lines are left out, since
no trace reads them. Times are medians in milliseconds; only ratios within this one run have limits. The exit code is 1 if one
is broken.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from statistics import median

import networkx as nx
from figures import Report
from histories import WIDE, House, filled

from lotwake.trace.actions.desk import open_desk
from lotwake.trace.actions.trace import Stopped, trace_both
from lotwake.trace.base.clock import SetClock
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.lineage.statements import Asking
from lotwake.trace.lineage.trace import WIDEST, first_of_wide, shares_of, trace
from lotwake.trace.records.find import Kind, Thing

BACK, FORWARD = Direction.BACK, Direction.FORWARD
NOTHING_KEPT_MB = 50.0


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


def growth(houses: dict[str, House], report: Report) -> None:
    """The same trace in the smaller and in the larger record."""
    kinds: dict[str, tuple[str, Direction]] = {
        "a landing": ("lots", FORWARD),
        "a lot of salt": ("salts", FORWARD),
        "a pack, back": ("packs", BACK),
    }
    took = {
        (size, name): timed(lambda start, way=way, house=house: trace(house.records, start, way), getattr(house, part))
        for size, house in houses.items()
        for name, (part, way) in kinds.items()
    }  # fmt: skip
    for size, house in houses.items():
        said = ", ".join(f"{name} {took[size, name]:.2f} ms" for name in kinds)
        report.say(f"{size}: {house.rows:,} rows; a trace of {said}")
    small, last = houses
    for name in kinds:
        report.add(f"trace of {name}: {last} against {small}", took[last, name] / took[small, name], "x", 2.0)
    house = houses[last]
    raw = timed(lambda start: plain(house, start), house.lots)
    report.add(f"trace of a landing, {last}: over plain SQL", took[last, "a landing"] - raw, "ms", 1.5)
    wholes = timed(lambda start: shares_of(house.records, [start.id]), house.packs)
    report.add("shares of a run against its trace", wholes / took[last, "a pack, back"], "x", 2.0)


def others(house: House, size: str, report: Report) -> None:
    """The ways one would take without thinking: a question for each record, or everything in memory."""
    statement = timed(lambda start: plain(house, start), house.salts[:3])
    walk = timed(lambda start: walked(house, start), house.salts[:3], times=1)
    report.add(f"a walk record by record against the statement, {size}", walk / statement, "x", 25.0, at_least=True)
    landing = timed(lambda start: trace(house.records, start, FORWARD), house.lots)
    graph = timed(lambda start: in_memory(house, start), house.lots[:1], times=1)
    report.add(f"a graph in memory with loading against the trace, {size}", graph / landing, "x", 100.0, at_least=True)


def wide(house: House, size: str, report: Report) -> None:
    """The lot that is in three batches of ten."""
    start, records = Thing(Kind.LOT, WIDE, ""), house.records
    asked = Asking().forward(start.id, [], False)
    for _ in records.stream(asked.sql, *asked.values):  # fills the database's own cache, which is not counted
        pass
    before_mb = resident_mb()
    counted = timed(lambda start: trace(records, start, FORWARD, most=WIDEST), [start])
    kept_mb = resident_mb() - before_mb
    raw = timed(lambda start: plain(house, start), [start])
    first = timed(lambda start: first_of_wide(records, start, WIDEST), [start])
    chain = trace(records, start, FORWARD, most=WIDEST)
    assert chain.tally is not None
    report.say(f"{size} wide: {chain.tally.batches:,} batches, {chain.tally.cases:,} cases; plain SQL {raw:,.0f} ms")
    report.add(f"a wide lot, {size}: its answer against plain SQL", counted / raw, "x", 1.5)
    report.add(f"a wide lot, {size}: its first rows", first, "ms", 150.0)
    report.add(f"a wide lot, {size}: stopped after", stopped_ms(house, start), "ms", 50.0)
    report.add(f"a wide lot, {size}: memory kept", max(0.0, kept_mb), "MB", NOTHING_KEPT_MB)


def whole_list(house: House, size: str, report: Report) -> None:
    """The same with every link listed, as ``--json`` gives it."""
    start = Thing(Kind.LOT, WIDE, "")
    raw = timed(lambda start: plain(house, start), [start])
    listed = timed(lambda start: trace(house.records, start, FORWARD), [start], times=2)
    report.add(f"a wide lot, {size}, every link listed: against plain SQL", listed / raw, "x", 15.0)


def stopped_ms(house: House, start: Thing) -> float:
    """How long a trace of both ways goes on after it was to stop, at the most of five tries."""
    desk = open_desk(house.places, None, SetClock(house.now))
    longest = 0.0
    for share in range(1, 6):
        with _after(0.05 * share) as (stop, stopped_at):
            try:
                trace_both(desk, start, False, stop)
            except Stopped:
                longest = max(longest, (time.perf_counter() - stopped_at[0]) * 1000)
    desk.close()
    return longest


@contextmanager
def _after(seconds: float) -> Iterator[tuple[Callable[[], bool], list[float]]]:
    """Says yes once this time has passed, and when that was."""
    stop, at = threading.Event(), list[float]()

    def now() -> None:
        at.append(time.perf_counter())
        stop.set()

    timer = threading.Timer(seconds, now)
    timer.start()
    try:
        yield stop.is_set, at
    finally:
        timer.cancel()


def resident_mb() -> float:
    """What this process has in memory now (Linux)."""
    pages = Path("/proc/self/statm").read_text(encoding="ascii").split()[1]
    return int(pages) * 4096 / 1e6


def measure(houses: dict[str, House], report: Report) -> None:
    """All figures of traces."""
    last = list(houses)[-1]
    growth(houses, report)
    others(houses[last], last, report)
    wide(houses[last], last, report)
    small = next(iter(houses))
    whole_list(houses[small], small, report)


def main() -> int:
    parser = argparse.ArgumentParser(description="Measure how traces grow with the record.")
    parser.add_argument("--large", action="store_true", help="ten years of a big plant instead of a middling one")
    sizes = ["S", "L" if parser.parse_args().large else "M"]
    report = Report()
    with tempfile.TemporaryDirectory() as folder:
        houses = {size: filled(size, Path(folder)) for size in sizes}
        measure(houses, report)
        for house in houses.values():
            house.records.close()
    return report.verdict()


if __name__ == "__main__":
    sys.exit(main())
