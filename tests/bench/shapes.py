"""Awkward shapes of a chain: long, splitting and joining, going round in a circle; and a run packed into 200 cases."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from pathlib import Path

from figures import Report
from histories import SITE, CodeKind, code

from lotwake.trace.actions import pack, receive, set_up, ship, smoke
from lotwake.trace.actions.desk import Desk, set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.lineage.statements import Asking
from lotwake.trace.lineage.trace import trace
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.house import ProductFacts, SourceFacts
from lotwake.trace.records.find import Kind, Thing

NOW = datetime(2026, 11, 24, 5, tzinfo=UTC)
AT = "2026-03-02T05:00:00Z"
RUNGS = 40
Flow = tuple[int, int, int]


def best_ms(do: Callable[[], object], times: int = 5, clock: Callable[[], float] = time.perf_counter) -> float:
    """The best of some tries."""
    taken = []
    for _ in range(times):
        began = clock()
        do()
        taken.append(clock() - began)
    return min(taken) * 1000


def batches(folder: Path, count: int, flows: Iterable[Flow]) -> Records:
    """A record with these batches, a lot in the first of them, and these flows, put in by rows."""
    records = set_up_house(places_at(folder), SITE, "SK", "Signe Kvist", SetClock(NOW)).records
    records.run("PRAGMA foreign_keys = 0")
    connection = records.database.connection()
    connection.execute("INSERT INTO source VALUES (1, 'boat', 'Aurora', 'N-1', '', '', '', '', '', 1)")
    connection.execute(
        "INSERT INTO lot (id, code, kind, item, source, species, presentation, method, their_code, landed_on, received, g,"
        " document, note, entry) VALUES (1, ?, 'landing', '', 1, 'HAD', '', '', '', '2026-03-02', ?, 1000000, '', '', 1)",
        (code(CodeKind.LOT, 1), AT),
    )
    many = range(1, count + 1)
    connection.executemany("INSERT INTO work (id, kind, entry) VALUES (?, 'batch', 1)", [(n,) for n in many])
    connection.executemany(
        "INSERT INTO batch (id, code, smoking, started, note, entry) VALUES (?, ?, 'hot smoked', ?, '', 1)",
        [(n, code(CodeKind.BATCH, n), AT) for n in many],
    )
    connection.execute("INSERT INTO lot_use (lot, work, g, entry) VALUES (1, 1, 1000, 1)")
    connection.executemany("INSERT INTO flow (parent, child, g, entry) VALUES (?, ?, ?, 1)", list(flows))
    return records


def row_of(length: int) -> list[Flow]:
    """Each batch is made from the one before."""
    return [(n, n + 1, 900) for n in range(1, length)]


def ladder(rungs: int) -> list[Flow]:
    """Each rung goes half and half into two batches that both go into the next rung."""
    feet = range(1, 3 * rungs + 1, 3)
    return [(a, b, 500) for n in feet for a, b in ((n, n + 1), (n, n + 2), (n + 1, n + 3), (n + 2, n + 3))]


def statement_ms(records: Records) -> float:
    """The trace statement from the lot, with all its rows."""
    asked = Asking().forward(1, [], False)
    return best_ms(lambda: records.rows(asked.sql, *asked.values))


def measure(folder: Path, report: Report) -> None:
    """All figures of shapes."""
    lot, forward = Thing(Kind.LOT, 1, ""), Direction.FORWARD
    shapes = {
        "500 in a row": (500, row_of(500), 5.0),
        f"{RUNGS} rungs of splitting and joining": (3 * RUNGS + 1, ladder(RUNGS), 10.0),
    }
    for name, (count, flows, limit_ms) in shapes.items():
        records = batches(folder / name.replace(" ", "-"), count, flows)
        report.add(f"{name}: the trace statement", statement_ms(records), "ms", limit_ms)
        report.add(f"{name}: the whole trace", best_ms(lambda r=records: trace(r, lot, forward)), "ms")
        records.close()
    deep = batches(folder / "deep", 5_000, row_of(5_000))
    report.add("5,000 in a row: things found", len(trace(deep, lot, forward).nodes), "", 5_001, at_least=True)
    deep.run("INSERT INTO flow (parent, child, g, entry) VALUES (5000, 4000, 900, 1)")
    named = [text for text in trace(deep, lot, forward).problems if "made from itself" in text]
    report.add("5,000 in a row and a circle: circles named", len(named), "", 1, at_least=True)
    deep.close()
    many_cases(folder / "cases", report)


def many_cases(folder: Path, report: Report) -> None:
    """A run packed into 200 cases, one entry for each: the last ones against the first ones."""
    desk, run = _run_of(folder, 2_400)
    taken = []
    for number in range(200):
        began = time.perf_counter()
        ship.close_case(desk, [f"{run}/{number * 12 + 1}-{number * 12 + 12}"])
        taken.append((time.perf_counter() - began) * 1000)
    desk.close()
    first, last = sorted(taken[:25])[5], sorted(taken[-25:])[5]
    report.add("closing the 200th case of a run against the first", last / first, "x", 2.0)


def _run_of(folder: Path, packs: int) -> tuple[Desk, str]:
    desk = set_up_house(places_at(folder), SITE, "SK", "Signe Kvist", SetClock(NOW))
    set_up.add_source(desk, SourceFacts("boat", "Aurora", "N-12-X"))
    set_up.add_product(desk, ProductFacts("09520000000028", "Smoked haddock", "hot smoked", 100, 60, "HAD"))
    lot = receive.receive(desk, receive.Arrival("landing", "Aurora", packs * 100, species="HAD", area="27"))
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(lot.code, packs * 100)])
    smoke.release_batch(desk, batch.code)
    return desk, pack.start_run(desk, "Smoked haddock", [(batch.code, None)], count=packs).code
