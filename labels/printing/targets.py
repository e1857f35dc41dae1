"""Where labels can go: a file, a folder that something watches, a CUPS queue, a printer that speaks IPP.

Every target answers two questions: ``deliver`` a job, and ``has`` this job arrived before? ``has`` is None where nobody
can tell.
"""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from lotwake.labels.errors import LabelNotWritten
from lotwake.labels.files import whole_file
from lotwake.labels.printing import ipp
from lotwake.labels.printing.ipp import Media

LP_TIMEOUT_S = 30.0


class NotDelivered(Exception):
    """The job did not arrive, for certain; the text says why."""


class PerhapsDelivered(Exception):
    """Something broke on the way; whether the job arrived is not known. The text says what broke."""


@dataclass(frozen=True)
class Job:
    """One PDF to print. ``name`` is given by the caller and never used for other labels."""

    name: str
    pdf: Path
    media: Media
    copies: int = 1


class Target(Protocol):
    """Where a job can go."""

    @property
    def shown(self) -> str:
        """The target in words."""

    def deliver(self, job: Job, /) -> None:
        """Send the job. Raises NotDelivered or PerhapsDelivered."""

    def has(self, job: Job, /) -> bool | None:
        """Whether the job is there already; None when nobody can tell. Raises NotDelivered when it cannot be asked."""


@dataclass(frozen=True)
class ToFile:
    """One file, for printing by hand."""

    path: Path

    @property
    def shown(self) -> str:
        return f"file {self.path}"

    def deliver(self, job: Job) -> None:
        _copy(job.pdf, self.path)

    def has(self, job: Job) -> bool | None:
        return self.path.exists() and self.path.read_bytes() == job.pdf.read_bytes()


@dataclass(frozen=True)
class ToFolder:
    """A folder that another program watches and empties; each job is a file of its own name, there at once or not at all."""

    folder: Path

    @property
    def shown(self) -> str:
        return f"folder {self.folder}"

    def deliver(self, job: Job) -> None:
        for copy in range(1, job.copies + 1):
            _copy(job.pdf, self._place(job, copy))

    def has(self, job: Job) -> bool | None:
        """True while the last copy lies there; whoever watches may have taken it, so its absence says nothing."""
        return True if self._place(job, job.copies).exists() else None

    def _place(self, job: Job, copy: int) -> Path:
        return self.folder / (f"{job.name}.pdf" if job.copies == 1 else f"{job.name}-{copy}.pdf")


@dataclass(frozen=True)
class ToQueue:
    """A CUPS queue, through the program ``lp``."""

    queue: str

    @property
    def shown(self) -> str:
        return f"queue {self.queue}"

    def deliver(self, job: Job) -> None:
        size = f"{job.media.width_mm:g}x{job.media.height_mm:g}mm"
        command = ["lp", "-d", self.queue, "-t", job.name, "-n", str(job.copies)]
        command += ["-o", f"media=Custom.{size}", "-o", "print-scaling=none", "--", str(job.pdf)]
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=LP_TIMEOUT_S, check=False)
        except FileNotFoundError as error:
            raise NotDelivered("the program lp is not installed; CUPS brings it") from error
        except subprocess.TimeoutExpired as error:
            raise PerhapsDelivered(f"lp did not answer within {LP_TIMEOUT_S:g} s") from error
        if done.returncode != 0:
            raise NotDelivered(done.stderr.strip() or f"lp ended with {done.returncode}")

    def has(self, _job: Job) -> bool | None:
        return None  # lpstat does not show the names of jobs


@dataclass(frozen=True)
class ToPrinter:
    """A printer that speaks IPP, at ``ipp://host:port/path``."""

    uri: str
    timeout_s: float = 30.0

    @property
    def shown(self) -> str:
        return f"printer {self.uri}"

    def deliver(self, job: Job) -> None:
        try:
            ipp.print_job(self.uri, job.name, job.pdf.read_bytes(), job.media, job.copies, self.timeout_s)
        except ipp.NotReached as error:
            raise NotDelivered(f"the printer cannot be reached: {error}") from error
        except ipp.Refusal as error:
            raise NotDelivered(f"the printer refused it: {error}") from error
        except ipp.NoAnswer as error:
            raise PerhapsDelivered(f"the printer did not answer: {error}") from error

    def has(self, job: Job) -> bool | None:
        try:
            return ipp.has_job(self.uri, job.name, self.timeout_s)
        except (ipp.NotReached, ipp.NoAnswer) as error:
            raise NotDelivered(f"the printer cannot be reached: {error}") from error
        except ipp.Refusal:
            return None


def _copy(source: Path, target: Path) -> None:
    try:
        with source.open("rb") as data, whole_file(target) as file:
            shutil.copyfileobj(data, file)
    except LabelNotWritten as error:
        raise NotDelivered(error.sentence) from error
