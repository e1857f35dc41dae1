"""Fixed phrases: the languages that come with the program, two at once, and a house's own file."""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path

import pytest

from lotwake.labels.errors import WrongData
from lotwake.labels.layout.faces import characters_missing
from lotwake.labels.layout.languages import BUILT_IN, bilingual, english, load_phrases, phrases_of

WORDS = resources.files("lotwake.labels.layout") / "words"


def _file(name: str) -> str:
    return (WORDS / f"{name}.toml").read_text("utf-8")


@pytest.mark.parametrize("name", BUILT_IN)
def test_every_language_has_every_phrase(name: str) -> None:
    """All languages have the sentences of English with the same blanks, in characters that the label font has."""
    phrases, model = phrases_of(name), english()
    assert phrases.sentences.keys() == model.sentences.keys()
    for key, text in phrases.sentences.items():
        assert set(re.findall(r"{\w+}", text)) == set(re.findall(r"{\w+}", model.sentences[key])), key
    assert characters_missing(_file(name).replace("\n", " ")) == ""


@pytest.mark.parametrize("name", [name for name in BUILT_IN if name != "english"])
def test_translations_from_memory_are_marked_so(name: str) -> None:
    """Each translated file says in its first line that a native speaker has to look at it."""
    first = _file(name).splitlines()[0]
    assert "from memory" in first
    assert "native speaker" in first


def test_two_languages_stand_side_by_side() -> None:
    """What is the same stands once, colons are not doubled, sentences follow each other."""
    both = bilingual(english(), phrases_of("french"))
    assert both.best_before == "Best before / À consommer de préférence avant le"
    assert both.ingredients == "Ingredients / Ingrédients :"
    assert both.lot == "Lot"
    assert both.months[:5] == ("Jan/janv", "Feb/févr", "Mar/mars", "Apr/avr", "May/mai")
    assert both.sentence("thaw") == "Thaw in the refrigerator. Décongeler au réfrigérateur."
    assert both.sentence("cook", temperature="70 °C", minutes=2).count("70 °C") == 2


def test_sentence_that_is_not_there_is_said() -> None:
    """An unknown sentence and a blank without a value are named."""
    with pytest.raises(WrongData, match="'melt'"):
        english().sentence("melt")
    with pytest.raises(WrongData, match="minutes"):
        english().sentence("cook", temperature="70 °C")
    with pytest.raises(WrongData, match="no phrases in 'klingon'"):
        phrases_of("klingon")


def test_house_adds_a_language(tmp_path: Path) -> None:
    """A file with the same keys is a language of its own."""
    path = tmp_path / "norsk.toml"
    path.write_text(_file("english").replace('"Best before"', '"Best før"'), "utf-8")
    assert load_phrases(path).best_before == "Best før"


WRONG = [
    ('lot = "Lot"', "lot = 3", r"house.toml, line \d+: lot must be a text"),
    ('lot = "Lot"', "", "house.toml: lot must be a text"),
    ('"Dec"]', "]", r"line \d+: months must be a list of 12"),
    ("[sentences]", "[sentence]", "sentence is not known here"),
    ('lot = "Lot"', 'lots = "Lot"', r"line \d+: lots is not known here"),
]


@pytest.mark.parametrize(("old", "new", "words"), WRONG)
def test_wrong_phrase_file_is_said_with_line_and_key(tmp_path: Path, old: str, new: str, words: str) -> None:
    """The sentence names the file, the line and the key."""
    path = tmp_path / "house.toml"
    path.write_text(_file("english").replace(old, new), "utf-8")
    with pytest.raises(WrongData, match=words):
        load_phrases(path)
