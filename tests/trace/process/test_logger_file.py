"""A temperature logger's file: every common way to write one, and every way it can be wrong."""

from __future__ import annotations

import base64
import time
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.logger_columns import find_shape
from lotwake.trace.process.logger_file import Choices, Preview, look_into, read_logger
from lotwake.trace.process.logger_shape import Told, fits, read_remembered, remember, remembered_text
from lotwake.trace.process.logger_text import decode, lines_of

OSLO = ZoneInfo("Europe/Oslo")
NOTHING = Told()
START = datetime(2026, 11, 24, 4, 40, tzinfo=UTC)
"""05:40 in Oslo."""
BEGAN_S = round(START.timestamp())


def look(text: str | bytes, told: Told = NOTHING, choices: Choices | None = None, zone: ZoneInfo = OSLO) -> Preview:
    """What is understood of a text in UTF-8."""
    return look_into(text.encode() if isinstance(text, str) else text, told, choices or Choices(), zone)


def clear(preview: Preview) -> dict[str, list[tuple[int, int]]]:
    """Probes with (seconds since START, hundredths of a degree) of a file in which nothing is in doubt."""
    assert preview.problems == ()
    return {
        probe.name: [(at - BEGAN_S, core) for at, core in zip(probe.at_s, probe.centi_c, strict=True)]
        for probe in preview.probes
    }


ONE = {"probe 1": [(0, 310), (60, 350)]}
SHAPES = {
    "semicolons, decimal commas": ("24.11.2026 05:40;3,1\n24.11.2026 05:41;3,5\n", NOTHING, ONE),
    "commas, points": ("2026-11-24 05:40,3.1\n2026-11-24 05:41,3.5\n", NOTHING, ONE),
    "tabs": ("2026-11-24 05:40\t3,1\n2026-11-24 05:41\t3,5\n", NOTHING, ONE),
    "blanks": ("2026-11-24 05:40   3.1\n2026-11-24 05:41   3.5\n", NOTHING, ONE),
    "quoted decimal commas": ('"24.11.2026 05:40","3,1"\n"24.11.2026 05:41","3,5"\n', NOTHING, ONE),
    "date and time in two columns": ("24/11/2026;05:40:00;3.1\n24/11/2026;05:41:00;3.5\n", NOTHING, ONE),
    "month first, half-day clock": ("11/24/2026 5:40 AM,3.1\n11/24/2026 5:41 AM,3.5\n", NOTHING, ONE),
    "month by name": ("24-Nov-2026 05:40;3.1\n24-Nov-2026 05:41;3.5\n", NOTHING, ONE),
    "dots in the clock": ("24.11.2026 05.40;3,1\n24.11.2026 05.41;3,5\n", NOTHING, ONE),
    "UTC in the text": ("2026-11-24T04:40:00Z,3.1\n2026-11-24T04:41:00Z,3.5\n", NOTHING, ONE),
    "an offset in the text": ("2026-11-24T06:40:00+02:00,3.1\n2026-11-24T06:41:00.2+02:00,3.5\n", NOTHING, ONE),
    "the zone told": ("2026-11-24 10:10,3.1\n2026-11-24 10:11,3.5\n", Told(zone="+05:30"), ONE),
    "the order told": ("11/12/2026 05:40;3.1\n", Told(order="dmy"), {"probe 1": [(17 * 86_400, 310)]}),
    "Fahrenheit told": ("2026-11-24 05:40,37.58\n2026-11-24 05:41,38.3\n", Told(unit="F"), ONE),
    "a unit in each field": ("2026-11-24 05:40;3,1 °C\n2026-11-24 05:41;38.3 F\n", Told(decimal=None), None),
    "the newest first": ("2026-11-24 05:41,3.5\n2026-11-24 05:40,3.1\n", NOTHING, ONE),
    "a word for no reading": ("2026-11-24 05:40,3.1\n2026-11-24 05:41,---\n", Told(missing=("---",)),
                              {"probe 1": [(0, 310)]}),
    "an empty field": ("t;P1;P2\n2026-11-24 05:40;3.1;\n2026-11-24 05:41;;4\n", NOTHING,
                       {"P1": [(0, 310)], "P2": [(60, 400)]}),
    "headings with units": ("Time;Probe 1 (°F);Air [C]\n2026-11-24 05:40;37.58;20\n2026-11-24 05:41;38.3;21\n", NOTHING,
                            {"Probe 1": [(0, 310), (60, 350)], "Air": [(0, 2000), (60, 2100)]}),
    "units in a line of their own": ("Date;Time;P1;P2\n;;°F;°F\n24.11.2026;05:40;37.58;38.3\n", NOTHING,
                                     {"P1": [(0, 310)], "P2": [(0, 350)]}),
    "the unit before the headings": ("Serial;77\nScale;°F\nWhen;P1\n2026-11-24 05:40;37.58\n", NOTHING,
                                     {"P1": [(0, 310)]}),
    "row numbers and other columns": (
        '#,"Date Time, GMT+02:00","Temp, °F (S/N: 1)",RH (%),Host\n1,11/24/26 06:40:00 AM,37.58,71,\n'
        "2,11/24/26 06:41:00 AM,38.3,72,Logged\n", Told(order="mdy"), {"Temp, °F (S/N: 1)": [(0, 310), (60, 350)]}),
    "probes below one another": ("Probe;When;Value\nA;2026-11-24 05:40;3.1\nB;2026-11-24 05:40;4\nA;2026-11-24 05:41;3.5\n",
                                 NOTHING, {"A": [(0, 310), (60, 350)], "B": [(0, 400)]}),
    "probes one after the other": ("A;2026-11-24 05:40;3.1\nA;2026-11-24 05:41;3.5\nB;2026-11-24 05:40;4\n", NOTHING,
                                   {"A": [(0, 310), (60, 350)], "B": [(0, 400)]}),
    "a unit beside each reading": ("Probe,When,Value,Unit\nA,2026-11-24 05:40,37.58,F\nA,2026-11-24 05:41,38.3,F\n",
                                   NOTHING, {"A": [(0, 310), (60, 350)]}),
    "columns told": ("a;b;c\n9;2026-11-24 05:40;3.1\n", Told(time=("b",), values=("3",)), {"c": [(0, 310)]}),
}  # fmt: skip


