"""Readings name their instrument; a failed or overdue check of it shows on the evidence and in what waits."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from lotwake.trace.actions import correct, judge, recall, set_up, smoke
from lotwake.trace.actions.batch_record import batch_record
from lotwake.trace.actions.batch_words import instruments as rows
from lotwake.trace.actions.instruments import instruments_of, usual_instrument
from lotwake.trace.actions.readings import typed_reading
from lotwake.trace.actions.waiting import waiting
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.instruments import Standing
from lotwake.trace.process.plan import LimitKind, shipped_plan
from lotwake.trace.records.find import by_code
from lotwake.trace.records.verify import verify
from lotwake.trace.records.waiting import Urgency

HOT = [(60, 5500), (70, 6300), (80, 6400), (90, 6500), (100, 6600), (110, 6400), (120, 4000), (140, 2000)]
COOLED = [(160, 1200), (180, 900), (200, 700), (220, 500), (240, 400)]
PROBE, SPARE = "probe 1", "probe 2"


@pytest.fixture
def read(house: Any) -> str:
    """A batch that met its limits by the readings of one thermometer, checked when the house opened."""
    for name in (PROBE, SPARE):
        set_up.add_equipment(house.desk, name, "thermometer")
    judge.calibrate(house.desk, PROBE, "0.1 C high in ice water", True, house.desk.today + timedelta(days=30))
    judge.adopt(house.desk, shipped_plan("Hot smoking, simple smokehouse"))
    house.later()
    batch = str(house.batch((house.landing(30_000), 30_000)))
    began = house.desk.now
    house.later(6)
    smoke.take_step(house.desk, batch, "brine", began, began + timedelta(minutes=20))
    values = [(began + timedelta(minutes=minute), value) for minute, value in HOT + COOLED]
    smoke.take_readings(house.desk, batch, "core", values, "core", PROBE)
    return batch


def _heat(house: Any, batch: str) -> tuple[Verdict, str]:
    verdict = judge.verdict_of(house.desk.records, by_code(house.desk.records, batch).id, house.desk.now)
    assert verdict is not None
    found = verdict.finding(LimitKind.CORE_HEAT)
    assert found is not None
    return found.verdict, found.found


def _used(house: Any, batch: str) -> Any:
    (used,) = instruments_of(house.desk.records, by_code(house.desk.records, batch).id)
    return used


def test_a_checked_instrument_stands_on_the_evidence(house: Any, read: str) -> None:
    """Name, kind, number of readings and that it was in order; nothing is in doubt, and the record is whole."""
    used = _used(house, read)
    assert (used.name, used.kinds, used.readings, used.in_doubt) == (PROBE, ("core",), 13, False)
    assert _heat(house, read)[0] is Verdict.MET
    assert [row[2].text for row in rows(batch_record(house.desk, read))] == ["IN ORDER"]
    assert verify(house.desk.records).whole


def test_evidence_of_an_instrument_that_fails_its_next_check_is_none(house: Any, read: str) -> None:
    """What was met by it alone becomes NO EVIDENCE with the reason, and the batch waits as a deviation."""
    judge.calibrate(house.desk, PROBE, "3 C high in ice water", False, house.desk.today + timedelta(days=1))
    verdict, said = _heat(house, read)
    assert verdict is Verdict.NO_EVIDENCE
    assert said.endswith(f"but {PROBE} failed its next check on 24 Nov 2026: 3 C high in ice water")
    house.later()
    smoke.take_step(house.desk, read, "cooling", house.ago(2), house.ago(1))
    with pytest.raises(judge.LimitOpen, match="NO EVIDENCE"):
        smoke.release_batch(house.desk, read)
    (row,) = rows(batch_record(house.desk, read))
    assert (row[2].text, row[2].bold) == ("FAILED", True)


def test_a_second_sound_instrument_carries_the_limit_alone(house: Any, read: str) -> None:
    """With as many readings of an instrument that was in order, the limit is met without the one that failed."""
    began = house.ago(6)
    judge.calibrate(house.desk, SPARE, "0.0 C in ice water", True, house.desk.today + timedelta(days=30), house.ago(7))
    values = [(began + timedelta(minutes=minute), value) for minute, value in HOT + COOLED]
    smoke.take_readings(house.desk, read, "core", values, "spare", SPARE)
    judge.calibrate(house.desk, PROBE, "3 C high in ice water", False, house.desk.today + timedelta(days=1))
    assert _heat(house, read)[0] is Verdict.MET


def test_a_reviewed_batch_comes_up_again_when_its_instrument_fails(house: Any, read: str) -> None:
    """A failed check brings back what was reviewed before it, until it is reviewed again."""
    smoke.release_batch(house.desk, read)
    judge.review(house.desk, read, "read through")
    assert not [item for item in waiting(house.desk) if item.urgency is Urgency.DEVIATION_OPEN]
    house.later()
    judge.calibrate(house.desk, PROBE, "3 C high in ice water", False, house.desk.today + timedelta(days=1))
    (found,) = [item for item in waiting(house.desk) if item.urgency is Urgency.DEVIATION_OPEN]
    assert found.code == read
    assert "was read with probe 1, which failed its check: 3 C high" in found.sentence
    house.later()
    judge.review(house.desk, read, "3 C to the cold side would still be enough; tasted and kept")
    assert not [item for item in waiting(house.desk) if item.urgency is Urgency.DEVIATION_OPEN]


def test_an_overdue_instrument_shows_and_keeps_the_verdict(house: Any) -> None:
    """Readings past the day of the next check are pointed out; the limit stays met."""
    set_up.add_equipment(house.desk, PROBE, "thermometer")
    judge.calibrate(house.desk, PROBE, "0.1 C high", True, house.desk.today + timedelta(days=2))
    house.later(24 * 4)
    batch = house.batch((house.landing(1_000), 1_000))
    smoke.take_readings(house.desk, batch, "core", [(house.desk.now, 6_400)], "", PROBE)
    used = _used(house, batch)
    assert (used.trust.standing, used.trust.why) == (Standing.OUT_OF_DATE, "was to be checked by 26 Nov 2026")
    said = [item.sentence for item in waiting(house.desk) if item.urgency is Urgency.CALIBRATION_DUE and item.code]
    assert said == [f"Batch {by_code(house.desk.records, batch).shown} was read with probe 1, which {used.trust.why}"]


def test_a_recall_from_a_failed_instrument_finds_its_batches(house: Any, read: str) -> None:
    """Every batch read with it since its last good check is suspect; one read with another is not."""
    other = house.batch((house.landing(1_000), 1_000))
    smoke.take_readings(house.desk, other, "core", [(house.desk.now, 6_400)], "", SPARE)
    start = recall.from_instrument(house.desk, PROBE)
    assert [item.id for item in start.suspected] == [by_code(house.desk.records, read).id]


@pytest.mark.usefixtures("read")
def test_the_usual_instrument(house: Any) -> None:
    """With two thermometers only a probe of the same name says which; with one scale there is no doubt."""
    records = house.desk.records
    set_up.add_equipment(house.desk, "floor scale", "scale")
    assert usual_instrument(records, "core") == ""
    assert usual_instrument(records, "core", "Probe 2") == SPARE
    assert usual_instrument(records, "weight", "smoking") == "floor scale"
    assert usual_instrument(records, "salt") == ""


def test_only_an_instrument_reads(house: Any, read: str) -> None:
    """A kiln or a name nobody knows is refused; a wrong instrument is put right like any reading."""
    for name, wrong in (("Kiln 1", CallError), ("probe 9", NotFound)):
        with pytest.raises(wrong):
            smoke.take_readings(house.desk, read, "core", [(house.desk.now, 6_400)], "", name)
    number = house.desk.records.value("SELECT MIN(id) FROM reading")
    done = correct.correct_reading(
        house.desk, number, "equipment", typed_reading(house.desk, number, "equipment", SPARE), "the other one"
    )
    assert done.was != done.now
    assert [used.name for used in instruments_of(house.desk.records, by_code(house.desk.records, read).id)] == [
        PROBE,
        SPARE,
    ]


def test_two_readings_of_one_probe_in_one_minute_are_judged(house: Any, read: str) -> None:
    """The colder counts for heat, the warmer for cooling, and the record says so; the batch stays judgeable."""
    began = house.ago(6)
    hot = began + timedelta(minutes=90)
    smoke.take_readings(house.desk, read, "core", [(hot, 6_900)], "core", PROBE)
    assert _heat(house, read)[0] is Verdict.MET
    smoke.take_readings(house.desk, read, "core", [(hot, 6_100)], "core", PROBE)
    verdict, said = _heat(house, read)
    assert (verdict, said.split(";")[0]) == (Verdict.NOT_MET, "62.8 C or hotter for 17 min unbroken")
    late = began + timedelta(minutes=140)
    smoke.take_readings(house.desk, read, "core", [(late, 4_000)], "core", PROBE)
    found = judge.verdict_of(house.desk.records, by_code(house.desk.records, read).id, house.desk.now)
    assert found is not None
    assert "57.2 to 21.1 C: 41 min" in found.finding(LimitKind.COOLING).found  # type: ignore[union-attr]
    last = rows(batch_record(house.desk, read))[-1]
    assert (last[0].text, "colder counts for heat" in last[3].text) == ("Two readings", True)
