"""The record of a batch on a page: what it says, how it looks to a reader of the PDF, and that nothing is cut off."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from lotwake.trace.actions import correct, hold, judge, set_up, smoke
from lotwake.trace.actions.batch_chart import longest_gaps
from lotwake.trace.actions.batch_record import batch_record, write_batch_record
from lotwake.trace.process.plan import shipped_plan
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.records.journal import head

PLAN = shipped_plan("Hot smoking, simple smokehouse")
CORE = [(60, 5500), (70, 6300), (80, 6400), (110, 6500), (115, 6400), (120, 4000), (140, 2000), (180, 400)]
"""Minutes and hundredths of a degree; between 80 and 110 nothing was read."""
A4_PT = (595.28, 841.89)


@pytest.fixture
def batch(house: Any) -> str:
    """A batch with a gap in its core readings, a deviation, a hold, a correction, a release by name and a review."""
    desk = house.desk
    judge.adopt(desk, PLAN)
    set_up.add_equipment(desk, "tank 1", "brine tank")
    house.later(30)
    code = str(house.batch((house.landing(30_000), 30_000), (house.material(), None)))
    start = desk.now
    house.later(6)
    smoke.take_step(desk, code, "brine", start, start + timedelta(minutes=20), "tank 1")
    smoke.take_step(desk, code, "airing", start + timedelta(minutes=20), start + timedelta(minutes=30))
    smoke.take_readings(desk, code, "core", [(start + timedelta(minutes=at), c100) for at, c100 in CORE], "P1")
    smoke.take_readings(desk, code, "air", [(start + timedelta(minutes=60), 7_500)])
    smoke.lose(desk, code, "trim", 9_000)
    reading = desk.records.value("SELECT MAX(id) FROM reading WHERE kind = 'air'")
    correct.correct_reading(desk, reading, "value", 7_400, "misread by one degree")
    hold.hold(desk, code, "thermometer fell out")
    hold.release(desk, code, "Signe Kvist", "second thermometer read")
    judge.note_deviation(desk, code, "core-heat", "probe fell out of the fish", "three fish probed by hand")
    smoke.release_batch(desk, code, note="probed by hand above 65 C", by_name="Dr. Inger Holm")
    judge.review(desk, code, "read through")
    return code


def _text(path: Path) -> str:
    pdf = pypdfium2.PdfDocument(path)
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in pdf).split())


@pytest.mark.parametrize(
    "words",
    [
        "Skerry Smokehouse",
        "RELEASED BY NAME; limits: NO EVIDENCE",
        "Hot smoking, simple smokehouse, version 1",
        "30 kg in; lost 9 kg (trim 9 kg)",
        "Haddock, Aurora N-12-X, area 27.4.b",
        "bags, Bag House",
        "brine 18 to 25 min",
        "20 min IN WINDOW tank 1",
        "airing not in the plan",
        "surface drying 30 to 35 min, air 45 to 55 C WAITING",
        "no reading 30 min",
        "limit 62.8 C",
        "core at 62.8 C or hotter for 30 minutes, coldest probe NO EVIDENCE",
        "Cause: probe fell out of the fish",
        "Action: three fish probed by hand (Signe Kvist,",
        "held 25 Nov 2026 19:00, SK thermometer fell out",
        "In the name of Dr. Inger Holm: probed by hand above 65 C",
        "reviewed 25 Nov 2026 19:00, Signe Kvist read through",
        "air 75.0 C became 74.0 C misread by one degree (SK,",
        "local codes and a qualified person decide",
    ],
)
def test_the_page_says(house: Any, batch: str, tmp_path: Path, words: str) -> None:
    """Everything an inspector asks for can be read on the page."""
    write_batch_record(house.desk, batch, tmp_path / "record.pdf")
    assert words in _text(tmp_path / "record.pdf")


def test_the_page_is_one_a4_with_the_head_of_the_journal(house: Any, batch: str, tmp_path: Path) -> None:
    """One A4 page; its hash is that of the last line of the journal; drawn twice, it is the same bytes; and it praises
    nothing."""
    out, again = tmp_path / "record.pdf", tmp_path / "again.pdf"
    record = write_batch_record(house.desk, batch, out)
    write_batch_record(house.desk, batch, again)
    pdf, text = pypdfium2.PdfDocument(out), _text(out)
    assert (len(pdf), [round(side, 2) for side in pdf[0].get_size()]) == (1, list(A4_PT))
    assert record.head == head(house.desk.records)
    assert f"journal line {record.head.seq}, hash {record.head.hash}" in text
    assert out.read_bytes() == again.read_bytes()
    assert re.search(r"\b(safe|compliant|approved)\b", text, re.IGNORECASE) is None


def test_a_batch_without_anything_still_has_its_page(house: Any, tmp_path: Path) -> None:
    """Without a plan, readings or a release the page says so in words."""
    code = house.batch((house.landing(30_000), 30_000))
    write_batch_record(house.desk, code, tmp_path / "record.pdf")
    text = _text(tmp_path / "record.pdf")
    for words in (
        "RUNNING; made without a scheduled process", "No temperature was read.", "No scheduled process, so no limit",
        "not released", "not reviewed",
    ):  # fmt: skip
        assert words in text


def test_what_does_not_fit_goes_on_to_a_second_page(house: Any, batch: str, tmp_path: Path) -> None:
    """Seventy corrections do not fit: there are more pages, each with its foot, and every correction is on one of them."""
    reading = house.desk.records.value("SELECT MAX(id) FROM reading WHERE kind = 'air'")
    for number in range(70):
        correct.correct_reading(house.desk, reading, "value", 7_000 + number, f"looked again, time {number:02d}")
    write_batch_record(house.desk, batch, tmp_path / "record.pdf")
    pdf, text = pypdfium2.PdfDocument(tmp_path / "record.pdf"), _text(tmp_path / "record.pdf")
    assert len(pdf) > 1
    assert all(f"looked again, time {number:02d}" in text for number in range(70))
    assert [f"page {number} " in f"{text} " for number in range(1, len(pdf) + 1)] == [True] * len(pdf)


def test_many_batches_in_one_are_all_named(house: Any, tmp_path: Path) -> None:
    """Of thirty batches that went into one, the first stand in rows and the rest in one row with all their codes."""
    parents = [house.batch((house.landing(1_000), 1_000)) for _ in range(30)]
    code = house.batch(*((parent, 500) for parent in parents))
    record = write_batch_record(house.desk, code, tmp_path / "record.pdf")
    bare = re.sub(r"[^0-9]", "", _text(tmp_path / "record.pdf"))
    assert len(record.inputs) == 30
    assert all(parent in bare for parent in parents)
    assert "and 18 more" in _text(tmp_path / "record.pdf")
    assert len(pypdfium2.PdfDocument(tmp_path / "record.pdf")) == 1


def test_gaps_are_those_of_the_plan(house: Any, batch: str) -> None:
    """Up to the hottest reading the plan's gap for heat counts (15 min), from then on the one for cooling (30 min)."""
    record = batch_record(house.desk, batch)
    assert record.verdict is not None
    probe = ProbeSeries("P1", [0, 600, 1200, 1800], [20.0, 60.0, 70.0, 10.0])
    assert longest_gaps(probe, record.evidence, record.verdict.plan) == [900, 900, 1800, 1800]
