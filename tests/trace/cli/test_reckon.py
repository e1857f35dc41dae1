"""``lotwake reckon``: every calculation from the shell, for machines and for people."""

from __future__ import annotations

import io
import json
from argparse import ArgumentParser
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.base.errors import CallError, LotwakeError, NotFound
from lotwake.trace.cli import reckon
from lotwake.trace.cli.command import Command, Shell

CALLS: dict[str, tuple[str, dict[str, Any]]] = {
    "check-digit": ("--digits 629104150021", {"check_digit": 3}),
    "gs1": (
        "--text (01)09520000000011(3103)012500(15)270131(10)S2611-07",
        {"valid": True, "element_string": "^010952000000001131030125001527013110S2611-07", "problems": []},
    ),
    "digital-link": (
        "--uri https://a/01/12312312312333/22/ABC%2d123?99=ABC&98=XYZ%2f987",
        {"valid": True, "element_string": "^011231231231233322ABC-123^99ABC^98XYZ/987"},
    ),
    "wps": ("--salt 2.5 --moisture 65", {"wps_percent": 3.7037, "verdict": "MET"}),
    "water-activity": ("--salt-percent 3.5", {"aw": 0.98, "kind": "upper estimate"}),
    "lethality": (
        "--core 65 --minutes 9.3 --organism listeria",
        {"lethal_rate": 0.215, "equivalent_min": 2.004, "minutes_for_6d": 9.28},
    ),
    "brine": (
        "--degrees 80 --scale 26.395 --water-kg 1000",
        {"salt_percent": 21.116, "salt_kg": 267.684, "brine_kg": 1267.684, "litres": 1095.8},
    ),
    "brine-density": ("--salt-percent 10 --temp 20", {"density_kg_m3": 1070.7, "g_per_litre": 107.07}),
    "brine-top-up": (
        "--brine-kg 100 --have-degrees 60 --want-degrees 80",
        {"add": "salt", "add_kg": 6.692, "brine_after_kg": 106.692},
    ),
    "hydrometer": ("--degrees 78 --temp 25", {"degrees": 80.2, "salt_percent": 21.18}),
    "ice": ("--fish-kg 100 --from 25 --to 0 --cp 0.8", {"ice_kg": 25.0}),
    "tne": ("--nominal-g 450", {"tne_g": 13.5, "t1_g": 436.5, "t2_g": 423.0}),
    "mav": ("--labelled-g 150", {"mav_g": 9.0}),
    "figure-height": ("--market eu --nominal-g 300", {"min_height_mm": 4.0}),
    "x-height": ("--largest-surface-cm2 80", {"min_x_height_mm": 1.2}),
    "species": ("--code MAC", {"code": "MAC", "scientific": "Scomber scombrus", "english": "Atlantic mackerel"}),
    "area": ("--code 27", {"name": "Atlantic, Northeast"}),
    "gear": ("--code SV", {"isscfg": "02.2", "name": "Boat seines"}),
    "held": (
        "--readings 0:20,10:63,20:64,30:64,40:63.5 --minutes 30",
        {"verdict": "MET", "held_min": 30.047, "come_up_min": 9.953, "gaps_min": []},
    ),
    "cooling": ("--readings 0:60,30:40,60:21.1,90:10,120:4.4", {"verdict": "MET"}),
    "exposure": ("--readings 0:15,30:15", {"band_min": 30.0, "warm_min": 0.0, "limit_min": 300.0, "verdict": "MET"}),
    "yield": ("--in 41kg --out 33,5 --low 70 --high 80", {"yield_percent": 81.71, "word": "HIGH"}),
}
PROTECTING = ("wps", "water-activity", "lethality", "held", "cooling", "exposure", "tne", "mav")


def reckoned(words: list[str], as_json: bool = True) -> str:
    """What the command writes on stdout."""
    parser = ArgumentParser(prog="lotwake reckon")
    reckon.arguments(parser)
    written = io.StringIO()
    with redirect_stdout(written):
        reckon.run(parser.parse_args(words), Shell(folder=None, who=None, as_json=as_json))
    return written.getvalue()


def data_of(*words: str) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(reckoned(list(words)))
    return data


def test_every_calculation_is_called_here() -> None:
    """A calculation without a call in this table fails the suite."""
    assert {calculation.name for calculation in reckon.CALCULATIONS} == set(CALLS)


def test_the_module_is_a_command() -> None:
    """It has the four names the shell looks for, and each calculation has a line of help."""
    command: Command = reckon
    assert (command.NAME, command.HELP[-1]) == ("reckon", ".")
    assert all(calculation.help.endswith(".") for calculation in reckon.CALCULATIONS)


@pytest.mark.parametrize("name", CALLS)
def test_the_json_of_each_calculation(name: str) -> None:
    """One object on stdout with the agreed keys and values, and its source."""
    words, expected = CALLS[name]
    data = data_of(name, *words.split())
    assert {key: data[key] for key in expected} == expected
    assert data["source"]


