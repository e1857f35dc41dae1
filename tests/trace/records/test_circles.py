"""Fish cannot go round in a circle: refused when it is entered, directly, over other batches, and through packs."""

from __future__ import annotations

from itertools import pairwise

import pytest

from lotwake.trace.actions import pack, smoke
from lotwake.trace.base.errors import Refused
from lotwake.trace.records.entries import batches
from lotwake.trace.records.find import by_code


def test_a_batch_is_not_in_itself(house) -> None:
    """A batch does not take its own fish, and neither does one that its fish went into, at any distance."""
    lot = house.landing()
    made = [house.batch((lot, 5_000)) for _ in range(5)]
    for parent, child in pairwise(made):
        smoke.add_inputs(house.desk, child, [smoke.Input(parent, 1_000)])
    for parent, child in ((made[0], made[0]), (made[1], made[0]), (made[-1], made[0]), (made[3], made[1])):
        with pytest.raises(Refused, match="cannot go round in a circle"):
            smoke.add_inputs(house.desk, child, [smoke.Input(parent, 1_000)])
    smoke.add_inputs(house.desk, made[4], [smoke.Input(made[0], 1_000)])


def test_packs_do_not_come_back_into_their_own_batch(house) -> None:
    """Packs taken back for rework do not go into a batch that they were made from."""
    batch = house.released((house.landing(), 9_000))
    run = house.run((batch, 6_000), count=20)
    with pytest.raises(Refused, match="circle"):
        smoke.add_inputs(house.desk, batch, [smoke.Input(f"{run}/1-3")])


def test_a_run_is_not_filled_with_its_own_packs(house) -> None:
    """A batch of reworked packs does not go back into the run they came from, even when all have the same time."""
    lot = house.landing()
    batch = house.released((lot, 9_000))
    run = house.run((batch, 6_000), count=10)
    rework = house.released((lot, 1_000), (f"{run}/1-3", None))
    with pytest.raises(Refused, match="circle"):
        pack.fill_run(house.desk, run, rework, 500)
    other = house.run((rework, 500))
    assert other != run


def test_a_run_leads_to_another_only_through_a_batch(house) -> None:
    """A long ladder of packing and rework is taken in order, and closing it is refused."""
    lot = house.landing(100_000)
    batch = first = house.released((lot, 9_000))
    for _ in range(4):
        run = house.run((batch, 3_000), count=5)
        batch = house.released((lot, 5_000), (f"{run}/1-2", None))
    ids = [by_code(house.desk.records, code).id for code in (batch, first)]
    with pytest.raises(Refused, match="circle"), house.desk.entry("blend") as entry:
        batches.blend_batch(entry, ids[0], ids[1], 100)
