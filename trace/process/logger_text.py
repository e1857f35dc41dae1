"""The text of a logger's file: from bytes to lines, from a line to its fields, and what a field looks like."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.logger_times import is_clock, is_date, is_moment

LARGEST_FILE_BYTES = 100_000_000
"""More than this is no temperature log: half a million readings of four probes are a quarter of it."""
SAMPLE_LINES = 400
DELIMITERS = (";", "\t", ",", " ")
"""In the order they are tried; a blank stands for any number of blanks."""

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:\s*°?\s*[CF])?", re.ASCII | re.IGNORECASE)


class Looks(StrEnum):
    """What a field looks like."""

    EMPTY = "empty"
    MOMENT = "date and time"
    DATE = "date"
    CLOCK = "time"
    NUMBER = "number"
    TEXT = "text"


@dataclass(frozen=True)
class Lines:
    """The lines of a file that are not blank, with their numbers in it (from 1)."""

    numbers: Sequence[int]
    texts: Sequence[str]


def decode(data: bytes) -> str:
    """The text of a file in UTF-8, UTF-16 or Latin-1; CallError for what is no text, or is too large for a log."""
    if len(data) > LARGEST_FILE_BYTES:
        raise CallError(
            f"The file has {len(data) / 1e6:.0f} MB; a temperature log is smaller.", "Is it the right file?"
        )
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _decoded(data[len(mark) :], encoding)
    head = data[:200]
    if b"\0" in head:  # UTF-16 without its mark: every other byte of plain text is zero
        return _decoded(data, "utf-16-le" if head[1::2].count(0) > head[0::2].count(0) else "utf-16-be")
    try:
        return _decoded(data, "utf-8")
    except CallError:
        return _decoded(data, "latin-1")


def _decoded(data: bytes, encoding: str) -> str:
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise CallError("The file is not text.", "Export the readings from the logger as CSV.")
    return text


def lines_of(text: str) -> Lines:
    """The lines, whatever ends them; CallError when there is none."""
    every = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    kept = [at for at, line in enumerate(every) if line.strip()]
    if not kept:
        raise CallError("The file is empty.", "Read the logger out again.")
    return Lines([at + 1 for at in kept], [every[at] for at in kept])


def splitter(delimiter: str) -> Callable[[str], list[str]]:
    """How a line is taken apart. Quoted fields are kept whole; a quote never reaches into the next line."""
    if delimiter == " ":
        return str.split

    def split(line: str) -> list[str]:
        return next(csv.reader([line], delimiter=delimiter)) if '"' in line else line.split(delimiter)

    return split


def looks(field: str) -> Looks:
    """What one field looks like."""
    text = field.strip()
    if not text:
        return Looks.EMPTY
    if _NUMBER.fullmatch(text.replace("−", "-")):
        return Looks.NUMBER
    if is_moment(text):
        return Looks.MOMENT
    if is_date(text):
        return Looks.DATE
    return Looks.CLOCK if is_clock(text) else Looks.TEXT
