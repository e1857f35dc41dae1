"""The shape of the trace statements: no table is read through, whatever the planner knows, and depth is no limit."""

from __future__ import annotations

import itertools
import re
import time
from collections.abc import Callable, Iterable
from fractions import Fraction

import pytest
from lineage_house import SmallHouse

from lotwake.trace.lineage.chain import Direction
from lotwake.trace.lineage.statements import Asking
from lotwake.trace.lineage.trace import shares_of, trace
from lotwake.trace.records.find import Kind, Thing

BACK, FORWARD = Direction.BACK, Direction.FORWARD
CTES = {"up", "down", "inside", "stack", "part", "given"}
TRACEABLE = [kind for kind in Kind if kind not in (Kind.OPERATOR, Kind.PLACE)]
SHORT_LISTS = {"species", "area", "gear", "source", "supplier", "product", "equipment", "buyer"}
"""Lists of a few rows in this record: once the planner knows their size it may read them through."""
AT = "2026-03-02T05:00:00Z"


def asked(house: SmallHouse, doing: Callable[[], object]) -> list[tuple[str, tuple[object, ...]]]:
    """Every statement that is run while something is done."""
    heard: list[tuple[str, tuple[object, ...]]] = []
    records = house.desk.records
    plain = records.run

    def run(sql: str, *values: object) -> object:
        heard.append((sql, values))
        return plain(sql, *values)

    records.run = run  # type: ignore[method-assign]
    try:
        doing()
    finally:
        del records.run  # type: ignore[method-assign]
    return heard


def scanned(house: SmallHouse, sql: str, values: Iterable[object]) -> set[str]:
    """The base tables that a statement would read through, by the planner's own account."""
    lines = [row[3] for row in house.desk.records.rows(f"EXPLAIN QUERY PLAN {sql}", *values)]
    names = {match[1] for line in lines if (match := re.match(r"SCAN (?!\d* ?CONSTANT)(\w+)", line))}
    aliases = dict(re.findall(r"(?:FROM|JOIN) (\w+) (\w)\b", sql))
    tables = {alias: table for table, alias in aliases.items()}
    return {tables.get(name, name) for name in names} - CTES


