"""Wrong calls and refused entries: one sentence on stderr, nothing on stdout, nothing in the record."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

START = ("batch", "start", "--smoking", "hot smoked", "--from")
LANDING = ("receive", "landing", "--boat", "Aurora", "--kg", "41", "--species", "HAD", "--area", "27.4.b")

REFUSED = [
    pytest.param(("find", "126-365-001-10"), 4, "knows nothing called '126-365-001-10'", id="unknown code"),
    pytest.param(("find", "126-328-001-43"), 2, "check digits do not fit", id="one wrong character"),
    pytest.param(("trace", "back", "126-328-001-24"), 2, "check digits do not fit", id="two characters changed places"),
    pytest.param((*START, "{lot}=1.001"), 3, "has 1 kg left; 1.001 kg is 1 g too much", id="more than is left"),
    pytest.param((*START, "{lot}=1", "--when", "2026-11-26 05:00"), 3, "is in the future", id="future"),
    pytest.param((*LANDING, "--landed", "tomorrow"), 3, "cannot be after received", id="landed after received"),
    pytest.param((*LANDING, "--when", "24 Nov 06:00"), 3, "is written down already as {shown}", id="duplicate landing"),
    pytest.param(("batch", "release", "{batch}"), 3, "is released already", id="released twice"),
    pytest.param(("pack", "end", "{run}/1", "void", "--why", "x"), 3, "are in a case", id="pack in a case"),
    pytest.param(("find", "{run}/101"), 4, "has no pack 101", id="unknown serial"),
    pytest.param(("find", "095200000000009991"), 4, "is not a case or pallet of this house", id="foreign SSCC"),
    pytest.param(("dispatch", "Key Deli", "{case}"), 4, "There are: Quay Deli", id="unknown buyer"),
    pytest.param((*LANDING[:4], "--kg", "1.234,5", *LANDING[6:]), 2, "is not a clear number", id="unclear mass"),
    pytest.param((*LANDING[:4], "--kg", "0", *LANDING[6:], "--another"), 2, "cannot be 0 g", id="no mass"),
    pytest.param((*LANDING, "--core", "1200"), 2, "cannot be a temperature", id="lost decimal mark"),
    pytest.param((*LANDING, "--when", "30 Feb 05:00"), 2, "There is no day '30 Feb'", id="no such day"),
    pytest.param(LANDING[:6], 2, "required: --species, --area", id="missing options"),
    pytest.param(("receive", "landing", "--bot", "Aurora"), 2, "See `lotwake receive landing --help`", id="bad option"),
    pytest.param(("receive",), 2, "See `lotwake receive --help`", id="no noun"),
    pytest.param(("recieve",), 2, "Did you mean receive", id="unknown command"),
    pytest.param(("--colour",), 2, "There is no command '--colour'", id="unknown option"),
    pytest.param(("pack", "add", "{run}", "many"), 2, "'many' is not a whole number", id="no number"),
    pytest.param(("case", "{run}", "{run}/99-100"), 2, "go into one case", id="case of both kinds"),
    pytest.param(("case", "{run}", "--cases", "9"), 3, "0 full cases of 12", id="too many cases"),
    pytest.param(("list", "lots", "--most", "x"), 2, "'x' is not a whole number", id="list of x"),
    pytest.param(("list", "boats", "--status", "HELD"), 2, "has no days and states", id="state of a boat"),
    pytest.param(("batch", "reading", "{batch}", "core", "hot"), 2, "has no number", id="reading in words"),
    pytest.param(("batch", "reading", "{batch}", "salt", "350"), 2, "between 0 and 100", id="salt of 350 %"),
    pytest.param(("batch", "reading", "{batch}", "smell", "3"), 2, "'smell' is not known", id="kind of reading"),
    pytest.param(("set-up", "boat", "Aurora", "--mark", "N-12-X"), 3, "is known already", id="boat twice"),
    pytest.param(("set-up", "buyer", "New", "--phone", " "), 2, "telephone number is missing", id="buyer, no phone"),
    pytest.param(("set-up", "product", "P", "--gtin", "9520000000029", "--smoking", "hot smoked", "--net", "300 g",
                  "--life-days", "60"), 2, "check digit", id="GTIN check digit"),
    pytest.param(("set-up", "product", "P", "--gtin", "9520000000035", "--smoking", "hot smoked", "--net", "300",
                  "--life-days", "60"), 2, "has no unit", id="mass without unit"),
    pytest.param(("correct", "reading", "99", "value", "63", "--why", "x"), 4, "no reading 99", id="unknown reading"),
    pytest.param(("correct", "field", "{lot}", "weight", "39 kg", "--why", "x"), 3, "1 kg more than it had",
                 id="corrected below what was used"),
    pytest.param(("label", "pack", "{run}", "--count", "200", "--out", "{folder}/x.pdf"), 3, "too much",
                 id="more labels than fish"),
    pytest.param(("back-up", "{folder}/records.db"), 2, "already", id="backup over a file"),
    pytest.param(("restore", "{folder}/nothing.db"), 4, "There is no file", id="restore from nothing"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "code", "sentence"), REFUSED)
def test_a_wrong_call_says_so_and_changes_nothing(
    stocked: Any, words: tuple[str, ...], code: int, sentence: str
) -> None:
    """Bad input gets its exit code and one clear sentence on stderr; stdout stays empty and the journal where it was."""
    names = {
        "lot": stocked.lot, "batch": stocked.batch, "run": stocked.run, "case": stocked.cases[0],
        "folder": str(stocked.house.folder), "shown": "126-328-001-42",
    }  # fmt: skip
    before = stocked.house.journal_end()
    said = stocked.house.call(*(word.format(**names) for word in words), "--json")
    assert (said.code, said.out) == (code, ""), said
    assert sentence.format(**names) in said.err
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    assert stocked.house.journal_end() == before


def test_a_held_lot_cannot_move_on(stocked: Any) -> None:
    """Nothing made from a held lot is started, packed, cased, labelled or sent, and each refusal says why it is held."""
    house = stocked.house
    house.data("hold", stocked.lot, "--why", "histamine result waited for")
    before = house.journal_end()
    for words in (
        (*START, f"{stocked.lot}=1"),
        ("pack", "add", stocked.run, "1"),
        ("case", f"{stocked.run}/99-100"),
        ("dispatch", "Quay Deli", stocked.cases[0]),
        ("label", "pack", stocked.run, "--count", "1", "--out", str(house.folder / "x.pdf")),
    ):
        said = house.call(*words)
        assert said.code == 3, (words, said)
        assert "histamine result waited for" in said.err
    assert house.journal_end() == before


def test_writing_needs_somebody_reading_does_not(stocked: Any) -> None:
    """Without an operator a hold is refused with 3, and a list is given."""
    at = ("--at", str(stocked.house.folder))
    refused = stocked.house.bare(*at, "hold", stocked.lot, "--why", "x")
    assert (refused.code, refused.out) == (3, "")
    assert "Nobody is at work" in refused.err
    assert stocked.house.bare(*at, "list", "lots").code == 0


@pytest.mark.parametrize("place", ["option", "environment", "settings"])
def test_who_is_at_work_is_said_in_three_ways(house: Any, place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """--as, LOTWAKE_OPERATOR and house.toml each name the operator, whose initials the journal shows."""
    house.data("set-up", "operator", "AB", "Anna Berg")
    words = ["--at", str(house.folder), "set-up", "boat", "Borealis"]
    if place == "option":
        words = [*words, "--as", "ab"]
    elif place == "environment":
        monkeypatch.setenv("LOTWAKE_OPERATOR", "AB")
    else:
        house.choose('operator = "AB"\n')
    assert house.bare(*words).code == 0
    assert house.data("journal", "--last", "1")[0]["who"] == "AB"


def test_an_unknown_operator_is_not_found(house: Any) -> None:
    """Initials nobody has are refused with the ones there are."""
    said = house.bare("--at", str(house.folder), "--as", "XX", "list", "lots")
    assert (said.code, said.out) == (4, "")
    assert "There are: SK." in said.err


def test_no_house_here(shell: Any) -> None:
    """In an empty folder every reader says that there is no house and how to set one up; locate still answers."""
    assert shell.call("list", "lots").code == 4
    assert "set-up house" in shell.call("verify").err
    assert shell.data("locate")["exists"] is False


def test_a_house_that_cannot_be_opened_leaves_nothing(shell: Any) -> None:
    """A house set up with a wrong prefix leaves no record behind, and the right call then works."""
    words = ["set-up", "house", "H", "--address", "Q", "--country", "NO", "--zone", "Europe/Oslo", "--first", "SK", "S"]
    assert shell.call(*words, "--prefix", "95").code == 2
    assert not (shell.folder / "records.db").exists()
    assert shell.call(*words, "--prefix", "9520000").code == 0
    assert shell.call(*words, "--prefix", "9520000").code == 3


def test_wrong_settings_are_named(house: Any) -> None:
    """A mistake in house.toml is said with its file and key, by any command."""
    house.choose("printer_dpi = 204\n")
    said = house.call("list", "lots")
    assert said.code == 2
    assert "house.toml, line 1: printer_dpi" in said.err


def test_another_landing_of_the_day_is_taken_when_said(stocked: Any) -> None:
    """--another lets a second landing like the first one in."""
    first = stocked.house.call(*LANDING, "--when", "24 Nov 06:00", "--another")
    assert first.code == 0, first.err


def test_paths_that_do_not_exist(stocked: Any, tmp_path: Path) -> None:
    """A label into a folder that is not there fails with 6, says so, and the record notes the print as failed."""
    house = stocked.house
    said = house.call(
        "label", "reprint", f"{stocked.run}/1", "--why", "smeared", "--out", str(tmp_path / "no" / "x.pdf")
    )
    assert (said.code, said.out) == (6, "")
    assert "cannot be written" in said.err
    assert house.data("journal", "--last", "1")[0]["act"] == "labels failed"
    house.journal_end()
