"""Element strings: what is refused, with which words, and what scanners and people may send."""

from __future__ import annotations

import pytest

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.elements import (
    Element,
    Gs1Error,
    bracketed,
    checked,
    element_string,
    fixed_first,
    hri,
    read_bracketed,
    read_raw,
    read_text,
)

GTIN = "09520000000011"

SENTENCES = [
    ("(01)09520000000012", "(01) has check digit 2 in 09520000000012, which should be 1."),
    ("(01)0952000000001", "(01) must have 14 digits, not 13."),
    ("(01)09520000000011(10)LOT A", "(10) holds a space, which is outside GS1's 82 characters."),
    ("(01)09520000000011(10)ØRRET", "(10) holds 'Ø', which is outside GS1's 82 characters."),
    ("(01)09520000000011(10)123456789012345678901", "(10) must have 1 to 20 characters, not 21."),
    ("(01)09520000000011(15)270230", "(15) has day 30, which month 02 does not have."),
    ("(01)09520000000011(7006)270200", "(7006) has day 00, which is not allowed here."),
    ("(01)09520000000011(7007)2702011", "(7007) must have 6 or 12 digits, not 7."),
    ("(01)09520000000011(422)999", "(422) has 999, which is no ISO 3166 country number."),
    ("(01)09520000000011(8008)26112524", "(8008) has hour 24."),
    ("(00)395200000000000012(4331)000400x", "(4331) ends with 'x' where only a minus may stand."),
    ("(01)09520000000011(8006)095200000000110301", "(01) and (8006) may not be on the same item."),
    ("(10)A1", "(10) needs (01) or (02) or (03) or (8006) or (8026) on the same item."),
    ("(02)09520000000011(37)24", "(37) needs (00) with (02) or (00) with (8026) on the same item."),
    ("(01)09520000000011(240)A", "(240) is not an AI this program knows."),
    ("(01)09520000000011(01)09520000000028", "(01) is there with two values."),
]


@pytest.mark.parametrize(("text", "sentence"), SENTENCES)
def test_problem_names_the_ai_and_the_reason(text: str, sentence: str) -> None:
    """Each broken rule gives a sentence that names the AI and says why."""
    assert sentence in [problem.sentence for problem in read_text(text).problems]


def test_all_problems_are_listed_at_once() -> None:
    """Two wrong values and a missing partner give three problems, not the first alone."""
    problems = read_text("(15)271301(10)A B(37)24").problems
    assert {problem.ai for problem in problems} == {"15", "10", "37"}


RAW = [
    ("010952000000001110A1\x1d210145", "plain scanner data"),
    ("\x1d010952000000001110A1\x1d210145", "leading separator"),
    ("0109520000000011\x1d10A1\x1d210145", "separator after a fixed length"),
    ("0109520000000011\x1d\x1d10A1\x1d\x1d210145\x1d", "doubled and trailing separators"),
    ("^010952000000001110A1^210145", "carets"),
    ("010952000000001110A1|210145", "stand-in"),
]


@pytest.mark.parametrize(("sent", "what"), RAW)
def test_separators_are_tolerated(sent: str, what: str) -> None:
    """GS, caret, stand-in and separators too many give the same elements."""
    reading = read_raw(sent, "|")
    assert reading.elements == (Element("01", GTIN), Element("10", "A1"), Element("21", "0145")), what
    assert reading.problems == ()


def test_lost_separator_is_refused_with_the_reason() -> None:
    """A lot that swallowed what follows is too long, and the sentence says so."""
    sent = "010952000000001110263290004212101453103000300"
    assert "(10) must have 1 to 20 characters, not 27." in [p.sentence for p in read_raw(sent).problems]


@pytest.mark.parametrize("stand_in", ["A", "-", "", "||"])
def test_stand_in_must_not_be_data(stand_in: str) -> None:
    """A stand-in that could be part of a lot code is refused."""
    with pytest.raises(WrongData, match="stand in"):
        read_raw("0109520000000011", stand_in)


def test_brackets_in_values_survive_both_ways() -> None:
    """A lot with brackets reads back the same, and print shows it without the escape."""
    elements = (Element("01", GTIN), Element("10", "A(1)B"))
    assert read_bracketed(bracketed(elements)) == elements
    assert hri(elements) == "(01)09520000000011(10)A(1)B"


def test_fixed_lengths_first_saves_the_separator() -> None:
    """With the lot moved to the end the message has no separator left."""
    elements = (Element("10", "A1"), Element("01", GTIN), Element("15", "270525"))
    assert "\x1d" in element_string(elements)
    assert "\x1d" not in element_string(fixed_first(elements))


def test_checked_raises_with_every_problem() -> None:
    """The error carries the list, and its text names each AI."""
    with pytest.raises(Gs1Error) as caught:
        checked([Element("10", "A B"), Element("21", "1")])
    assert {problem.ai for problem in caught.value.problems} == {"10", "21"}
    assert caught.value.exit_code == 2
    assert caught.value.hint
