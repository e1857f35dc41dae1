"""GS1 data against two independent libraries: biip 5.2 (Apache-2.0) and python-stdnum 2.2 (LGPL)."""

from __future__ import annotations

import pytest
from biip.gs1_application_identifiers import _GS1_APPLICATION_IDENTIFIERS as BIIP_AIS
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from biip.gs1_messages import GS1Message
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from stdnum import ean, gs1_128

from lotwake.labels.gs1.ai_table import AI, AIS, Part
from lotwake.labels.gs1.digital_link import read_digital_link, write_digital_link
from lotwake.labels.gs1.elements import (
    FNC1,
    Element,
    bracketed,
    element_string,
    pairing_problems,
    read_bracketed,
    read_raw,
    split_raw,
)
from lotwake.labels.gs1.keys import check_digit, check_digit_agrees
from lotwake.labels.gs1.rules import COUNTRY_NUMBERS, CSET_82


@pytest.mark.parametrize("code", sorted(AIS))
def test_table_agrees_with_both_libraries(code: str) -> None:
    """Each AI of the table has the separator flag and the greatest length that both libraries have."""
    ai, theirs = AIS[code], BIIP_AIS[code]
    assert ai.fnc1_after == theirs.separator_required
    found, info = gs1_128._gs1_aidb.info(code)[0]
    assert found == code
    assert ai.fnc1_after == ("fnc1" in info)
    if code != "4331" and code != "4333":  # both write the optional minus in a notation of their own
        assert ai.max_length == gs1_128._max_length(info["format"])


def _digits(size: int) -> st.SearchStrategy[str]:
    return st.integers(0, 10**size - 1).map(lambda number: f"{number:0{size}d}")


_DATES = st.dates().map(lambda day: day.strftime("%y%m%d")).filter(lambda text: text[2:] != "0229")
_BY_RULE = {
    "yymmd0": _DATES,
    "yymmdd": _DATES,
    "hhmi": st.tuples(st.integers(0, 23), st.integers(0, 59)).map(lambda t: f"{t[0]:02d}{t[1]:02d}"),
    "hh": st.integers(0, 23).map(lambda hour: f"{hour:02d}"),
    "mi": st.integers(0, 59).map(lambda minute: f"{minute:02d}"),
    "ss": st.integers(0, 59).map(lambda second: f"{second:02d}"),
    "iso3166": st.sampled_from(sorted(COUNTRY_NUMBERS)),
    "iso3166999": st.sampled_from(sorted(COUNTRY_NUMBERS)),
    "hyphen": st.just("-"),
    "pieceoftotal": st.just("0102"),
}


def _part_values(part: Part) -> st.SearchStrategy[str]:
    if part.rule == "csum":
        return _digits(part.max_length - 1).map(lambda body: f"{body}{check_digit(body)}")
    if part.rule:
        return _BY_RULE[part.rule]
    if part.digits:
        return st.integers(part.min_length, part.max_length).flatmap(_digits)
    return st.text(sorted(CSET_82), min_size=part.min_length, max_size=part.max_length)


def _values(ai: AI) -> st.SearchStrategy[str]:
    return st.tuples(*(_part_values(part) for part in ai.parts)).map("".join)


ELEMENTS = {code: _values(ai).map(lambda value, code=code: Element(code, value)) for code, ai in AIS.items()}
MESSAGES = st.lists(st.sampled_from(sorted(AIS)), min_size=1, max_size=4, unique=True).flatmap(
    lambda codes: st.tuples(*(ELEMENTS[code] for code in codes))
)

BIIP_CANNOT = {"7007"}  # date ranges
STDNUM_CANNOT = {"4331", "4333"}  # the optional minus of a temperature


def _biip_pairs(raw: str) -> list[tuple[str, str]]:
    return [(found.ai.ai, found.value) for found in GS1Message.parse(raw).element_strings]


@settings(max_examples=500, derandomize=True, deadline=None, database=None, phases=(Phase.generate,))
@given(st.lists(MESSAGES, min_size=20, max_size=20))
def test_ten_thousand_messages_agree_with_both_libraries(messages: list[tuple[Element, ...]]) -> None:
    """Generated messages are split alike by this program, biip and stdnum, and both written forms read back the same."""
    for message in messages:
        raw = element_string(message)
        assert split_raw(raw).elements == message
        assert read_bracketed(bracketed(message)) == message
        codes = [element.ai for element in message]
        if BIIP_CANNOT.isdisjoint(codes):
            assert _biip_pairs(raw) == [(element.ai, element.value) for element in message]
        if STDNUM_CANNOT.isdisjoint(codes) and not set("()") & set(raw):  # stdnum drops brackets wherever they stand
            seen = gs1_128.info(raw, separator=FNC1)
            assert list(seen) == codes
            assert all(seen[e.ai] == e.value for e in message if isinstance(seen[e.ai], str))


@settings(max_examples=300, derandomize=True, deadline=None, database=None)
@given(_digits(13))
def test_check_digits_agree_with_stdnum(body: str) -> None:
    """The check digit is the one python-stdnum works out, and every other last digit is refused."""
    assert str(check_digit(body)) == ean.calc_check_digit(body)
    assert [digit for digit in "0123456789" if check_digit_agrees(body + digit)] == [ean.calc_check_digit(body)]


@settings(max_examples=300, derandomize=True, deadline=None, database=None)
@given(st.tuples(*(ELEMENTS[ai] for ai in ("01", "10", "21", "15", "7005"))))
def test_digital_links_agree_with_biip(elements: tuple[Element, ...]) -> None:
    """biip reads the same elements from a Digital Link written here, and this program reads them back."""
    uri = write_digital_link(elements)
    assert read_digital_link(uri) == elements
    pairs = [(found.ai.ai, found.value) for found in GS1DigitalLinkURI.parse(uri).element_strings]
    assert pairs == [(element.ai, element.value) for element in elements]


@settings(max_examples=300, derandomize=True, deadline=None, database=None)
@given(MESSAGES)
def test_values_made_to_rule_have_no_problem_of_their_own(message: tuple[Element, ...]) -> None:
    """Values generated from the format pass; only pairings may be amiss."""
    assert read_raw(element_string(message)).problems == pairing_problems(message)
