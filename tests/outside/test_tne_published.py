"""Tolerable negative error and maximum allowable variation against the published tables."""

from __future__ import annotations

from decimal import Decimal

import pytest

from lotwake.trace.process.quantity import maximum_variation, tolerable_error

# Bands: gov.uk packaged goods (SI 2006/659; same as Directive 76/211/EEC and OIML R 87), published.
BANDS = [
    ("5", "50", "9 %"),
    ("51", "100", "4.5 g"),
    ("101", "200", "4.5 %"),
    ("201", "300", "9 g"),
    ("301", "500", "3 %"),
    ("501", "1000", "15 g"),
    ("1001", "10000", "1.5 %"),
    ("10001", "15000", "150 g"),
    ("15001", "25000", "1 %"),
]


@pytest.mark.parametrize(("first_g", "last_g", "band"), BANDS)
def test_band_of_the_tolerable_error(first_g: str, last_g: str, band: str) -> None:
    """Both ends of each band have the published tolerable error."""
    assert tolerable_error(Decimal(first_g)).band == band
    assert tolerable_error(Decimal(last_g)).band == band


# Nominal g, TNE, T1, T2: derived, percentages rounded up to 0.1 g (gov.uk).
VALUES = [
    ("45", "4.1", "40.9", "36.8"),
    ("125", "5.7", "119.3", "113.6"),
    ("150", "6.8", "143.2", "136.4"),
    ("180", "8.1", "171.9", "163.8"),
    ("250", "9.0", "241.0", "232.0"),
    ("350", "10.5", "339.5", "329.0"),
    ("425", "12.8", "412.2", "399.4"),
    ("450", "13.5", "436.5", "423.0"),
    ("500", "15.0", "485.0", "470.0"),
    ("1200", "18.0", "1182.0", "1164.0"),
]


@pytest.mark.parametrize(("nominal", "tne", "t1", "t2"), VALUES)
def test_tolerable_error_rounds_up_exactly(nominal: str, tne: str, t1: str, t2: str) -> None:
    """TNE, T1 and T2 are exact decimals: 180 x 4.5 % is 8.1, not a binary neighbour that rounds up to 8.2."""
    found = tolerable_error(Decimal(nominal))
    assert (found.tne_g, found.t1_g, found.t2_g) == (Decimal(tne), Decimal(t1), Decimal(t2))


# NIST Handbook 133 Table 2-5, from memory: over, up to and with (g), MAV.
MAV = [
    ("1", "36", "10 %"),
    ("37", "54", "3.6 g"),
    ("55", "81", "5.4 g"),
    ("82", "117", "7.2 g"),
    ("118", "154", "9.0 g"),
    ("155", "208", "10.8 g"),
    ("209", "263", "12.7 g"),
    ("264", "317", "14.5 g"),
    ("318", "381", "16.3 g"),
    ("382", "426", "18.1 g"),
    ("427", "489", "19.9 g"),
    ("490", "571", "21.7 g"),
    ("572", "635", "23.5 g"),
]


@pytest.mark.parametrize(("first_g", "last_g", "band"), MAV)
def test_us_maximum_variation(first_g: str, last_g: str, band: str) -> None:
    """Both ends of each row have the variation of the handbook."""
    assert maximum_variation(Decimal(first_g)).band == band
    assert maximum_variation(Decimal(last_g)).band == band


def test_ten_per_cent_of_a_small_pack() -> None:
    """Up to 36 g the variation is a tenth of the label weight."""
    assert maximum_variation(Decimal(30)).mav_g == Decimal(3)
