"""Keys, dates, weights: made, read and refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1 import keys
from lotwake.labels.gs1.dates import read_date, write_date
from lotwake.labels.gs1.measures import GROSS_KG, weight_element, weight_g
from lotwake.labels.gs1.prefixes import Scope, gtin_scope

MADE = [
    (keys.make_gtin13("952", 1), "9520000000011"),
    (keys.make_sscc("952", 1, 3), "395200000000000012"),
    (keys.make_gtin14("9520000000011", 1), "19520000000018"),
    (keys.make_gln("952", 7), keys.check_gln("9520000000073")),
    (keys.gtin14("02345673"), "00000002345673"),
    (keys.gtin13("02345673"), "0000002345673"),
]


@pytest.mark.parametrize(("made", "expected"), MADE)
def test_keys_are_made_with_their_check_digit(made: str, expected: str) -> None:
    """A key made from prefix and number ends in its check digit."""
    assert made == expected


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: keys.check_digit(""), "digits only"),
    (lambda: keys.check_digit("12a"), "digits only"),
    (lambda: keys.gtin14("9520000000012"), "should be|instead of"),
    (lambda: keys.gtin14("952000000001"), "instead of|digits"),
    (lambda: keys.gtin14("٩٥٢٠٠٠٠٠٠٠٠١١"), "8 or 12 or 13 or 14 digits"),
    (lambda: keys.gtin13("19520000000018"), "indicator 1"),
    (lambda: keys.check_sscc("395200000000000013"), "instead of 2"),
    (lambda: keys.make_sscc("952", 10**13), "do not make a SSCC"),
    (lambda: keys.make_sscc("952", 1, 10), "extension"),
    (lambda: keys.make_gtin14("9520000000011", 0), "indicator"),
    (lambda: read_date("271301", date(2026, 1, 1)), "month 13"),
    (lambda: weight_element(-1), "cannot be written"),
    (lambda: weight_element(1_000_001), "cannot be written"),
    (lambda: weight_g("3104", "000001"), "fraction of a gram"),
    (lambda: weight_g("3203", "000001"), "not a weight in kilograms"),
]


@pytest.mark.parametrize(("call", "words"), REFUSED)
def test_wrong_values_are_refused_in_words(call: Callable[[], object], words: str) -> None:
    """A wrong key, date or weight is refused with a sentence that says what is wrong."""
    with pytest.raises(WrongData, match=words):
        call()


@given(st.dates(date(1977, 1, 1), date(2076, 12, 31)))
def test_dates_come_back_within_the_window(day: date) -> None:
    """Every date of the window read in 2026 is written and read back."""
    assert read_date(write_date(day), date(2026, 11, 25)) == day


@given(st.integers(0, 999_999))
def test_weights_come_back(mass_g: int) -> None:
    """Whole grams are written to six digits and read back, net and gross."""
    assert weight_g(*weight_element(mass_g)) == mass_g
    assert weight_g(*weight_element(mass_g * 1000, GROSS_KG)) == mass_g * 1000


def test_three_decimals_stand_for_grams() -> None:
    """12.5 kg is 012500 under AI 3103."""
    assert weight_element(12_500) == ("3103", "012500")


@pytest.mark.parametrize(
    ("gtin", "scope"),
    [("9520000000011", Scope.DEMONSTRATION), ("2000000000008", Scope.REGION), ("0400000000008", Scope.COMPANY)],
)
def test_scope_of_a_gtin(gtin: str, scope: Scope) -> None:
    """A number for use inside the company or the region is known as such."""
    found = gtin_scope(gtin)
    assert found is not None
    assert found.scope is scope
