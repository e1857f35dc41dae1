"""A lot that went into very much is counted instead of listed: the same numbers, or the whole list where counts could lie."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from hypothesis import given
from lineage_history import History, Step
from lineage_house import SmallHouse
from test_lineage_histories import asked, histories, played, slow
from test_lineage_statements import SHORT_LISTS, batches, fill, scanned
from test_lineage_statements import asked as statements_of

from lotwake.trace.actions.trace import Stopped, first_of_wide, trace_both
from lotwake.trace.lineage.balance import Balance
from lotwake.trace.lineage.chain import Chain, Direction
from lotwake.trace.lineage.trace import FIRST, trace
from lotwake.trace.records.find import Kind, Thing

FORWARD = Direction.FORWARD


def counted(house: SmallHouse, lot: Thing) -> Chain:
    """The forward chain of a lot of which anything is too much to list."""
    return trace(house.desk.records, lot, FORWARD, most=0)


def lots(history: History) -> Iterator[Thing]:
    """The lots that something was made of."""
    yield from (thing for (kind, _), thing in history.things.items() if kind is Kind.LOT)


@slow
@given(steps=histories)
def test_counts_are_those_of_the_whole_list(any_house: SmallHouse, steps: list[Step]) -> None:
    """Buyers, whereabouts and the balance of a lot are the same whether its chain is listed or counted."""
    with any_house.undone():
        history = played(any_house, steps)
        for lot in lots(history):
            whole, wide = asked(history, lot, FORWARD), counted(any_house, lot)
            assert (wide.tally is not None) == bool(whole.links)
            assert (wide.receivers, wide.whereabouts) == (whole.receivers, whole.whereabouts)
            assert set(wide.nodes) <= set(whole.nodes)
            assert set(wide.links) <= set(whole.links)
            assert weighed(any_house, lot, 0) == weighed(any_house, lot, None)


def weighed(house: SmallHouse, lot: Thing, most: int | None) -> Balance:
    return trace_both(house.desk, lot, most=most).balance


def test_the_first_rows_of_a_wide_lot(house: SmallHouse) -> None:
    """Of a lot in 1,200 batches the first ones are listed, at once; the others are counted, and the limit decides."""
    with house.undone():
        lot = batches(house, 1_200, ())
        house.desk.records.run("INSERT INTO lot_use (lot, work, g, entry) SELECT 1, id, 500, 1 FROM work WHERE id > 1")
        first = first_of_wide(house.desk, lot, 1_199)
        assert first is not None
        assert first_of_wide(house.desk, lot, 1_200) is None
        wide = trace(house.desk.records, lot, FORWARD, most=1_199)
        assert wide.nodes == first.forward.nodes
        assert [node.id for node in wide.of_kind(Kind.BATCH)] == list(range(1, FIRST + 1))
        assert wide.left_out == 1_200 - FIRST
        assert trace(house.desk.records, lot, FORWARD, most=1_200).left_out == 0


@pytest.mark.parametrize("analyzed", [False, True])
def test_no_table_is_read_through(house: SmallHouse, analyzed: bool) -> None:
    """Each statement that counts enters every table by a key or an index."""
    with house.undone():
        fill(house)
        if analyzed:
            house.desk.records.run("ANALYZE")
        statements = statements_of(house, lambda: counted(house, Thing(Kind.LOT, 15, "")))
        assert len(statements) > 6
        read_through = {name for sql, values in statements for name in scanned(house, sql, values)}
    # "stood" and "reach", "moved", "first", "few" and "odd" are the statements' own.
    own = {"one", "reach", "stood", "pallet", "moved", "first", "few", "odd", "h", "m"}
    assert read_through - own - (SHORT_LISTS if analyzed else set()) == set()


ODD: dict[str, str] = {
    "a batch is gone": "DELETE FROM batch WHERE id = 15",
    "a run began before its batch": "UPDATE run SET packed = '2020-01-01T00:00:00Z' WHERE id = 415",
    "the lot came in after its batch": "UPDATE lot SET received = '2030-01-01T00:00:00Z' WHERE id = 15",
    "a case is gone": "DELETE FROM unit WHERE sscc = 15",
    "a case was closed before packing": "UPDATE unit SET closed = '2020-01-01T00:00:00Z' WHERE sscc = 15",
    "a pallet is gone": "DELETE FROM unit WHERE sscc = 402",
    "a pallet was built before its cases": "UPDATE unit SET closed = '2020-01-01T00:00:00Z' WHERE sscc = 402",
    "a dispatch is gone": "DELETE FROM dispatch WHERE id = 2",
    "a dispatch left before its cases": "UPDATE dispatch SET at = '2020-01-01T00:00:00Z' WHERE id = 2",
    "a buyer is gone": "UPDATE dispatch SET buyer = 99 WHERE id = 2",
    "a return is gone": "DELETE FROM goods_return WHERE id = 2",
    "a return came before its dispatch": "UPDATE goods_return SET at = '2020-01-01T00:00:00Z' WHERE id = 2",
    "more packs are gone than were made": "INSERT INTO pack_end VALUES (415, 1, 1, 20, 'SAMPLE', NULL, '', '2026-03-03')",
}  # fmt: skip


@pytest.mark.parametrize("change", ODD.values(), ids=ODD.keys())
def test_what_is_odd_is_listed_whole(house: SmallHouse, change: str) -> None:
    """A gap, a wrong order or packs in two places, put in behind the program's back: the chain is not counted but listed."""
    with house.undone():
        fill(house)
        assert counted(house, Thing(Kind.LOT, 15, "")).tally is not None
        house.desk.records.run("PRAGMA foreign_keys = 0")
        house.desk.records.run("PRAGMA defer_foreign_keys = 1")
        house.desk.records.run(change)
        assert counted(house, Thing(Kind.LOT, 15, "")).tally is None


@contextmanager
def after(seconds: float) -> Iterator[Callable[[], bool]]:
    """Says yes once this time has passed."""
    stop = threading.Event()
    timer = threading.Timer(seconds, stop.set)
    timer.start()
    try:
        yield stop.is_set
    finally:
        timer.cancel()


def test_a_question_is_stopped_in_the_middle(house: SmallHouse, monkeypatch: pytest.MonkeyPatch) -> None:
    """A statement that would go on for ever is broken off, and the record answers on."""
    records = house.desk.records
    endless = "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT COUNT(*) FROM n"

    def forever(*_args: Any, **_more: Any) -> None:
        records.value(endless)

    with house.undone():
        lot = batches(house, 3, ())
        with monkeypatch.context() as patched, after(0.05) as stopped:
            patched.setattr("lotwake.trace.lineage.trace.trace", forever)
            with pytest.raises(Stopped):
                trace_both(house.desk, lot, False, stopped)
        assert trace_both(house.desk, lot).forward.links
