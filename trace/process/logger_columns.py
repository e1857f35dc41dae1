"""Finding out how a logger writes: the delimiter, the headings, and which column is what."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.logger_shape import Shape, Told, named, unit_in
from lotwake.trace.process.logger_text import DELIMITERS, SAMPLE_LINES, Lines, Looks, looks, splitter
from lotwake.trace.process.logger_times import DateOrder, read_zone

_TIMES = frozenset({Looks.MOMENT, Looks.DATE, Looks.CLOCK})
_OTHER_UNIT = re.compile(r"%|\brh\b|humid|batter|\bvolt|\bm?v\b|\bh?pa\b|\bm?bar\b|\blux\b|\bppm\b|dew", re.IGNORECASE)
_ROW_NUMBER = re.compile(r"#|no\.?|nr\.?|number|index|record|sample|row", re.IGNORECASE)
_PROBE_WORD = re.compile(
    r"(?:probe|sensor|channel|logger|device|kanal|name)(?:\s*(?:name|id|no\.?|nr\.?))?", re.IGNORECASE
)
_TIME_WORD = re.compile(r"date|time|day|hour|clock|when|zeit|datum|tid|elapsed|sec|min", re.IGNORECASE)
_ELAPSED_WORD = re.compile(r"elapsed|time|zeit|tid|sec|min|hour", re.IGNORECASE)
_ELAPSED_UNIT = re.compile(r"\b(?:(?P<min>min\w*)|(?P<h>h|hrs?|hours?)|(?P<s>s|secs?|seconds?))\b", re.IGNORECASE)
_ZONE = re.compile(r"\b(?:UTC|GMT)\s*(?:[+-]\d{1,2}(?::?\d{2})?)?", re.IGNORECASE | re.ASCII)
_UNIT_ALONE = re.compile(
    r"[(\[]?(?:(?:[°º]|deg\.?)?\s*[CF]|celsius|fahrenheit|s|secs?|mins?|h|%\s*RH|%|hh:mm(?::ss)?|)[)\]]?", re.IGNORECASE
)


def find_shape(lines: Lines, told: Told) -> Shape:
    """The shape of a file; CallError says what cannot be told and which option says it."""
    delimiter, rows, at = _table(lines.texts[:SAMPLE_LINES], told)
    width = len(rows[at[0]])
    heading = _heading(rows, at[0], width)
    if delimiter == " " and heading and not _TIME_WORD.search(" ".join(heading)):
        heading = None  # a sentence above the readings, with as many words as there are columns
    names = named(heading) if heading else tuple(f"column {i}" for i in range(1, width + 1))
    columns = _Columns(names, heading is not None, [rows[i] for i in at if len(rows[i]) == width], told)
    time, elapsed = columns.time()
    probe = columns.probe(time)
    values = columns.values(time, probe)
    if delimiter == "," and told.decimal != "." and heading is None:
        _must_be_clear(columns, values)
    before = "\n".join(lines.texts[: at[0]])
    said = [unit_in(names[i]) for i in values]
    general = unit_in(before)
    units = tuple(told.unit or unit or general or "C" for unit in said)
    return Shape(
        delimiter, names, heading is not None, at[0], columns.looks, time, probe, columns.unit_beside(values), values,
        units, all(said) or general is not None, told.unit is not None, DateOrder(told.order) if told.order else None,
        _zone(told, [names[i] for i in time]), elapsed, told.decimal or "", told.missing or (),
    )  # fmt: skip


def _table(texts: Sequence[str], told: Told) -> tuple[str, list[list[str]], list[int]]:
    """The delimiter, the lines taken apart by it, and the places of those that look like readings."""
    best: tuple[str, list[list[str]], list[int]] = (" ", [], [])
    for delimiter in DELIMITERS if told.delimiter is None else (told.delimiter,):
        rows = [splitter(delimiter)(line) for line in texts]
        found = _readings(rows)
        if len(found) > len(best[2]):
            best = delimiter, rows, found
    delimiter, rows, found = best
    if not found:
        raise CallError(
            "No line of the file has a time and a temperature.",
            "Export the readings as text with a date and time; name the columns with --time and --values.",
        )
    return delimiter, rows, [*_bad_ones_above(rows, found[0]), *found]


def _readings(rows: Sequence[Sequence[str]]) -> list[int]:
    """The places of lines that look like readings: with a time and a number, else of numbers alone, else with words too;
    of these, the lines of the most common length."""
    kinds = [[looks(field) for field in row] for row in rows]
    timed = [i for i, row in enumerate(kinds) if _TIMES & set(row) and Looks.NUMBER in row]
    bare = [i for i, row in enumerate(kinds) if row.count(Looks.NUMBER) > 1 and set(row) <= {Looks.NUMBER, Looks.EMPTY}]
    found = timed or bare or [i for i, row in enumerate(kinds) if row.count(Looks.NUMBER) > 1]
    width, _ = Counter(len(rows[i]) for i in found).most_common(1)[0] if found else (0, 0)
    return [i for i in found if len(rows[i]) == width]


def _bad_ones_above(rows: Sequence[Sequence[str]], first: int) -> range:
    """The lines just above the first good reading that have a time where it has one: bad readings, and no headings."""
    kinds = [looks(field) for field in rows[first]]
    marks = {at: kind for at, kind in enumerate(kinds) if kind in _TIMES} or {0: kinds[0]}
    start = first
    while start > 0 and len(rows[start - 1]) == len(kinds):
        if any(looks(rows[start - 1][at]) is not kind for at, kind in marks.items()):
            break
        start -= 1
    return range(start, first)


def _heading(rows: Sequence[Sequence[str]], first: int, width: int) -> list[str] | None:
    """The line of headings above the first reading, joined with a line of units below it; None when there is none."""
    above = [list(row) for row in rows[max(0, first - 2) : first]]
    if not above or not _is_heading(above[-1], width):
        return None
    units_only = all(_UNIT_ALONE.fullmatch(field.strip()) for field in above[-1])
    if len(above) == 2 and units_only and _is_heading(above[0], width):
        return [f"{name.strip()} {unit.strip()}".strip() for name, unit in zip(*above, strict=True)]
    return above[-1]


def _is_heading(row: Sequence[str], width: int) -> bool:
    kinds = {looks(field) for field in row}
    return len(row) == width and Looks.TEXT in kinds and not kinds & _TIMES


def _zone(told: Told, time_names: Sequence[str]) -> str:
    """The zone that was told, or the one that the heading of the times names; checked."""
    named = _ZONE.search(" ".join(time_names))
    zone = told.zone or (named[0] if named else "")
    if zone:
        read_zone(zone)
    return zone


def _must_be_clear(columns: _Columns, values: Sequence[int]) -> None:
    whole = all(not row[at].strip() or row[at].strip().isdigit() for row in columns.rows for at in values)
    if whole and len(values) % 2 == 0:
        raise CallError(
            f"The commas in {','.join(columns.rows[0])!r} may part {len(values)} temperatures or be decimal marks.",
            "If they part whole degrees, add --decimal point; else export the file with semicolons or decimal points.",
        )


class _Columns:
    """The columns of a sample: what each holds mostly, and which of them is what."""

    def __init__(self, names: tuple[str, ...], headed: bool, rows: Sequence[Sequence[str]], told: Told) -> None:
        self.names, self.headed, self.rows, self.told = names, headed, rows, told
        self.looks = tuple(self._mostly(at) for at in range(len(names)))

    def _mostly(self, at: int) -> Looks:
        counted = Counter(looks(row[at]) for row in self.rows)
        del counted[Looks.EMPTY]
        return counted.most_common(1)[0][0] if counted else Looks.EMPTY

    def at(self, told: str) -> int:
        """The column that was told by its name or number; CallError names those there are."""
        named = [i for i, name in enumerate(self.names) if name.casefold() == told.strip().casefold()]
        if named:
            return named[0]
        if told.strip().isascii() and told.strip().isdigit() and 1 <= int(told) <= len(self.names):
            return int(told) - 1
        raise CallError(f"There is no column {told!r} in the file.", f"There are: {'; '.join(self.names)}.")

    def _those(self, *wanted: Looks) -> list[int]:
        return [at for at, kind in enumerate(self.looks) if kind in wanted]

    def time(self) -> tuple[tuple[int, ...], str]:
        """The column or two that hold the time, and the unit if it counts from the start."""
        found = self._time()
        if len(found) == 1 and self.looks[found[0]] is Looks.NUMBER:
            return found, self._elapsed(found[0])
        if len(found) == 1 and self.looks[found[0]] is Looks.DATE:
            raise CallError("The file has dates and no times of day.", "Export it with times.")
        return found, ""

    def _time(self) -> tuple[int, ...]:
        if self.told.time is not None:
            told = tuple(self.at(name) for name in self.told.time)
            return tuple(sorted(told, key=lambda at: self.looks[at] is Looks.CLOCK))
        moments, days, clocks = (self._those(kind) for kind in (Looks.MOMENT, Looks.DATE, Looks.CLOCK))
        if len(moments) > 1 or (not moments and (len(days) > 1 or len(clocks) > 1)):
            shown = "; ".join(self.names[at] for at in sorted({*moments, *days, *clocks}))
            raise CallError(
                f"More than one column holds times: {shown}.", "Say which with --time (twice for a date and a time)."
            )
        if moments:
            return (moments[0],)
        if days or clocks:
            return (*days, *clocks)
        numbers = self._those(Looks.NUMBER)
        headed = [at for at in numbers if self.headed and _ELAPSED_WORD.search(self.names[at])]
        if not (headed if self.headed else numbers):
            raise CallError("No column of the file holds times.", f"Say which with --time: {'; '.join(self.names)}.")
        return ((headed or numbers)[0],)

    def _elapsed(self, at: int) -> str:
        if self.told.elapsed is not None:
            return self.told.elapsed
        named = _ELAPSED_UNIT.search(self.names[at]) if self.headed else None
        if named is None:
            raise CallError(
                f"The times ({self.names[at]}) are numbers, and the file does not say of what.",
                "If they count from the start, say --elapsed s, min or h.",
            )
        return next(unit for unit, found in named.groupdict().items() if found)

    def probe(self, time: Sequence[int]) -> int | None:
        """The column that names the probe of each line, if the probes stand below one another."""
        if self.told.probe is not None:
            return self.at(self.told.probe)
        left = [at for at, kind in enumerate(self.looks) if kind in (Looks.TEXT, Looks.NUMBER) and at not in time]
        worded = [at for at in left if self.headed and _PROBE_WORD.fullmatch(self.names[at].strip())]
        if not worded and not self.headed:
            worded = [at for at in left if self.looks[at] is Looks.TEXT and not self._is_unit(at)]
        numbers = [at for at in left if self.looks[at] is Looks.NUMBER and at not in worded[:1]]
        return worded[0] if worded and numbers else None

    def values(self, time: Sequence[int], probe: int | None) -> tuple[int, ...]:
        """The columns of temperatures; CallError when there is none, or several beside a column of probes."""
        if self.told.values is not None:
            found = tuple(self.at(name) for name in self.told.values)
        else:
            numbers = [at for at in self._those(Looks.NUMBER) if at not in (*time, probe)]
            found = tuple(at for at in numbers if self._is_temperature(at, min(time)))
        if not found:
            raise CallError("No column of the file holds temperatures.", f"Say --values: {'; '.join(self.names)}.")
        if probe is not None and len(found) > 1:
            shown = "; ".join(self.names[at] for at in found)
            raise CallError(
                f"Beside the probe, {len(found)} columns hold numbers: {shown}.", "Say which with --values."
            )
        return found

    def _is_temperature(self, at: int, time: int) -> bool:
        name = self.names[at] if self.headed else ""
        if unit_in(name) and not _OTHER_UNIT.search(name):
            return True
        return at > time and not _OTHER_UNIT.search(name) and not _ROW_NUMBER.fullmatch(name.strip())

    def unit_beside(self, values: Sequence[int]) -> int | None:
        """A column that says C or F for each line, if there is one temperature to which it can belong."""
        found = [at for at in self._those(Looks.TEXT) if self._is_unit(at)]
        return found[0] if found and len(values) == 1 else None

    def _is_unit(self, at: int) -> bool:
        return all(row[at].strip(" °º").upper() in ("C", "F", "") for row in self.rows)
