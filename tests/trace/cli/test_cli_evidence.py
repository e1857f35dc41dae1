"""The shell on evidence: plans, verdicts, corrective actions, releases by name, reviews, checks, what waits, the record."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.process.plan import shipped_plan

PLAN = "Hot smoking, simple smokehouse"
LANDING = ("receive", "landing", "--boat", "Aurora", "--kg", "41", "--species", "HAD", "--area", "27.4.b")
HOT = ("07:00=55", "07:10=63", "07:20=64", "07:30=65", "07:40=66", "07:50=64")
COOLED = ("08:00=40", "08:30=20", "09:00=12", "09:30=7", "10:00=4.4")


def _day(text: str) -> str:
    return f"25 Nov {text}"


@pytest.fixture
def batch(house: Any) -> str:
    """A batch begun under the simple smokehouse plan, on the day after its landing."""
    house.data("process", "adopt", PLAN)
    lot = house.code(*LANDING)
    house.later(24)
    made = house.code("batch", "start", "--smoking", "hot smoked", "--from", f"{lot}=40")
    house.later(6)
    return str(made)


def _prove(house: Any, batch: str) -> None:
    house.data("batch", "step", batch, "brine", "--started", _day("06:05"), "--ended", _day("06:25"))
    for probe in ("P1", "P2"):
        house.data("batch", "reading", batch, "core", "--probe", probe, *(f"25 Nov {text}" for text in (*HOT, *COOLED)))


def test_plans_can_be_looked_at_changed_and_adopted(house: Any, tmp_path: Path) -> None:
    """An example is shown, changed in a file and adopted; list and show then have the house's own version."""
    assert house.call("process", "list").out.startswith("The house has adopted no scheduled process yet.\n")
    text = house.data("process", "example", PLAN)["text"]
    assert text == shipped_plan(PLAN)
    mine = tmp_path / "mine.toml"
    mine.write_text(text.replace("held_min = 30", "held_min = 45"), encoding="utf-8")
    made = house.data("process", "adopt", str(mine))
    assert (made["name"], made["version"], "core-heat" in [item["key"] for item in made["limits"]]) == (PLAN, 1, True)
    assert "held_min = 45" in house.data("process", "show", PLAN)["text"]
    listed = house.data("process", "list")
    assert [(plan["name"], plan["version"]) for plan in listed["adopted"]] == [(PLAN, 1)]
    assert {plan["smoking"] for plan in listed["examples"]} == {"hot smoked", "cold smoked", "smoke flavoured"}
    assert house.data("process", "adopt", PLAN)["version"] == 2


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (("process", "show", PLAN), 4, "has adopted no scheduled process"),
        (("process", "example", "Freeze drying"), 4, "no example process called 'Freeze drying'"),
        (("process", "adopt", "Freeze drying"), 4, "no example process called 'Freeze drying'"),
        (("verdict", "326-329-001-48"), 4, "knows nothing called"),
        (("calibrate", "Kiln 1", "--found", "x", "--due", "+30"), 3, "is a smokehouse, not an instrument"),
        (("waiting", "--only", "rain"), 2, "invalid choice: 'rain'"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(house: Any, words: tuple[str, ...], code: int, sentence: str) -> None:
    """Plans, batches, instruments and kinds that are not there end with their exit code and one sentence."""
    said = house.call(*words)
    assert (said.code, said.out) == (code, "")
    assert sentence in said.err


def test_a_plan_with_a_mistake_names_it(house: Any, tmp_path: Path) -> None:
    """A plan file with a wrong key or that is no text is refused, and nothing is adopted."""
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(shipped_plan(PLAN).replace("held_min = 30", "held_min = 30\nhold_min = 30"), encoding="utf-8")
    said = house.call("process", "adopt", str(wrong))
    assert (said.code, "limit core-heat" in said.err, "hold_min" in said.err) == (2, True, True)
    wrong.write_bytes(b"\xff\xfe")
    assert "cannot be read" in house.call("process", "adopt", str(wrong)).err
    assert house.data("process", "list")["adopted"] == []


def test_the_verdict_says_what_is_missing_and_then_what_was_met(house: Any, batch: str) -> None:
    """Without readings no limit has evidence; with them the numbers, the moment, the claims and the caution are there."""
    before = house.data("verdict", batch)
    assert (before["process"], before["verdict"]) == (PLAN, "NO EVIDENCE")
    assert [c["allowed"] for c in before["claims"]] == [False] * 5
    _prove(house, batch)
    after = house.data("verdict", batch)
    limits = {item["key"]: item for item in after["limits"]}
    assert after["verdict"] == "MET"
    assert limits["core-heat"]["verdict"] == "MET"
    assert limits["core-heat"]["at"] == "2026-11-25T06:10:00Z"
    assert limits["salt-vacuum"]["packaging"] == "vacuum"
    assert {c["claim"]: c["allowed"] for c in after["claims"]}["ready to eat"] is True
    assert next(step for step in after["steps"] if step["name"] == "brine")["minutes"] == 20
    text = house.call("verdict", batch).out
    assert "MET          core at 62.8 C or hotter for 30 minutes" in text
    assert "NO   vacuum pack refused: no salt and moisture result" in text
    assert text.endswith("local codes and a qualified person decide.\n")


def test_a_batch_without_a_plan_has_no_verdict(house: Any) -> None:
    """A batch begun before any plan was adopted is said to be so, and no claim is allowed for it."""
    lot = house.code(*LANDING)
    code = house.code("batch", "start", "--smoking", "hot smoked", "--from", f"{lot}=40")
    found = house.data("verdict", code)
    assert (found["process"], found["verdict"], found["limits"]) == (None, None, [])
    assert "made without a scheduled process" in house.call("verdict", code).out


def test_release_by_name_goes_through_action_and_reason(house: Any, batch: str) -> None:
    """A limit without evidence holds the release back until cause, action, name and reason are written down."""
    refused = house.call("batch", "release", batch)
    assert (refused.code, "NO EVIDENCE" in refused.err, "core-heat" in refused.err) == (3, True, True)
    no_cause = house.call("batch", "act", batch, "core-heat", "--cause", " ", "--action", "tested")
    assert (no_cause.code, "cause" in no_cause.err) == (2, True)
    wrong = house.call("batch", "act", batch, "salt", "--cause", "x", "--action", "y")
    assert (wrong.code, "Open limits: core-heat, cooling, brine-time" in wrong.err) == (4, True)
    for limit in ("core-heat", "cooling", "brine-time"):
        house.data("batch", "act", batch, limit, "--cause", "thermometer broke", "--action", "sampled and tested")
    unnamed = house.call("batch", "release", batch, "--note", "below every limit")
    assert (unnamed.code, "name and reason of a qualified person" in unnamed.err) == (3, True)
    done = house.data("batch", "release", batch, "--by", "Dr. Inger Holm", "--note", "below every limit")
    assert (done["status"], "core-heat" in done["facts"]["in_spite_of"]) == ("RELEASED BY NAME", True)
    history = [line["act"] for line in house.data("find", batch)["things"][0]["history"]]
    assert history.count("corrective action") == 3


def test_a_review_follows_the_release(house: Any, batch: str) -> None:
    """A record is reviewed after the release, by whoever is at work; after that it no longer waits for it."""
    assert "not released yet" in house.call("batch", "review", batch).err
    _prove(house, batch)
    house.data("batch", "release", batch)
    assert [item["code"] for item in house.data("waiting", "--only", "to review")["waiting"]] == [batch]
    house.data("batch", "review", batch, "--note", "read through")
    assert house.data("waiting", "--only", "to review")["waiting"] == []
    assert "Nothing waits." in house.call("waiting", "--only", "to review").out


def test_an_instrument_waits_for_its_check(house: Any) -> None:
    """A thermometer is due from the start, no longer after a check, again when it failed or its day has come."""
    house.data("set-up", "equipment", "probe 1", "thermometer")

    def due() -> list[str]:
        return [item["sentence"] for item in house.data("waiting", "--only", "calibration due")["waiting"]]

    assert due() == ["probe 1 has no calibration in the record"]
    checked = house.data("calibrate", "probe 1", "--found", "0.1 C high in ice water", "--due", "+30")
    assert (checked["passed"], checked["due_on"]) == (True, "2026-12-24")
    assert due() == []
    house.later(24)
    house.data("calibrate", "probe 1", "--found", "2 C high", "--due", "+1", "--failed")
    assert due() == ["probe 1 failed its check: 2 C high"]
    house.later(1)
    house.data("calibrate", "probe 1", "--found", "in order", "--due", "+10")
    house.later(10 * 24)
    assert "was to be checked by 05 Dec 2026" in due()[0]


def test_what_waits_is_listed_by_urgency(house: Any, batch: str) -> None:
    """People see a heading for each kind with its sentences; machines see kind, code, since and sentence."""
    house.data("hold", batch, "--why", "thermometer")
    found = house.data("waiting")["waiting"]
    assert [item["kind"] for item in found] == ["held", "fish on ice", "batch running"]
    assert set(found[0]) == {"kind", "code", "shown", "since", "sentence"}
    lines = house.call("waiting").out.splitlines()
    assert [line for line in lines if not line.startswith(" ")] == ["HELD", "FISH ON ICE", "BATCH RUNNING"]


def test_the_record_of_a_batch_goes_onto_a_page(house: Any, batch: str, tmp_path: Path) -> None:
    """``batch record`` writes a PDF and gives its file and the head of the journal; where it cannot, it says so with 6."""
    _prove(house, batch)
    out = tmp_path / "record.pdf"
    made = house.data("batch", "record", batch, "--out", str(out))
    assert out.read_bytes().startswith(b"%PDF-")
    line, last = house.journal_end()
    assert (made["batch"], made["file"], made["journal_line"], made["hash"]) == (batch, str(out), line, last)
    said = house.call("batch", "record", batch, "--out", str(tmp_path / "nowhere" / "record.pdf"))
    assert (said.code, "cannot be written" in said.err) == (6, True)
    assert json.loads(house.call("batch", "record", batch, "--out", str(out), "--json").out)["batch"] == batch


def test_a_weight_after_a_step_gives_its_yield(house: Any, batch: str) -> None:
    """The weight is entered under the step begun last, its yield is said, and the verdict carries it."""
    _prove(house, batch)
    made = house.data("batch", "weigh", batch, "38", "--when", _day("06:30"))
    assert (made["after"], made["g"], made["yield_percent"]) == ("brine", 38_000, 95.0)
    house.data("batch", "step", batch, "smoking", "--started", _day("06:58"), "--ended", _day("08:00"))
    said = house.call("batch", "weigh", batch, "30.4 kg", "--after", "smoking", "--when", _day("08:10")).out
    assert said.splitlines()[1] == (
        "Yield of smoking NOTHING TO COMPARE: 80.0 % of brine (38 kg to 30.4 kg), no usual yield known yet."
    )
    yields = house.data("verdict", batch)["yields"]
    assert [(item["step"], item["of"], item["yield_percent"]) for item in yields] == [
        ("brine", "what went in", 95.0),
        ("smoking", "brine", 80.0),
    ]
    refused = house.call("batch", "weigh", batch, "30", "--after", "drying")
    assert (refused.code, "Begun: brine, smoking." in refused.err) == (2, True)


def test_readings_name_their_instrument(house: Any, batch: str) -> None:
    """The instrument stands with the reading and in the verdict with its check; a wrong name is put right."""
    for name in ("probe 1", "probe 2"):
        house.data("set-up", "equipment", name, "thermometer")
    house.data("calibrate", "probe 1", "--found", "0.1 C high", "--due", "+30")
    house.data("batch", "reading", batch, "core", "64", "--probe", "probe 1")
    house.data("batch", "reading", batch, "core", "65", "--with", "probe 2", "--when", _day("07:00"))
    readings = house.data("find", batch)["things"][0]["readings"]
    assert [(item["value"], item["instrument"]) for item in readings] == [(6_500, "probe 2"), (6_400, "probe 1")]
    used = house.data("verdict", batch)["instruments"]
    assert [(item["instrument"], item["standing"]) for item in used] == [
        ("probe 1", "IN ORDER"),
        ("probe 2", "NEVER CHECKED"),
    ]
    number = str(readings[0]["number"])
    house.data("correct", "reading", number, "instrument", "probe 1", "--why", "it was the other one")
    assert {item["instrument"] for item in house.data("find", batch)["things"][0]["readings"]} == {"probe 1"}
    (check,) = house.data("list", "calibrations")["rows"]
    assert (check["instrument"], check["result"], check["found"], check["who"]) == (
        "probe 1",
        "passed",
        "0.1 C high",
        "SK",
    )
