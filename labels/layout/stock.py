"""Label stock as data: rolls with one label a page, and sheets with a grid of them. A house adds its own as TOML."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.data_file import DataFile, parse_data_file, read_data_file
from lotwake.labels.errors import WrongData


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
    heights of a barcode tried, best first. ``shift_right_mm`` and ``shift_up_mm`` move everything on the page, as read
    off a printed calibration page.
    """

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float
    bar_heights_mm: tuple[float, ...]
    grid: Grid | None = None
    shift_right_mm: float = 0
    shift_up_mm: float = 0

    @property
    def places(self) -> int:
        """How many labels a page has."""
        return self.grid.columns * self.grid.rows if self.grid else 1

    def page_dots(self, dots: PrinterDots) -> tuple[int, int]:
        """Return width and height of a page in whole dots."""
        if self.grid is None:
            return dots.dots_within(self.width_mm), dots.dots_within(self.height_mm)
        return dots.dots_within(self.grid.page_width_mm), dots.dots_within(self.grid.page_height_mm)

    def origins_dots(self, dots: PrinterDots) -> tuple[tuple[int, int], ...]:
        """Return the lower left corner of each label of a page in whole dots, in reading order."""
        right, up = (round(shift * dots.dpi / 25.4) for shift in (self.shift_right_mm, self.shift_up_mm))
        grid = self.grid
        if grid is None:
            return ((right, up),)
        page_height = self.page_dots(dots)[1]
        lefts = [dots.dots_within(grid.left_mm + column * grid.pitch_x_mm) for column in range(grid.columns)]
        bottoms = [
            page_height - dots.dots_within(grid.top_mm + row * grid.pitch_y_mm + self.height_mm)
            for row in range(grid.rows)
        ]
        return tuple((left + right, bottom + up) for bottom in bottoms for left in lefts)


ROLL_100X60 = Stock("roll 100 x 60 mm", 100, 60, 2.5, (11, 8))
ROLL_70X40 = Stock("roll 70 x 40 mm", 70, 40, 1.8, (7, 5))
ROLL_58X40 = Stock("roll 58 x 40 mm", 58, 40, 1.8, (7, 5))
SHEET_A4_3X7 = Stock("A4 sheet, 3 x 7 labels", 63.5, 38.1, 2, (7, 5), Grid(210, 297, 3, 7, 7.2, 15.15, 66.04, 38.1))
# 2 x 4 inch labels on a sheet of 8.5 x 11 inch.
SHEET_LETTER_2X5 = Stock(
    "Letter sheet, 2 x 5 labels", 101.6, 50.8, 2.5, (9, 7), Grid(215.9, 279.4, 2, 5, 4.0, 12.7, 106.3, 50.8)
)
CASE_A6 = Stock("A6 case label 105 x 148 mm", 105, 148, 3.5, (32,))

PACK_STOCKS = {stock.name: stock for stock in (ROLL_100X60, ROLL_70X40, ROLL_58X40, SHEET_A4_3X7, SHEET_LETTER_2X5)}
CASE_STOCKS = {CASE_A6.name: CASE_A6}
CARD_STOCKS = {ROLL_100X60.name: ROLL_100X60, CASE_A6.name: CASE_A6}

STOCK_KEYS = ("name", "width_mm", "height_mm", "margin_mm", "bar_heights_mm", "shift_right_mm", "shift_up_mm", "sheet")
GRID_KEYS = tuple(Grid.__dataclass_fields__)
_LARGEST_SHIFT_MM = 10


def load_stock(path: Path) -> Stock:
    """Return the stock a house wrote down as TOML: the fields of ``Stock``, and of ``Grid`` under ``[sheet]``.

    Raises:
        WrongData: naming file, line and key of what is wrong, missing or unknown.
    """
    return _stock_in(read_data_file(path))


def checked_stock(name: str, text: str) -> Stock:
    """As ``load_stock`` for the text of a file that is not written yet."""
    return _stock_in(parse_data_file(name, text))


def _stock_in(file: DataFile) -> Stock:
    file.only(STOCK_KEYS)
    width, height = file.number("width_mm"), file.number("height_mm")
    margin = file.number("margin_mm")
    if 2 * margin >= min(width, height):
        file.wrong("margin_mm", f"{margin:g} leaves nothing of a label of {width:g} x {height:g} mm")
    grid = _grid(file.table("sheet"), width, height)
    shifts = (_shift(file, "shift_right_mm"), _shift(file, "shift_up_mm"))
    return Stock(file.word("name"), width, height, margin, _bar_heights(file, height), grid, *shifts)


def first_place_checked(stock: Stock, first_place: int) -> int:
    """Return the place on the first sheet, counted from 1 in reading order, or raise WrongData."""
    if not 1 <= first_place <= stock.places:
        raise WrongData(
            f"Printing cannot begin at label {first_place}: a page of {stock.name} has {stock.places}.",
            "Count the labels from the top left, line by line.",
        )
    return first_place


def _bar_heights(file: DataFile, height: float) -> tuple[float, ...]:
    heights = file.values.get("bar_heights_mm")
    wrong = "must be a list of heights in mm, 3 to half the label, best first"
    if not isinstance(heights, list) or not heights:
        file.wrong("bar_heights_mm", wrong)
    if not all(isinstance(one, int | float) and 3 <= one <= height / 2 for one in heights):
        file.wrong("bar_heights_mm", wrong)
    return tuple(heights)


def _shift(file: DataFile, key: str) -> float:
    value = file.number(key, 0, above=-_LARGEST_SHIFT_MM)
    if value > _LARGEST_SHIFT_MM:
        file.wrong(key, f"must be {_LARGEST_SHIFT_MM} mm or less", "Was the calibration page printed at full size?")
    return value


def _grid(file: DataFile | None, width: float, height: float) -> Grid | None:
    if file is None:
        return None
    file.only(GRID_KEYS)
    columns, rows = file.count("columns"), file.count("rows")
    page_width, page_height = file.number("page_width_mm"), file.number("page_height_mm")
    left, top = file.number("left_mm", above=-0.001), file.number("top_mm", above=-0.001)
    pitch_x, pitch_y = file.number("pitch_x_mm"), file.number("pitch_y_mm")
    if pitch_x < width or left + (columns - 1) * pitch_x + width > page_width:
        file.wrong("pitch_x_mm", f"{pitch_x:g}: {columns} labels of {width:g} mm overlap or leave the page")
    if pitch_y < height or top + (rows - 1) * pitch_y + height > page_height:
        file.wrong("pitch_y_mm", f"{pitch_y:g}: {rows} labels of {height:g} mm overlap or leave the page")
    return Grid(page_width, page_height, columns, rows, left, top, pitch_x, pitch_y)
