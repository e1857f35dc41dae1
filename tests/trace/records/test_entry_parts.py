"""An entry that is made in parts, and what an entry costs when the record is large."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from lotwake.trace.actions.desk import Desk, set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.records.entries.house import SiteFacts, add_equipment, add_supplier
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.verify import verify

SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    clock = SetClock(datetime(2026, 12, 1, 12, tzinfo=UTC))
    opened = set_up_house(places_at(tmp_path / "house"), SITE, "SK", "Signe Kvist", clock)
    yield opened
    opened.close()


def test_a_part_that_fails_is_taken_back_alone(desk: Desk) -> None:
    """What a refused part wrote, counted or changed is gone; the parts around it are kept, and the journal says just that."""
    with desk.entry("three parts") as entry:
        with entry.part():
            add_supplier(entry, "Bag House", "", "")
            entry.take("kept")
        with pytest.raises(Refused):
            write_and_fail(entry)
        with entry.part():
            add_equipment(entry, "Kiln 1", "smokehouse")
    assert desk.records.rows("SELECT name FROM supplier") == [("Bag House",)]
    assert desk.records.rows("SELECT name FROM equipment") == [("Kiln 1",)]
    assert desk.records.value("SELECT next FROM counter WHERE name = 'kept'") == 2
    assert desk.records.value("SELECT next FROM counter WHERE name = 'dropped'") is None
    assert verify(desk.records).problems == ()


def write_and_fail(entry: Entry) -> None:
    with entry.part():
        made = add_supplier(entry, "Salt House", "", "")
        entry.change("supplier", {"id": made}, "phone", "1")
        entry.take("dropped")
        add_supplier(entry, "Bag House", "", "")


def test_an_entry_costs_the_same_in_a_large_record(desk: Desk) -> None:
    """SQLite's work for one entry, in steps of its virtual machine, does not grow with 20,000 rows in other tables."""
    small = steps_of_an_entry(desk, "Bag House")
    with desk.entry("many rows") as entry:
        for number in range(20_000):
            entry.add("alias", text=f"H-{number}", kind="lot", ref=number)
    assert steps_of_an_entry(desk, "Salt House") <= 1.5 * small


def steps_of_an_entry(desk: Desk, name: str) -> int:
    steps = 0

    def count() -> int:
        nonlocal steps
        steps += 1
        return 0

    connection = desk.records.database.connection()
    connection.set_progress_handler(count, 1)
    with desk.entry("add supplier") as entry:
        add_supplier(entry, name, "", "")
    connection.set_progress_handler(None, 1)
    return steps
