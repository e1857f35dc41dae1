"""What a person says about a logger's file in words and values, for the shell and for the page alike; and what is told back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from zoneinfo import ZoneInfo

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.logger import Looked
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import read_day, read_moment
from lotwake.trace.base.units import show_temperature
from lotwake.trace.process.logger_checks import ProbeReadings, show_second
from lotwake.trace.process.logger_file import KINDS, Choices
from lotwake.trace.process.logger_shape import ELAPSED_S, Shape, Told
from lotwake.trace.process.logger_times import DateOrder

DELIMITERS = {"semicolon": ";", "tab": "\t", "comma": ",", "blank": " "}
DECIMALS = {"comma": ",", "point": "."}
UNITS = {"C": "Celsius", "F": "Fahrenheit"}
WORDS: Mapping[str, tuple[str, ...]] = {
    "kind": KINDS,
    "delimiter": tuple(DELIMITERS),
    "decimal": tuple(DECIMALS),
    "unit": tuple(UNITS),
    "order": tuple(map(str, DateOrder)),
    "elapsed": tuple(ELAPSED_S),
    "fallen": ("keep", "cut"),
    "jump": ("keep",),
}
"""What can be said with one of a few words."""
LISTS = ("time", "values", "only", "missing")
"""What can be said with several values."""
SAYABLE = (*WORDS, *LISTS, "logger", "zone", "probe-column", "from", "to", "start", "date")
Said = Mapping[str, Sequence[str]]


def checked_word(name: str, text: str) -> str:
    """A word that may be said under this name, in whatever case it is typed; CallError names those there are."""
    if name not in SAYABLE:
        raise CallError(f"Nothing called {name!r} is asked of a file.", f"There are: {', '.join(SAYABLE)}.")
    if name not in WORDS:
        return text.strip()
    found = next((word for word in WORDS[name] if word.lower() == text.strip().lower()), None)
    if found is None:
        raise CallError(f"{text.strip()!r} is no {name}.", f"Say one of: {', '.join(WORDS[name])}.")
    return found


def told(said: Said) -> Told:
    """How the file is written."""
    one = {name: values[0] for name, values in said.items() if values}
    many = {name: tuple(said[name]) if said.get(name) else None for name in LISTS}
    return Told(
        delimiter=DELIMITERS[one["delimiter"]] if "delimiter" in one else None,
        decimal=DECIMALS[one["decimal"]] if "decimal" in one else None,
        unit=one.get("unit"),
        order=one.get("order"),
        zone=one.get("zone"),
        time=many["time"],
        probe=one.get("probe-column"),
        values=many["values"],
        elapsed=one.get("elapsed"),
        missing=many["missing"],
    )


def choices(desk: Desk, said: Said) -> Choices:
    """What is wanted of the file, moments in the time of the house."""
    one = {name: values[0] for name, values in said.items() if values}
    since, until, start = (
        round(read_moment(one[name], desk.now, desk.zone).timestamp()) if name in one else None
        for name in ("from", "to", "start")
    )
    first_day = read_day(one["date"], desk.today) if "date" in one else None
    return Choices(
        one.get("kind", KINDS[0]), since, until, tuple(said.get("only", ())), start, first_day, one.get("fallen", ""),
        one.get("jump", ""),
    )  # fmt: skip


def shape_lines(looked: Looked, zone: ZoneInfo) -> Iterator[str]:
    """How the file was understood to be written."""
    shape = looked.preview.shape
    if shape is None:
        return
    if looked.logger:
        yield f"Read as the logger {looked.logger}, which is remembered."
    yield _written(shape, zone)
    yield f"Time: {' and '.join(shape.names[at] for at in shape.time)}. " + (
        f"Temperatures: {'; '.join(shape.names[at] for at in shape.values)}."
    )
    if shape.probe is not None:
        yield f"Probes: named by {shape.names[shape.probe]}."


def _written(shape: Shape, zone: ZoneInfo) -> str:
    delimiter = next(word for word, mark in DELIMITERS.items() if mark == shape.delimiter)
    decimal = next((f", decimal {word}" for word, mark in DECIMALS.items() if mark == shape.decimal), "")
    order = f", dates {shape.order}" if shape.order else ""
    counted = f", times count in {shape.elapsed}" if shape.elapsed else f", clock of {shape.zone or zone.key}"
    units = " and ".join(UNITS[unit] for unit in sorted(set(shape.units)))
    return f"Fields parted by {delimiter}{decimal}{order}{counted}, {units}."


def probe_row(probe: ProbeReadings, zone: ZoneInfo) -> tuple[str, ...]:
    """Name, how many readings, from when to when, coldest, hottest."""
    return (
        probe.name,
        f"{len(probe.at_s):,}",
        show_second(min(probe.at_s), zone),
        show_second(max(probe.at_s), zone),
        show_temperature(min(probe.centi_c)),
        show_temperature(max(probe.centi_c)),
    )
