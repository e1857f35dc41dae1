"""Turns: stations that write to one file queue for it, so that none waits long while another is quick.

SQLite lets whoever asks at the right moment write next: beside busy stations one of them can wait for seconds. Two lock
files in front of it make a queue: only the one at the door may take the next turn, so a station that was just served
does not come first again. The locks end with the process that holds them.
"""

from __future__ import annotations

import errno
import math
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import IO

from lotwake.trace.base.errors import MachineFailed

if sys.platform != "win32":
    import fcntl

LOOK_AGAIN_S = 0.0005
TELL_AFTER_S = 0.7
TAILS = ("-door", "-turn")


@contextmanager
def turn(records: Path, longest_s: float, waiting: Callable[[], None] = lambda: None) -> Iterator[None]:
    """Wait until it is our turn to write to this file. MachineFailed when it does not come within ``longest_s``.

    ``waiting`` is called once when it takes long enough for a person to wonder.

    Where the platform or the disk has no such locks, or the folder may only be read, the database's own waiting remains.
    """
    until = time.monotonic() + longest_s
    patience = _Patience(time.monotonic() + TELL_AFTER_S, waiting)
    with ExitStack() as held:
        try:
            door, place = (held.enter_context(records.with_name(records.name + tail).open("ab")) for tail in TAILS)
        except OSError:
            pass  # the database says by itself what is wrong with the folder
        else:
            if _took(door, until, patience) and _took(place, until, patience):
                door.close()
        yield


class _Patience:
    """Tells once, after a while, that somebody waits."""

    def __init__(self, ends: float, tell: Callable[[], None]) -> None:
        self._ends = ends
        self._tell = tell

    def look(self, now: float) -> None:
        """It is so late now."""
        if now > self._ends:
            self._ends = math.inf
            self._tell()


def _took(lock: IO[bytes], until: float, patience: _Patience) -> bool:
    """Wait for a lock; False where there are none."""
    if sys.platform == "win32":
        return False
    while True:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.EACCES):
                return False
        else:
            return True
        patience.look(time.monotonic())
        if time.monotonic() > until:
            raise MachineFailed(
                "Another station kept the record busy too long. Nothing of this entry was kept; everything confirmed"
                " before is safe in the record.",
                "Enter it again.",
            )
        time.sleep(LOOK_AGAIN_S)
