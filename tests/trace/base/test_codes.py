"""Codes: what is made is read back, and what is mistyped is refused."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_97_10

from lotwake.trace.base.codes import MAX_LENGTH, CodeKind, looks_like_code, make_code, read_code, show_code, tidy
from lotwake.trace.base.errors import CallError

DAYS = st.dates(date(2000, 1, 1), date(2099, 12, 31))
NUMBERS = st.one_of(st.integers(1, 1200), st.integers(1, 999_999_999_999))
CODES = st.builds(make_code, st.sampled_from(CodeKind), DAYS, NUMBERS)
SAMPLES = [
    make_code(kind, date(2026, 11, 24), number) for kind in CodeKind for number in (1, 9, 57, 999, 1000, 123_456)
]
# GS1 General Specifications, figure "GS1 AI encodable character set 82" (from memory).
SET_82 = frozenset("!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz")


@given(CODES)
def test_codes_round_trip(code: str) -> None:
    """A code that was made is read back as it is, and as people see it."""
    assert read_code(code).text == code
    assert read_code(show_code(code)).text == code
    assert read_code(code).kind == int(code[0])


@given(CODES)
def test_codes_agree_with_python_stdnum(code: str) -> None:
    """The check digits are those of ISO/IEC 7064 MOD 97-10 as python-stdnum computes them."""
    assert mod_97_10.is_valid(code)
    assert mod_97_10.calc_check_digits(code[:-2]) == code[-2:]


@given(CODES)
def test_codes_fit_a_lot_number(code: str) -> None:
    """Every code, bare or shown, keeps to the 82 characters of GS1, and bare to the 20 places of AI (10)."""
    assert len(code) <= MAX_LENGTH == 20
    assert set(code) | set(show_code(code)) <= SET_82
    assert code.isascii()
    assert code.isdigit()


@pytest.mark.parametrize("code", SAMPLES)
def test_every_single_wrong_digit_is_refused(code: str) -> None:
    """Each of the nine other digits in each place makes a text that is no code."""
    for place, right in enumerate(code):
        for digit in set("0123456789") - {right}:
            with pytest.raises(CallError):
                read_code(code[:place] + digit + code[place + 1 :])


@pytest.mark.parametrize("code", SAMPLES)
def test_every_swap_of_neighbours_is_refused(code: str) -> None:
    """Two digits that changed places, next to each other or over one, make a text that is no code."""
    for gap in (1, 2):
        for place in range(len(code) - gap):
            digits = list(code)
            digits[place], digits[place + gap] = digits[place + gap], digits[place]
            if digits != list(code):
                with pytest.raises(CallError):
                    read_code("".join(digits))


@pytest.mark.parametrize("form", ["{0}-{1}-{2}", "{0} {1} {2}", " {0}.{1}.{2}\n", "{0}{1}{2}", "{0} - {1} - {2}"])
def test_separators_are_tolerated(form: str) -> None:
    """Dashes, dots and blanks between the groups change nothing."""
    code = SAMPLES[0]
    assert read_code(form.format(code[:3], code[3:6], code[6:])).text == code


@pytest.mark.parametrize(
    "text",
    ["", "-", "126", "abc", "726-328-001-42", "12632800142X", "1263280014", "1" * 21, "١٢٦٣٢٨٠٠١٤٢", "12632800142/7"],
)
def test_what_is_no_code_is_refused(text: str) -> None:
    """Anything without the shape of a code is refused with a sentence and what to do."""
    with pytest.raises(CallError) as refused:
        read_code(text)
    assert refused.value.sentence.endswith(".")
    assert refused.value.hint


def test_a_mistyped_code_is_shown_in_groups() -> None:
    """The sentence about a mistyped code shows it as it stands on the label."""
    with pytest.raises(CallError, match="126-328-001-99 is mistyped"):
        read_code("12632800199")


@pytest.mark.parametrize("number", [0, -1, 10**12])
def test_numbers_that_do_not_fit_are_refused(number: int) -> None:
    """A number below one or beyond twenty digits makes no code."""
    with pytest.raises(CallError):
        make_code(CodeKind.LOT, date(2026, 1, 1), number)


def test_other_texts_are_shown_as_they_are() -> None:
    """Only a code is put in groups and stripped of separators."""
    assert show_code("DN-1") == "DN-1"
    assert tidy(" DN-1 ") == "DN-1"
    assert not looks_like_code("095200000000000011")
