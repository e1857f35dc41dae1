"""A keyboard reader whose clock counts only the time it has listened.

A loaded machine makes keys look further apart than they came: they wait in the terminal while the program stands still.
So keys are stamped with the seconds spent waiting for them. Between two keys on this clock no more time goes by than
between their arrivals, except for one last wait, which is short; a stall of any length counts for nothing.
"""

from __future__ import annotations

import os
import select
from codecs import getincrementaldecoder
from itertools import chain
from time import monotonic
from typing import Any

from textual import events
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

_SHORT_S = 0.02  # soon after a key: what is held for its speed is released in time
_LONG_S = 0.1  # nobody types: the processor rests
_SOON_S = 1.5
_AT_ONCE = 4096


class ListeningDriver(LinuxDriver):
    """Takes the place of the reading loop of Textual's own driver; everything else is as it was."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.heard_s = 0.0
        """Up to when every key that came was passed on."""
        self._last_key_s = 0.0

    def _sigcont_application(self, *signal: Any) -> None:
        """Go on after a stop from outside as before: a second reader would share the keys with the first."""
        if self._must_signal_resume:
            super()._sigcont_application(*signal)

    def run_input_thread(self) -> None:
        """Read, parse and stamp until the program ends."""
        parser = XTermParser(self._debug)
        decode = getincrementaldecoder("utf-8")(errors="replace").decode
        while not self.exit_event.is_set():
            ready, now_s = self._listen()
            text = decode(self._read()) if ready else ""
            for message in chain(parser.feed(text) if text else (), parser.tick()):
                self._pass_on(message, now_s)
            self.heard_s = now_s

    def _listen(self) -> tuple[bool, float]:
        """Wait shortly: whether something came, and what the clock says then."""
        wait_s = _SHORT_S if self.heard_s - self._last_key_s < _SOON_S else _LONG_S
        begun_s = monotonic()
        ready = bool(select.select([self.fileno], [], [], wait_s)[0])
        return ready, self.heard_s + min(wait_s, monotonic() - begun_s)

    def _read(self) -> bytes:
        """What waits in the terminal; nothing when it is gone, which the program looks out for by itself."""
        try:
            got = os.read(self.fileno, _AT_ONCE)
        except OSError:
            got = b""
        if not got:
            self.exit_event.wait(_LONG_S)
        return got

    def _pass_on(self, message: Message, now_s: float) -> None:
        if isinstance(message, events.Key | events.Paste):
            self._last_key_s = message.time = now_s
        self.process_message(message)
