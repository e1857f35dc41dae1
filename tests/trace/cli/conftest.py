"""A house that is worked in through the shell alone."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.base.clock import SetClock
from lotwake.trace.cli.main import main


@dataclass(frozen=True)
class Said:
    """What one call answered."""

    code: int
    out: str
    err: str


class ShellHouse:
    """Calls ``lotwake`` in this process, in one folder, as one operator, at a clock that stands."""

    def __init__(self, folder: Path, capture: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self.clock = SetClock(datetime(2026, 11, 24, 5, tzinfo=UTC))
        self._capture = capture
        self._database = ""

    def choose(self, settings: str) -> None:
        """Write house.toml, with the server that has the record where there is one."""
        (self.folder / "house.toml").write_text(self._database + settings, encoding="utf-8")

    def on_server(self, line: str) -> None:
        """Let the record be on a server."""
        self.folder.mkdir()
        self._database = line
        self.choose("")

    @property
    def has_file(self) -> bool:
        """Whether the record is a file in the folder."""
        return not self._database

    def bare(self, *words: str) -> Said:
        """One call with just these words."""
        self._capture.readouterr()
        code = main(words, self.clock)
        out, err = self._capture.readouterr()
        return Said(code, out, err)

    def call(self, *words: str) -> Said:
        """One call in this house by SK."""
        return self.bare("--at", str(self.folder), "--as", "SK", *words)

    def data(self, *words: str) -> Any:
        """The JSON answer of a call that must work."""
        said = self.call(*words, "--json")
        assert said.code == 0, said.err
        return json.loads(said.out)

    def code(self, *words: str) -> str:
        """The code of the thing a call made."""
        return str(self.data(*words)["code"])

    def later(self, hours: float) -> None:
        """Time goes by."""
        self.clock.at += timedelta(hours=hours)

    def journal_end(self) -> tuple[int, str]:
        """Where the journal stands, and that the record is whole."""
        verdict = self.data("verify")
        return verdict["lines"], verdict["last_hash"]


@dataclass(frozen=True)
class Stocked:
    """A house with one landing smoked, 100 packs made, eight cases closed; two packs void, two loose."""

    house: ShellHouse
    lot: str
    batch: str
    run: str
    cases: tuple[str, ...]


@pytest.fixture
def shell(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> ShellHouse:
    """The shell in a folder where no house is yet."""
    monkeypatch.delenv("LOTWAKE_OPERATOR", raising=False)
    return ShellHouse(tmp_path / "house", capsys)


@pytest.fixture(params=["file", "server"] if os.environ.get("LOTWAKE_TEST_POSTGRES") else ["file"])
def house(shell: ShellHouse, request: pytest.FixtureRequest) -> ShellHouse:
    """A new house with a boat, a supplier, a buyer, a smokehouse and a product; with a test server, there too."""
    if request.param == "server":
        if not request.node.get_closest_marker("on_both"):
            pytest.skip("the shell is the same on a server, but for what is marked on_both")
        shell.on_server(request.getfixturevalue("on_server")("shell"))
    for words in (
        ("set-up", "house", "Skerry Smokehouse", "--address", "Quay 1", "--country", "NO", "--prefix", "9520000",
         "--zone", "Europe/Oslo", "--first", "SK", "Signe Kvist"),
        ("set-up", "boat", "Aurora", "--mark", "N-12-X", "--flag", "NO"),
        ("set-up", "supplier", "Bag House"),
        ("set-up", "buyer", "Quay Deli", "--phone", "+47 000 00"),
        ("set-up", "equipment", "Kiln 1", "smokehouse"),
        ("set-up", "product", "Hot smoked haddock", "--gtin", "9520000000028", "--smoking", "hot smoked",
         "--net", "300 g", "--life-days", "60", "--species", "HAD", "--storage", "Keep frozen at -18 C or colder",
         "--ingredients", "haddock, salt", "--cook", "Heat through before eating"),
    ):  # fmt: skip
        said = shell.call(*words)
        assert said.code == 0, said.err
    return shell


LANDING = ("receive", "landing", "--boat", "Aurora", "--kg", "41", "--species", "HAD", "--area", "27.4.b")


@pytest.fixture
def stocked(house: ShellHouse) -> Stocked:
    """The house after one batch was packed."""
    lot = house.code(*LANDING)
    house.later(24)
    batch = house.code("batch", "start", "--smoking", "hot smoked", "--from", f"{lot}=40")
    house.data("lose", batch, "drying", "9")
    house.data("batch", "release", batch)
    house.later(4)
    run = house.code("pack", "start", "Hot smoked haddock", "--from", batch, "--count", "100")
    house.data("pack", "end", f"{run}/5-6", "void", "--why", "smeared")
    cases = house.data("case", run)["things"]
    return Stocked(house, lot, batch, run, tuple(case["code"] for case in cases))
