"""Weights at steps, the yields they give, and batches out of line pointed out before they are packed."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from lotwake.trace.actions import judge, set_up, smoke
from lotwake.trace.actions.batch_record import batch_record
from lotwake.trace.actions.batch_words import yields as rows
from lotwake.trace.actions.waiting import waiting
from lotwake.trace.actions.yields import batch_yields, out_of_line, weigh
from lotwake.trace.base.errors import CallError
from lotwake.trace.process.plan import shipped_plan
from lotwake.trace.process.yields import ENOUGH_BATCHES, WENT_IN, WHOLE, YieldWord
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import by_code
from lotwake.trace.records.waiting import Urgency

PRODUCT = ProductFacts("9520000009090", "Smoked haddock portions", "hot smoked", 300, 60, "HAD", keeping="frozen")
HOT = [(60, 5500), (70, 6300), (80, 6400), (90, 6500), (100, 6600), (110, 6400), (120, 4000), (140, 2000)]
COOLED = [(160, 1200), (180, 900), (200, 700), (220, 500), (240, 400)]
SIMPLE = shipped_plan("Hot smoking, simple smokehouse")


def _weighed(house, smoked_g: int, product: str = "", released: bool = True) -> str:  # type: ignore[no-untyped-def]
    """A batch of 10 kg, weighed after brining (9 kg) and after smoking."""
    batch = smoke.start_batch(
        house.desk, "hot smoked", [smoke.Input(house.landing(10_000), 10_000)], product or "Hot smoked haddock"
    ).code
    for step, g in (("brine", 9_000), ("smoking", smoked_g)):
        began = house.desk.now
        house.later(1)
        smoke.take_step(house.desk, batch, step, began, house.desk.now)
        weigh(house.desk, batch, g)
    if released:
        smoke.release_batch(house.desk, batch)
    return batch


def _smoke_well(house, batch: str) -> None:  # type: ignore[no-untyped-def]
    start = house.desk.now
    house.later(6)
    smoke.take_step(house.desk, batch, "brine", start, start + timedelta(minutes=20))
    readings = [(start + timedelta(minutes=minute), value) for minute, value in HOT + COOLED]
    smoke.take_readings(house.desk, batch, "core", readings, probe="P1")


def _of(house, batch: str):  # type: ignore[no-untyped-def]
    return batch_yields(house.desk.records, by_code(house.desk.records, batch).id)


def test_weights_give_the_yield_of_each_step(house) -> None:  # type: ignore[no-untyped-def]
    """Brining from what went in, smoking from brining; without history there is nothing to compare with."""
    brine, smoking = _of(house, _weighed(house, 7_200))
    assert (brine.step.step, brine.step.of, brine.finding.yield_percent) == ("brine", WENT_IN, 90)
    assert (smoking.step.step, smoking.step.of, smoking.finding.yield_percent) == ("smoking", "brine", 80)
    assert smoking.finding.word is YieldWord.UNKNOWN


def test_history_of_the_product_finds_the_batch_out_of_line(house) -> None:  # type: ignore[no-untyped-def]
    """After enough released batches of the same product, one that lost far more is LOW, in numbers and in words."""
    for at in range(ENOUGH_BATCHES):
        _weighed(house, 7_200 + 10 * at)
    odd = _weighed(house, 5_400)
    (found,) = out_of_line(house.desk.records, by_code(house.desk.records, odd).id)
    assert (found.finding.word, found.finding.batches) == (YieldWord.LOW, ENOUGH_BATCHES)
    assert found.said.startswith("smoking LOW: 60.0 % of brine (9 kg to 5.4 kg), usual ")
    assert found.said.endswith(f"in {ENOUGH_BATCHES} batches")
    (waits,) = [item for item in waiting(house.desk) if item.urgency is Urgency.YIELD_ODD]
    assert found.said in waits.sentence


def test_other_products_and_unreleased_batches_are_no_history(house) -> None:  # type: ignore[no-untyped-def]
    """Only released batches of the same product count, and only those begun before."""
    set_up.add_product(house.desk, replace(PRODUCT, plan=None))
    for _ in range(ENOUGH_BATCHES):
        _weighed(house, 7_200, PRODUCT.name)
        _weighed(house, 7_200, released=False)
    first = _weighed(house, 5_400)
    assert _of(house, first)[1].finding.batches == 0


def test_the_range_of_the_plan_counts_while_there_is_no_history(house) -> None:  # type: ignore[no-untyped-def]
    """Until the product has its own history, the plan's usual yield between two steps is what a batch is held against;
    the list of what waits names the batch until it is packed."""
    judge.adopt(house.desk, SIMPLE)
    set_up.add_product(house.desk, PRODUCT)
    house.later()
    batch = smoke.start_batch(house.desk, "hot smoked", [smoke.Input(house.landing(30_000), 30_000)], PRODUCT.name).code
    began = house.desk.now
    _smoke_well(house, batch)
    smoke.take_step(house.desk, batch, "rinse and drain", began + timedelta(minutes=21), began + timedelta(minutes=30))
    smoke.take_step(house.desk, batch, "smoking", began + timedelta(minutes=60), began + timedelta(minutes=160))
    weigh(house.desk, batch, 20_000, "rinse and drain")
    after, found = weigh(house.desk, batch, 13_000, "smoking")
    assert after == "smoking"
    assert found is not None
    assert found.said == "smoking LOW: 65.0 % of rinse and drain (20 kg to 13 kg), usual 80 to 90 % by the plan"
    smoke.release_batch(house.desk, batch)
    (waits,) = [item for item in waiting(house.desk) if item.urgency is Urgency.YIELD_ODD]
    assert found.said in waits.sentence
    record = batch_record(house.desk, batch)
    assert [row[3].text for row in rows(record)] == ["NOTHING TO COMPARE", "LOW"]
    assert rows(record)[1][3].bold


def test_the_whole_batch_is_held_against_history_by_its_losses(house) -> None:  # type: ignore[no-untyped-def]
    """What went in less named losses is a yield too, once the batch is released."""
    for lost in [*range(3_000, 3_000 + 10 * ENOUGH_BATCHES, 10), 5_000]:
        batch = smoke.start_batch(
            house.desk, "hot smoked", [smoke.Input(house.landing(10_000), 10_000)], "Hot smoked haddock"
        ).code
        smoke.lose(house.desk, batch, "drying", lost)
        assert not _of(house, batch)
        house.later()
        smoke.release_batch(house.desk, batch)
    (found,) = _of(house, batch)
    assert (found.step.step, found.finding.yield_percent, found.finding.word) == (WHOLE, 50, YieldWord.LOW)


def test_a_weight_after_a_step_that_was_not_begun_is_refused(house) -> None:  # type: ignore[no-untyped-def]
    """The steps that were begun are named, and nothing is written."""
    batch = _weighed(house, 7_200, released=False)
    with pytest.raises(CallError, match="no step 'cooling'") as wrong:
        weigh(house.desk, batch, 7_000, "cooling")
    assert "brine, smoking" in wrong.value.hint
    assert len(_of(house, batch)) == 2