@pytest.mark.parametrize("name", CALLS)
def test_the_lines_for_people(name: str) -> None:
    """Result, the numbers put in, source; and a caution where the number protects people."""
    lines = reckoned([name, *CALLS[name][0].split()], as_json=False).splitlines()
    starts = {line.split()[0] for line in lines[1:]}
    assert {"from", "source"} <= starts
    assert ("CAUTION" in starts) or name not in PROTECTING


VARIANTS: list[tuple[str, dict[str, Any]]] = [
    ("brine --degrees 80", {"salt_percent": 21.116, "saturation_percent": 26.395}),
    ("brine --degrees 100 --scale canning-25", {"salt_percent": 25.0}),
    ("brine --degrees 80 --tank-litres 200", {"litres": 200.0, "salt_kg": 48.856}),
    ("brine-top-up --brine-litres 100 --have-degrees 80 --want-degrees 80", {"add": "nothing", "add_kg": 0.0}),
    ("brine-top-up --brine-kg 100 --have-degrees 80 --want-degrees 60", {"add": "water", "add_kg": 33.333}),
    ("hydrometer --sg 1.16 --temp 60F", {"degrees": 79.9}),
    ("wps --salt 2,5 --moisture 65 --salt 2.4 --moisture 66.2", {"wps_percent": 3.4985, "verdict": "NOT MET"}),
    ("wps --salt 2.1 --moisture 62 --nitrite-ppm 100", {"limit_percent": 3.0, "verdict": "MET"}),
    ("lethality --core 145F --minutes 30 --organism botulinum", {"equivalent_min": 0.00388}),
    ("figure-height --market us --panel-sq-in 6", {"min_height_mm": 3.2, "min_height_inch": "1/8"}),
    ("area --code 27.4.b", {"name": "Central North Sea"}),
    ("area --code 99", {"on_label": False}),
    ("species --english haddock", {"code": "HAD"}),
    ("gear --code NK", {"isscfg": "99.9", "eu_category": None}),
    ("gs1 --text ^0112345678901231^991234", {"valid": True}),
    ("gs1 --text (10)12345(11)991225", {"valid": False, "element_string": "^1012345^11991225"}),
    ("digital-link --uri https://a/01/02345673", {"valid": False, "element_string": None}),
    ("digital-link --uri fish", {"valid": False, "element_string": None}),
    ("held --readings 0:145,10:150,20:150,30:145 --unit F --limit 145F", {"verdict": "MET", "held_min": 30.0}),
    ("held --readings 0:20,10:63 --readings 0:20,10:30", {"verdict": "NOT MET", "come_up_min": None}),
    ("held --readings 0:70,60:70", {"verdict": "NO EVIDENCE", "gaps_min": [[0.0, 60.0]]}),
    ("held --readings 0:70 --readings 9:70", {"verdict": "NO EVIDENCE", "deciding": None}),
    ("exposure --readings 0:30,150:30 --gap-min 200 --s-aureus-only", {"limit_min": 180.0, "verdict": "MET"}),
    ("yield --in 41kg --out 33.5kg --history 81;82;83;80;81;82;79;84", {"word": "IN LINE", "batches": 8}),
]


@pytest.mark.parametrize(("call", "expected"), VARIANTS)
def test_other_ways_to_ask(call: str, expected: dict[str, Any]) -> None:
    """Other units, scales, several samples and several probes."""
    data = data_of(*call.split())
    assert {key: data[key] for key in expected} == expected


def test_cooling_forecast() -> None:
    """With the air given, the stages still open get the minute at which they should end (Newton's law)."""
    data = data_of("cooling", "--readings", "0:62.8,30:40", "--air", "2")
    assert data["verdict"] == "NO EVIDENCE"
    assert data["forecast"] == [{"to_c": 21.1, "minute": 73.9}, {"to_c": 4.4, "minute": 206.3}]


