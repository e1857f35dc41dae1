# ruff: noqa: T201 - the numbers are what the file is for
"""How long the program takes to its first frame, against an empty Textual program, in one run of this file.

    python tests/bench/start_up.py [ROUNDS]

Each is started in a process of its own, by turns, and timed from its start to the first frame drawn; the best of the
rounds counts, so that other work on the machine does not. Exit code 1 when the ratio is over 1.5.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.records.entries.house import SiteFacts

LIMIT = 1.5
EMPTY = """
from textual.app import App
class Empty(App):
    def on_ready(self): self.call_after_refresh(self.exit)
Empty().run(headless=True)
"""
OURS = """
import sys
from pathlib import Path
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.base.places import places_at
from lotwake.trace.screens.program import house_app
from lotwake.trace.screens.house_app import HouseApp
HouseApp.on_ready = lambda self: self.call_after_refresh(self.exit)
house_app(open_desk(places_at(Path(sys.argv[1])), "SK")).run(headless=True)
"""


def seconds(program: str, folder: Path) -> float:
    """From the start of the process to its end, right behind the first frame."""
    begun_s = time.perf_counter()
    subprocess.run([sys.executable, "-c", program, str(folder)], check=True)
    return time.perf_counter() - begun_s


def main(rounds: int) -> int:
    """Print both times and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        house = Path(folder) / "house"
        site = SiteFacts("Skerry Smokehouse", "Quay 1, Skerry", "NO", "9520000", "Europe/Oslo")
        set_up_house(
            places_at(house), site, "SK", "Signe Kvist", SetClock(datetime(2026, 11, 24, 5, tzinfo=UTC))
        ).close()
        pairs = [(seconds(EMPTY, house), seconds(OURS, house)) for _ in range(rounds)]
    empty_s, ours_s = (min(times) for times in zip(*pairs, strict=True))
    print(f"empty {empty_s:.3f} s   ours {ours_s:.3f} s   ratio {ours_s / empty_s:.2f} (limit {LIMIT})")
    return int(ours_s / empty_s > LIMIT)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 5))
