"""Bringing a logger's file into a batch: all of it or none, once, with the file named in the journal."""

from __future__ import annotations

import hashlib
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.actions import logger, set_up
from lotwake.trace.base.errors import CallError, LotwakeError, MachineFailed, NotFound, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.process.logger_file import Choices
from lotwake.trace.process.logger_shape import Told
from lotwake.trace.records.verify import verify

HEADINGS = "When;P1 (°C);P2 (°C)"
SLOW = Choices()


def rows(began: datetime, count: int, every_s: int = 60) -> list[str]:
    """Lines of two probes that warm slowly, in UTC."""
    return [
        f"{began + timedelta(seconds=every_s * i):%Y-%m-%dT%H:%M:%SZ};{2 + i % 500 / 100:.2f};{3 + i % 500 / 100:.2f}"
        for i in range(count)
    ]


def write(path: Path, lines: list[str], headings: str = HEADINGS) -> Path:
    path.write_text("\n".join([headings, *lines]) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def batch(house: Any) -> str:
    """A batch that began ten hours ago."""
    began = house.clock.at
    code = house.batch((house.landing(20_000), 20_000), started=began)
    house.later(10)
    return str(code)


def began(house: Any) -> datetime:
    return house.clock.at - timedelta(hours=10)


def readings(house: Any, kind: str = "core") -> list[tuple[str, str, int]]:
    return house.desk.records.rows("SELECT probe, at, value FROM reading WHERE kind = ? ORDER BY probe, at", kind)


def test_readings_come_in_with_their_file(house: Any, batch: str, tmp_path: Path) -> None:
    """Each reading stands on the batch, and the journal line that wrote it names the file and its SHA-256."""
    path = write(tmp_path / "kiln 1.csv", rows(began(house), 5))
    brought = logger.bring(house.desk, batch, path, Told(), SLOW)
    assert brought.preview.count == 10
    assert readings(house)[:2] == [
        ("P1", instant_text(began(house)), 200),
        ("P1", instant_text(began(house) + timedelta(minutes=1)), 201),
    ]
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    why = house.desk.records.rows(
        "SELECT DISTINCT j.act, j.why, j.happened FROM journal j JOIN reading r ON r.entry = j.seq"
    )
    assert why == [(logger.ACT, f"kiln 1.csv, SHA-256 {digest}", instant_text(began(house) + timedelta(minutes=4)))]


def test_many_readings_are_quick_and_whole(house: Any, batch: str, tmp_path: Path) -> None:
    """Six thousand readings make six journal lines in time order, in seconds, and the record stays whole."""
    path = write(tmp_path / "log.csv", rows(began(house), 3_000, every_s=10))
    start = time.process_time()
    logger.bring(house.desk, batch, path, Told(), SLOW)
    assert time.process_time() - start < 3
    happened = house.desk.records.rows("SELECT happened FROM journal WHERE act = ? ORDER BY seq", logger.ACT)
    assert len(happened) == 6
    assert happened == sorted(happened)
    assert len(readings(house)) == 6_000
    assert verify(house.desk.records).whole


def refused_calls(house: Any) -> dict[str, tuple[list[str], Told, Choices, type[LotwakeError], str]]:
    """Files that must not come in, and why."""
    start = began(house)
    early = rows(start - timedelta(minutes=2), 1_500, every_s=10)
    late = rows(start + timedelta(hours=7), 1_500, every_s=10)  # its first thousand readings are past
    bad = [*rows(start, 1_200, every_s=10), "2026-11-24T23:00:00Z;warm;3"]
    return {
        "before the batch": (early, Told(), SLOW, Refused, "would come before the start of batch"),
        "in the future": (late, Told(), SLOW, Refused, "is in the future"),
        "one bad line": (bad, Told(), SLOW, CallError, "'warm' is not a temperature"),
        "no such probe": (rows(start, 5), Told(), Choices(only=("P7",)), CallError, "There is no probe 'P7'"),
    }


@pytest.mark.parametrize("name", ["before the batch", "in the future", "one bad line", "no such probe"])
def test_refused_whole(house: Any, batch: str, tmp_path: Path, name: str) -> None:
    """One reading that a rule refuses keeps all of them out, also those of journal lines before it."""
    lines, told, choices, kind, sentence = refused_calls(house)[name]
    before = house.desk.records.value("SELECT MAX(seq) FROM journal")
    with pytest.raises(kind) as error:
        logger.bring(house.desk, batch, write(tmp_path / "log.csv", lines), told, choices, remember_as="kiln")
    assert sentence in error.value.sentence
    assert readings(house) == []
    assert house.desk.records.value("SELECT MAX(seq) FROM journal") == before
    assert logger.remembered_loggers(house.desk) == []


def test_the_part_of_the_batch_comes_in(house: Any, batch: str, tmp_path: Path) -> None:
    """A logger that was switched on before the batch gives the part that is asked for."""
    path = write(tmp_path / "log.csv", rows(began(house) - timedelta(minutes=2), 5))
    logger.bring(house.desk, batch, path, Told(), Choices(since_s=round(began(house).timestamp())))
    assert len(readings(house)) == 6


def test_the_same_file_twice(house: Any, batch: str, tmp_path: Path) -> None:
    """A probe of a file comes into a batch once, whatever is told about the file; another probe, or batch, may follow."""
    path = write(tmp_path / "log.csv", rows(began(house), 5))
    logger.bring(house.desk, batch, path, Told(), Choices(only=("P1",)))
    for told, choices in (
        (Told(), SLOW),
        (Told(unit="F"), Choices(only=("P1",))),
        (Told(), Choices("air", only=("P1",))),
        (Told(), Choices(only=("P1",), until_s=round(began(house).timestamp()))),
    ):
        with pytest.raises(Refused, match="has the readings of P1 from this file already"):
            logger.bring(house.desk, batch, path, told, choices)
    renamed = write(tmp_path / "other name.csv", rows(began(house), 5))
    with pytest.raises(Refused, match="from this file already"):
        logger.bring(house.desk, batch, renamed, Told(), SLOW)
    logger.bring(house.desk, batch, path, Told(), Choices("air", only=("P2",)))
    assert (len(readings(house)), len(readings(house, "air"))) == (5, 5)
    other = house.batch((house.landing(1_000, received=began(house)), 1_000), started=began(house))
    logger.bring(house.desk, other, path, Told(), SLOW)


def test_no_two_readings_of_a_probe_at_one_moment(house: Any, batch: str, tmp_path: Path) -> None:
    """A longer read-out of the same logger is refused where it says again what is there, and comes in from then on."""
    logger.bring(house.desk, batch, write(tmp_path / "a.csv", rows(began(house), 5)), Told(), SLOW)
    longer = write(tmp_path / "b.csv", rows(began(house), 8))
    with pytest.raises(Refused, match="has a core reading of P1 at 24 Nov 2026 07:00 already"):
        logger.bring(house.desk, batch, longer, Told(), SLOW)
    since = began(house) + timedelta(minutes=5)
    logger.bring(house.desk, batch, longer, Told(), Choices(since_s=round(since.timestamp())))
    assert len(readings(house)) == 16


def test_remembered_loggers(house: Any, batch: str, tmp_path: Path) -> None:
    """What was answered for one file is used for the next with the same headings, and a person's word goes before it."""
    hours = [f"{day}/11/26 {hour}:00;38,0;39,0" for day, hour in ((11, 7), (11, 8))]
    first = write(tmp_path / "a.csv", hours, "When;P1;P2")
    assert "can be read in 3 ways" in logger.look(house.desk, first, Told(), SLOW).preview.problems[0].sentence
    house.later(24 * 30)
    day = began(house) - timedelta(hours=2)
    second = write(tmp_path / "b.csv", [f"{day:%d/%m/%y %H:%M};38,0;39,0"], "When;P1;P2")
    logger.bring(house.desk, batch, second, Told(order="dmy", unit="F"), SLOW, remember_as="kiln 1")
    looked = logger.look(house.desk, first, Told(), SLOW)
    assert (looked.logger, looked.preview.problems) == ("kiln 1", ())
    assert looked.preview.probes[0].centi_c[0] == 333
    assert logger.look(house.desk, first, Told(unit="C"), SLOW).preview.probes[0].centi_c[0] == 3800
    plain = write(tmp_path / "c.csv", ["11/12/26 07:00;39,0;39,0"], "11/12/26 06:00;38,0;38,0")
    assert logger.look(house.desk, plain, Told(), SLOW).logger == ""
    assert logger.look(house.desk, plain, Told(time=("1",), values=("2",)), SLOW, "KILN 1").preview.problems == ()


def test_two_loggers_with_the_same_headings(house: Any, batch: str, tmp_path: Path) -> None:
    """When two remembered loggers write the same headings, the name is asked for."""
    for at, (name, unit) in enumerate((("north", "C"), ("south", "F"))):
        path = write(tmp_path / f"{name}.csv", rows(began(house) + timedelta(hours=at), 2), "When;P1;P2")
        logger.bring(house.desk, batch, path, Told(unit=unit), SLOW, remember_as=name)
    with pytest.raises(CallError, match="has the headings of north and of south") as error:
        logger.look(house.desk, path, Told(), SLOW)
    assert "--logger" in error.value.hint
    assert logger.look(house.desk, path, Told(), SLOW, "south").logger == "south"


def test_files_and_names_that_are_not_there(house: Any, batch: str, tmp_path: Path) -> None:
    """A missing file, a folder in its place, an unknown logger, a bad name and an unknown batch each get a sentence."""
    path = write(tmp_path / "log.csv", rows(began(house), 2))
    with pytest.raises(NotFound, match="There is no file"):
        logger.look(house.desk, tmp_path / "nothing.csv", Told(), SLOW)
    with pytest.raises(MachineFailed, match="cannot be read"):
        logger.look(house.desk, tmp_path, Told(), SLOW)
    with pytest.raises(NotFound, match="No logger is remembered as 'x'"):
        logger.look(house.desk, path, Told(), SLOW, "x")
    with pytest.raises(CallError, match="cannot be the name of a logger"):
        logger.bring(house.desk, batch, path, Told(), SLOW, remember_as="../x")
    with pytest.raises(LotwakeError):
        logger.bring(house.desk, "nothing", path, Told(), SLOW)
    assert readings(house) == []


def test_a_damaged_memory_is_named(house: Any, tmp_path: Path) -> None:
    """A damaged file in loggers/ is said by name instead of being passed over."""
    folder = house.desk.places.folder / "loggers"
    folder.mkdir()
    (folder / "kiln.json").write_text("{", encoding="utf-8")
    with pytest.raises(CallError, match="'kiln' cannot be read"):
        logger.look(house.desk, write(tmp_path / "log.csv", rows(began(house), 2)), Told(), SLOW)


@pytest.mark.parametrize(
    ("said", "remembered", "read_by"),
    [
        ("spare logger", "", ["spare logger", "spare logger"]),
        ("", "Kiln logger", ["Kiln logger", "Kiln logger"]),
        ("", "", [None, "P2"]),
    ],
)
def test_readings_name_the_instrument_they_come_from(
    house: Any, batch: str, tmp_path: Path, said: str, remembered: str, read_by: list[str | None]
) -> None:
    """The one that is said; else the one called like the logger, or like the probe; else none."""
    for name in ("spare logger", "kiln logger", "P2"):
        set_up.add_equipment(house.desk, name.capitalize() if name.startswith("kiln") else name, "logger")
    path = write(tmp_path / "log.csv", rows(began(house), 3))
    logger.bring(house.desk, batch, path, Told(), SLOW, remember_as=remembered, instrument=said)
    found = house.desk.records.rows(
        "SELECT DISTINCT r.probe, e.name FROM reading r LEFT JOIN equipment e ON e.id = r.equipment ORDER BY r.probe"
    )
    assert found == list(zip(("P1", "P2"), read_by, strict=True))
