"""What waits: deviations that are open, results that are awaited, and batches that cannot be judged."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from lotwake.trace.actions import correct, hold, judge, set_up, smoke
from lotwake.trace.actions.waiting import waiting
from lotwake.trace.process.plan import shipped_plan
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.waiting import Urgency

PLAN = shipped_plan("Hot smoking, simple smokehouse")
VACUUM = ProductFacts("9520000009090", "Haddock in vacuum", "hot smoked", 300, 60, "HAD", "vacuum", keeping="chilled")
CORE = [(60, 5500), (70, 6300), (80, 6400), (90, 6500), (100, 6600), (110, 6400)]
COOLED = [(120, 4000), (140, 2000), (160, 1200), (180, 900), (200, 700), (220, 500), (240, 400)]


def _of(house: Any, urgency: Urgency) -> list[str]:
    return [item.sentence for item in waiting(house.desk) if item.urgency is urgency]


@pytest.fixture
def batch(house: Any) -> str:
    """A batch for vacuum packs under the simple smokehouse plan, six hours after it began."""
    judge.adopt(house.desk, PLAN)
    set_up.add_product(house.desk, VACUUM)
    house.later()
    lot = smoke.Input(house.landing(30_000), 30_000)
    code = smoke.start_batch(house.desk, "hot smoked", [lot], VACUUM.name).code
    house.later(6)
    return str(code)


def _do(house: Any, batch: str, brine_min: int = 20, core: list[tuple[int, int]] = CORE + COOLED) -> None:
    start = house.ago(6)
    smoke.take_step(house.desk, batch, "brine", start, start + timedelta(minutes=brine_min))
    smoke.take_readings(house.desk, batch, "core", [(start + timedelta(minutes=at), c100) for at, c100 in core], "P1")


def test_a_running_batch_without_readings_is_no_deviation(house: Any, batch: str) -> None:
    """What has not been done yet does not stand among the deviations; the batch is among those that run."""
    assert _of(house, Urgency.DEVIATION_OPEN) == []
    assert batch in {item.code for item in waiting(house.desk) if item.urgency is Urgency.BATCH_RUNNING}


def test_a_limit_that_is_not_met_waits_for_its_action_and_then_for_a_name(house: Any, batch: str) -> None:
    """Brined 40 minutes: first cause and action stand open, then the release by name, then nothing."""
    _do(house, batch, brine_min=40)
    (sentence,) = _of(house, Urgency.DEVIATION_OPEN)
    assert "brined 18 to 25 minutes: NOT MET, 40 min" in sentence
    assert sentence.endswith("Open: cause and corrective action")
    judge.note_deviation(house.desk, batch, "brine-time", "called away", "tasted and measured")
    assert [said.endswith("release it by name, or reject it") for said in _of(house, Urgency.DEVIATION_OPEN)] == [True]
    smoke.release_batch(house.desk, batch, note="salt as usual", by_name="Dr. Inger Holm")
    assert _of(house, Urgency.DEVIATION_OPEN) == []


def test_a_rejected_batch_waits_for_nothing(house: Any, batch: str) -> None:
    """A batch that was rejected for good is no open deviation."""
    _do(house, batch, brine_min=40)
    hold.hold(house.desk, batch, "too salt", reject=True)
    assert _of(house, Urgency.DEVIATION_OPEN) == []


def test_evidence_that_ended_without_readings_is_a_deviation(house: Any, batch: str) -> None:
    """When every planned step is over and no core was read, the missing evidence stands among the deviations."""
    start = house.ago(6)
    for number, step in enumerate(("ice rest", "split and bone", "brine", "rinse and drain", "surface drying", "smoking",
                                   "cooling")):  # fmt: skip
        smoke.take_step(
            house.desk, batch, step, start + timedelta(minutes=20 * number), start + timedelta(minutes=20 * number + 20)
        )
    assert any("no core temperature was read" in said for said in _of(house, Urgency.DEVIATION_OPEN))


def test_evidence_taken_back_after_the_release_is_a_deviation(house: Any, batch: str) -> None:
    """A reading that is corrected after the release, so that the heat was not reached, is seen at once."""
    _do(house, batch)
    smoke.release_batch(house.desk, batch)
    assert _of(house, Urgency.DEVIATION_OPEN) == []
    for (reading,) in house.desk.records.rows("SELECT id FROM reading WHERE kind = 'core' AND value >= 6280"):
        correct.correct_reading(house.desk, reading, "value", 6200, "probe read high by 2 degrees")
    assert any("NOT MET, 62.8 C or hotter for 0 min" in said for said in _of(house, Urgency.DEVIATION_OPEN))


def test_a_result_is_awaited_until_it_comes(house: Any, batch: str) -> None:
    """A released batch for vacuum packs awaits salt and moisture; a result that is too low stands there too."""
    _do(house, batch)
    smoke.release_batch(house.desk, batch)
    (sentence,) = _of(house, Urgency.RESULT_AWAITED)
    assert "Haddock in vacuum waits: vacuum pack refused: no salt and moisture result" in sentence
    for salt, waits in ((200, True), (280, False)):
        smoke.take_readings(house.desk, batch, "salt", [(house.desk.now, salt)], f"S{salt}")
        smoke.take_readings(house.desk, batch, "moisture", [(house.desk.now, 6_500)], f"S{salt}")
        if not waits:
            for (low,) in house.desk.records.rows("SELECT id FROM reading WHERE kind = 'salt' AND value = 200"):
                correct.correct_reading(house.desk, low, "value", 290, "misread")
        assert bool(_of(house, Urgency.RESULT_AWAITED)) is waits


def test_a_batch_that_cannot_be_judged_hides_nothing_else(house: Any, batch: str) -> None:
    """A reading that no fish can have is named, and everything else that waits is still listed."""
    smoke.take_readings(house.desk, batch, "core", [(house.desk.now, 16_280)], "P1")
    other = house.landing(9_000)
    (sentence,) = _of(house, Urgency.DEVIATION_OPEN)
    assert "cannot be judged: P1: reading 1 of 162.8 C" in sentence
    assert other in {item.code for item in waiting(house.desk)}
