"""Sending a job once: a retry after any failure, a crash or a power cut prints nothing twice.

A marker file stands for each job: ``NAME.sending`` from before the first byte leaves, ``NAME.sent`` once it arrived. A job
that never left for certain has none. One that broke off on the way keeps ``sending``, with the target's name in it: the
next try asks that target, and where nobody can tell a person has to look, and settles it.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from lotwake.labels.errors import LabelNotWritten, WrongData
from lotwake.labels.printing.targets import Job, NotDelivered, PerhapsDelivered, Target

UNDER_WAY_S = 120  # a marker younger than this may belong to a station that is sending now
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}", re.ASCII)


class State(Enum):
    """How it stands with a job."""

    SENT = "sent"
    WAITING = "waiting"
    UNSURE = "unsure"


@dataclass(frozen=True)
class Outcome:
    """How it stands with a job after a try.

    ``reason`` says why it waits or why nobody knows; ``again`` is True when it had been sent before and was left alone.
    """

    state: State
    job: str
    target: str
    reason: str = ""
    again: bool = False


@dataclass(frozen=True)
class Spool:
    """A folder with the markers of the jobs of a house. ``clock_s`` gives the time as files have it, in seconds."""

    folder: Path
    clock_s: Callable[[], float] = time.time

    def send(self, job: Job, target: Target) -> Outcome:
        """Send the job, unless it was sent before. A job that waits may be sent again, here or elsewhere.

        Raises:
            WrongData: when the name of the job cannot be the name of a file, or its PDF is not there.
            LabelNotWritten: when the folder cannot be written; then nothing is sent.
        """
        if not job.pdf.is_file():
            raise WrongData(f"{job.pdf} is not there.", "Make the labels again; nothing was sent.")
        if self._sent(job.name).exists():
            return Outcome(State.SENT, job.name, target.shown, again=True)
        if not self._begin(job.name, target) and (early := self._arrived_before(job, target)):
            return early
        try:
            target.deliver(job)
        except NotDelivered as problem:
            self._sending(job.name).unlink()
            return Outcome(State.WAITING, job.name, target.shown, str(problem))
        except PerhapsDelivered as problem:
            return Outcome(State.UNSURE, job.name, target.shown, str(problem))
        self._finish(job.name)
        return Outcome(State.SENT, job.name, target.shown)

    def settle(self, name: str, came_out: bool) -> None:
        """Say what a person saw of an unsure job: its labels came out, or they did not and it may be sent again."""
        if came_out:
            self._finish(name)
        else:
            self._sending(name).unlink(missing_ok=True)

    def unsure(self) -> list[str]:
        """Return the names of the jobs that broke off on the way."""
        return sorted(path.name.removesuffix(".sending") for path in self.folder.glob("*.sending"))

    def _arrived_before(self, job: Job, target: Target) -> Outcome | None:
        """Ask the target about a job that broke off; None when it is certainly not there and may be sent."""
        marker = self._sending(job.name)
        earlier = marker.read_text("utf-8")
        if self.clock_s() - marker.stat().st_mtime < UNDER_WAY_S:
            return self._unsure(job, earlier, "another try is under way or broke off a moment ago; wait two minutes")
        if earlier != target.shown:
            return self._unsure(job, earlier, f"an earlier try to {earlier} broke off; look there first")
        try:
            arrived = target.has(job)
        except NotDelivered as problem:
            return self._unsure(job, earlier, str(problem))
        if arrived is None:
            return self._unsure(
                job, earlier, "an earlier try broke off and nobody can tell how far it came; look there"
            )
        if arrived:
            self._finish(job.name)
            return Outcome(State.SENT, job.name, target.shown, again=True)
        return None

    def _unsure(self, job: Job, target: str, reason: str) -> Outcome:
        return Outcome(State.UNSURE, job.name, target, reason)

    def _begin(self, name: str, target: Target) -> bool:
        """Make the marker and return True, or False when it is there already."""
        marker = self._sending(name)
        if marker.exists():
            return False
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with marker.open("xb") as file:
                file.write(target.shown.encode())
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            if marker.exists():  # another station was quicker by a moment
                return False
            raise LabelNotWritten(
                f"{self.folder} cannot be written: {error.strerror}.", "Free some space; nothing was sent."
            ) from error
        return True

    def _finish(self, name: str) -> None:
        self._sending(name).touch()
        self._sending(name).replace(self._sent(name))

    def _sending(self, name: str) -> Path:
        return self._marker(name, "sending")

    def _sent(self, name: str) -> Path:
        return self._marker(name, "sent")

    def _marker(self, name: str, state: str) -> Path:
        if not _NAME.fullmatch(name):
            raise WrongData(f"{name!r} cannot name a print job.", "Use letters, digits, dots and dashes.")
        return self.folder / f"{name}.{state}"
