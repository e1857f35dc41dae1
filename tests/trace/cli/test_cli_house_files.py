"""Settings, label stock and phrases changed from the shell: one value at a time, the rest of the file as it was."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

HOUSE = """# what we print with
operator = "SK"
market = "codex"   # until we sell abroad

[keys]   # our keyboard has no F2
help = "f11"
"""


def test_a_setting_is_changed_and_comments_stay(house: Any) -> None:
    """A value that is there is changed in its place, a new one comes before the tables; nothing else differs."""
    file = house.folder / "house.toml"
    file.write_text(HOUSE)
    data = house.data("set-up", "setting", "market", "eu")
    assert data == {"file": str(file), "name": "market", "now": "eu", "was": "codex"}
    assert file.read_text() == HOUSE.replace('"codex"', '"eu"')
    house.data("set-up", "setting", "languages", "english, filipino")
    house.data("set-up", "setting", "use_by", "yes")
    house.data("set-up", "setting", "pack_face_cm2", "70")
    after = file.read_text()
    for line in HOUSE.replace('"codex"', '"eu"').splitlines():
        assert line in after.splitlines()
    seen = {item["name"]: item["now"] for item in house.data("set-up", "setting")}
    assert (seen["languages"], seen["use_by"], seen["pack_face_cm2"]) == ("english, filipino", "true", "70")
    assert house.call("label", "stocks").code == 0


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("setting", "market", "mars"), "house.toml, line 3: market = 'mars' is not known."),
        (("setting", "printer", "lpt1"), "printer = 'lpt1' is no printer."),
        (("setting", "printer_dpi", "many"), "printer_dpi = 'many' is not a whole number."),
        (("setting", "use_by", "perhaps"), "use_by = 'perhaps' is neither yes nor no."),
        (("setting", "stock", "gone"), "there is no label stock 'gone'."),
        (("setting", "languages", "gone.toml"), "gone.toml cannot be read"),
        (("setting", "colour", "red"), "There is no setting 'colour' to change here."),
        (("setting", "colour"), "There is no setting 'colour'."),
        (("stock", "narrow", "width_mm=50"), "narrow.toml: height_mm must be a number above 0."),
        (("stock", "narrow", "width_mm=wide"), "width_mm = 'wide' is not a number."),
        (("stock", "narrow", "colour=3"), "A label stock has no 'colour'."),
        (("stock", "narrow", "width_mm"), "'width_mm' is no measure."),
        (("stock", "roll 100 x 60 mm"), "What about it is to be changed?"),
        (("stock", "roll 100 x 60 mm", "margin_mm=40"), ": margin_mm 40 leaves nothing of a label of 100 x 60 mm."),
        (("phrase", "words.toml", "lots", "Lot"), "There is no phrase 'lots'."),
        (("phrase", "words.toml", "sentences.cook", "Cook it."), "sentences.cook has other words in braces"),
        (("phrase", "words.toml", "lot", ""), "words.toml, line 8: lot must be a text"),
        (("phrase", "../words", "lot", "Lot"), "'../words' cannot name a phrase file."),
    ],
)
def test_what_cannot_be_changes_nothing(house: Any, words: tuple[str, ...], says: str) -> None:
    """Each refusal is one sentence with the file and its line where it is about one; every file stays as it was."""
    (house.folder / "house.toml").write_text(HOUSE)
    said = house.call("set-up", *words)
    assert (said.code, says in said.err) == (2, True), said.err
    assert (house.folder / "house.toml").read_text() == HOUSE
    assert not (house.folder / "stock").exists()
    assert not (house.folder / "words.toml").exists()


def test_a_stock_is_written_down_changed_and_calibrated(house: Any, tmp_path: Path) -> None:
    """A roll by its measures, a sheet like one that comes with the program; one measure is put right, comments stay."""
    house.data("set-up", "stock", "our roll", "width_mm=90", "height_mm=60", "margin_mm=2", "bar_heights_mm=9 7")
    file = house.folder / "stock" / "our-roll.toml"
    file.write_text("# the yellow roll\n" + file.read_text())
    changed = house.data("set-up", "stock", "our roll", "shift_up_mm=-0,5")
    assert (changed["now"], changed["was"]) == ("-0,5", "")
    assert file.read_text().startswith("# the yellow roll\n")
    assert "shift_up_mm = -0.5" in file.read_text()
    house.data("set-up", "stock", "our sheet", "sheet.rows=6", "--like", "A4 sheet, 3 x 7 labels")
    seen = {item["name"]: item for item in house.data("label", "stocks")}
    assert (seen["our sheet"]["labels_per_page"], seen["our roll"]["own"]) == (18, True)
    house.data("set-up", "stock", "roll 58 x 40 mm", "shift_right_mm=0.4")
    assert {item["name"]: item for item in house.data("label", "stocks")}["roll 58 x 40 mm"]["own"]
    assert house.data("set-up", "setting", "stock", "our roll")["now"] == "our roll"
    assert house.data("label", "calibrate", "--out", str(tmp_path / "x.pdf"))["stock"] == "our roll"
    assert house.call("set-up", "stock", "our roll", "width_mm=80", "--like", "roll 58 x 40 mm").code == 2


def test_a_phrase_is_changed_in_a_file_of_the_house(house: Any) -> None:
    """The file begins as the language of its name, with its comments; labels then speak it."""
    changed = house.data("set-up", "phrase", "french", "lot", "Lot nº")
    file = house.folder / "french.toml"
    assert changed == {"file": str(file), "name": "lot", "now": "Lot nº", "was": "Lot"}
    assert file.read_text(encoding="utf-8").startswith("# Translated from memory")
    house.data("set-up", "phrase", "french", "sentences.opened", "Ouvert : à consommer en {days} jours.")
    seen = {item["name"]: item["now"] for item in house.data("set-up", "phrase", "french.toml")}
    assert (seen["lot"], seen["net"]) == ("Lot nº", "Poids net")
    assert seen["sentences.opened"] == "Ouvert : à consommer en {days} jours."
    house.data("set-up", "setting", "languages", "french.toml")
    assert house.call("label", "stocks").code == 0
