"""Traces of a record that somebody changed behind the program's back: they end, and say what is wrong."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from lineage_house import SmallHouse

from lotwake.trace.actions import pack, receive, ship, smoke
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.lineage.data import chain_data
from lotwake.trace.lineage.trace import trace
from lotwake.trace.records.find import Kind, Thing

BACK, FORWARD = Direction.BACK, Direction.FORWARD


class Line:
    """A lot, two batches in a row, a run, a case on a pallet, sent and in part taken back."""

    def __init__(self, house: SmallHouse) -> None:
        self.house, self.desk = house, house.desk
        self.lot = receive.receive(
            self.desk, receive.Arrival("landing", "Aurora", 20_000, species="HAD", area="27.4.b")
        )
        house.later()
        self.first = smoke.start_batch(self.desk, "hot smoked", [smoke.Input(self.lot.code, 10_000)])
        house.later()
        self.second = smoke.start_batch(self.desk, "hot smoked", [smoke.Input(self.first.code, 6_000)])
        smoke.release_batch(self.desk, self.second.code)
        house.later()
        self.run = pack.start_run(self.desk, "Smoked haddock", [(self.second.code, None)], 20)
        house.later()
        self.case = ship.close_case(self.desk, [f"{self.run.code}/1-6"])
        house.later()
        self.pallet = ship.build_pallet(self.desk, [self.case.code])
        house.later()
        self.sent = ship.send(self.desk, "Quay Deli", [self.pallet.code, f"{self.run.code}/20"], "DN-1")
        house.later()
        self.back = ship.take_back(self.desk, "Quay Deli", [f"{self.run.code}/20"], "torn")

    @property
    def starts(self) -> list[Thing]:
        things = [self.lot, self.first, self.second, self.run, self.case, self.pallet, self.sent, self.back]
        return [*things, Thing(Kind.PACK, self.run.id, self.run.code, 3)]

    def tamper(self, sql: str, *values: int | str) -> None:
        self.desk.records.run(sql, *values)


@pytest.fixture
def line(any_house: SmallHouse) -> Iterator[Line]:
    with any_house.undone():
        yield Line(any_house)


def test_a_cycle_ends_and_is_named(line: Line) -> None:
    """A batch made from itself, put in behind the program's back, ends every trace, and is named by its codes."""
    line.tamper("INSERT INTO flow (parent, child, entry, g) VALUES (?, ?, 1, 500)", line.second.id, line.first.id)
    for start in line.starts:
        for direction in Direction:
            if (start, direction) == (line.lot, BACK):
                continue  # nothing is behind a lot
            chain = trace(line.desk.records, start, direction, contact=True)
            said = " ".join(chain.problems)
            assert "made from itself" in said
            assert show_code(line.first.code) in said
            assert show_code(line.second.code) in said
            assert "lotwake verify" in said
            assert chain.shares == {}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("UPDATE lot SET received = '2031-01-01T00:00:00Z'", "Batch {first}"),
        ("UPDATE batch SET started = '2031-01-01T00:00:00Z' WHERE id = {second_id}", "Run {run}"),
        ("UPDATE run SET packed = '2031-01-01T00:00:00Z'", "Case {case}"),
        ("UPDATE unit SET closed = '2031-01-01T00:00:00Z' WHERE kind = 'pallet'", "Dispatch {sent}"),
        ("UPDATE dispatch SET at = '2019-01-01T00:00:00Z'", "Dispatch {sent}"),
        ("UPDATE goods_return SET at = '2019-01-01T00:00:00Z'", "Return {back}"),
    ],
)
def test_a_wrong_order_is_reported(line: Line, change: str, said: str) -> None:
    """Something that would be made, packed, sent or taken back before it was there is named, and nothing is left out."""
    before = trace(line.desk.records, line.lot, FORWARD)
    codes = {name: show_code(thing.code) for name, thing in vars(line).items() if isinstance(thing, Thing)}
    line.tamper(change.format(second_id=line.second.id))
    after = trace(line.desk.records, line.lot, FORWARD)
    assert len(after.problems) >= 1
    assert any(problem.startswith(said.format(**codes)) for problem in after.problems)
    assert {node.key for node in after.nodes} == {node.key for node in before.nodes}
    assert after.whereabouts == before.whereabouts
    assert after.shares == before.shares


@pytest.mark.parametrize(
    ("kind", "table", "key"),
    [
        (Kind.LOT, "lot", "id"), (Kind.BATCH, "batch", "id"), (Kind.RUN, "run", "id"), (Kind.CASE, "unit", "sscc"),
        (Kind.PALLET, "unit", "sscc"), (Kind.DISPATCH, "dispatch", "id"), (Kind.RETURN, "goods_return", "id"),
    ],
)  # fmt: skip
def test_a_gap_is_reported(house: SmallHouse, kind: Kind, table: str, key: str) -> None:
    """A row that is gone leaves a gap that each trace over it reports, without failing and without losing the rest."""
    line = Line(house)
    gone = next(thing for thing in line.starts if thing.kind is kind)
    house.desk.records.run("PRAGMA foreign_keys = 0")
    line.tamper(f"DELETE FROM {table} WHERE {key} = ?", gone.id)
    for start in line.starts:
        for direction in Direction:
            if start.kind is not kind and start.code != gone.code:  # nobody finds what is gone, nor a pack of it
                json.dumps(chain_data(trace(house.desk.records, start, direction)))
    over = (line.back, BACK) if kind is Kind.LOT else (line.lot, FORWARD)
    problems = trace(house.desk.records, *over).problems
    assert [problem for problem in problems if f"(number {gone.id}) that is not in the record" in problem]


def test_a_person_is_no_start(line: Line) -> None:
    """A trace from an operator's code is refused with a sentence."""
    with pytest.raises(CallError, match="cannot start from a person or a place"):
        trace(line.desk.records, Thing(Kind.OPERATOR, 1, "62606100162"), BACK)
