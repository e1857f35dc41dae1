"""Stations queue for the record: whoever was just served does not come first again, and nobody waits for ever."""

from __future__ import annotations

import fcntl
import sqlite3
import threading
import time
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest

from lotwake.trace.actions.desk import open_desk
from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.records import database
from lotwake.trace.records.turns import turn


def test_two_busy_stations_take_turns(tmp_path: Path) -> None:
    """Of two stations that write without a pause, each comes after the other, give or take a start and an end."""
    served: list[str] = []

    def station(name: str) -> None:
        for _ in range(25):
            with turn(tmp_path / "records.db", 5):
                served.append(name)
                time.sleep(0.004)

    stations = [threading.Thread(target=station, args=(name,)) for name in "AB"]
    for each in stations:
        each.start()
    for each in stations:
        each.join()
    assert sorted(served) == ["A"] * 25 + ["B"] * 25
    assert sum(a == b for a, b in pairwise(served)) <= 10


@pytest.mark.on_file
@pytest.mark.parametrize("tail", ["-door", "-turn"])
def test_a_station_that_hangs_does_not_hold_the_others_for_ever(house, tail: str, monkeypatch) -> None:
    """When the turn does not come, the entry is not made, the sentence says why, and it can be made again."""
    monkeypatch.setattr(database, "BUSY_WAIT_S", 0.05)
    path = house.desk.places.records
    with path.with_name(path.name + tail).open("ab") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        with pytest.raises(MachineFailed, match=r"kept the record busy too long.*Enter it again"):
            house.landing()
    house.landing()


def test_without_lock_files_the_database_waits_by_itself(tmp_path: Path) -> None:
    """Where no lock file can be made, a turn comes at once and the database has the last word."""
    with turn(tmp_path / "no such folder" / "records.db", 5):
        pass


@pytest.mark.on_file
def test_reading_does_not_queue(house) -> None:
    """A question is answered while another station writes."""
    lot = house.landing()
    looking = open_desk(house.desk.places, None, house.clock)
    with closing(sqlite3.connect(house.desk.places.records, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with turn(house.desk.places.records, 5):
            assert looking.records.value("SELECT code FROM lot") == lot
        other.execute("ROLLBACK")
    looking.close()


@pytest.mark.on_file
def test_a_long_wait_is_told_once(tmp_path: Path) -> None:
    """Whoever waits longer than a moment is told so, once, and goes on when the other is done; a short wait is not told."""
    record = tmp_path / "records.db"
    told: list[str] = []
    begun = threading.Event()

    def other(held_s: float) -> None:
        with turn(record, 5.0):
            begun.set()
            time.sleep(held_s)

    for held_s, times in ((0.1, 0), (1.2, 1)):
        begun.clear()
        station = threading.Thread(target=other, args=(held_s,))
        station.start()
        begun.wait()
        with turn(record, 10.0, lambda: told.append("waiting")):
            pass
        station.join()
        assert len(told) == times
