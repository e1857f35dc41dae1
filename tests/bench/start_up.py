# ruff: noqa: T201 - the numbers are what the file is for
"""How long the program takes to its first frame, against an empty Textual program, in one run of this file.

    python tests/bench/start_up.py [ROUNDS]

Each is started in a process of its own, by turns, and timed from its start until its first frame is drawn; the best of
the rounds counts, so that other work on the machine does not. Each finds its modules compiled, as pip leaves them: the
compiled files go into a folder of this run, filled in a round before the ones that count, whatever the environment says
about writing them. The house has landings and a batch that runs, so the start page has lines in its first frame; the
second figure is the time until what has to be judged first is there too. Exit code 1 when the ratio of the first frames
is over 1.5.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from lotwake.trace.actions import set_up
from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.actions.judge import adopt
from lotwake.trace.actions.receive import Arrival, receive
from lotwake.trace.actions.smoke import Input, start_batch, take_step
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.process.plan import shipped_plans
from lotwake.trace.records.entries.house import SiteFacts, SourceFacts

LIMIT = 1.5
BOATS = ("Aurora", "Kittiwake", "Petrel")
EMPTY = """
import os, sys
from textual.app import App
class Empty(App):
    def on_ready(self): self.call_after_refresh(os._exit, 0)
Empty().run(headless=True)
"""
OURS = """
import os, sys
from pathlib import Path
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.base.places import places_at
from lotwake.trace.screens.program import house_app
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.widgets.ledger import Ledger
def drawn(app):
    assert app.page.query_one(Ledger).selected_row is not None, "nothing waits in this house"
    os._exit(0)
HouseApp.on_ready = lambda self: self.call_after_refresh(drawn, self)
house_app(open_desk(places_at(Path(sys.argv[1])), "SK")).run(headless=True)
"""
JUDGED = OURS.replace(
    "    os._exit(0)", "    app.set_interval(0.005, lambda: all(w.is_finished for w in app.workers) and os._exit(0))"
)


def seconds(program: str, folder: Path) -> float:
    """From the start of the process to its end, which is the moment the frame is drawn."""
    given = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    compiled = {"PYTHONPYCACHEPREFIX": str(folder.with_name("compiled"))}
    begun_s = time.perf_counter()
    subprocess.run([sys.executable, "-c", program, str(folder)], check=True, env=given | compiled)
    return time.perf_counter() - begun_s


def main(rounds: int) -> int:
    """Print both times and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        house = Path(folder) / "house"
        build(house)
        rows = [[seconds(program, house) for program in (EMPTY, OURS, JUDGED)] for _ in range(rounds + 1)]
    empty_s, ours_s, judged_s = (min(column) for column in zip(*rows[1:], strict=True))
    ratio = ours_s / empty_s
    print(f"empty {empty_s:.3f} s   ours {ours_s:.3f} s   ratio {ratio:.2f} (limit {LIMIT})")
    print(f"all that waits judged and shown {judged_s:.3f} s   ratio {judged_s / empty_s:.2f}")
    return int(ratio > LIMIT)


def build(folder: Path) -> None:
    """A house with fish on ice and a batch in the kiln."""
    clock = SetClock(datetime(2026, 11, 24, 5, tzinfo=UTC))
    site = SiteFacts("Skerry Smokehouse", "Quay 1, Skerry", "NO", "9520000", "Europe/Oslo")
    desk = set_up_house(places_at(folder), site, "SK", "Signe Kvist", clock)
    for boat in BOATS:
        set_up.add_source(desk, SourceFacts("boat", boat))
    landings = [receive(desk, Arrival("landing", boat, 20_000, "HAD", area="27.4.b")) for boat in BOATS]
    adopt(desk, next(iter(shipped_plans().values())))
    batch = start_batch(desk, "hot smoked", [Input(landings[0].code, 15_000)])
    begun = clock.at
    clock.at += timedelta(hours=2)
    take_step(desk, batch.code, "smoking", begun, clock.at)
    desk.close()


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 5))