def fill(house: SmallHouse) -> None:
    """A record of some size, put in by rows: lots into batches into runs into cases into dispatches."""
    records = house.desk.records
    many = range(1, 401)

    def put(table: str, columns: str, rows: Iterable[tuple[object, ...]]) -> None:
        marks = ", ".join("?" * (columns.count(",") + 2))
        connection = records.database.connection()
        connection.executemany(f"INSERT INTO {table} ({columns}, entry) VALUES ({marks})", [(*row, 1) for row in rows])

    put(
        "lot",
        "id, code, kind, item, source, species, presentation, method, their_code, landed_on, received, g, document, note",
        ((n, f"1{n}", "landing", "", 1, "HAD", "", "", "", "2026-03-02", AT, 10**6, "", "") for n in many),
    )
    put("work", "id, kind", ((n, "batch" if n <= 400 else "run") for n in range(1, 801)))
    put("batch", "id, code, smoking, started, note", ((n, f"2{n}", "hot smoked", AT, "") for n in many))
    put(
        "run",
        "id, code, product, packed, packed_on, best_before, net_g",
        ((400 + n, f"3{n}", 1, AT, "2026-03-02", "2026-05-02", 300) for n in many),
    )
    put("lot_use", "lot, work, g", ((n, n, 5000) for n in many))
    put("flow", "parent, child, g", ((n, 400 + n, 4000) for n in many))
    put("pack_range", "run, first, last, at", ((400 + n, 1, 12, AT) for n in many))
    put("unit", "sscc, kind, closed", ((n, "case" if n <= 400 else "pallet", AT) for n in range(1, 441)))
    put("content", "run, first, unit, last, since", ((400 + n, 1, n, 10, AT) for n in many))
    put("unit_content", "child, parent, since", ((n, 401 + n // 10, AT) for n in range(1, 390)))
    put("dispatch", "id, code, buyer, document, carrier, at", ((n, f"4{n}", 1, f"D{n}", "", AT) for n in range(1, 41)))
    put("dispatch_line", "unit, dispatch, top", ((n, 1 + n // 10, 0) for n in range(1, 390)))
    put("dispatch_packs", "run, first, dispatch, last", ((400 + n, 11, 1 + n // 10, 11) for n in range(1, 390)))
    put(
        "goods_return", "id, code, buyer, document, reason, at", ((n, f"5{n}", 1, "", "torn", AT) for n in range(1, 11))
    )
    put("return_line", "unit, goods_return, dispatch", ((n, 1 + n // 10, 1 + n // 10) for n in range(1, 90)))
    put(
        "return_packs",
        "run, first, goods_return, last, dispatch",
        ((400 + n, 11, 1 + n // 10, 11, 1 + n // 10) for n in range(1, 90)),
    )
    put(
        "pack_end",
        "run, first, last, kind, batch, reason, at",
        ((400 + n, 12, 12, "REWORK", n + 1, "", AT) for n in range(9, 19)),
    )
    put("contact", "id, kind, name", ((n, "brine", "tank") for n in range(1, 41)))
    put("contact_batch", "contact, batch, turn", ((1 + n // 10, n, n) for n in range(1, 390)))  # fmt: skip


def start_of(kind: Kind) -> Thing:
    number = {Kind.RUN: 415, Kind.PACK: 415, Kind.PALLET: 402, Kind.DISPATCH: 2, Kind.RETURN: 2}.get(kind, 15)
    return Thing(kind, number, "", 12 if kind is Kind.PACK else None)


@pytest.mark.parametrize("analyzed", [False, True])
@pytest.mark.parametrize("contact", [False, True])
def test_no_table_is_read_through(house: SmallHouse, contact: bool, analyzed: bool) -> None:
    """Each statement of each trace enters every table by a key or an index, with the planner's statistics and without."""
    with house.undone():
        fill(house)
        if analyzed:
            house.desk.records.run("ANALYZE")
        statements = [
            statement
            for kind in TRACEABLE
            for direction in Direction
            for statement in asked(house, lambda: trace(house.desk.records, start_of(kind), direction, contact))  # noqa: B023
        ]
        assert len(statements) > 60
        read_through = {name for sql, values in statements for name in scanned(house, sql, values)}
    assert read_through - (SHORT_LISTS if analyzed else set()) == set()


def test_a_scan_would_be_seen(house: SmallHouse) -> None:
    """The check above bites: a join in the wrong order is reported as reading through a table."""
    sql = "WITH RECURSIVE up (id) AS (VALUES (1)) SELECT u.lot FROM lot_use u CROSS JOIN up WHERE u.work = up.id + 0 * u.g"
    assert scanned(house, sql, ()) == {"lot_use"}


def test_each_row_of_an_answer_is_unique(house: SmallHouse) -> None:
    """Two inputs of the same grams are two rows, so that nothing is lost when rows are put together."""
    records = house.desk.records
    with house.undone():
        fill(house)
        records.run("INSERT INTO lot_use (lot, work, g, entry) VALUES (15, 15, 5000, 2)")
        found = trace(records, Thing(Kind.BATCH, 15, ""), BACK)
    assert [link.g for link in found.links] == [10_000]


def batches(house: SmallHouse, count: int, flows: Iterable[tuple[int, int, int]], lots: Iterable[int] = (1,)) -> Thing:
    """Batches 1 to ``count``, lots into some of them, these flows, and a run of the last; the first lot is given back."""
    records = house.desk.records
    connection = records.database.connection()
    connection.executemany(
        "INSERT INTO lot (id, code, kind, item, source, species, presentation, method, their_code, landed_on, received, g,"
        f" document, note, entry) VALUES (?, ?, 'landing', '', 1, 'HAD', '', '', '', '2026-03-02', '{AT}', 1000000, '', '', 1)",
        [(n, f"1{n}") for n in lots],
    )
    connection.executemany(
        "INSERT INTO work (id, kind, entry) VALUES (?, ?, 1)", [(n, "batch") for n in range(1, count + 1)]
    )
    connection.executemany(
        f"INSERT INTO batch (id, code, smoking, started, note, entry) VALUES (?, ?, 'hot smoked', '{AT}', '', 1)",
        [(n, f"2{n}") for n in range(1, count + 1)],
    )
    connection.executemany("INSERT INTO lot_use (lot, work, g, entry) VALUES (?, ?, 1000, 1)", [(n, n) for n in lots])
    connection.executemany("INSERT INTO flow (parent, child, g, entry) VALUES (?, ?, ?, 1)", list(flows))
    return Thing(Kind.LOT, 1, "11")


def ladder(stages: int) -> list[tuple[int, int, int]]:
    """Each rung goes half and half into two batches that both go into the next rung: 2 ** stages paths."""
    rungs = range(1, 3 * stages + 1, 3)
    return [(a, b, 500) for n in rungs for a, b in ((n, n + 1), (n, n + 2), (n + 1, n + 3), (n + 2, n + 3))]


def test_a_diamond_ladder_is_quick(house: SmallHouse) -> None:
    """Forty rungs of splitting and blending, a million million paths, take no longer than their 121 batches."""
    with house.undone():
        lot = batches(house, 121, ladder(40))
        end = Thing(Kind.BATCH, 121, "2121")
        for start, way in ((lot, FORWARD), (end, BACK)):
            began = time.perf_counter()
            chain = trace(house.desk.records, start, way)
            took = time.perf_counter() - began
            assert len(chain.nodes) == 122
            assert took < 0.5, took
        (share,) = shares_of(house.desk.records, [121])[121]
    assert (share.mixed, share.most) == (Fraction(1), Fraction(1))


@pytest.mark.parametrize("length", [500, 5_000])
def test_a_long_chain_is_answered(house: SmallHouse, length: int) -> None:
    """A row of batches each made from the one before is followed to its end, both ways."""
    with house.undone():
        lot = batches(house, length, [(n, n + 1, 900) for n in range(1, length)])
        for start, way in ((lot, FORWARD), (Thing(Kind.BATCH, length, ""), BACK)):
            began = time.perf_counter()
            chain = trace(house.desk.records, start, way)
            assert time.perf_counter() - began < 5
            assert len(chain.nodes) == length + 1
            assert len(chain.links) == length
            assert not chain.problems


def test_a_wide_lot_is_answered(house: SmallHouse) -> None:
    """A lot in 1,200 batches, more than a statement may name at a time, has all of them and a share in each."""
    with house.undone():
        lot = batches(house, 1_200, ())
        house.desk.records.run("INSERT INTO lot_use (lot, work, g, entry) SELECT 1, id, 500, 1 FROM work WHERE id > 1")
        chain = trace(house.desk.records, lot, FORWARD)
        assert len(chain.nodes) == 1_201
        assert len(chain.links) == 1_200
        found = shares_of(house.desk.records, range(1, 1_201))
    assert all([share.mixed for share in shares] == [1] for shares in found.values())


def test_a_cycle_of_pallets_ends(house: SmallHouse) -> None:
    """Pallets that stand on each other, put in behind the program's back, end every trace over them."""
    with house.undone():
        fill(house)
        for child, parent in itertools.permutations((402, 403, 404), 2):
            house.desk.records.run(
                "INSERT INTO unit_content (child, parent, since, entry) VALUES (?, ?, ?, 1)", child, parent, AT
            )
        for kind in (Kind.LOT, Kind.CASE, Kind.PALLET):
            for direction in Direction:
                assert trace(house.desk.records, start_of(kind), direction).nodes


def test_the_join_order_is_fixed_for_each_database() -> None:
    """SQLite is told the order by CROSS JOIN; PostgreSQL by LATERAL with OFFSET 0, and with one recursive term only."""
    start = Thing(Kind.BATCH, 1, "")
    plain, lateral = (Asking(lateral).backward(start, True).sql for lateral in (False, True))
    assert "LATERAL" not in plain
    assert plain.count(" UNION SELECT") == 2
    recursion = lateral[: lateral.index("SELECT 'work'")]
    assert recursion.count("UNION SELECT hop.*") == 1
    assert "OFFSET 0" in recursion
