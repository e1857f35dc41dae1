"""Stations and the server's backends are killed in the middle of writing: what was confirmed stays, and all is whole."""

from __future__ import annotations

import os
import random
import select
import signal
import subprocess
import sys
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.records.database import Records
from lotwake.trace.records.verify import verify

KILLS = int(os.environ.get("LOTWAKE_KILLS", "50" if os.environ.get("LOTWAKE_LONG") else "10"))
"""How often a station is killed; 1,000 take a quarter of an hour."""
BACKENDS = int(os.environ.get("LOTWAKE_KILL_BACKENDS", "0"))
"""How often a backend of the server is killed; each time the server ends every connection, so these run alone."""

STATION = """
    import sys
    from datetime import UTC, datetime
    from pathlib import Path
    from lotwake.trace.actions import pack, ship
    from lotwake.trace.actions.desk import open_desk
    from lotwake.trace.base.clock import SetClock
    from lotwake.trace.base.errors import LotwakeError
    from lotwake.trace.base.places import places_at
    def say(*words):
        sys.stdout.write(" ".join(map(str, words)) + "\\n")
        sys.stdout.flush()
    desk = open_desk(places_at(Path(sys.argv[1])), "SK", SetClock(datetime(2026, 11, 24, 6, tzinfo=UTC)))
    if not desk.records.on_sqlite:
        say("backend", desk.records.value("SELECT pg_backend_pid()"), 0)
    try:
        while True:
            made = pack.add_packs(desk, sys.argv[2], 3)
            say("packs", made.first, made.last)
            case = ship.close_case(desk, [f"{sys.argv[2]}/{made.first}-{made.last}"])
            say("case", case.code, 0)
    except LotwakeError as error:
        sys.stderr.write(f"{error}\\n")
        sys.exit(int(error.exit_code))
"""

Told = list[list[str]]


def started(folder: Path, run: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-c", textwrap.dedent(STATION), str(folder), run]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def killed_after(folder: Path, run: str, seconds: float, kill: Callable[[Any, list[str]], None]) -> tuple[Told, str]:
    """Let a station work for a while once it has said something, kill, and give back what it confirmed and its last words."""
    with started(folder, run) as station:
        assert station.stdout is not None
        assert station.stderr is not None
        first = station.stdout.readline()
        assert first, station.stderr.read().decode()
        select.select([], [], [], seconds)
        kill(station, first.decode().split())
        rest, words = station.stdout.read(), station.stderr.read()
    return [line.split() for line in (first + rest).decode().split("\n")[:-1]], words.decode()


def must_hold(records: Records, told: Told, kills: int) -> None:
    """The record is whole, has everything that was confirmed, and at most one entry more for each kill."""
    verdict = verify(records)
    assert verdict.whole, verdict.problems
    serials = {(int(first), int(last)) for what, first, last in told if what == "packs"}
    assert serials <= set(records.rows("SELECT first, last FROM pack_range"))
    cases = {int(code) for what, code, _ in told if what == "case"}
    assert cases <= {int(row[0]) for row in records.rows("SELECT sscc FROM unit")}
    kept = records.value("SELECT COUNT(*) FROM pack_range") + records.value("SELECT COUNT(*) FROM unit")
    assert kept - len(serials) - len(cases) <= kills


def _run_to_pack(house: Any) -> str:
    batch = house.released((house.landing(9_000_000), 9_000_000))
    run: str = house.run((batch, None))
    house.desk.close()
    return run


@pytest.mark.on_file
def test_a_killed_station_loses_nothing_that_was_confirmed(house) -> None:  # type: ignore[no-untyped-def]
    """After each kill at a random moment the file is sound, the record whole, and every confirmed serial and case there."""
    run = _run_to_pack(house)
    chance = random.Random(20261124)
    told: Told = []
    for kills in range(1, KILLS + 1):
        done, _ = killed_after(house.desk.places.folder, run, chance.uniform(0.02, 0.25), lambda it, _: it.kill())
        told += done
        assert house.desk.records.value("PRAGMA quick_check") == "ok"
        must_hold(house.desk.records, told, kills)
        house.desk.close()
    assert len(told) > 2 * KILLS


@pytest.mark.skipif(not BACKENDS, reason="LOTWAKE_KILL_BACKENDS does not say how often; it ends everybody's connection")
def test_a_killed_backend_loses_nothing_that_was_confirmed(house) -> None:  # type: ignore[no-untyped-def]
    """Where the server's process for a station is killed, the station ends with a sentence, and the record is as above."""
    if house.desk.records.on_sqlite:
        pytest.skip("this is about a server")
    run = _run_to_pack(house)
    chance = random.Random(20261125)
    told: Told = []
    for kills in range(1, BACKENDS + 1):
        done, words = killed_after(
            house.desk.places.folder, run, chance.uniform(0.05, 0.3),
            lambda _, said: os.kill(int(said[1]), signal.SIGKILL),
        )  # fmt: skip
        assert "The server with the record cannot be reached." in words, words
        assert "Traceback" not in words
        told += done
        _when_back(house.desk.records, told, kills)
    assert len(told) > 2 * BACKENDS


def _when_back(records: Records, told: Told, kills: int) -> None:
    """The server takes a moment to begin anew after a backend was killed."""
    for _ in range(100):
        try:
            records.close()
            records.value("SELECT 1")
            break
        except MachineFailed:
            select.select([], [], [], 0.1)
    must_hold(records, told, kills)
    records.close()