REFUSED = [
    ("brine --degrees 180", "180 degrees cannot be"),
    ("brine --degrees 1.234,5", "not a clear number"),
    ("brine --degrees 80 --scale 99", "A saturation of 99"),
    ("brine-density --salt-percent 30", "30 % salt cannot be"),
    ("wps --salt 65 --moisture 2.5", "Salt of 65 %"),
    ("wps --salt 2.5 --salt 2.6 --moisture 65", "2 salt and 1 moisture"),
    ("water-activity --salt-percent -1", "cannot be"),
    ("lethality --core 628 --minutes 30", "cannot be a temperature"),
    ("lethality --core 200 --minutes 30", "core temperature of 200"),
    ("lethality --core 65 --minutes -1", "cannot be"),
    ("ice --fish-kg 100 --from 2 --to 25", "does not warm"),
    ("tne --nominal-g 3", "do not cover"),
    ("figure-height --market eu", "goes by the net quantity"),
    ("figure-height --market us --nominal-g 300", "goes by the area"),
    ("x-height --largest-surface-cm2 0", "cannot be"),
    ("check-digit --digits 62910415002X", "digits only"),
    ("held --readings 0:20,0:63", "not later"),
    ("held --readings 0-20", "is not a reading"),
    ("held --readings 0:20,10:62,8", "is not a reading"),
    ("held --readings 0:20,10:180", "cannot be the core of fish"),
    ("held --readings 0:20 --gap-min 0", "above zero"),
    ("cooling --readings 0:60 --air 2", "needs two readings"),
    ("cooling --readings 0:40,10:60 --air 2", "do not cool"),
    ("yield --in 41kg --out 33kg --low 70", "both ends"),
    ("yield --in 0kg --out 33kg", "cannot be"),
    ("yield --in 41stone --out 33kg", "not a unit of mass"),
]


@pytest.mark.parametrize(("call", "said"), REFUSED)
def test_what_cannot_be_is_refused(call: str, said: str) -> None:
    """A sentence, a hint, and the exit code of a wrong call."""
    with pytest.raises(CallError) as caught:
        reckoned(call.split())
    assert said in caught.value.sentence
    assert caught.value.hint
    assert caught.value.exit_code == 2


@pytest.mark.parametrize("call", ["species --code XQZ", "area --code 70", "gear --code QQ", "held --csv no-such.csv"])
def test_what_is_not_found(call: str) -> None:
    """A well-formed code that no list holds, or a file that is not there, is not found."""
    with pytest.raises(NotFound) as caught:
        reckoned(call.split())
    assert caught.value.exit_code == 4


@pytest.mark.parametrize("call", ["", "wps --salt 2.5", "frying --minutes 5", "held", "brine --degrees"])
def test_an_incomplete_call_leaves_with_two(call: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What the shell cannot read ends with exit code 2 and a usage line on stderr."""
    with pytest.raises(SystemExit) as caught:
        reckoned(call.split())
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err


FILES = [
    "time,core 1,core 2\n0,20,21\n10,63,64\n20,64,65\n30,64,65\n40,63.5,64\n",
    "time;core 1;core 2\n14:00;20,0;21,0\n14:10;63,0;64\n14:20;64;65\n\n14:30;64;65\n14:40;63,5;64\n",
    "time\tcore 1\tcore 2\n23:50\t20\t21\n0:00\t63\t64\n0:10:00\t64\t65\n00:20\t64\t65\n00:30\t63.5\t64\n",
    "2026-11-24 14:00,20,21\n2026-11-24T14:10,63,64\n2026-11-24 14:20,64,65\n2026-11-24 14:30,64,\n2026-11-24 14:40,63.5,64\n",
]


@pytest.mark.parametrize("text", FILES)
def test_readings_from_a_file(text: str, tmp_path: Path) -> None:
    """Commas, semicolons or tabs; points or commas; minutes, clock times over midnight, dates; a skipped field."""
    path = tmp_path / "readings.csv"
    path.write_text(text, encoding="utf-8")
    data = data_of("held", "--csv", str(path), "--gap-min", "20")
    assert (data["verdict"], data["held_min"]) == ("MET", 30.047)


BAD_FILES = [
    ("time,core\n0,20\n10,warm\n", "line 3: 'warm'"),
    ("time,core\n\n0,20\n10,62,8\n", "line 4: there are 3 fields"),
    ("time,core\n0,20\nnoon,30\n", "line 3: 'noon'"),
    ("0,20\n2026-13-40,30\n", "line 2: '2026-13-40' is not a time"),
    ("time,core\n10:30,20\n10:20,30\n", "not later"),
    ("time,core\n", "no readings"),
    ("", "no columns"),
    ("20\n30\n", "no columns"),
]


@pytest.mark.parametrize(("text", "said"), BAD_FILES)
def test_a_bad_file_is_refused_by_line(text: str, said: str, tmp_path: Path) -> None:
    """The sentence names the file's line and what is wrong in it."""
    path = tmp_path / "readings.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(CallError) as caught:
        reckoned(["held", "--csv", str(path)])
    assert said in caught.value.sentence


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    """Bytes that are not UTF-8, and a folder, end in a sentence."""
    path = tmp_path / "readings.csv"
    path.write_bytes(b"\xff\xfe\x00\x81")
    for place in (path, tmp_path):
        with pytest.raises(LotwakeError, match="cannot be read"):
            reckoned(["held", "--csv", str(place)])


@pytest.mark.parametrize("name", CALLS)
def test_no_answer_promises_too_much(name: str) -> None:
    """No line says "safe" or "compliant"."""
    text = reckoned([name, *CALLS[name][0].split()], as_json=False).lower()
    assert "safe" not in text
    assert "complian" not in text
