"""Masses, temperatures and numbers as people type them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import (
    parse_mass_g,
    parse_number,
    parse_temperature_centi_c,
    show_mass,
    show_temperature,
)

MASSES = [
    ("41 kg", 41_000),
    ("41,5kg", 41_500),
    ("12.345 kg", 12_345),
    ("0,345 kg", 345),
    ("300 g", 300),
    ("3 Kilos", 3_000),
    ("1 234,5 kg", 1_234_500),
    ("2 lb", 907),
    ("4 oz", 113),
    ("1.2 t", 1_200_000),
    ("0 g", 0),
]


@pytest.mark.parametrize(("text", "grams"), MASSES)
def test_mass_in_whole_grams(text: str, grams: int) -> None:
    """A mass with its unit becomes whole grams."""
    assert parse_mass_g(text) == grams


UNCLEAR_MASSES = [
    ("1.234,5 kg", "not a clear number"),
    ("1,234,567 g", "not a clear number"),
    ("12,345 kg", "could mean 12.345 or 12345"),
    ("41", "has no unit"),
    ("5 stone", "not a unit of mass"),
    ("-3 kg", "cannot be"),
    ("101 t", "cannot be"),
    ("300.5 g", "finer than one gram"),
    ("41.0005 kg", "finer than one gram"),
    ("1e3 kg", "not a"),
    ("nan kg", "not a"),
    ("١ kg", "not a clear number"),
    ("", "has no number"),
    ("kg", "has no number"),
    ("41 kg kg", "not a number"),
]


@pytest.mark.parametrize(("text", "said"), UNCLEAR_MASSES)
def test_an_unclear_mass_is_refused(text: str, said: str) -> None:
    """What can be read in two ways, or cannot be, is refused with a sentence and a hint."""
    with pytest.raises(CallError) as caught:
        parse_mass_g(text)
    assert said in caught.value.sentence
    assert caught.value.hint


def test_a_field_can_have_a_usual_unit() -> None:
    """A bare number takes the unit of its field; a unit that was typed wins."""
    assert parse_mass_g("41", "kg") == 41_000
    assert parse_mass_g("41 g", "kg") == 41


TEMPERATURES = [
    ("62.8", 6280),
    ("62,8 C", 6280),
    ("62.8°C", 6280),
    ("-18", -1800),
    ("−18 °C", -1800),
    ("145 F", 6278),
    ("38 °f", 333),
    ("0", 0),
]


@pytest.mark.parametrize(("text", "centi_c"), TEMPERATURES)
def test_temperature_in_hundredths(text: str, centi_c: int) -> None:
    """A temperature becomes hundredths of a degree Celsius, with any of the usual signs."""
    assert parse_temperature_centi_c(text) == centi_c


@pytest.mark.parametrize("text", ["628", "5 K", "62.8.1", "warm", "", "1.000,5"])
def test_an_unclear_temperature_is_refused(text: str) -> None:
    """A lost decimal mark, an unknown scale or a word is refused."""
    with pytest.raises(CallError):
        parse_temperature_centi_c(text)


def test_a_bare_number_can_be_fahrenheit() -> None:
    """A house that reads Fahrenheit types no unit; one that was typed wins."""
    assert parse_temperature_centi_c("32", "F") == 0
    assert parse_temperature_centi_c("32 C", "F") == 3200


@pytest.mark.parametrize(("text", "value"), [("150", "150"), ("2,50", "2.50"), ("-0.5", "-0.5"), ("+3", "3")])
def test_number_keeps_its_digits(text: str, value: str) -> None:
    """A number is read exactly, and shown as it was typed."""
    assert str(parse_number(text)) == str(Decimal(value))


SHOWN_MASSES = [(0, "0 g"), (999, "999 g"), (1000, "1 kg"), (41_500, "41.5 kg"), (12_345_678, "12345.678 kg")]


@pytest.mark.parametrize(("grams", "shown"), SHOWN_MASSES)
def test_mass_for_people(grams: int, shown: str) -> None:
    """Grams below a kilogram, else kilograms without idle zeros."""
    assert show_mass(grams) == shown


SHOWN_TEMPERATURES = [(6280, "C", "62.8 C"), (6278, "C", "62.78 C"), (-1800, "C", "-18.0 C"), (6278, "F", "145.0 F")]


@pytest.mark.parametrize(("centi_c", "unit", "shown"), SHOWN_TEMPERATURES)
def test_temperature_for_people(centi_c: int, unit: str, shown: str) -> None:
    """One decimal, or two where the second says something."""
    assert show_temperature(centi_c, unit) == shown


@given(st.integers(0, 100_000_000))
def test_a_shown_mass_reads_back(grams: int) -> None:
    """What is shown can be typed again."""
    assert parse_mass_g(show_mass(grams)) == grams


@given(st.integers(-10_000, 40_000))
def test_a_shown_temperature_reads_back(centi_c: int) -> None:
    """What is shown can be typed again."""
    assert parse_temperature_centi_c(show_temperature(centi_c)) == centi_c


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Nothing that can be typed ends in anything but grams or a sentence."""
    try:
        grams = parse_mass_g(text, "kg")
    except CallError as error:
        refusal: str = error.sentence
    else:
        refusal = "" if grams < 0 else "read"
    assert refusal
