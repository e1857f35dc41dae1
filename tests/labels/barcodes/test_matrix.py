"""2D symbols: modules on whole dots, what is refused, and the path that draws them."""

from __future__ import annotations

import pytest
import zxingcpp

from lotwake.labels.barcodes.dots import DOTS_203, PROFILES
from lotwake.labels.barcodes.drawing import matrix_path
from lotwake.labels.barcodes.matrix import Matrix, digital_link_qr, gs1_datamatrix
from lotwake.labels.errors import LabelRefused, WrongData
from lotwake.labels.gs1.elements import Element, Gs1Error

GTIN = Element("01", "09520000000011")
LOT = Element("10", "26329000421")


def _painted(matrix: Matrix) -> set[tuple[int, int]]:
    """Every dot that a rectangle of the symbol covers, (column, row) from its lower left."""
    return {
        (column, row)
        for left, bottom, width, height in matrix.rects
        for column in range(left, left + width)
        for row in range(bottom, bottom + height)
    }


def _dark(image: zxingcpp.Image, x_dots: int) -> set[tuple[int, int]]:
    rows = memoryview(image).tolist()
    return {
        (column * x_dots + across, row * x_dots + up)
        for row, line in enumerate(reversed(rows))
        for column, value in enumerate(line)
        if value == 0
        for across in range(x_dots)
        for up in range(x_dots)
    }


def test_rectangles_cover_the_dark_modules_and_no_more() -> None:
    """Rows and columns together are the symbol the library made, each module so many whole dots."""
    made = zxingcpp.create_barcode(
        "[01]09520000000011[10]26329000421", zxingcpp.BarcodeFormat.DataMatrix, gs1=True, force_square=True
    )
    image = made.to_image(scale=1, add_quiet_zones=False)
    for x_dots in (1, 4):
        assert _painted(gs1_datamatrix((GTIN, LOT), x_dots)) == _dark(image, x_dots)


def test_quiet_zones_are_in_the_width() -> None:
    """DataMatrix keeps one module of white all round, QR four."""
    matrix, link = gs1_datamatrix((GTIN, LOT), 4), digital_link_qr((GTIN, LOT), 4)
    assert matrix.total_dots == matrix.side_dots + 2 * 4
    assert link.total_dots == link.side_dots + 2 * 16
    assert link.hri == "https://id.gs1.org/01/09520000000011/10/26329000421"


@pytest.mark.parametrize("name", PROFILES)
def test_modules_are_wide_enough_to_read(name: str) -> None:
    """A module is at least 0.375 mm at every resolution (GS1 DataMatrix at retail, from memory)."""
    dots = PROFILES[name]
    assert 0.375 <= dots.mm(dots.matrix_x) <= 0.990


def test_wrong_elements_are_refused_before_the_library_sees_them() -> None:
    """A lot without its product, a bracket of the library's own notation, and a link without a key are refused."""
    with pytest.raises(Gs1Error, match="needs"):
        gs1_datamatrix((LOT,), 4)
    with pytest.raises(Gs1Error, match="outside GS1's 82"):
        gs1_datamatrix((GTIN, Element("10", "A[21]B")), 4)
    with pytest.raises(WrongData, match="needs a key"):
        digital_link_qr((Element("91", "1"),), 4)


def test_more_than_a_symbol_holds_is_refused() -> None:
    """Data for no symbol size gives a sentence, not the library's error."""
    assert gs1_datamatrix((GTIN, *(Element(str(ai), "X" * 90) for ai in range(91, 100))), 4).side_dots > 0
    with pytest.raises(LabelRefused, match="makes no 2D symbol"):
        digital_link_qr((GTIN, LOT), 4, "https://example.com/" + "a" * 3000)


def test_path_leaves_no_seam_between_modules() -> None:
    """One fill, and two modules above each other are joined by a rectangle that spans both."""
    path = matrix_path(gs1_datamatrix((GTIN, LOT), 4), 8, 8, DOTS_203)
    assert path.count(" f ") == 1
    side = gs1_datamatrix((GTIN, LOT), 4).side_dots
    assert f"0 0 3.7 {side - 0.3:g} re" in path  # the left edge of a DataMatrix is dark from bottom to top
    assert f" {DOTS_203.pt(8.15):.5f} {DOTS_203.pt(8.15):.5f} cm" in path
