"""How dates, weights and numbers are written on a label."""

from __future__ import annotations

from datetime import date

import pytest

from lotwake.labels.layout.phrases import serial_text, shown_date, shown_weight, unbroken


@pytest.mark.parametrize(
    ("net_g", "shown"),
    [(300, "300 g"), (999, "999 g"), (1000, "1 kg"), (1250, "1.25 kg"), (12_005, "12.005 kg"), (10_000, "10 kg")],
)
def test_weight_in_the_unit_people_use(net_g: int, shown: str) -> None:
    """Grams below a kilogram, kilograms above, no digit lost."""
    assert shown_weight(net_g) == shown.replace(" ", "\xa0")


def test_date_has_its_month_in_letters() -> None:
    """No reader can take the day for the month."""
    assert shown_date(date(2026, 11, 5)) == "5\xa0Nov\xa02026"


@pytest.mark.parametrize(("serial", "text"), [(1, "0001"), (9999, "9999"), (10_000, "010000"), (1_234_567, "1234567")])
def test_serial_has_four_or_six_digits(serial: int, text: str) -> None:
    """Small numbers are filled up, and no number is cut."""
    assert serial_text(serial) == text
    assert int(text) == serial


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("at -18 °C or 0-4 °C", "at −18\xa0°C or 0-4\xa0°C"),
        ("within 2 days, 97 %", "within 2\xa0days, 97\xa0%"),
        ("FAO 27 (-20 °C)", "FAO 27 (−20\xa0°C)"),
        ("lot A-7", "lot A-7"),
    ],
)
def test_numbers_stay_with_their_units(text: str, shown: str) -> None:
    """No line ends between number and unit, and a minus before a number is a minus; other hyphens stay."""
    assert unbroken(text) == shown
