"""Two-dimensional symbols in whole printer dots: GS1 DataMatrix, and a QR code that holds a GS1 Digital Link.

The modules come from zxing-cpp, which also reads symbols back when a run is proofed. Both symbols hold what no line can:
the fish-origin set beside the trade set, or a whole message on a pack of a few centimetres. A scanner with a laser reads
neither; one with a camera reads both.

Quiet zones (DataMatrix 1 module, QR 4) are those of ISO/IEC 16022 and 18004, from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import zxingcpp

from lotwake.labels.errors import LabelRefused
from lotwake.labels.gs1.digital_link import DEFAULT_STEM, write_digital_link
from lotwake.labels.gs1.elements import Element, checked, hri

DATAMATRIX_QUIET, QR_QUIET = 1, 4  # modules
Rect = tuple[int, int, int, int]


@dataclass(frozen=True)
class Matrix:
    """One square symbol.

    ``rects`` are (left, bottom, width, height) in dots from its lower left module; they overlap, and together they are
    its dark modules. ``side_dots`` is the width and height, ``quiet_dots`` the white that must stay all round.
    """

    rects: tuple[Rect, ...]
    side_dots: int
    quiet_dots: int
    x_dots: int
    hri: str

    @property
    def total_dots(self) -> int:
        """Width with the quiet zone on both sides, in dots."""
        return self.side_dots + 2 * self.quiet_dots


def gs1_datamatrix(elements: Sequence[Element], x_dots: int) -> Matrix:
    """Return a square GS1 DataMatrix symbol of checked elements.

    Raises:
        Gs1Error: when the elements break GS1's rules.
        LabelRefused: when they are more than one symbol holds.
    """
    return datamatrix_unchecked(checked(elements), x_dots)


def datamatrix_unchecked(elements: Sequence[Element], x_dots: int) -> Matrix:
    """As ``gs1_datamatrix`` for elements whose rules were checked before."""
    # The library's own notation: square brackets are outside GS1's 82 characters and cannot be data.
    data = "".join(f"[{element.ai}]{element.value}" for element in elements)
    options = {"gs1": True, "force_square": True}
    return _matrix(data, zxingcpp.BarcodeFormat.DataMatrix, options, x_dots, DATAMATRIX_QUIET, hri(elements))


def digital_link_qr(elements: Sequence[Element], x_dots: int, stem: str = DEFAULT_STEM) -> Matrix:
    """Return a QR code, error correction M, with the Digital Link of the elements under ``stem``.

    Raises:
        WrongData: when the elements make no Digital Link.
        LabelRefused: when it is longer than one symbol holds.
    """
    link = write_digital_link(elements, stem)
    return _matrix(link, zxingcpp.BarcodeFormat.QRCode, {"ec_level": "M"}, x_dots, QR_QUIET, link)


def _matrix(data: str, form: Any, options: dict[str, Any], x_dots: int, quiet: int, shown: str) -> Matrix:
    try:
        image = zxingcpp.create_barcode(data, form, **options).to_image(scale=1, add_quiet_zones=False)
    except ValueError as error:
        raise LabelRefused(f"{shown} makes no 2D symbol: {error}.", "Use fewer or shorter particulars.") from error
    rows: Any = memoryview(image).tolist()  # type: ignore[arg-type]  # it is a buffer of rows, which the stub leaves out
    dark = [[value == 0 for value in row] for row in reversed(rows)]  # lowest row first, as a page counts
    return Matrix(tuple(_rects(dark, x_dots)), len(dark) * x_dots, quiet * x_dots, x_dots, shown)


def _rects(dark: Sequence[Sequence[bool]], x_dots: int) -> Iterable[Rect]:
    """Yield rows of dark modules, and columns of two or more: with a little taken off each, no seam stays between them."""
    for place, row in enumerate(dark):
        for first, many in _runs(row):
            yield first * x_dots, place * x_dots, many * x_dots, x_dots
    for place, column in enumerate(zip(*dark, strict=True)):
        for first, many in _runs(column):
            if many > 1:
                yield place * x_dots, first * x_dots, x_dots, many * x_dots


def _runs(line: Sequence[bool]) -> Iterable[tuple[int, int]]:
    """Yield (first, how many) of every run of True."""
    first = 0
    for place, is_dark in enumerate((*line, False)):
        if not is_dark:
            if place > first:
                yield first, place - first
            first = place + 1