@pytest.mark.parametrize("name", SHAPES)
def test_shapes(name: str) -> None:
    """Each common way to write a log is understood, by itself or with the one thing it does not say."""
    text, told, expected = SHAPES[name]
    preview = look(text, told)
    if expected is None:
        assert "decimal" in preview.problems[0].sentence
    else:
        assert clear(preview) == expected


@pytest.mark.parametrize(
    "data",
    [
        "When;Temp (°C)\n2026-11-24 05:40;3,1\n".encode(encoding)
        for encoding in ("utf-8", "utf-8-sig", "utf-16", "latin-1", "utf-16-le", "utf-16-be")
    ],
)
def test_encodings(data: bytes) -> None:
    """UTF-8, UTF-16 and Latin-1 are told apart, with and without a byte order mark."""
    assert clear(look(data)) == {"Temp": [(0, 310)]}


def test_line_ends_and_blank_lines() -> None:
    """Lines may end in any way, and the line that is named is the line in the file."""
    text = "t;P1\r\n\r\n2026-11-24 05:40;3.1\r\r\n2026-11-24 05:41;x\r\n"
    assert look(text).problems[0].sentence == "Line 5: 'x' is not a temperature."


STARTED, FIRST_DAY = Choices(start_s=BEGAN_S), Choices(first_day=date(2026, 11, 24))


