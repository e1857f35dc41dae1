"""Whether the terminal is still there."""

from __future__ import annotations

import os
import select
import sys


def terminal_lost() -> bool:
    """True when the standard input was a terminal and its other end is gone.

    Without this a program whose terminal goes away without SIGHUP reads nothing for ever at full speed.
    """
    if os.name != "posix" or sys.__stdin__ is None:
        return False
    poll = select.poll()
    poll.register(sys.__stdin__.fileno(), 0)  # no events asked for: hang-up and error are always told
    return any(event & (select.POLLHUP | select.POLLERR | select.POLLNVAL) for _fd, event in poll.poll(0))
