"""Label stock as data: rolls with one label a page, and sheets with a grid of them."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.labels.barcodes.dots import PrinterDots


@dataclass(frozen=True)
class Grid:
    """Where the labels of a sheet lie: millimetres from the sheet's left and top edge, and from label to label."""

    page_width_mm: float
    page_height_mm: float
    columns: int
    rows: int
    left_mm: float
    top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float


@dataclass(frozen=True)
class Stock:
    """One kind of label.

    ``margin_mm`` stays empty all round, save that the white beside a barcode may use it; ``bar_heights_mm`` are the
    heights of a barcode tried, best first.
    """

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float
    bar_heights_mm: tuple[float, ...]
    grid: Grid | None = None

    def page_dots(self, dots: PrinterDots) -> tuple[int, int]:
        """Return width and height of a page in whole dots."""
        if self.grid is None:
            return dots.dots_within(self.width_mm), dots.dots_within(self.height_mm)
        return dots.dots_within(self.grid.page_width_mm), dots.dots_within(self.grid.page_height_mm)

    def origins_dots(self, dots: PrinterDots) -> tuple[tuple[int, int], ...]:
        """Return the lower left corner of each label of a page in whole dots, in reading order."""
        grid = self.grid
        if grid is None:
            return ((0, 0),)
        page_height = self.page_dots(dots)[1]
        lefts = [dots.dots_within(grid.left_mm + column * grid.pitch_x_mm) for column in range(grid.columns)]
        bottoms = [
            page_height - dots.dots_within(grid.top_mm + row * grid.pitch_y_mm + self.height_mm)
            for row in range(grid.rows)
        ]
        return tuple((left, bottom) for bottom in bottoms for left in lefts)


ROLL_100X60 = Stock("roll 100 x 60 mm", 100, 60, 2.5, (11, 8))
ROLL_70X40 = Stock("roll 70 x 40 mm", 70, 40, 1.8, (7, 5))
SHEET_A4_3X7 = Stock("A4 sheet, 3 x 7 labels", 63.5, 38.1, 2, (7, 5), Grid(210, 297, 3, 7, 7.2, 15.15, 66.04, 38.1))
CASE_A6 = Stock("A6 case label 105 x 148 mm", 105, 148, 3.5, (32,))

PACK_STOCKS = {stock.name: stock for stock in (ROLL_100X60, ROLL_70X40, SHEET_A4_3X7)}
CASE_STOCKS = {CASE_A6.name: CASE_A6}
