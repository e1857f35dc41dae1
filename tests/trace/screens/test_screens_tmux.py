"""The main job in the real program inside tmux: landing, batch, steps, release, labels, case, dispatch, trace."""

from __future__ import annotations

import shutil
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from screens_house import House, scan, small_house
from screens_stock import sscc
from screens_tmux import Window, window

from lotwake.trace.base.codes import show_code
from lotwake.trace.records.verify import verify

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed")


def newest(house: House, what: str, table: str) -> str:
    """What was made last."""
    desk = house.desk()
    value = str(desk.records.value(f"SELECT {what} FROM {table} ORDER BY rowid DESC LIMIT 1"))
    desk.close()
    return value


def label(house: House, run: str, serial: int) -> str:
    """What the printed label of a pack says to a scanner."""
    desk = house.desk()
    best_before = str(desk.records.value("SELECT best_before FROM run WHERE code = ?", run))
    desk.close()
    day = best_before.replace("-", "")[2:8]
    return f"]C1010952000000002815{day}10{run}\x1d21{serial:04d}\r"


def fish_into_packs(house: House, shown: Window) -> str:
    """From the quay to labelled packs; the run."""
    shown.wait_for("START", "IN STORE")
    shown.keys("/landing\r", "aur\r", "\r", "39\r", "\r", "\r", "\r", "1,5\r", "\r")
    shown.wait_for(" GOOD ", "39 kg")
    lot = newest(house, "code", "lot")
    shown.keys("/batch\r", "0\r", "2\r", "1\r", scan(lot))
    shown.wait_for("Enter alone takes all of it")
    shown.keys("30\r")
    shown.wait_for(" GOOD ", "30 kg in it now")
    batch = newest(house, "code", "batch")
    shown.keys("/step smoking\r")
    shown.wait_for("Smoking runs")
    shown.keys("/core 71.8\r")
    shown.wait_for("71.8")
    shown.keys("/end\r")
    shown.wait_for("Smoking ended")
    shown.keys("/loss drying 6\r", "/release\r")
    shown.wait_for(" GOOD ", "RELEASED")
    shown.keys("/pack\r", scan(batch))
    shown.wait_for("ON THE TABLE", show_code(batch))
    shown.keys("24\r")
    shown.wait_for("24 labels printed")
    return newest(house, "code", "run")


def packs_to_a_buyer(house: House, shown: Window, run: str) -> str:
    """From labels to the van; the case."""
    shown.keys(label(house, run, 7))
    shown.wait_for("The label reads back: 0007")
    shown.keys("/case\r")
    shown.wait_for(" GOOD ", "closed and labelled")
    case = f"{int(newest(house, 'sscc', 'unit')):018d}"
    shown.keys("/dispatch\r", "deli\r")
    shown.wait_for("Quay Deli")
    shown.keys(sscc(case))
    shown.wait_for("1 scanned, 12 packs")
    shown.keys("/document DN-1\r")
    shown.wait_for("document DN-1")
    shown.keys("\r", "\r")
    shown.wait_for("Sent to Quay Deli")
    return case


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: "x".join(map(str, size)))
def test_the_main_job_in_tmux(tmp_path: Path, size: tuple[int, int]) -> None:
    """By keys and scans alone the fish goes from the boat to the buyer, and the buyer's pack leads back to the boat."""
    house = small_house(tmp_path / "house", datetime.now(UTC).replace(second=0, microsecond=0) - timedelta(hours=3))
    program = [sys.executable, "-m", "lotwake.trace.screens.program", str(house.places.folder), "SK"]
    with window(tmp_path, program, size) as shown:
        run = fish_into_packs(house, shown)
        packs_to_a_buyer(house, shown, run)
        shown.keys("/trace\r", label(house, run, 7))
        shown.wait_for("BALANCED", "BOATS 1", "Aurora", "Quay Deli")
        shown.keys("/quit\r")
        shown.wait_for_the_end()
    desk = house.desk()
    assert verify(desk.records).whole
    desk.close()
    assert not (house.places.folder / "faults.log").exists()
