"""The lived-in house of these tests also has spoiled labels and an end taken back, so that no table of the record is empty."""

from __future__ import annotations

from pathlib import Path

import pytest

from lotwake.trace.actions import pack
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.base.places import places_at
from lotwake.trace.records.entries import packs


@pytest.fixture(scope="session")
def lived_in(lived_in: Path) -> Path:
    """The folder of a house in which everything has happened once."""
    desk = open_desk(places_at(lived_in), "SK")
    run = desk.records.value("SELECT id FROM run")
    with desk.entry("waste labels") as entry:
        packs.waste_labels(entry, run, 3, "the roll jammed", desk.now)
    code = desk.records.value("SELECT code FROM run WHERE id = ?", run)
    pack.undo_end(desk, f"{code}/48", "it was clean")
    pack.end_packs(desk, f"{code}/48", "VOID", "smeared after all")
    desk.close()
    return lived_in
