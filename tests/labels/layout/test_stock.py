"""Label stock: the built-in kinds, a house's own as TOML, start position and calibration shift."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PrinterDots
from lotwake.labels.errors import WrongData
from lotwake.labels.layout.stock import CASE_STOCKS, PACK_STOCKS, Grid, Stock, first_place_checked, load_stock

ROLL = """name = "roll 80 x 50 mm"
width_mm = 80
height_mm = 50
margin_mm = 2
bar_heights_mm = [9, 7]
"""
SHEET = """
[sheet]
page_width_mm = 210
page_height_mm = 297
columns = 2
rows = 5
left_mm = 20
top_mm = 10
pitch_x_mm = 85
pitch_y_mm = 55
"""


def _load(tmp_path: Path, text: str) -> Stock:
    (tmp_path / "stock.toml").write_text(text, "utf-8")
    return load_stock(tmp_path / "stock.toml")


def test_house_adds_a_roll_and_a_sheet(tmp_path: Path) -> None:
    """The file's values come back as a stock, with and without a sheet, and a shift moves every label."""
    assert _load(tmp_path, ROLL) == Stock("roll 80 x 50 mm", 80, 50, 2, (9, 7))
    sheet = _load(tmp_path, ROLL + "shift_right_mm = 1.0\nshift_up_mm = -0.5\n" + SHEET)
    assert sheet.grid == Grid(210, 297, 2, 5, 20, 10, 85, 55)
    assert sheet.places == 10
    still = _load(tmp_path, ROLL + SHEET).origins_dots(DOTS_203)
    assert sheet.origins_dots(DOTS_203) == tuple((left + 8, bottom - 4) for left, bottom in still)


WRONG = [
    (ROLL.replace("width_mm = 80", 'width_mm = "80"'), "stock.toml, line 2: width_mm must be a number above 0"),
    (ROLL.replace("margin_mm = 2", "margin_mm = 25"), "line 4: margin_mm 25 leaves nothing"),
    (ROLL.replace("[9, 7]", "[]"), "line 5: bar_heights_mm must be a list"),
    (ROLL.replace("[9, 7]", "[30]"), "line 5: bar_heights_mm must be a list"),
    (ROLL.replace('name = "roll 80 x 50 mm"', 'name = ""'), "line 1: name must be a text"),
    (ROLL.replace("height_mm = 50\n", ""), "stock.toml: height_mm must be a number"),
    (ROLL + "colour = 3\n", "line 6: colour is not known here"),
    (ROLL + "shift_up_mm = 40\n", "line 6: shift_up_mm must be 10 mm or less"),
    (ROLL + "width_mm = 80\n", r"stock.toml is not right TOML: .*line 6"),
    (ROLL + SHEET.replace("columns = 2", "columns = 3"), "pitch_x_mm 85: 3 labels of 80 mm overlap or leave the page"),
    (ROLL + SHEET.replace("pitch_y_mm = 55", "pitch_y_mm = 45"), "line 15: pitch_y_mm 45: 5 labels of 50 mm overlap"),
    (ROLL + SHEET.replace("rows = 5", "rows = 0"), "line 11: rows must be a whole number"),
    (ROLL + "sheet = 4\n", r"line 6: sheet must be a table, written as \[sheet\]"),
]


@pytest.mark.parametrize(("text", "words"), WRONG)
def test_wrong_stock_is_said_with_file_line_and_key(tmp_path: Path, text: str, words: str) -> None:
    """The sentence names the file, the line and the key."""
    with pytest.raises(WrongData, match=words):
        _load(tmp_path, text)


def test_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    """A missing file gives a sentence, not a traceback."""
    with pytest.raises(WrongData, match="cannot be read"):
        load_stock(tmp_path / "away.toml")


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
@pytest.mark.parametrize("stock", [*PACK_STOCKS.values(), *CASE_STOCKS.values()], ids=lambda stock: stock.name)
def test_labels_of_a_sheet_neither_overlap_nor_leave_the_page(stock: Stock, dots: PrinterDots) -> None:
    """Every place of every built-in stock lies on its page, apart from all others."""
    page_width, page_height = stock.page_dots(dots)
    width, height = dots.dots_within(stock.width_mm), dots.dots_within(stock.height_mm)
    origins = stock.origins_dots(dots)
    assert len(origins) == stock.places
    for left, bottom in origins:
        assert 0 <= left <= page_width - width
        assert 0 <= bottom <= page_height - height
    rows = sorted({bottom for _, bottom in origins})
    assert all(upper - lower >= height - 1 for lower, upper in pairwise(rows))


@pytest.mark.parametrize("place", [0, 22, -1])
def test_place_that_the_sheet_does_not_have_is_refused(place: int) -> None:
    """Labels are counted from 1 to the number on the sheet."""
    with pytest.raises(WrongData, match=f"cannot begin at label {place}: a page .* has 21"):
        first_place_checked(PACK_STOCKS["A4 sheet, 3 x 7 labels"], place)
