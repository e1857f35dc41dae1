"""Codes, serials and SSCCs are unique under any number of stations writing at once."""

from __future__ import annotations

import multiprocessing
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import pytest

from lotwake.trace.actions import pack, receive, ship
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.base.ranges import Serials, merged
from lotwake.trace.records.find import by_code
from lotwake.trace.records.verify import verify

LATER = datetime(2026, 11, 24, 6, tzinfo=UTC)


def _station(folder: Path, run: str, rounds: int, packs: int, answers: object = None) -> list[tuple[int, int]]:
    """One station: packs, cases and landings as fast as it can; the serial ranges it was given are given back."""
    desk = open_desk(places_at(folder), "SK", SetClock(LATER))
    given = []
    for _ in range(rounds):
        made = pack.add_packs(desk, run, packs)
        given.append((made.first, made.last))
        ship.close_case(desk, [f"{run}/{made.first}-{made.last}"])
        receive.receive(desk, receive.Arrival("landing", "Aurora", 1000, species="HAD", area="27"), another=True)
    desk.close()
    if answers is not None:
        answers.put(given)  # type: ignore[attr-defined]
    return given


def _must_be_unique(house, run: str, given: list[tuple[int, int]], cases: int) -> None:
    records = house.desk.records
    ranges = sorted(Serials(*item) for item in given)
    assert all(a.last < b.first for a, b in pairwise(ranges))
    assert merged(ranges) == [Serials(1, sum(item.count for item in ranges))]
    stored = records.rows("SELECT first, last FROM pack_range WHERE run = ?", by_code(records, run).id)
    assert sorted(stored) == sorted(given)
    assert records.value("SELECT COUNT(DISTINCT sscc) FROM unit") == cases
    assert records.value("SELECT COUNT(DISTINCT code) - COUNT(*) FROM lot") == 0
    assert verify(records).whole


def test_stations_in_threads_get_different_numbers(house) -> None:
    """Four desks in one process take 3,000 serials, 120 cases and 120 landings; no number is given twice."""
    batch = house.released((house.landing(1_000_000), 1_000_000))
    run = house.run((batch, None))
    with ThreadPoolExecutor(4) as pool:
        stations = [pool.submit(_station, house.desk.places.folder, run, 30, 25) for _ in range(4)]
        given = [item for station in stations for item in station.result()]
    _must_be_unique(house, run, given, 120)


def test_stations_in_processes_get_different_numbers(house) -> None:
    """Four processes write at once; every station gets through, and no number is given twice."""
    batch = house.released((house.landing(1_000_000), 1_000_000))
    run = house.run((batch, None))
    house.desk.close()
    context = multiprocessing.get_context("fork")
    answers = context.Queue()
    stations = [
        context.Process(target=_station, args=(house.desk.places.folder, run, 20, 40, answers)) for _ in range(4)
    ]
    for station in stations:
        station.start()
    given = [item for _ in stations for item in answers.get(timeout=60)]
    for station in stations:
        station.join()
        assert station.exitcode == 0
    _must_be_unique(house, run, given, 80)


def test_a_number_of_a_failed_entry_is_not_skipped_or_given_twice(house) -> None:
    """An entry that is refused gives its numbers back with everything else."""
    run = house.packed_run(10)
    before = house.desk.records.rows("SELECT * FROM counter ORDER BY name")
    for contents in ([f"{run}/1-12"], [f"{run}/1", f"{run}/1"]):
        with pytest.raises(Refused):
            ship.close_case(house.desk, contents)
    assert house.desk.records.rows("SELECT * FROM counter ORDER BY name") == before
    first = int(house.case(f"{run}/1"))
    second = int(house.case(f"{run}/2"))
    assert second // 10 == first // 10 + 1
