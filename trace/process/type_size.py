"""How high the type of a label must be."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Basis

E_MARK_MM = Decimal(3)
"""Least height of the e-mark, where it is used (Directive 76/211/EEC Annex I 3.3)."""
MM_PER_INCH = Decimal("25.4")

EU_FIGURES_BASIS = Basis(
    "up to 50 g 2 mm; over 50 to 200 g 3 mm; over 200 to 1000 g 4 mm; over 1000 g 6 mm",
    "Directive 76/211/EEC Annex I 3.1; German FPackV s. 38",
)
US_FIGURES_BASIS = Basis(
    "panel up to 5 sq in 1/16 in; to 25 1/8 in; to 100 3/16 in; to 400 1/4 in; over 400 1/2 in; 1/16 in more if moulded",
    "21 CFR 101.7(i) (from memory; 101.105 until 2016)",
)
X_HEIGHT_BASIS = Basis("1.2 mm; 0.9 mm when the largest surface is under 80 cm2", "Reg. (EU) 1169/2011 Art. 13(2)-(3)")
_EU_MM = ((Decimal(50), Decimal(2)), (Decimal(200), Decimal(3)), (Decimal(1000), Decimal(4)))
_EU_LARGEST_MM = Decimal(6)
_US_IN = (
    (Decimal(5), Fraction(1, 16)),
    (Decimal(25), Fraction(1, 8)),
    (Decimal(100), Fraction(3, 16)),
    (Decimal(400), Fraction(1, 4)),
)
_US_LARGEST_IN = Fraction(1, 2)
_MOULDED_IN = Fraction(1, 16)


@dataclass(frozen=True)
class TypeHeight:
    """The least height, millimetres (a US height rounded up to a tenth), and inches where the rule says inches."""

    min_mm: Decimal
    basis: Basis
    min_inch: Fraction | None = None


def eu_figure_height(nominal_g: Decimal) -> TypeHeight:
    """Height of the figures of the net quantity in the EU, by nominal quantity in grams (or ml)."""
    _positive("A net quantity", nominal_g, "g")
    height_mm = next((mm for up_to_g, mm in _EU_MM if nominal_g <= up_to_g), _EU_LARGEST_MM)
    return TypeHeight(height_mm, EU_FIGURES_BASIS)


def us_figure_height(panel_sq_in: Decimal, moulded: bool = False) -> TypeHeight:
    """Height of the net quantity type in the US, by area of the principal display panel in square inches."""
    _positive("A panel", panel_sq_in, "sq in")
    inch = next((inch for up_to, inch in _US_IN if panel_sq_in <= up_to), _US_LARGEST_IN)
    inch += _MOULDED_IN if moulded else 0
    exact_mm = MM_PER_INCH * inch.numerator / inch.denominator
    return TypeHeight(exact_mm.quantize(Decimal("0.1"), ROUND_CEILING), US_FIGURES_BASIS, inch)


def eu_x_height(largest_surface_cm2: Decimal) -> TypeHeight:
    """Height of the letter x of the mandatory particulars in the EU; 80 cm2 itself needs 1.2 mm."""
    _positive("A largest surface", largest_surface_cm2, "cm2")
    return TypeHeight(Decimal("0.9") if largest_surface_cm2 < 80 else Decimal("1.2"), X_HEIGHT_BASIS)


def _positive(what: str, value: Decimal, unit: str) -> None:
    if not value > 0:
        raise CallError(f"{what} of {value} {unit} cannot be.", "It must be above zero.")
