"""Lists, the journal, and the keys of what is found."""

from __future__ import annotations

from typing import Any

import pytest

from lotwake.trace.base.codes import show_code

pytestmark = pytest.mark.on_both

THING_KEYS = {"kind", "code", "shown", "status", "facts"}
FOUND_KEYS = THING_KEYS | {"contents", "steps", "readings", "holds", "corrections", "history", "where"}
SETS = (
    "boats",
    "farms",
    "dealers",
    "suppliers",
    "buyers",
    "products",
    "equipment",
    "operators",
    "species",
    "areas",
    "gear",
)


@pytest.mark.parametrize("what", ["lots", "batches", "runs", "cases", "pallets", "dispatches", "returns"])
def test_things_are_listed_with_their_keys(stocked: Any, what: str) -> None:
    """Each kind of thing lists with the documented keys, and what is listed is found again by its code."""
    house = stocked.house
    house.data("pallet", *stocked.cases[:2])
    house.data("dispatch", "Quay Deli", stocked.cases[2])
    house.data("return", "Quay Deli", stocked.cases[2], "--why", "torn")
    listed = house.data("list", what)
    assert listed["rows"]
    for row in listed["rows"]:
        assert set(row) == THING_KEYS
        assert row["shown"] == show_code(row["code"])
        (found,) = house.data("find", row["code"])["things"]
        assert set(found) == FOUND_KEYS
        assert {key: found[key] for key in THING_KEYS} == row
        assert found["history"]
    assert house.call("list", what).out.count("\n") == len(listed["rows"]) + 1


@pytest.mark.parametrize("what", SETS)
def test_everyone_else_is_listed(house: Any, what: str) -> None:
    """Every other list answers in JSON and in text, also when it is empty."""
    rows = house.data("list", what, "--most", "5")["rows"]
    text = house.call("list", what, "--most", "5").out
    assert text.count("\n") == max(len(rows) + 1, 1)
    assert rows or f"There are no {what}" in text
    assert all("name" in row or "english" in row for row in rows)


def test_a_list_is_narrowed(house: Any) -> None:
    """Days of the house, a text and a number of rows each narrow a list, the newest first."""
    codes = []
    for species in ("HAD", "COD", "SAA"):
        codes.append(
            house.code("receive", "landing", "--boat", "Aurora", "--kg", "10", "--species", species, "--area", "27")
        )
        house.later(24)

    def listed(*more: str) -> list[str]:
        return [row["code"] for row in house.data("list", "lots", *more)["rows"]]

    assert listed() == codes[::-1]
    assert listed("--since", "25 Nov") == codes[:0:-1]
    assert listed("--until", "25 Nov") == codes[1::-1]
    assert listed("--since", "2026-11-25", "--until", "2026-11-25") == [codes[1]]
    assert listed("--holding", "gadus") == [codes[1]]
    assert house.data("list", "lots", "--most", "2")["more"] is True
    assert house.data("list", "lots", "--most", "3")["more"] is False


def test_a_day_of_the_house_begins_at_its_own_midnight(house: Any) -> None:
    """A lot received at 00:30 in Oslo, still the day before in UTC, is of the new day."""
    house.later(24)
    code = house.code(
        "receive", "landing", "--boat", "Aurora", "--kg", "1", "--species", "HAD", "--area", "27", "--when", "00:30",
        "--landed", "24 Nov",
    )  # fmt: skip
    listed = house.data("list", "lots", "--since", "25 Nov")["rows"]
    assert [row["code"] for row in listed] == [code]
    assert listed[0]["facts"]["received"] == "2026-11-24T23:30:00Z"


def test_the_journal_shows_its_end(stocked: Any) -> None:
    """``journal --last`` gives the newest lines last, chained to the hash ``verify`` ends on."""
    lines = stocked.house.data("journal", "--last", "3")
    number, last_hash = stocked.house.journal_end()
    assert [line["entry"] for line in lines] == [number - 2, number - 1, number]
    assert (lines[-1]["hash"], lines[-1]["who"], lines[-1]["act"]) == (last_hash, "SK", "case up")


def test_a_batch_shows_its_steps_and_readings(stocked: Any) -> None:
    """Steps with their times and readings with the numbers to correct them by are shown with a batch."""
    house = stocked.house
    house.data("batch", "step", stocked.batch, "cooling", "--started", "06:30", "--note", "fan on")
    house.later(1)
    house.data("batch", "end-step", stocked.batch, "cooling")
    house.data("batch", "reading", stocked.batch, "salt", "3,5 %")
    house.data("batch", "reading", stocked.batch, "weight", "31")
    (found,) = house.data("find", stocked.batch)["things"]
    assert [(step["name"], step["started"], step["ended"]) for step in found["steps"]] == [
        ("cooling", "2026-11-25T05:30:00Z", "2026-11-25T10:00:00Z")
    ]
    assert [(each["number"], each["value"], each["unit"]) for each in found["readings"]] == [
        (1, 350, "pct100"),
        (2, 31000, "g"),
    ]
    text = house.call("find", stocked.batch).out
    assert "no. 1: salt 3.5 % at 25 Nov 2026 11:00" in text
    assert "cooling, 25 Nov 2026 06:30 to 25 Nov 2026 11:00, fan on" in text


def test_a_scanned_label_is_found(stocked: Any) -> None:
    """A GS1 element string, as a scanner sends it, and a Digital Link name the same pack."""
    element = f"]C101095200000000281527012410{stocked.run}\x1d2107"
    link = f"https://example.com/01/09520000000028/10/{stocked.run}/21/7"
    for text in (element, link):
        (found,) = stocked.house.data("find", text)["things"]
        assert (found["kind"], found["code"], found["serial"]) == ("pack", stocked.run, 7)


def test_locate_names_the_files(house: Any) -> None:
    """``locate`` names folder and files as full paths, in JSON and in text; a record on a server is no file."""
    answer = house.data("locate")
    assert (answer["folder"], answer["exists"]) == (str(house.folder), True)
    assert answer["files"]["records"] == (str(house.folder / "records.db") if house.has_file else None)
    assert str(house.folder / "house.toml") in house.call("locate").out
