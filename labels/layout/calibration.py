"""A page to measure with a ruler: is the printer's size right, where do labels land, which bars does it resolve?

What is read off goes into the stock's ``shift_right_mm`` and ``shift_up_mm``. A line of another length than it says means
that something between here and the paper scales the page; then no barcode of it can be trusted.
"""

from __future__ import annotations

from pathlib import Path

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.layout.faces import PT_PER_MM, WIDTHS, Style, text_width
from lotwake.labels.layout.ink import Ink, Rule
from lotwake.labels.layout.pdf import LabelRun, write_pdf
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import PlacedText

TEXT_PT = 6.5
TICK_MM, LONG_TICK_MM = 1.5, 3.0
WEDGE_DOTS = (1, 2, 3, 4)
WEDGE_BARS = 8


def calibration_pdf(stock: Stock, dots: PrinterDots, out: Path) -> None:
    """Write one calibration page: every place of the stock with its outline, its number, rulers and bars of 1 to 4 dots.

    Raises:
        LabelNotWritten: when the file cannot be written.
    """
    labels = [_place(stock, dots, number) for number in range(1, stock.places + 1)]
    texts = tuple(text for label in labels for text in label.texts)
    write_pdf(out, stock, dots, LabelRun(f"Calibration, {stock.name}", Ink(), labels, len(labels), texts))


def _place(stock: Stock, dots: PrinterDots, number: int) -> Ink:
    width_dots, height_dots = dots.dots_within(stock.width_mm), dots.dots_within(stock.height_mm)
    line = max(1, dots.dots_within(0.15))
    outline = (
        (0, 0, width_dots, line), (0, height_dots - line, width_dots, line),
        (0, 0, line, height_dots), (width_dots - line, 0, line, height_dots),
    )  # fmt: skip
    ruler_mm = int((stock.width_mm - 2 * stock.margin_mm) / 10) * 10
    left = dots.dots_within((stock.width_mm - ruler_mm) / 2)
    bottom = dots.dots_within(stock.height_mm * 0.35)
    wedge = _wedge(dots, left, dots.dots_within(stock.margin_mm + 4))
    boxes = (*outline, *_ruler(dots, left, bottom, ruler_mm, line), *wedge)
    rules = tuple(Rule(*(dots.pt(part) for part in box)) for box in boxes)
    return Ink(tuple(_texts(stock, dots, number, ruler_mm)), rules)


def _ruler(dots: PrinterDots, left: int, bottom: int, length_mm: int, line: int) -> list[tuple[int, int, int, int]]:
    base = (left, bottom, dots.dots_within(length_mm), line)
    ticks = [
        (left + dots.dots_within(mm), bottom, line, dots.dots_within(LONG_TICK_MM if mm % 10 == 0 else TICK_MM))
        for mm in range(length_mm + 1)
    ]
    return [base, *ticks]


def _wedge(dots: PrinterDots, left: int, bottom: int) -> list[tuple[int, int, int, int]]:
    boxes, at = [], left
    for wide in WEDGE_DOTS:
        boxes += [(at + 2 * wide * bar, bottom, wide, dots.dots_within(4)) for bar in range(WEDGE_BARS)]
        at += 2 * wide * WEDGE_BARS + dots.dots_within(3)
    return boxes


def _texts(stock: Stock, dots: PrinterDots, number: int, ruler_mm: int) -> list[PlacedText]:
    lines = [
        (
            stock.height_mm - stock.margin_mm - 2.5,
            f"{number}: {stock.width_mm:g} x {stock.height_mm:g} mm, {dots.name}",
        ),
        (stock.height_mm - stock.margin_mm - 5.5, "Print at 100 %, without fitting to the page."),
        (stock.height_mm * 0.35 - 3.2, f"This line is {ruler_mm} mm long. The outline should meet the label's edge."),
        (stock.margin_mm, f"Bars of {', '.join(map(str, WEDGE_DOTS))} dots: white shows between all of them."),
    ]
    return [_middle(stock, y_mm, text) for y_mm, text in lines]


def _middle(stock: Stock, y_mm: float, text: str) -> PlacedText:
    room = (stock.width_mm - 2 * stock.margin_mm) * PT_PER_MM
    width = next((w for w in WIDTHS if text_width(text, Style.REGULAR, w, TEXT_PT) <= room), WIDTHS[-1])
    size = min(TEXT_PT, TEXT_PT * room / text_width(text, Style.REGULAR, width, TEXT_PT))
    x = (stock.width_mm * PT_PER_MM - text_width(text, Style.REGULAR, width, size)) / 2
    return PlacedText(x, y_mm * PT_PER_MM, text, Style.REGULAR, width, size)
