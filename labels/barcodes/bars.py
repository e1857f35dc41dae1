"""One-dimensional symbols as bars in whole printer dots, refused when they cannot be read or do not fit.

Limits of GS1-128 from GS1 General Specifications 5.4: 165.10 mm with quiet zones, 48 data characters, quiet zones of
10 X. Quiet zones of EAN-13 (11 X left, 7 X right) and ITF-14 (10 X) are from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.barcodes.encoder import FNC1_CHAR, Span, ean13_spans, gs1_128_spans, itf14_spans
from lotwake.labels.errors import LabelRefused
from lotwake.labels.gs1.elements import Element, checked, element_string, hri
from lotwake.labels.gs1.keys import gtin13, gtin14

GS1_128_MAX_MM = 165.1
GS1_128_MAX_CHARACTERS = 48
QUIET_MODULES = 10


@dataclass(frozen=True)
class Bars:
    """One symbol.

    ``spans`` are (first dot, dots wide) of each bar, counted from the first bar. ``width_dots`` is the width of the
    bars, ``quiet_left_dots`` and ``quiet_right_dots`` the white that must stay beside them; ``x_dots`` is the module.
    """

    spans: tuple[Span, ...]
    width_dots: int
    quiet_left_dots: int
    quiet_right_dots: int
    x_dots: int
    hri: str

    @property
    def total_dots(self) -> int:
        """Width with both quiet zones, in dots."""
        return self.quiet_left_dots + self.width_dots + self.quiet_right_dots


def gs1_128(elements: Sequence[Element], x_dots: int) -> Bars:
    """Return a GS1-128 symbol with modules of ``x_dots``.

    Raises:
        Gs1Error: when the elements break GS1's rules.
        LabelRefused: when there are more than 48 characters.
    """
    return gs1_128_unchecked(checked(elements), x_dots)


def gs1_128_unchecked(elements: Sequence[Element], x_dots: int) -> Bars:
    """As ``gs1_128`` for elements whose rules were checked before, as those of a run's first label are."""
    data = element_string(elements, FNC1_CHAR)
    if len(data) > GS1_128_MAX_CHARACTERS:
        raise LabelRefused(
            f"{hri(elements)} has {len(data)} characters; GS1-128 takes {GS1_128_MAX_CHARACTERS}.",
            "Use a shorter lot code or put part of it into a second symbol.",
        )
    width, spans = gs1_128_spans(data, x_dots)
    quiet = QUIET_MODULES * x_dots
    return Bars(spans, width, quiet, quiet, x_dots, hri(elements))


def ean13(gtin: str, dots: PrinterDots) -> Bars:
    """Return the EAN-13 symbol of a checked GTIN-13 (or shorter).

    Raises:
        WrongData: for a wrong GTIN or one with an indicator.
    """
    digits, x_dots = gtin13(gtin), dots.ean13_x
    modules, spans = ean13_spans(digits)
    scaled = tuple((first * x_dots, wide * x_dots) for first, wide in spans)
    return Bars(scaled, modules * x_dots, 11 * x_dots, 7 * x_dots, x_dots, digits)


def itf14(gtin: str, dots: PrinterDots) -> Bars:
    """Return the ITF-14 symbol of a checked GTIN.

    Raises:
        WrongData: for a wrong GTIN.
    """
    digits, (narrow, wide) = gtin14(gtin), dots.itf14_x
    width, spans = itf14_spans(digits, narrow, wide)
    return Bars(spans, width, QUIET_MODULES * narrow, QUIET_MODULES * narrow, narrow, digits)


def check_width(bars: Bars, dots: PrinterDots, room_mm: float) -> Bars:
    """Return the bars when they fit into ``room_mm`` with their quiet zones, else raise LabelRefused with what to do."""
    if _fits(bars, dots, room_mm):
        return bars
    wide_mm = dots.mm(bars.total_dots)
    if wide_mm > GS1_128_MAX_MM:
        raise LabelRefused(
            f"The barcode {bars.hri} would be {wide_mm:.1f} mm wide; {GS1_128_MAX_MM} mm is the most a reader takes.",
            "Use a shorter lot code, digits only, or a second symbol.",
        )
    raise LabelRefused(
        f"The barcode {bars.hri} is {wide_mm:.1f} mm wide at {dots.name}; the label has {room_mm:.1f} mm.",
        "Use a wider label, a shorter lot code of digits only, or a printer with finer dots.",
    )


def fit_gs1_128(
    symbols: Sequence[Sequence[Element]],
    widths: Sequence[int],
    dots: PrinterDots,
    room_mm: float,
    beside: Sequence[Element] = (),
) -> tuple[Bars, ...]:
    """Return the symbols of one label at the first of the module ``widths`` (dots, best first) at which all fit.

    ``beside`` are elements that the label carries in a symbol of another kind.

    Raises:
        Gs1Error: when the elements of all symbols together break GS1's rules.
        LabelRefused: when they do not even fit at the last width.
    """
    checked([*beside, *(element for symbol in symbols for element in symbol)])
    for x_dots in widths[:-1]:
        bars = [gs1_128_unchecked(symbol, x_dots) for symbol in symbols]
        if all(_fits(symbol, dots, room_mm) for symbol in bars):
            return tuple(bars)
    return tuple(check_width(gs1_128_unchecked(symbol, widths[-1]), dots, room_mm) for symbol in symbols)


def _fits(bars: Bars, dots: PrinterDots, room_mm: float) -> bool:
    return dots.mm(bars.total_dots) <= min(room_mm, GS1_128_MAX_MM) + 1e-6
