"""A program in a tmux window of its own: bytes go in as from a keyboard or scanner, what is seen comes out as text."""

from __future__ import annotations

import shlex
import subprocess
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path


class Window:
    """One window of one tmux server that nobody else uses."""

    def __init__(self, socket: Path) -> None:
        self._socket = socket

    def tmux(self, *arguments: str) -> str:
        """Ask tmux; what it says."""
        command = ["tmux", "-S", str(self._socket), "-f", "/dev/null", *arguments]
        return subprocess.run(command, check=True, capture_output=True, text=True).stdout

    def keys(self, *typed: str) -> None:
        """Send these texts as the bytes they are, all at once."""
        for text in typed:
            self.tmux("send-keys", "-t", "0", "-H", *(f"{byte:02x}" for byte in text.encode()))

    def seen(self) -> str:
        """What is on the screen."""
        return self.tmux("capture-pane", "-p", "-t", "0")

    def wait_for(self, *texts: str, within_s: float = 20.0) -> str:
        """Wait until all of these are seen; the screen that shows them."""
        until = time.monotonic() + within_s
        while True:
            seen = self.seen()
            if all(text in seen for text in texts):
                return seen
            assert time.monotonic() < until, f"{texts} never came:\n{seen}"
            time.sleep(0.05)

    def wait_for_the_end(self, within_s: float = 10.0) -> None:
        """Wait until the program has ended; the window and its server end with it."""
        until = time.monotonic() + within_s
        command = ["tmux", "-S", str(self._socket), "has-session"]
        while subprocess.run(command, check=False, capture_output=True).returncode == 0:
            assert time.monotonic() < until, "the program did not end"
            time.sleep(0.05)


@contextmanager
def window(
    folder: Path, command: Sequence[str], size: tuple[int, int] = (80, 24), env: Mapping[str, str] | None = None
) -> Iterator[Window]:
    """A started program; its server ends with the test."""
    made = Window(folder / "tmux")
    given = [part for name, value in (env or {}).items() for part in ("-e", f"{name}={value}")]
    made.tmux("new-session", "-d", "-x", str(size[0]), "-y", str(size[1]), *given, shlex.join(command))
    try:
        yield made
    finally:
        subprocess.run(["tmux", "-S", str(folder / "tmux"), "kill-server"], check=False, capture_output=True)
