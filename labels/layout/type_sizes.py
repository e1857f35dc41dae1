"""Smallest letters and figures that food law asks for, in millimetres."""

from __future__ import annotations

from lotwake.labels.barcodes.dots import MM_PER_INCH
from lotwake.labels.errors import WrongData

SMALL_FACE_CM2 = 80


def min_x_height_mm(largest_face_cm2: float) -> float:
    """Return the smallest x-height for mandatory particulars on a pack whose largest face has this area.

    Reg. (EU) 1169/2011 Art. 13(2)-(3): 1.2 mm, and 0.9 mm where the largest surface is under 80 cm2.

    Raises:
        WrongData: when the area is not above zero.
    """
    if not largest_face_cm2 > 0:
        raise WrongData(
            f"A face of {largest_face_cm2:g} cm2 cannot carry a label.", "Give the area of the largest face."
        )
    return 0.9 if largest_face_cm2 < SMALL_FACE_CM2 else 1.2


def min_figure_height_mm(net_g: int) -> int:
    """Return the smallest height of the figures of the net weight.

    Directive 76/211/EEC Annex I 3.1: 2 mm up to 50 g, 3 mm up to 200 g, 4 mm up to 1000 g, 6 mm above.

    Raises:
        WrongData: when the weight is not above zero.
    """
    if net_g <= 0:
        raise WrongData(f"A net weight of {net_g} g cannot be.", "Give the net weight in whole grams.")
    return next((height for limit, height in ((50, 2), (200, 3), (1000, 4)) if net_g <= limit), 6)


def us_figure_height_mm(panel_sq_in: float) -> float:
    """Return the smallest height of the figures of the net quantity by the area of the principal display panel.

    21 CFR 101.7(i), from memory: 1/16 inch up to 5 square inches, 1/8 up to 25, 3/16 up to 100, 1/4 up to 400, 1/2 above.

    Raises:
        WrongData: when the area is not above zero.
    """
    if not panel_sq_in > 0:
        raise WrongData(f"A panel of {panel_sq_in:g} square inches cannot be.", "Give the area of the main panel.")
    sixteenths = next((size for limit, size in ((5, 1), (25, 2), (100, 3), (400, 4)) if panel_sq_in <= limit), 8)
    return sixteenths * MM_PER_INCH / 16


def us_x_height_mm(panel_sq_in: float) -> float:
    """Return the smallest height of the small o in mandatory particulars: 1/16 inch, 1/32 under 12 square inches.

    21 CFR 101.2(c), from memory.
    """
    return MM_PER_INCH / (32 if panel_sq_in < 12 else 16)
