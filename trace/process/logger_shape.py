"""How a logger writes its file: what parts the fields, which column holds what, in which unit and order of day and month.

What the file does not say is asked of a person once. The shape that was found can be kept under a name, so that the next
file of the same logger needs no question.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.logger_text import SAMPLE_LINES, Lines, Looks, splitter
from lotwake.trace.process.logger_times import DateOrder

ELAPSED_S = {"s": 1, "min": 60, "h": 3600}
"""Units in which a logger counts the time since its start, in seconds."""

_UNIT = re.compile(
    r"[°º]\s*(?P<degree>[CF])\b|\bdeg(?:rees?)?\.?\s*(?P<deg>[CF])\b|[(\[,/]\s*(?P<mark>[CF])\s*(?:[)\],(]|$)"
    r"|temp\w*_(?P<tail>[CF])$|(?P<word>celsius|fahrenheit)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Told:
    """What is told about a file, by a person or by what was remembered of its logger; None is to be found out.

    A column is named by its heading or its number from 1. ``unit`` is C or F, ``elapsed`` s, min or h, ``decimal`` a
    comma or a point; ``missing`` are the words that stand for no reading.
    """

    delimiter: str | None = None
    decimal: str | None = None
    unit: str | None = None
    order: str | None = None
    zone: str | None = None
    time: tuple[str, ...] | None = None
    probe: str | None = None
    values: tuple[str, ...] | None = None
    elapsed: str | None = None
    missing: tuple[str, ...] | None = None

    def over(self, remembered: Told) -> Told:
        """This, and what was remembered where this says nothing."""
        return replace(remembered, **{name: value for name, value in vars(self).items() if value is not None})


@dataclass(frozen=True)
class Shape:
    """What was found out about a file; columns count from 0.

    ``first`` is the place of the first reading among the lines that are not blank. ``time`` is one column, or two with
    the date first. ``units`` stand beside ``values``; ``unit_sure`` says that a person confirmed them. ``zone`` is empty
    for the time of the house, ``elapsed`` unless the times count from the start.
    """

    delimiter: str
    names: tuple[str, ...]
    headed: bool
    first: int
    looks: tuple[Looks, ...]
    time: tuple[int, ...]
    probe: int | None
    unit_beside: int | None
    values: tuple[int, ...]
    units: tuple[str, ...]
    unit_said: bool
    unit_sure: bool
    order: DateOrder | None
    zone: str
    elapsed: str
    decimal: str
    missing: tuple[str, ...]

    @property
    def probe_names(self) -> tuple[str, ...]:
        """The probes in columns: their headings without the unit where that tells them apart, else as they stand."""
        if not self.headed:
            return tuple(f"probe {number}" for number in range(1, len(self.values) + 1))
        whole = tuple(self.names[at] for at in self.values)
        short = tuple(_without_unit(name) for name in whole)
        return short if all(short) and len(set(short)) == len(short) else whole

    @property
    def left_out(self) -> tuple[str, ...]:
        """The names of columns that hold something and are not read."""
        used = {*self.time, *self.values, self.probe, self.unit_beside}
        return tuple(name for at, name in enumerate(self.names) if at not in used and self.looks[at] is not Looks.EMPTY)


@dataclass(frozen=True)
class Remembered:
    """A shape under a name: it is known again by its headings; without headings (empty) only when it is named."""

    name: str
    headings: tuple[str, ...]
    told: Told


def remember(name: str, shape: Shape) -> Remembered:
    """What to keep of a shape. The unit is kept only where a person confirmed it; else the next file is looked at too."""
    columns = shape.names if shape.headed else tuple(str(at + 1) for at in range(len(shape.names)))
    told = Told(
        delimiter=shape.delimiter,
        decimal=shape.decimal or None,
        unit=shape.units[0] if shape.unit_sure else None,
        order=shape.order,
        zone=shape.zone or None,
        time=tuple(columns[at] for at in shape.time),
        probe=None if shape.probe is None else columns[shape.probe],
        values=tuple(columns[at] for at in shape.values),
        elapsed=shape.elapsed or None,
        missing=shape.missing or None,
    )
    return Remembered(name, shape.names if shape.headed else (), told)


def remembered_text(kept: Remembered) -> str:
    """A remembered shape as JSON."""
    told = {name: value for name, value in asdict(kept.told).items() if value is not None}
    return json.dumps({"headings": kept.headings, "told": told}, ensure_ascii=False, indent=1) + "\n"


def read_remembered(name: str, text: str) -> Remembered:
    """A remembered shape from its JSON; CallError when it was damaged."""
    try:
        data = json.loads(text)
        told: dict[str, Any] = {
            key: tuple(value) if isinstance(value, list) else value for key, value in data["told"].items()
        }
        if not set(told) <= {item.name for item in fields(Told)}:
            raise KeyError(name)
        return Remembered(name, tuple(map(str, data["headings"])), Told(**told))
    except (ValueError, KeyError, TypeError, AttributeError):
        raise CallError(
            f"What was remembered of the logger {name!r} cannot be read.", "Bring a file in again with --remember."
        ) from None


def fits(kept: Remembered, lines: Lines) -> bool:
    """Whether these headings stand in the file."""
    if not kept.headings:
        return False
    split = splitter(kept.told.delimiter or ";")
    heads = (split(line) for line in lines.texts[:SAMPLE_LINES])
    return any(len(row) == len(kept.headings) and named(row) == kept.headings for row in heads)


def named(heading: Sequence[str]) -> tuple[str, ...]:
    """Headings without blanks around them, each one different: an empty one gets its number, a second one too."""
    names: list[str] = []
    for at, field in enumerate(heading, 1):
        name = field.strip() or f"column {at}"
        names.append(f"{name} ({at})" if name in names else name)
    return tuple(names)


def _without_unit(name: str) -> str:
    """A heading without the unit it ends in."""
    last = list(_UNIT.finditer(name))[-1:]
    return name[: last[0].start()].rstrip(" ,/([_-") if last and not name[last[0].end() :].strip(" )]") else name


def unit_in(text: str) -> str | None:
    """C or F if exactly one of them is named."""
    found = {next(filter(None, match.groups()))[0].upper() for match in _UNIT.finditer(text)}
    return found.pop() if len(found) == 1 else None