@pytest.mark.parametrize(
    ("text", "told", "choices", "expected"),
    [
        ("Time (s),P1\n0,3.1\n60,3.5\n", NOTHING, STARTED, {"P1": [(0, 310), (60, 350)]}),
        ("Elapsed min;P1\n0;3,1\n1,5;3,5\n", NOTHING, STARTED, {"P1": [(0, 310), (90, 350)]}),
        ("0,3.1\n60,3.5\n", Told(elapsed="s"), STARTED, {"probe 1": [(0, 310), (60, 350)]}),
        ("05:40,3.1\n05:41,3.5\n", NOTHING, FIRST_DAY, {"probe 1": [(0, 310), (60, 350)]}),
        ("23:59;3.1\n00:01;3.5\n", NOTHING, FIRST_DAY, {"probe 1": [(65_940, 310), (66_060, 350)]}),
    ],
)
def test_times_without_a_date(text: str, told: Told, choices: Choices, expected: object) -> None:
    """Times that count from a start, or pass midnight without a date, need the one thing that is told."""
    assert clear(look(text, told, choices)) == expected


HEAD = "When;P1 (°C)\n"
MINUTES = [f"2026-11-24 05:{40 + i};{i + 2},0" for i in range(10)]


def log(*changed: tuple[int, str]) -> str:
    """Ten minutes of one probe, with some lines replaced."""
    lines = list(MINUTES)
    for at, line in changed:
        lines[at] = line
    return HEAD + "\n".join(lines) + "\n"


