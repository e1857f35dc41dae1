"""Bars into a PDF: one filled path in dot units, its origin on a whole dot, each bar a little narrower than its dots.

Measured: with these three and a page of whole dots less ``PAGE_TRIM_PT`` pdfium, Ghostscript and poppler give every bar
its exact width; drop one and one of them makes the symbol unreadable.
"""

from __future__ import annotations

from lotwake.labels.barcodes.bars import Bars
from lotwake.labels.barcodes.dots import PrinterDots

# Four decimals of a page size may round up, and a renderer then makes the page one dot larger and stretches it all.
PAGE_TRIM_PT = 0.002


def page_size_pt(width_dots: int, height_dots: int, dots: PrinterDots) -> tuple[float, float]:
    """Return the size in points of a page of whole dots."""
    return dots.pt(width_dots) - PAGE_TRIM_PT, dots.pt(height_dots) - PAGE_TRIM_PT


def bars_path(bars: Bars, left_dots: int, bottom_dots: int, height_dots: int, dots: PrinterDots) -> str:
    """Return PDF content that fills the bars; the first bar begins at ``left_dots``, ``bottom_dots`` of the origin."""
    scale = f"{dots.pt(1):.8f}"
    inset = dots.inset_dots
    origin = f"{dots.pt(left_dots):.5f} {dots.pt(bottom_dots):.5f}"
    path = " ".join(f"{first + inset:g} 0 {wide - 2 * inset:g} {height_dots} re" for first, wide in bars.spans)
    return f"q {scale} 0 0 {scale} {origin} cm 0 g {path} f Q"
