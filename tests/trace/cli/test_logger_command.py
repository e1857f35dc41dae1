"""``lotwake logger`` as a person calls it."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

CLEAR = "When;P1 (°C);P2 (°C)\n24.11.2026 07:00;2,0;3,0\n24.11.2026 07:01;2,5;3,5\n"
"""07:00 in Oslo, an hour after the house was opened."""
UNCLEAR = "When;P1\n11/12/2026 07:00;38,0\n"


@pytest.fixture
def batch(house: Any) -> str:
    """A batch that began an hour ago."""
    lot = house.code("receive", "landing", "--boat", "Aurora", "--kg", "41", "--species", "HAD", "--area", "27.4.b")
    code = str(house.code("batch", "start", "--smoking", "hot smoked", "--from", f"{lot}=40"))
    house.later(3)
    return code


def file(tmp_path: Path, text: str) -> str:
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_look_says_what_is_understood_and_writes_nothing(house: Any, tmp_path: Path) -> None:
    """Fields, columns, unit, first lines, probes with their range, and that nothing was written."""
    before = house.journal_end()
    said = house.call("logger", "look", file(tmp_path, CLEAR))
    assert (said.code, said.err) == (0, "")
    for words in (
        "Fields parted by semicolon, decimal comma, dates dmy, clock of Europe/Oslo, Celsius.",
        "Time: When. Temperatures: P1 (°C); P2 (°C).",
        "24.11.2026 07:00 | 2,0 | 3,0",
        "24 Nov 2026 07:01:00",
        "Nothing was written",
    ):
        assert words in said.out
    data = house.data("logger", "look", file(tmp_path, CLEAR))
    assert (data["count"], data["first"], data["last"]) == (4, "2026-11-24T06:00:00Z", "2026-11-24T06:01:00Z")
    assert data["probes"][0] == {
        "name": "P1", "unit": "C", "readings": 2, "first": "2026-11-24T06:00:00Z", "last": "2026-11-24T06:01:00Z",
        "coldest_c100": 200, "hottest_c100": 250,
    }  # fmt: skip
    assert data["problems"] == []
    assert house.journal_end() == before


def test_look_asks_what_is_not_clear(house: Any, tmp_path: Path) -> None:
    """What is in doubt is said with the option that settles it, and the exit code is that of a wrong call."""
    said = house.call("logger", "look", file(tmp_path, UNCLEAR))
    assert said.code == 2
    assert "NOT CLEAR: The date 11/12/2026 can be read in 2 ways. Say which: 11 Dec 2026 (--order dmy)" in said.out
    asked = house.call("logger", "look", file(tmp_path, UNCLEAR), "--order", "dmy")
    assert "that looks like Fahrenheit" in asked.out
    settled = house.call("logger", "look", file(tmp_path, UNCLEAR), "--order", "dmy", "--unit", "F")
    assert settled.code == 0


def test_bring_enters_the_readings(house: Any, batch: str, tmp_path: Path) -> None:
    """The readings stand on the batch; the same file again is refused; the record is whole."""
    path = file(tmp_path, CLEAR)
    data = house.data("logger", "bring", path, "--batch", batch, "--kind", "core", "--remember", "kiln")
    assert (data["batch"], data["count"], data["logger"]) == (batch, 4, "kiln")
    shown = house.data("find", batch)
    text = json.dumps(shown)
    assert text.count('"kind": "core"') == 4
    assert data["sha256"] in text
    again = house.call("logger", "bring", path, "--batch", batch, "--kind", "core")
    assert again.code == 3
    assert "from this file already" in again.err
    house.journal_end()
    said = house.call("logger", "look", path)
    assert "Read as the logger kiln, which is remembered." in said.out


def test_every_option_reaches_the_reader(house: Any, batch: str, tmp_path: Path) -> None:
    """A file that says nothing of itself comes in with everything told."""
    text = "A|x,0.5,35.6,7\nA|x,1.0,off,7\nA|x,1.5,36.5,7\n"
    said = house.data(
        "logger", "bring", file(tmp_path, text), "--batch", batch, "--kind", "air", "--delimiter", "comma",
        "--decimal", "point", "--unit", "F", "--time", "2", "--elapsed", "min", "--start", "24 Nov 07:00",
        "--probe-column", "1", "--values", "3", "--missing", "off", "--from", "24 Nov 07:00", "--to", "24 Nov 07:05",
    )  # fmt: skip
    assert (said["count"], said["first"], said["probes"][0]["name"]) == (2, "2026-11-24T06:00:30Z", "A|x")
    assert (said["probes"][0]["coldest_c100"], said["probes"][0]["hottest_c100"]) == (200, 250)


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (("look", "nowhere.csv"), 4, "There is no file nowhere.csv. Check its name."),
        (("bring", "x.csv", "--kind", "core"), 2, "The following arguments are required: --batch."),
        (("look", "x.csv", "--kind", "brine"), 2, "invalid choice: 'brine'"),
        (("look", "{clear}", "--zone", "Mars"), 2, None),
        (("look", "{clear}", "--logger", "x"), 4, "No logger is remembered as 'x'."),
        (("look", "{clear}", "--from", "soon"), 2, "'soon' has no time of day."),
    ],
)
def test_wrong_calls(house: Any, tmp_path: Path, words: tuple[str, ...], code: int, sentence: str | None) -> None:
    """Every wrong call gets its exit code and a sentence."""
    path = file(tmp_path, CLEAR)
    said = house.call("logger", *(word.format(clear=path) for word in words))
    assert said.code == code
    assert (sentence or "There is no time zone called 'Mars'") in said.out + said.err
    assert "Traceback" not in said.err


def test_nobody_at_work(house: Any, batch: str, tmp_path: Path) -> None:
    """Looking needs nobody at work; bringing does."""
    path = file(tmp_path, CLEAR)
    assert house.bare("--at", str(house.folder), "logger", "look", path).code == 0
    said = house.bare("--at", str(house.folder), "logger", "bring", path, "--batch", batch, "--kind", "core")
    assert said.code == 3
    assert "Nobody is at work" in said.err


def test_the_clock_of_the_computer_bounds_the_log(house: Any, batch: str, tmp_path: Path) -> None:
    """A log whose last reading lies in the future is refused as a whole."""
    at = house.clock.at + timedelta(minutes=61)  # an hour of time zone, and one minute
    text = f"{CLEAR}{at:%d.%m.%Y %H:%M};2,6;3,6\n"
    before = house.journal_end()
    said = house.call("logger", "bring", file(tmp_path, text), "--batch", batch, "--kind", "core")
    assert said.code == 3
    assert "is in the future" in said.err
    assert house.journal_end() == before
