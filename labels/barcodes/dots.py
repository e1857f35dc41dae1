"""What a printer can resolve: its dots per inch and the module widths, in whole dots, that suit each use.

A label made for another resolution is unreadable, so a profile is always asked for and never guessed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

MM_PER_INCH = 25.4
PT_PER_INCH = 72


@dataclass(frozen=True)
class PrinterDots:
    """One printer resolution.

    ``pack_x`` and ``case_x`` are module widths in dots for GS1-128 on packs and on cases, best first; ``ean13_x`` the
    one of EAN-13; ``itf14_x`` the narrow and wide element of ITF-14; ``matrix_x`` the one of DataMatrix and QR.
    ``inset_dots`` is taken off each side of a bar, for renderers paint every dot they touch; 0.45 suits a print path
    through Ghostscript at 203 dpi.
    """

    name: str
    dpi: float
    pack_x: tuple[int, ...]
    case_x: tuple[int, ...]
    ean13_x: int
    itf14_x: tuple[int, int]
    matrix_x: int
    inset_dots: float = 0.15

    def mm(self, dots: float) -> float:
        """Return millimetres for dots."""
        return dots * MM_PER_INCH / self.dpi

    def pt(self, dots: float) -> float:
        """Return points (1/72 inch) for dots."""
        return dots * PT_PER_INCH / self.dpi

    def dots_at(self, pt: float) -> float:
        """Return dots, and parts of one, for points."""
        return pt * self.dpi / PT_PER_INCH

    def dots_within(self, mm: float) -> int:
        """Return the whole dots that fit into ``mm``."""
        return int(mm * self.dpi / MM_PER_INCH + 1e-6)

    def dots_covering(self, mm: float) -> int:
        """Return the fewest whole dots that are at least ``mm`` long."""
        return ceil(mm * self.dpi / MM_PER_INCH - 1e-6)


_COARSE = ((3, 2), (4,), 3, (4, 10), 4)
_MIDDLE = ((4, 3), (6,), 4, (6, 15), 5)
_FINE = ((8, 6), (12,), 8, (12, 30), 10)

DOTS_203 = PrinterDots("203 dpi", 203.2, *_COARSE)  # 8 dots a millimetre; sold as 203 dpi
DOTS_300 = PrinterDots("300 dpi", 300.0, *_MIDDLE)
DOTS_304 = PrinterDots("305 dpi (12 dots/mm)", 304.8, *_MIDDLE)
DOTS_600 = PrinterDots("600 dpi", 600.0, *_FINE)
DOTS_609 = PrinterDots("610 dpi (24 dots/mm)", 609.6, *_FINE)
PROFILES = {dots.name: dots for dots in (DOTS_203, DOTS_300, DOTS_304, DOTS_600, DOTS_609)}
