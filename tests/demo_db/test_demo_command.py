"""`lotwake demo`: the tour in plain text, the season for the terminal program, and folders that are left alone."""

from __future__ import annotations

import json
import re
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path
from types import ModuleType

import pytest

from lotwake.demo_db import scenario
from lotwake.demo_db.builder import Built
from lotwake.trace.actions.desk import open_desk, set_up_house
from lotwake.trace.base.clock import Clock, SetClock
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.cli import demo
from lotwake.trace.cli.main import main
from lotwake.trace.records.entries.house import SiteFacts
from lotwake.trace.records.journal import head
from lotwake.trace.records.verify import verify

AFTERWARDS = SetClock(datetime(2027, 1, 4, 8, 0, tzinfo=UTC))


@dataclass
class Opened:
    """What the terminal program was opened with."""

    calls: list[tuple[Places, str | None, Clock]] = field(default_factory=list)


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Opened:
    """A terminal, and in place of the program something that notes how it was opened."""
    seen = Opened()
    program = ModuleType("lotwake.trace.screens.program")

    def run(places: Places, who: str | None, clock: Clock) -> int:
        seen.calls.append((places, who, clock))
        return 0

    program.run = run  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, program.__name__, program)
    monkeypatch.setattr(demo, "in_a_terminal", lambda: True)
    return seen


@dataclass(frozen=True)
class Toured:
    """A tour that was walked: the house it left behind and what it said."""

    places: Places
    text: str
    said: str


def tour(folder: Path, *words: str) -> Toured:
    """Walk the tour into a folder; it must end with 0. The text is without the last hash, which tells of the build."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        assert main(["demo", "--tour", "--into", str(folder), *words]) == 0
    return Toured(places_at(folder), re.sub(r"\b[0-9a-f]{64}\b", "HASH", out.getvalue()), err.getvalue())


@pytest.fixture(scope="module")
def toured(tmp_path_factory: pytest.TempPathFactory) -> Toured:
    """One tour in plain text."""
    return tour(tmp_path_factory.mktemp("tour") / "demo")


def test_the_tour_does_the_main_job(toured: Toured) -> None:
    """The tour shows a command for every step, prints labels, and leaves a whole record behind."""
    commands = [line.split()[2] for line in toured.text.splitlines() if line.startswith("  $ lotwake ")]
    assert set(commands) >= {
        "waiting", "receive", "batch", "lose", "verdict", "pack", "label", "case", "dispatch", "find", "trace", "verify",
    }  # fmt: skip
    assert {path.read_bytes()[:5] for path in toured.places.printed.glob("*.pdf")} == {b"%PDF-"}
    desk = open_desk(toured.places)
    assert verify(desk.records).whole
    desk.close()


@pytest.mark.parametrize(
    "sentence",
    [
        "57.2 to 21.1 C in 2 hours, then to 4.4 C in 4 more, slowest probe: NO EVIDENCE, 57.2 to 21.1 C",
        "Vacuum pack refused: no salt and moisture result for batch 226-324-001-62.",
        "is 5.6 kg too much",
        "its check digits do not fit",
        "is on hold: first histamine",
        "The record is whole.",
    ],
)
def test_the_tour_shows_what_is_refused(toured: Toured, sentence: str) -> None:
    """Too early a release, vacuum without a salt result, too much mass, a mistyped code and held fish are refused in a
    sentence, and the journal is whole after that."""
    assert sentence in toured.text


def test_the_tour_shows_the_verdict_before_the_signature(toured: Toured) -> None:
    """The verdict with its limits and claims is shown whole, and the release comes after it."""
    shown = toured.text.index("  $ lotwake verdict ")
    lines = toured.text[shown : toured.text.index("  $ lotwake batch release ", shown)]
    assert "MET" in lines
    assert "NO  ready to eat" not in lines
    assert "YES  ready to eat is carried by" in lines
    assert "no salt and moisture result" in lines
    assert "local codes and a qualified person decide" in lines


def test_the_tour_traces_its_own_landing(tmp_path: Path) -> None:
    """As data: the pack goes back to the boat that landed in step 1, the landing forward to the two buyers of the tour."""
    told = json.loads(tour(tmp_path / "demo", "--json").text)
    assert told["whole"] is True
    back = next(step["output"][0] for step in told["steps"] if " trace back " in step["command"])
    forward = next(step["output"][0] for step in told["steps"] if " trace forward " in step["command"])
    assert "Langspurv" in back
    assert "Kråkenebb Wholesale (96 packs" in forward
    assert "Ullskjær Fish Counter (32 packs" in forward


def test_a_tour_leaves_a_used_folder_alone_and_reads_the_same(toured: Toured) -> None:
    """Into a used folder, the tour takes the next one with a number, says so, and differs in nothing but the folder."""
    before = toured.places.records.read_bytes()
    again = tour(toured.places.folder)
    fresh = f"{toured.places.folder}-2"
    assert toured.places.records.read_bytes() == before
    assert f"fresh season in {fresh}" in again.said
    assert again.text.replace(fresh, "FOLDER") == toured.text.replace(str(toured.places.folder), "FOLDER")


@pytest.mark.usefixtures("opened")
def test_an_empty_folder_one_stands_in_is_filled(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """``--into .`` fills the folder a person stands in, and the person still stands in it."""
    monkeypatch.chdir(tmp_path)
    assert main(["demo", "--into", "."], AFTERWARDS) == 0
    assert (Path.cwd() / "records.db").exists()


def test_the_program_opens_on_a_new_season(tmp_path: Path, opened: Opened) -> None:
    """In a terminal the season is built on first use and the program opens on it."""
    assert main(["--as", "MB", "demo", "--into", str(tmp_path / "demo")], AFTERWARDS) == 0
    ((places, who, clock),) = opened.calls
    assert (places, who, clock) == (places_at(tmp_path / "demo"), "MB", AFTERWARDS)


def test_the_program_opens_on_a_season_as_it_was_left(season_copy: Built, opened: Opened) -> None:
    """A season that was built before is opened again, and nothing in it changes."""
    before = season_copy.places.records.read_bytes()
    assert main(["demo", "--into", str(season_copy.places.folder)], AFTERWARDS) == 0
    assert opened.calls[0][0] == season_copy.places
    assert season_copy.places.records.read_bytes() == before


def test_a_house_of_ones_own_is_refused(tmp_path: Path, opened: Opened, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder with a real house in it is never taken for the demo."""
    places = places_at(tmp_path / "mine")
    places.folder.mkdir()
    desk = set_up_house(
        places, SiteFacts("My house", "Kai 1", "NO", "9520000", "Europe/Oslo"), "AB", "A. B.", AFTERWARDS
    )
    stood = head(desk.records)
    assert main(["demo", "--into", str(places.folder)], AFTERWARDS) == 3
    assert "holds a house of your own" in capsys.readouterr().err
    assert head(desk.records) == stood
    assert opened.calls == []
    desk.close()


def test_the_clock_goes_on_where_the_season_lies_ahead(season_copy: Built, opened: Opened) -> None:
    """On a computer whose clock stands before the season, the program's clock goes on from the last entry."""
    slow = SetClock(datetime(2026, 1, 5, 8, 0, tzinfo=UTC))
    assert main(["demo", "--into", str(season_copy.places.folder)], slow) == 0
    clock = opened.calls[0][2]
    first = clock.now()
    slow.at += timedelta(minutes=7)
    assert clock.now() == first + timedelta(minutes=7)
    assert scenario.MORNING_AFTER - timedelta(days=1) < first <= scenario.MORNING_AFTER
