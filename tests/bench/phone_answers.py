"""How long the phone rings: cold processes that answer for an origin, begin a drill and look at one, on the demo season.

Run it from a shell, with the program installed:

    python tests/bench/phone_answers.py

It builds the season in a temporary folder and prints the median seconds of each call, from process start to answer. The
limit of each is one second.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from lotwake.demo_db.builder import build
from lotwake.demo_db.scenario import MORNING_AFTER

TIMES, LIMIT_S = 5, 1.0
_CALL = (
    "import sys; from datetime import datetime; from lotwake.trace.base.clock import SetClock;"
    "from lotwake.trace.cli.main import main; sys.exit(main(sys.argv[2:], SetClock(datetime.fromisoformat(sys.argv[1]))))"
)


def timed(folder: Path, *words: str) -> tuple[float, str]:
    """The median seconds of a call, and its last answer."""
    spent = []
    for _ in range(TIMES):
        begun = time.perf_counter()
        ran = subprocess.run(
            [sys.executable, "-c", _CALL, MORNING_AFTER.isoformat(), "--at", str(folder), *words, "--json"],
            capture_output=True,
            text=True,
            check=True,
        )
        spent.append(time.perf_counter() - begun)
    return statistics.median(spent), ran.stdout


def main() -> int:
    """Print each call with its time; 1 when one takes longer than the limit."""
    with tempfile.TemporaryDirectory() as workshop:
        built = build(Path(workshop) / "house")
        folder, run = built.places.folder, built.landmarks["run of flakes of 2026-11-09"]
        calls = {
            "origin answer, a pack": ("origin", f"{run}/3"),
            "origin answer, with its page": ("origin", f"{run}/3", "--out", str(Path(workshop) / "origin.pdf")),
            "drill begun, a landing": ("drill", "begin", built.landmarks["corrected landing"]),
            "drill looked at": ("drill", "status"),
        }
        slow = 0
        for what, words in calls.items():
            spent_s, said = timed(folder, *words)
            slow += spent_s > LIMIT_S
            packs = json.loads(said).get("where", {}).get("made", "")
            print(f"{what:30} {spent_s:.2f} s (limit {LIMIT_S:g} s) {packs}")  # noqa: T201 - a bench talks
    return int(slow > 0)


if __name__ == "__main__":
    sys.exit(main())