BAD = {
    "nothing": ("", NOTHING, "The file is empty.", "again"),
    "no text": (b"\x89PNG\0\0\1\2", NOTHING, "The file is not text.", "CSV"),
    "no readings": ("hello\nthere\n", NOTHING, "No line of the file has a time and a temperature.", "--time"),
    "day or month": ("05/06/2026 05:40;3\n", NOTHING, "05/06/2026 can be read in 2 ways",
                     "05 Jun 2026 (--order dmy) or 06 May 2026 (--order mdy)"),
    "short years": ("10/11/12 05:40;3\n", NOTHING, "can be read in 3 ways", "--order ymd"),
    "wrong order told": ("24/11/2026 05:40;3\n", Told(order="mdy"), "cannot be read as a date and time", "copy"),
    "text for a number": (log((3, "2026-11-24 05:43;warm")), NOTHING, "Line 5: 'warm' is not a temperature", "--missing"),
    "text first": (log((0, "2026-11-24 05:40;warm")), NOTHING, "Line 2: 'warm' is not a temperature", "--missing"),
    "not finite": (log((3, "2026-11-24 05:43;NaN")), NOTHING, "Line 5: 'NaN' is not a temperature", "--missing"),
    "infinite": (log((3, "2026-11-24 05:43;inf")), NOTHING, "Line 5: 'inf' is not a temperature", "--missing"),
    "underscores": (log((3, "2026-11-24 05:43;1_0")), NOTHING, "Line 5: '1_0' is not a temperature", "--missing"),
    "two bad lines": (log((3, "2026-11-24 05:43;x"), (5, "2026-11-24 05:45;y")), NOTHING, "1 more lines", "copy"),
    "lost decimal mark": (log((3, "2026-11-24 05:43;628")), NOTHING, "Line 5: 628 cannot be a temperature", "copy"),
    "cut off": (log((9, "2026-11-24 05")), NOTHING, "Line 11: 1 fields instead of 2", "copy"),
    "no such day": (log((3, "2026-02-30 05:43;5,0")), NOTHING, "Line 5: '2026-02-30 05:43, 5,0' cannot be read", "copy"),
    "no such time": (log((3, "2026-11-24 25:43;5,0")), NOTHING, "Line 5", "copy"),
    "marks mixed": (log((3, "2026-11-24 05:43;5.0")), NOTHING, "a decimal comma and some a decimal point", "--decimal"),
    "mark told wrong": (log(), Told(decimal="."), "'2,0' has the other decimal mark", "copy"),
    "commas for everything": ("2026-11-24 05:40,62,8\n", NOTHING, "may part 2 temperatures or be decimal marks",
                              "--decimal point"),
    "commas for everything, insisted": ("2026-11-24 05:40,62,8\n", Told(decimal=","), "may part", "semicolons"),
    "clock back": (log((5, "2026-11-24 05:31;7,0")), NOTHING,
                   "P1, lines 6 and 7: the clock jumps back from 24 Nov 2026 05:44:00 to 24 Nov 2026 05:31:00.", "--from"),
    "clock far ahead": (log((9, "2027-11-24 05:49;7,0")), NOTHING, "lines 10 and 11: the clock jumps ahead 8760 hours",
                        "--jump keep"),
    "same time": (log((5, "2026-11-24 05:44;7,5")), NOTHING, "lines 6 and 7: two temperatures at the same time", "copy"),
    "Fahrenheit called Celsius": (log((9, "2026-11-24 05:49;145")), NOTHING,
                                  "line 11: core of 145.0 C cannot be; 145 F would be 62.78 C", "--unit F"),
    "iced fish in Fahrenheit": (HEAD + "2026-11-24 05:40;38,0\n", NOTHING, "begins at 38.0 C; that looks like Fahrenheit",
                                "--unit F, or --unit C"),
    "Celsius called Fahrenheit": ("t;P1 (°F)\n2026-11-24 05:40;2.5\n", NOTHING, "looks like Celsius read as Fahrenheit",
                                  "--unit C"),
    "broken probe": (log((5, "2026-11-24 05:45;-99,9")), NOTHING, "core of -99.9 C cannot be", "--missing"),
    "fell out": (log((5, "2026-11-24 05:45;71,0")), NOTHING,
                 "P1, line 7: the core leaps from 6.0 C to 71.0 C at 24 Nov 2026 05:45:00", "--fallen cut"),
    "no dates": ("05:40,3.1\n", NOTHING, "have no date", "--date"),
    "no start": ("Time (s),P1\n0,3.1\n", NOTHING, "count from its start", "--start"),
    "numbers of what": ("0,3.1\n10,3.2\n", Told(decimal="."), "the file does not say of what", "--elapsed"),
    "dates alone": ("24.11.2026;3,1\n", NOTHING, "dates and no times", "times"),
    "two clocks": ("UTC;here;P1\n2026-11-24 04:40;2026-11-24 05:40;3\n", NOTHING, "More than one column holds times",
                   "--time"),
    "no such column": (log(), Told(values=("P9",)), "There is no column 'P9'", "When; P1 (°C)"),
    "two numbers beside the probe": ("Probe;t;a;b\nA;2026-11-24 05:40;3;4\n", NOTHING, "2 columns hold numbers: a; b",
                                     "--values"),
    "no name of a probe": ("Probe;t;a\nA;2026-11-24 05:40;3\n;2026-11-24 05:41;3\n", NOTHING, "Line 3: the probe is not",
                           "copy"),
    "no such zone": (log(), Told(zone="Europe/Nowhere"), "There is no time zone", "Europe/Oslo"),
    "clocks change": (HEAD + "2026-10-25 02:30;3,0\n", NOTHING, "lies where the clocks of Europe/Oslo change", "copy"),
    "clocks changed away": (HEAD + "2026-03-29 02:30;3,0\n", NOTHING, "lies where the clocks", "copy"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_bad_files(name: str) -> None:
    """Each wrong file gives one sentence that says what is wrong, one that says what to do, and no readings at all."""
    data, told, sentence, hint = BAD[name]
    preview = look(data, told)
    assert sentence in preview.problems[0].sentence
    assert hint in preview.problems[0].hint
    with pytest.raises(CallError) as error:
        read_logger(data.encode() if isinstance(data, str) else data, told, Choices(), OSLO)
    assert sentence in error.value.sentence


def test_a_whole_log_is_clear() -> None:
    """The log that the bad ones are made from has nothing wrong and nothing to note."""
    preview = look(log())
    assert clear(preview) == {"P1": [(60 * i, 100 * (i + 2)) for i in range(10)]}
    assert preview.notes == ()
    assert preview.first_rows[0] == ("2026-11-24 05:40", "2,0")
    assert (preview.count, preview.first_s) == (10, BEGAN_S)


OFFSET_S = round((datetime(2026, 10, 25, 1, 30, tzinfo=UTC) - START).total_seconds())
ANSWERED = {
    "the fish was warm": (HEAD + "2026-11-24 05:40;38,0\n", Told(unit="C"), Choices(), [(0, 3800)]),
    "it was Fahrenheit": (HEAD + "2026-11-24 05:40;38,3\n", Told(unit="F"), Choices(), [(0, 350)]),
    "kept": (log((1, "2026-11-24 05:41;71,0")), NOTHING, Choices(fallen="keep"), None),
    "cut": (log((8, "2026-11-24 05:48;71,0"), (9, "2026-11-24 05:49;72,0")), NOTHING, Choices(fallen="cut"),
            [(60 * i, 100 * (i + 2)) for i in range(8)]),
    "logger was off": (log((9, "2026-11-26 05:49;7,0")), NOTHING, Choices(jump="keep"), None),
    "part before a jump": (log((9, "2027-11-24 05:49;7,0")), NOTHING, Choices(until_s=BEGAN_S + 3600),
                           [(60 * i, 100 * (i + 2)) for i in range(9)]),
    "part after": (log((0, "2026-11-24 05:55;7,0")), NOTHING,
                   Choices(since_s=BEGAN_S + 60, until_s=BEGAN_S + 120), [(60, 300), (120, 400)]),
    "hot air is no core": (log((9, "2026-11-24 05:49;120,0")), NOTHING, Choices(kind="air"), None),
    "the offset told": (HEAD + "2026-10-25 02:30;3,0\n", Told(zone="+01:00"), Choices(), [(OFFSET_S, 300)]),
}  # fmt: skip


@pytest.mark.parametrize("name", ANSWERED)
def test_answers(name: str) -> None:
    """What stopped a file is settled by the option that was asked for, and only by that."""
    text, told, choices, expected = ANSWERED[name]
    found = clear(look(text, told, choices))["P1"]
    if expected is None:
        assert len(found) == 10
    else:
        assert found == expected


def test_what_was_cut_is_said() -> None:
    """Readings left out by choice are counted, with the probe and the time."""
    text = log((8, "2026-11-24 05:48;71,0"), (9, "2026-11-24 05:49;72,0"))
    assert look(text, NOTHING, Choices(fallen="cut")).notes == (
        "P1: 2 readings from 24 Nov 2026 05:48:00 on are left out, as was chosen.",
    )


def test_a_slow_sensor_falls_out_over_several_samples() -> None:
    """A probe read every ten seconds that cools to the room over half a minute is seen to have fallen out."""
    began = datetime(2026, 11, 24, 5, 40)
    cores = [65.0] * 30 + [61.0, 55.0, 48.0, 40.0, 30.0] + [22.0] * 5
    rows = [f"{began + timedelta(seconds=10 * i):%Y-%m-%d %H:%M:%S};{core}" for i, core in enumerate(cores)]
    sentence = look(HEAD + "\n".join(rows)).problems[0].sentence
    assert "the core leaps from 65.0 C to 48.0 C at 24 Nov 2026 05:45:00" in sentence


@pytest.mark.parametrize("rate_c_per_min", [1.0, 2.0, 4.9])
def test_fish_that_heats_fast_is_no_fall(rate_c_per_min: float) -> None:
    """A core that rises as fast as a thin fillet can is left alone, whatever the sampling."""
    for seconds in (5, 60, 300):
        began = datetime(2026, 11, 24, 5, 40)
        count = int(60 / rate_c_per_min * 60 / seconds)
        rows = [
            f"{began + timedelta(seconds=seconds * i):%Y-%m-%d %H:%M:%S};{2 + rate_c_per_min * seconds * i / 60:.2f}"
            for i in range(count)
        ]
        assert look(HEAD + "\n".join(rows)).problems == ()


def test_notes() -> None:
    """Gaps, lines that stand twice, columns left out and a unit taken for granted are said, not swallowed."""
    rows = [f"2026-11-24 05:{40 + i},3.{i},70" for i in range(10)] + [
        "2026-11-24 05:49,3.9,70",
        "2026-11-24 07:00,5,70",
    ]
    notes = look("When,P1,RH %\n" + "\n".join(rows)).notes
    assert notes == (
        "The file does not say its unit; the temperatures are taken as Celsius.",
        "Left out: RH %.",
        "P1: 1 lines stand twice and are read once.",
        "P1: no reading for 71 min from 24 Nov 2026 05:49:00; usually every 60 s.",
    )


def test_one_probe_of_several() -> None:
    """--only picks probes by name; a name that is not there is refused with those that are."""
    text = "t;P1;P2\n2026-11-24 05:40;3;4\n"
    assert clear(look(text, NOTHING, Choices(only=("p2",)))) == {"P2": [(0, 400)]}
    problem = look(text, NOTHING, Choices(only=("P3",))).problems[0]
    assert (problem.sentence, problem.hint) == ("There is no probe 'P3' in the file.", "There are: P1; P2.")


def test_an_empty_probe_is_left_out_and_said() -> None:
    """A column without a single reading is named; a file of nothing else is refused."""
    assert look(
        "t;P1;P2\n2026-11-24 05:40;3;-\n2026-11-24 05:41;3;-\n", Told(missing=("-",), values=("P1", "P2"))
    ).notes[-1] == ("Without a reading: P2.")
    only_empty = look("t;P1\n2026-11-24 05:40;-\n", Told(missing=("-",), time=("t",), values=("P1",)))
    assert only_empty.problems


def test_the_second_file_of_a_logger_needs_no_question() -> None:
    """What was answered once is remembered as JSON, and settles the next file with the same headings."""
    first = b"When;P1\n05/06/2026 05:40;38,0\n"
    asked = look(first).problems
    assert "2 ways" in asked[0].sentence
    preview = look(first, Told(order="dmy", unit="F"))
    assert preview.problems == ()
    assert preview.shape is not None
    kept = read_remembered("kiln", remembered_text(remember("kiln", preview.shape)))
    assert kept == remember("kiln", preview.shape)
    second = b"serial 5\nWhen;P1\n07/08/2026 05:40;39,0\n"
    assert fits(kept, lines_of(decode(second)))
    assert not fits(kept, lines_of(decode(b"When;P2\n07/08/2026 05:40;39,0\n")))
    again = look(second, NOTHING.over(kept.told))
    assert [probe.centi_c[0] for probe in again.probes] == [389]
    assert again.problems == ()


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", '{"headings": [], "told": {"colour": "red"}}', '{"headings": 1, "told": {}}']
)
def test_a_damaged_memory_is_said(text: str) -> None:
    """A remembered logger that cannot be read is named, with what to do."""
    with pytest.raises(CallError, match="'kiln' cannot be read"):
        read_remembered("kiln", text)


def test_a_logger_without_headings_is_remembered_by_column_numbers() -> None:
    """Without headings a file is known only by the name that is given, and its columns by their numbers."""
    shape = find_shape(lines_of("2026-11-24 05:40;3,1\n"), NOTHING)
    kept = remember("plain", shape)
    assert (kept.headings, kept.told.time, kept.told.values) == ((), ("1",), ("2",))
    assert not fits(kept, lines_of("2026-11-24 05:40;3,1\n"))


def test_half_a_million_readings() -> None:
    """Half a million readings are read and checked in less than three seconds of work."""
    began = datetime(2026, 1, 1)
    stamps = [f"{began + timedelta(seconds=10 * i):%d.%m.%Y %H:%M:%S}" for i in range(250_000)]
    data = "\n".join(["t;P1;P2", *(f"{text};{20 + i % 99 / 100};21" for i, text in enumerate(stamps))]).encode()
    start = time.process_time()
    preview = look(data)
    assert time.process_time() - start < 3
    assert preview.problems == ()
    assert preview.count == 500_000


def test_a_file_without_headings_and_without_times_is_told() -> None:
    """Rows in which no column holds a time or a number end in a sentence."""
    found = look_into(
        base64.b64decode("CjFxLDEFLDExMTos/////////84KMToxJTEsMSwzLDAi"), Told(), Choices(), ZoneInfo("Europe/Oslo")
    )
    assert "No column of the file holds times." in [problem.sentence for problem in found.problems]
