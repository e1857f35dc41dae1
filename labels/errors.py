"""What goes wrong with a label, told to a person: one sentence, one hint, one exit code."""

from __future__ import annotations


class LabelError(ValueError):
    """Base of every error of this package.

    ``sentence`` says what is wrong, ``hint`` what to do; ``exit_code`` is what the shell is told.
    """

    exit_code: int = 3

    def __init__(self, sentence: str, hint: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.sentence} {self.hint}".strip()


class WrongData(LabelError):
    """The value passed in cannot be right, whatever is printed with it."""

    exit_code = 2


class LabelRefused(LabelError):
    """The data is well formed, but this label cannot be made from it on this stock and printer."""

    exit_code = 3


class LabelNotWritten(LabelError):
    """The label is right, but its file could not be written."""

    exit_code = 6
