"""One entry is one transaction: all of it is kept, or nothing is, whatever happens in the middle."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from lotwake.trace.actions import receive, ship, smoke
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.errors import CallError, LotwakeError, MachineFailed, Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.records.verify import verify


def everything(desk: Desk) -> dict[str, list[tuple[object, ...]]]:
    tables = ("journal", "counter", *desk.records.columns)
    return {table: desk.records.rows(f"SELECT * FROM {table} ORDER BY 1, 2") for table in tables}


class Broken(Exception):
    """Something nobody foresaw."""


@pytest.mark.parametrize("broken", [Broken, KeyboardInterrupt, Refused])
def test_an_error_in_the_middle_leaves_nothing(house, broken: type[BaseException]) -> None:
    """Rows, corrections, counters and the journal line of an entry that failed are all gone; the next one goes through."""
    lot = house.landing()
    before = everything(house.desk)
    with pytest.raises(broken), house.desk.entry("half done") as entry:  # noqa: PT012 - the block is the entry
        entry.take("sscc", 5)
        entry.add("supplier", name="Nobody", address="", phone="")
        entry.change("lot", {"id": 1}, "note", "half")
        raise broken("in the middle")
    assert everything(house.desk) == before
    house.batch((lot, 1_000))
    assert verify(house.desk.records).whole


def test_a_batch_with_one_bad_input_is_not_begun(house) -> None:
    """When the last of several inputs is refused, the batch, its code and the other inputs are not kept."""
    lot = house.landing(10_000)
    before = everything(house.desk)
    for bad in ((lot, 9_001), (lot, None), (lot, 0), (lot, -5), ("126-328-999-00", 1), ("nothing", 1)):
        with pytest.raises(LotwakeError):
            house.batch((lot, 1_000), bad)
        assert everything(house.desk) == before


def test_nobody_at_work_writes_nothing(house) -> None:
    """A desk that only looks refuses to write and says how to say who is there."""
    looking = open_desk(house.desk.places, None, house.clock)
    with pytest.raises(Refused, match="Nobody is at work"):
        receive.receive(looking, receive.Arrival("landing", "Aurora", 1_000, species="HAD", area="27"))


def test_a_part_falls_by_itself(house) -> None:
    """A part of an entry that fails is taken back alone, counters and corrections included."""
    house.landing()
    with house.desk.entry("in parts") as entry:
        first = entry.take("thing")
        with pytest.raises(CallError), entry.part():  # noqa: PT012 - the block is the part
            entry.take("thing", 10)
            entry.change("lot", {"id": 1}, "note", "half")
            raise CallError("no")
        with entry.part():
            entry.add("supplier", name="Somebody", address="", phone="")
        assert entry.take("thing") == first + 1
    assert house.desk.records.value("SELECT note FROM lot") == ""
    assert verify(house.desk.records).whole


@pytest.mark.on_file
def test_a_full_disk_keeps_what_was_confirmed(house) -> None:
    """When the disk is full the entry says so and leaves nothing; with room again the same desk goes on."""
    house.landing()
    records = house.desk.records
    pages = records.value("PRAGMA page_count")
    records.run(f"PRAGMA max_page_count = {pages}")
    arrival = receive.Arrival("landing", "Aurora", 1_000, species="HAD", area="27", note="n" * 200_000)
    before = everything(house.desk)
    with pytest.raises(MachineFailed, match=r"The disk is full\. Nothing of this entry was kept.*Make room"):
        receive.receive(house.desk, arrival, another=True)
    assert everything(house.desk) == before
    records.run("PRAGMA max_page_count = 1000000")
    receive.receive(house.desk, arrival, another=True)
    assert verify(records).whole


@pytest.mark.on_file
def test_a_busy_record_says_so(house) -> None:
    """Another station that keeps the record too long is named as the reason, and the entry can be made again."""
    with closing(sqlite3.connect(house.desk.places.records, isolation_level=None)) as other:
        house.desk.records.run("PRAGMA busy_timeout = 100")
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(MachineFailed, match="Another station kept the record busy too long"):
            house.landing()
        other.execute("ROLLBACK")
    house.landing()


@pytest.mark.on_file
def test_a_read_only_record_can_be_read_but_not_written(house) -> None:
    """On a connection that may not write, questions are answered and an entry is refused with what to look at."""
    house.landing()
    house.desk.records.run("PRAGMA query_only = 1")
    assert house.desk.records.value("SELECT COUNT(*) FROM lot") == 1
    with pytest.raises(MachineFailed, match="can be read but not written"):
        house.landing()


def test_a_rule_of_the_database_is_a_refusal(house) -> None:
    """What slips past the entries and breaks a key or a link is still refused with a sentence, and leaves nothing."""
    before = everything(house.desk)
    for values in ({"name": "Quay Deli"}, {"name": None}):
        with pytest.raises(Refused, match="The record refuses this entry"), house.desk.entry("odd") as entry:
            entry.add("buyer", **values, phone="", email="", address="")
    with pytest.raises(Refused, match="The record refuses this entry"), house.desk.entry("odd") as entry:
        entry.add("lot_use", lot=77, work=78, g=1)
    assert everything(house.desk) == before


def test_an_interrupted_set_up_is_named(template: Path, tmp_path: Path) -> None:
    """A record without its first entry, as a power cut during the set-up leaves it, is refused with what to do."""
    folder = tmp_path / "house"
    shutil.copytree(template, folder)
    with closing(sqlite3.connect(places_at(folder).records)) as other:
        other.execute("DELETE FROM site")
        other.commit()
    with pytest.raises(LotwakeError, match=r"was cut short.*Remove records\.db"):
        open_desk(places_at(folder), "SK")


def test_two_stations_case_up_the_same_run(house) -> None:
    """Two desks that case up one after the other never take the same packs."""
    run = house.packed_run(48)
    other = open_desk(house.desk.places, "SK", house.clock)
    assert len(ship.case_up(house.desk, run, 2)) == 2
    assert len(ship.case_up(other, run)) == 2
    with pytest.raises(Refused, match="0 loose packs"):
        ship.case_up(house.desk, run)
    batch = house.batch((house.landing(), 1_000))
    smoke.lose(other, batch, "trim", 1_000)
    with pytest.raises(Refused, match="0 g left"):
        smoke.lose(house.desk, batch, "trim", 1)
    other.close()
