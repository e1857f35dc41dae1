"""Least type heights against the published rules."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from lotwake.trace.process.type_size import E_MARK_MM, eu_figure_height, eu_x_height, us_figure_height

# Directive 76/211/EEC Annex I 3.1; same bands in German FPackV s.38(2), published.
EU = [("50", 2), ("51", 3), ("150", 3), ("200", 3), ("201", 4), ("500", 4), ("1000", 4), ("1001", 6)]


@pytest.mark.parametrize(("nominal_g", "height_mm"), EU)
def test_eu_figures(nominal_g: str, height_mm: int) -> None:
    """The figures of the net quantity have the height of their band."""
    assert eu_figure_height(Decimal(nominal_g)).min_mm == height_mm


# 21 CFR 101.7(i) (was 101.105(i)), from memory; millimetres as the rule's table is usually printed.
US = [
    ("5", "1/16", "1.6"),
    ("6", "1/8", "3.2"),
    ("25", "1/8", "3.2"),
    ("26", "3/16", "4.8"),
    ("100", "3/16", "4.8"),
    ("101", "1/4", "6.4"),
    ("400", "1/4", "6.4"),
    ("401", "1/2", "12.7"),
]


@pytest.mark.parametrize(("panel", "inch", "mm"), US)
def test_us_figures(panel: str, inch: str, mm: str) -> None:
    """The net quantity has the height of its panel, in inches and in millimetres rounded up."""
    found = us_figure_height(Decimal(panel))
    assert (found.min_inch, found.min_mm) == (Fraction(inch), Decimal(mm))


def test_us_moulded_figures_are_a_sixteenth_higher() -> None:
    """Blown, embossed or moulded figures need 1/16 in more (21 CFR 101.7, from memory)."""
    assert us_figure_height(Decimal(6), moulded=True).min_inch == Fraction(3, 16)


# Reg. (EU) 1169/2011 Art. 13(2)-(3), published.
@pytest.mark.parametrize(("surface_cm2", "height_mm"), [("79.9", "0.9"), ("80", "1.2"), ("300", "1.2")])
def test_eu_x_height(surface_cm2: str, height_mm: str) -> None:
    """The letter x is at least 1.2 mm high, 0.9 mm only where the largest surface is under 80 cm2."""
    assert eu_x_height(Decimal(surface_cm2)).min_mm == Decimal(height_mm)


def test_e_mark() -> None:
    """The e-mark is at least 3 mm high (Directive 76/211/EEC Annex I 3.3, published)."""
    assert E_MARK_MM == 3
