"""Whole dots of a printer for a length, rounded the way that is asked for."""

from __future__ import annotations

import pytest

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, PrinterDots


@pytest.mark.parametrize(
    ("dots", "mm", "within", "covering"),
    [(DOTS_203, 20, 160, 160), (DOTS_203, 20.01, 160, 161), (DOTS_300, 25.4, 300, 300), (DOTS_300, 25.5, 301, 302)],
)
def test_dots_within_and_covering(dots: PrinterDots, mm: float, within: int, covering: int) -> None:
    """The most dots that fit into a length, and the fewest that are as long: by hand, 8 dots a mm and 300 an inch."""
    assert (dots.dots_within(mm), dots.dots_covering(mm)) == (within, covering)
