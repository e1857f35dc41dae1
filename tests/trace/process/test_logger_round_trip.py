"""Whatever series of readings is written in whatever way a logger may write it, the same series is read back."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from lotwake.trace.process.logger_file import Choices, look_into
from lotwake.trace.process.logger_shape import Told

OSLO = ZoneInfo("Europe/Oslo")
DATES = {
    "iso": "%Y-%m-%d",
    "slashes": "%Y/%m/%d",
    "dmy": "%d.%m.%Y",
    "mdy": "%m/%d/%Y",
    "short dmy": "%d/%m/%y",
    "named": "%d-%b-%Y",
}
CLOCKS = {"24": "%H:%M:%S", "12": "%I:%M:%S %p"}
ZONES = {"UTC": 0, "+05:30": 330, "-03:00": -180}


@dataclass(frozen=True)
class Layout:
    """One way to write a log."""

    delimiter: str
    decimal: str
    day: str
    clock: str
    together: bool
    zone: str
    offset_in_text: bool
    headed: bool
    in_rows: bool
    newest_first: bool
    unit: str
    encoding: str
    preamble: bool
    line_end: str


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    """Every mixture that can be told apart at all."""
    delimiter = draw(st.sampled_from([";", ",", "\t", " "]))
    blank = delimiter == " "
    return Layout(
        delimiter=delimiter,
        decimal="." if delimiter == "," else draw(st.sampled_from([".", ","])),
        day=draw(st.sampled_from(list(DATES))),
        clock="24" if blank else draw(st.sampled_from(list(CLOCKS))),
        together=not blank and draw(st.booleans()),
        zone=draw(st.sampled_from(list(ZONES))),
        offset_in_text=draw(st.booleans()),
        headed=draw(st.booleans()),
        in_rows=draw(st.booleans()),
        newest_first=draw(st.booleans()),
        unit=draw(st.sampled_from(["C", "F"])),
        encoding=draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"])),
        preamble=draw(st.booleans()),
        line_end=draw(st.sampled_from(["\n", "\r\n", "\r"])),
    )


@st.composite
def logs(draw: st.DrawFn) -> tuple[list[datetime], list[list[Decimal]]]:
    """Rising moments, and for each of one to three probes a temperature in hundredths of its scale at each."""
    steps = draw(st.lists(st.integers(1, 20_000), min_size=1, max_size=12))
    moment = datetime(2001, 1, 1, tzinfo=UTC) + timedelta(seconds=draw(st.integers(0, 700_000_000)))
    moments = [moment := moment + timedelta(seconds=step) for step in steps]
    temperature = st.integers(3_200, 14_900).map(lambda hundredths: Decimal(hundredths) / 100)
    probe = st.lists(temperature, min_size=len(steps), max_size=len(steps))
    return moments, draw(st.lists(probe, min_size=1, max_size=3))


def written(layout: Layout, moments: list[datetime], probes: list[list[Decimal]]) -> bytes:
    """The log as a file."""
    minutes = ZONES[layout.zone]
    rows = []
    for at, moment in enumerate(moments):
        local = moment + timedelta(minutes=minutes)
        clock = local.strftime(CLOCKS[layout.clock])
        if layout.offset_in_text:
            clock += "Z" if not minutes else layout.zone
        day = local.strftime(DATES[layout.day])
        time = [f"{day} {clock}"] if layout.together else [day, clock]
        cores = [str(probe[at]).replace(".", layout.decimal) for probe in probes]
        rows += [[f"P{i}", *time, core] for i, core in enumerate(cores)] if layout.in_rows else [[*time, *cores]]
    if layout.newest_first:
        rows.reverse()
    time_names = ["When"] if layout.together else ["Day", "Hour"]
    names = ["Probe", *time_names, "Value"] if layout.in_rows else [*time_names, *(f"P{i}" for i in range(len(probes)))]
    out = io.StringIO()
    if layout.preamble:
        out.write(f"made by a logger{layout.line_end}")
    sheet = csv.writer(out, delimiter=layout.delimiter, lineterminator=layout.line_end)
    sheet.writerows([names, *rows] if layout.headed else rows)
    return out.getvalue().encode(layout.encoding)


def centi_c(value: Decimal, unit: str) -> int:
    """Hundredths of a degree Celsius, reckoned anew: C = (F - 32) x 5 / 9 by definition."""
    celsius = value if unit == "C" else (value - 32) * 5 / 9
    return int((celsius * 100).to_integral_value(ROUND_HALF_EVEN))


@settings(max_examples=400, deadline=None)
@given(layout=layouts(), log=logs())
def test_any_log_in_any_shape_reads_back(layout: Layout, log: tuple[list[datetime], list[list[Decimal]]]) -> None:
    """With the answers that a shape asks for, each probe comes back with its own moments and temperatures."""
    moments, probes = log
    order = {"dmy": "dmy", "short dmy": "dmy", "mdy": "mdy"}.get(layout.day)
    told = Told(unit=layout.unit, order=order, zone=layout.zone, decimal=layout.decimal)
    preview = look_into(written(layout, moments, probes), told, Choices("air", jump="keep"), OSLO)
    assert preview.problems == ()
    assert len(preview.probes) == len(probes)
    in_order = sorted(preview.probes, key=lambda probe: probe.name)
    for probe, temperatures in zip(in_order, probes, strict=True):
        assert list(probe.at_s) == [round(moment.timestamp()) for moment in moments]
        assert list(probe.centi_c) == [centi_c(value, layout.unit) for value in temperatures]


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=400) | st.text(max_size=400).map(str.encode))
def test_no_file_makes_it_stumble(data: bytes) -> None:
    """Whatever the bytes, there is a preview: readings or a sentence that ends, never a fault."""
    preview = look_into(data, Told(), Choices(), OSLO)
    assert preview.problems or preview.count
    for problem in preview.problems:
        assert problem.sentence.endswith(".")
        assert problem.hint


FRAGMENTS = st.sampled_from(
    ["24.11.2026", " ", "05:40", ";", ",", "\t", "3,1", "62.8", "\n", '"', "P1", "°F", "T", "Z", "-", "nan", "\r", "0"]
)


@settings(max_examples=400, deadline=None)
@given(st.lists(FRAGMENTS, max_size=60).map("".join))
def test_no_scrap_of_a_log_makes_it_stumble(text: str) -> None:
    """The pieces of a log in any order give readings or a sentence."""
    preview = look_into(text.encode(), Told(), Choices(), OSLO)
    assert preview.problems or preview.count
