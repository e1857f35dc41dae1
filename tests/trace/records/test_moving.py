"""A whole record moves from a file to a server and back, line for line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from lotwake.trace.actions import receive, smoke
from lotwake.trace.actions.back_up import back_up, restore
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.actions.move_records import move_records
from lotwake.trace.base.clock import SystemClock
from lotwake.trace.base.errors import CallError, MachineFailed, Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.base.settings import read_settings
from lotwake.trace.records.journal import head
from lotwake.trace.records.server import Server
from lotwake.trace.records.verify import verify


@pytest.mark.on_file
def test_a_record_goes_into_another_folder(house, lived_in: Path, tmp_path: Path) -> None:
    """The copy ends with the same hash, is whole, and is worked in further; the old one stays as it was."""
    desk = open_desk(places_at(lived_in), "SK", house.clock)
    moved = move_records(desk, str(tmp_path / "other"))
    assert moved.verdict.whole
    assert moved.head == head(desk.records)
    with pytest.raises(Refused, match="There is a record"):
        move_records(desk, str(tmp_path / "other"))
    desk.close()
    _must_go_on(tmp_path / "other", house.clock)


def _must_go_on(folder: Path, clock) -> None:
    """New entries find free numbers, and the record is still whole."""
    clock.at = max(clock.at, clock.at.replace(hour=12))
    desk = open_desk(places_at(folder), "SK", clock)
    lot = receive.receive(desk, receive.Arrival("landing", "Aurora", 5_000, species="HAD", area="27"), another=True)
    smoke.start_batch(desk, "hot smoked", [smoke.Input(lot.code, 1_000)])
    assert verify(desk.records).whole
    desk.close()


@pytest.mark.on_file
def test_a_record_goes_to_a_server_and_back(new_server_database: str, house, lived_in: Path, tmp_path: Path) -> None:
    """There and back the last hash stays, everything is whole, and both places are worked in further."""
    desk = open_desk(places_at(lived_in), "SK", house.clock)
    there = move_records(desk, new_server_database)
    assert there.verdict.whole
    with pytest.raises(Refused, match="not empty"):
        move_records(desk, new_server_database)
    desk.close()
    folder = tmp_path / "on-server"
    folder.mkdir()
    (folder / "house.toml").write_text(f'database = "{new_server_database}"\n', encoding="utf-8")
    with pytest.raises(CallError, match="is on a server"):
        restore(places_at(folder), places_at(lived_in).records, SystemClock())
    station = open_desk(places_at(folder), "SK", house.clock)
    back = move_records(station, str(tmp_path / "back"))
    assert back.verdict == there.verdict
    backup = back_up(station, tmp_path / "backup.db")
    assert backup.verdict == there.verdict
    station.close()
    _must_go_on(folder, house.clock)
    _must_go_on(tmp_path / "back", house.clock)


@pytest.mark.on_file
def test_a_server_that_is_away_is_named(house, tmp_path: Path) -> None:
    """An address where nothing answers is one sentence, and one without its scheme is refused before."""
    pytest.importorskip("psycopg")
    settings = tmp_path / "away" / "house.toml"
    settings.parent.mkdir()
    settings.write_text('database = "postgresql://house@127.0.0.1:9/none"\n', encoding="utf-8")
    with pytest.raises(MachineFailed, match=r"server with the record cannot be reached.*Check that it runs"):
        open_desk(places_at(settings.parent), "SK", house.clock)
    settings.write_text('database = "house.db"\n', encoding="utf-8")
    with pytest.raises(CallError, match="no server's address"):
        read_settings(settings)


@pytest.mark.on_file
def test_a_station_whose_server_fell_goes_on(new_server_database: str, house, lived_in: Path, tmp_path: Path) -> None:
    """When the server ends a connection, the entry says so and is not kept; the next question connects again."""
    desk = open_desk(places_at(lived_in), "SK", house.clock)
    move_records(desk, new_server_database)
    desk.close()
    shutil.copytree(lived_in, tmp_path / "on-server")
    folder = tmp_path / "on-server"
    (folder / "house.toml").write_text(f'database = "{new_server_database}"\n', encoding="utf-8")
    station, other = open_desk(places_at(folder), "SK", house.clock), Server(new_server_database)
    before = head(station.records)
    with pytest.raises(MachineFailed, match="cannot be reached"), station.entry("cut off") as entry:  # noqa: PT012
        entry.add("supplier", name="Somebody", address="", phone="")
        other.execute_sql(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database()"
            " AND pid <> pg_backend_pid()"
        )
        entry.add("supplier", name="Nobody", address="", phone="")
    assert head(station.records) == before
    with station.entry("again") as entry:
        entry.add("supplier", name="Somebody", address="", phone="")
    assert verify(station.records).whole
    station.close()
    other.close()
