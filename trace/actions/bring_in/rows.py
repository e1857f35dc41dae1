"""One row of an old log book, read and checked field by field, with the place it stands at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from lotwake.trace.actions.bring_in.forms import Value
from lotwake.trace.base.errors import CallError


class Place(NamedTuple):
    """Where a row begins: the file and its line, the header being line 1."""

    file: str
    line: int

    def __str__(self) -> str:
        return f"{self.file} line {self.line}"


@dataclass(frozen=True, slots=True)
class Row:
    """The fields of a row that are filled. A weight, written in kilograms or grams, is under ``g`` in whole grams."""

    place: Place
    values: Mapping[str, Value]

    def text(self, name: str) -> str:
        """The text of a field, "" when it is empty."""
        value = self.values.get(name, "")
        assert isinstance(value, str), name
        return value

    def whole(self, name: str) -> int | None:
        """The number in a field, None when it is empty."""
        value = self.values.get(name)
        assert value is None or isinstance(value, int), name
        return value

    def number_or(self, name: str, otherwise: int) -> int:
        """The number in a field, or another one when it is empty."""
        value = self.whole(name)
        return otherwise if value is None else value

    def number(self, name: str) -> int:
        """The number in a field that this row needs; CallError when it is empty."""
        value = self.whole(name)
        if value is None:
            raise CallError(f"The column {name} is empty.", "Fill it in this row.")
        return value

    def moment(self, name: str) -> datetime:
        """The time in a field that this row needs; CallError when it is empty."""
        value = self.values.get(name)
        if not isinstance(value, datetime):
            raise CallError(f"The column {name} is empty.", "Fill it in this row.")
        return value

    def maybe_moment(self, name: str) -> datetime | None:
        """The time in a field, None when it is empty or says only ``yes``."""
        value = self.values.get(name)
        return value if isinstance(value, datetime) else None

    def day(self, name: str) -> date | None:
        """The day in a field, None when it is empty."""
        value = self.values.get(name)
        return value if isinstance(value, date) else None

    def named(self, keys: Sequence[str]) -> tuple[str, ...]:
        """What these fields name, the empty ones left out."""
        found = (self.values[key] for key in keys if key in self.values)
        return tuple(f"{value:018d}" if isinstance(value, int) else str(value) for value in found)


@dataclass(frozen=True)
class BadRow:
    """A row, or a header (line 1), that cannot be read: why, and what it would have named, as far as that can be told."""

    place: Place
    reason: str
    named: tuple[str, ...] = ()
