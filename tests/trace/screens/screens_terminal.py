"""A program in a pseudo-terminal, seen and fed from outside."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

HERE = Path(__file__).parent
_COLOURFUL = {"TERM": "xterm-256color", "COLORTERM": "truecolor"}


class Terminal:
    """A program of this folder in a pseudo-terminal of 80 by 24; its last argument is the file for what it heard."""

    def __init__(
        self,
        folder: Path,
        has_control: bool = True,
        script: str = "screens_demo.py",
        arguments: Sequence[str] = (),
        env: Mapping[str, str] | None = None,
    ) -> None:
        self.heard_file = folder / "heard.txt"
        self.drafts = folder / "drafts"
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.process = subprocess.Popen(
            [sys.executable, str(HERE / script), *(arguments or [str(self.drafts)]), str(self.heard_file)],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env={**os.environ, **_COLOURFUL, "PYTHONPATH": str(HERE), **(env or {})},
            start_new_session=True,
            preexec_fn=(lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0)) if has_control else None,
        )
        os.close(slave)
        self.output = bytearray()

    def read(self, wait_s: float = 0.0) -> bytes:
        """What the program has written since the last look."""
        got = b""
        while select.select([self.master], [], [], 0 if got else wait_s)[0]:
            try:
                chunk = os.read(self.master, 65536)
            except OSError:  # the other end is gone
                break
            if not chunk:
                break
            got += chunk
        self.output += got
        return got

    def write(self, data: bytes) -> None:
        """Send bytes; what the program writes meanwhile is read, so that neither waits for the other."""
        while data:
            self.read()
            _, ready, _ = select.select([], [self.master], [], 5)
            assert ready, "the program reads nothing"
            data = data[os.write(self.master, data[:512]) :]

    def be_quiet(self) -> None:
        """Wait until the program writes nothing for a while."""
        while self.read(0.05):
            pass

    def wait_for(self, text: str, within_s: float = 20.0, since: int | None = None) -> None:
        """Wait until a text was drawn, counted from a place in the output; without one from a little before now."""
        until = time.monotonic() + within_s
        mark = max(0, len(self.output) - 200) if since is None else since
        while self.output.find(text.encode(), mark) < 0:
            assert time.monotonic() < until, f"{text!r} was never drawn"
            self.read(0.05)

    def heard(self) -> list[str]:
        """What the page was told, written at the end of the program."""
        return self.heard_file.read_text(encoding="utf-8").removesuffix("\n").split("\n")  # GS is no line end here

    def ended(self, within_s: float = 10.0) -> int:
        """Exit code, reading on so that the program can write its last bytes."""
        until = time.monotonic() + within_s
        while self.process.poll() is None:
            assert time.monotonic() < until, "the program did not end"
            self.read(0.05)
        self.read()
        return self.process.returncode


@contextmanager
def terminal(
    folder: Path,
    has_control: bool = True,
    script: str = "screens_demo.py",
    arguments: Sequence[str] = (),
    env: Mapping[str, str] | None = None,
) -> Iterator[Terminal]:
    """A started program; whatever happens, it ends with the test."""
    made = Terminal(folder, has_control, script, arguments, env)
    try:
        made.wait_for("NOW")
        yield made
    finally:
        if made.process.poll() is None:
            made.process.kill()
            made.process.wait()
        try:
            os.close(made.master)
        except OSError:
            assert not has_control  # that test closed it
