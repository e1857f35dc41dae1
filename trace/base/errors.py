"""Every error a person can meet: one sentence for people, one hint, one exit code.

A sentence says what is wrong; the hint says what to do. Nothing else reaches the screen.
"""

from __future__ import annotations

from enum import IntEnum


class ExitCode(IntEnum):
    """What the shell is told. The numbers are part of the interface and do not change."""

    DONE = 0
    CALL_WRONG = 2
    REFUSED = 3
    NOT_FOUND = 4
    NEEDS_ATTENTION = 5
    MACHINE_FAILED = 6


class LotwakeError(Exception):
    """Base of all errors with a sentence for people."""

    exit_code: ExitCode = ExitCode.MACHINE_FAILED

    def __init__(self, sentence: str, hint: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.sentence} {self.hint}".strip()


class CallError(LotwakeError):
    """What was typed or passed cannot be right, whatever the records say."""

    exit_code = ExitCode.CALL_WRONG


class Refused(LotwakeError):
    """A rule of the record forbids it."""

    exit_code = ExitCode.REFUSED


class PinNeeded(Refused):
    """A lead who has a PIN has not shown it yet; the same act is refused no more once it was right."""


class WrittenAlready(Refused):
    """The same thing seems to be in the record; it is entered once more only when somebody says that it is another."""


class NotFound(LotwakeError):
    """Well formed, but the house does not know it."""

    exit_code = ExitCode.NOT_FOUND


class NeedsAttention(LotwakeError):
    """The record itself is not in order."""

    exit_code = ExitCode.NEEDS_ATTENTION


class MachineFailed(LotwakeError):
    """Disk, printer or database failed; the entry was not made."""

    exit_code = ExitCode.MACHINE_FAILED
