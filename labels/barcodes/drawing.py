"""Symbols into a PDF: one filled path in dot units, its origin on a whole dot, each bar a little narrower than its dots.

Measured: with these three and a page of whole dots less ``PAGE_TRIM_PT`` pdfium, Ghostscript and poppler give every bar
its exact width; drop one and one of them makes the symbol unreadable.
"""

from __future__ import annotations

from functools import lru_cache

from lotwake.labels.barcodes.bars import Bars
from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.barcodes.matrix import Matrix

# Four decimals of a page size may round up, and a renderer then makes the page one dot larger and stretches it all.
PAGE_TRIM_PT = 0.002


def page_size_pt(width_dots: int, height_dots: int, dots: PrinterDots) -> tuple[float, float]:
    """Return the size in points of a page of whole dots."""
    return dots.pt(width_dots) - PAGE_TRIM_PT, dots.pt(height_dots) - PAGE_TRIM_PT


def bars_path(bars: Bars, left_dots: int, bottom_dots: int, height_dots: int, dots: PrinterDots) -> str:
    """Return PDF content that fills the bars; the first bar begins at ``left_dots``, ``bottom_dots`` of the origin."""
    inset = dots.inset_dots
    path = " ".join([_bar(first, wide, height_dots, inset) for first, wide in bars.spans])
    return _filled(path, left_dots + inset, bottom_dots, dots)


def matrix_path(matrix: Matrix, left_dots: int, bottom_dots: int, dots: PrinterDots) -> str:
    """Return PDF content that fills the modules; the lower left one lies at ``left_dots``, ``bottom_dots``."""
    inset = dots.inset_dots
    path = " ".join([_module_run(*rect, inset) for rect in matrix.rects])
    return _filled(path, left_dots + inset, bottom_dots + inset, dots)


def _filled(path: str, left_dots: float, bottom_dots: float, dots: PrinterDots) -> str:
    """Fill a path in dots; that the inset is in the origin leaves whole, short numbers in the path."""
    scale = f"{dots.pt(1):.8f}"
    origin = f"{dots.pt(left_dots):.5f} {dots.pt(bottom_dots):.5f}"
    return f"q {scale} 0 0 {scale} {origin} cm 0 g {path} f Q"


@lru_cache(maxsize=65536)
def _bar(first: int, wide: int, height_dots: int, inset: float) -> str:
    return f"{first} 0 {wide - 2 * inset:g} {height_dots} re"


@lru_cache(maxsize=65536)
def _module_run(left: int, bottom: int, width: int, height: int, inset: float) -> str:
    return f"{left} {bottom} {width - 2 * inset:g} {height - 2 * inset:g} re"
