"""`lotwake bring-in` from the shell: its answers, its JSON and its exit codes."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.cli.main import main
from lotwake.trace.records.entries.house import SiteFacts

CLOCK = SetClock(datetime(2026, 12, 1, 12, tzinfo=UTC))
SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")
SOURCES = "kind,name\nboat,Aurora\n"
LOTS = "lot;kind;sender;received;kg;species;area\nH-1;landing;Aurora;2026-11-24 05:40;41,5;HAD;27.4.b\n"


@pytest.fixture
def house(tmp_path: Path) -> Path:
    folder = tmp_path / "house"
    set_up_house(places_at(folder), SITE, "SK", "Signe Kvist", CLOCK).close()
    return folder


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "sources.csv").write_text(SOURCES, encoding="utf-8")
    (folder / "lots.csv").write_text(LOTS, encoding="utf-8")
    return folder


def call(house: Path, *words: str) -> int:
    return main(["--at", str(house), "--as", "SK", *words], CLOCK)


def test_a_dry_run_then_the_real_one(house: Path, book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The dry run says what would come in and the lot stays unknown; the real run makes it known by its old code."""
    assert call(house, "bring-in", str(book), "--dry-run") == 0
    assert "Nothing was written" in capsys.readouterr().out
    assert call(house, "find", "H-1") == 4
    assert call(house, "bring-in", str(book)) == 0
    assert "Brought in: 2 rows." in capsys.readouterr().out
    assert call(house, "find", "H-1") == 0


def test_bad_rows_end_with_2_and_are_data(house: Path, book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With --json the problems are objects with file, line and reason; the exit code says that the call was wrong."""
    (book / "lots.csv").write_text(LOTS.replace("Aurora", "Borealis"), encoding="utf-8")
    assert call(house, "bring-in", str(book), "--json") == 2
    answer = json.loads(capsys.readouterr().out)
    assert (answer["dry_run"], answer["kept"], answer["more"]) == (False, False, 0)
    assert answer["counts"] == {"sources.csv": 1, "lots.csv": 1}
    (problem,) = answer["problems"]
    assert (problem["file"], problem["line"]) == ("lots.csv", 2)
    assert problem["reason"] == "The house knows no boat called 'Borealis'. There are: Aurora."


def test_bad_rows_are_lines_for_people(house: Path, book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --json each problem is one line that begins with its place."""
    (book / "lots.csv").write_text(LOTS + "H-2;landing;Aurora\n", encoding="utf-8")
    assert call(house, "bring-in", str(book)) == 2
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("lots.csv line 3: The row has 3 fields and the header 7.")
    assert said[-1] == "Nothing was brought in. Problems: 1."


def test_the_format_needs_no_house(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The description of the files is printed wherever one is, as text and as data."""
    assert main(["--at", str(tmp_path / "none"), "bring-in", "--format"], CLOCK) == 0
    assert "lots.csv: " in capsys.readouterr().out
    assert main(["bring-in", "--format", "--json"], CLOCK) == 0
    assert {"file", "what", "columns"} == set(json.loads(capsys.readouterr().out)[0])


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        ([], 2, "The folder with the CSV files is missing."),
        (["nowhere"], 4, "There is no folder nowhere."),
    ],
)
def test_what_cannot_be_read_is_said(
    house: Path, capsys: pytest.CaptureFixture[str], words: list[str], code: int, sentence: str
) -> None:
    """A missing folder is one sentence and an exit code, with nothing on stdout."""
    assert call(house, "bring-in", *words) == code
    said = capsys.readouterr()
    assert sentence in said.err
    assert said.out == ""
