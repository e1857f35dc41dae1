"""The daily backup beside the shell: begun by the first command of a day that writes, in a process of its own.

What goes wrong there is kept in a file, and told by the next command that writes.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from lotwake.trace.actions.daily_backup import back_up_today, is_made
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.clock import SystemClock
from lotwake.trace.base.errors import LotwakeError
from lotwake.trace.base.faults import keep_fault
from lotwake.trace.base.places import Places, places_at

TOLD = "daily-failed.txt"


def begin_unless_made(desk: Desk) -> str:
    """Begin today's backup without waiting for it; what was wrong with the last one is given back, or nothing."""
    failed = desk.places.backups / TOLD
    wrong = failed.read_text(encoding="utf-8").strip() if failed.exists() else ""
    if not is_made(desk):
        subprocess.Popen(
            [sys.executable, "-m", __name__, str(desk.places.folder)],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        )  # fmt: skip
    return wrong


def back_up_apart(places: Places) -> int:
    """Make it, and keep in a file what is wrong with it; that goes when one is whole."""
    failed, clock = places.backups / TOLD, SystemClock()
    try:
        desk = open_desk(places, clock=clock)
        try:
            made = back_up_today(desk)
        finally:
            desk.close()
        if made is None or made.verdict.whole:
            failed.unlink(missing_ok=True)
            return 0
        wrong = f"Today's backup shows that the record is not whole: {made.verdict.problems[0].sentence}"
    except (LotwakeError, OSError) as error:
        wrong = f"Today's backup was not made: {error}"
    except Exception as fault:  # noqa: BLE001 - nobody looks at this process: a fault of ours is kept and told later
        wrong = f"Today's backup was not made. The details are in {keep_fault(places.folder, fault, clock.now())}."
    places.backups.mkdir(exist_ok=True)
    failed.write_text(wrong + "\n", encoding="utf-8")
    return 6


if __name__ == "__main__":
    sys.exit(back_up_apart(places_at(Path(sys.argv[1]))))
