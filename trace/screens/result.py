"""The last result and the state of the program, as values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from lotwake.labels.errors import LabelError
from lotwake.trace.base.errors import ExitCode, LotwakeError


class Verdict(Enum):
    """First word of a result."""

    GOOD = "GOOD"
    CHECK = "CHECK"
    STOP = "STOP"


@dataclass(frozen=True)
class Result:
    """What happened, to what, and how to undo it or what to do next. It stays until the next act."""

    verdict: Verdict
    sentence: str
    next_step: str = ""

    @classmethod
    def good(cls, sentence: str, next_step: str = "") -> Result:
        """It was done; ``next_step`` says how to undo it."""
        return cls(Verdict.GOOD, sentence, next_step)

    @classmethod
    def check(cls, sentence: str, next_step: str = "") -> Result:
        """Nothing was done, or something is to be looked at."""
        return cls(Verdict.CHECK, sentence, next_step)

    @classmethod
    def stop(cls, sentence: str, next_step: str = "") -> Result:
        """A rule or the machine forbids it."""
        return cls(Verdict.STOP, sentence, next_step)

    @classmethod
    def of_error(cls, error: LotwakeError | LabelError) -> Result:
        """STOP when a rule or the machine forbids it, CHECK when the entry is to be put right."""
        forbidden = error.exit_code in (ExitCode.REFUSED, ExitCode.MACHINE_FAILED)
        return cls(Verdict.STOP if forbidden else Verdict.CHECK, error.sentence, error.hint)


@dataclass(frozen=True)
class Status:
    """What the top line tells beside the page and the time."""

    who: str = "nobody signed in"
    printer: str = "no printer"
    scanner: str = "scanner not tried"
