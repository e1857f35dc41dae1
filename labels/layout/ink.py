"""What is printed where on one label: text, rules and bars, ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.labels.barcodes.bars import Bars
from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.layout.faces import PT_PER_MM, WIDTHS, Style, text_width
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import PlacedText

HRI_GAP_MM = 0.6  # white between bars and the figures under them
EDGE_MM = 1.0  # what even the white beside a barcode keeps from the edge, for stock wanders in the printer


@dataclass(frozen=True)
class Rule:
    """A filled rectangle, in points from the label's lower left corner."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class PlacedBars:
    """A symbol and where its first bar begins, in whole dots from the label's lower left corner."""

    bars: Bars
    left_dots: int
    bottom_dots: int
    height_dots: int


@dataclass(frozen=True)
class Ink:
    """Everything to draw on a label, or the part that all labels of a file share, or the part that is one label's own."""

    texts: tuple[PlacedText, ...] = ()
    rules: tuple[Rule, ...] = ()
    symbols: tuple[PlacedBars, ...] = ()


@dataclass(frozen=True)
class SymbolRow:
    """A symbol with its human-readable line under it, and the height both take from ``bottom_pt``."""

    symbol: PlacedBars
    hri: PlacedText
    top_pt: float


def bars_room_mm(stock: Stock) -> float:
    """Return the width a barcode may take with its quiet zones."""
    return stock.width_mm - 2 * EDGE_MM


def symbol_row(
    bars: Bars, bottom_pt: float, bar_height_mm: float, figures_pt: float, stock: Stock, dots: PrinterDots
) -> SymbolRow:
    """Return the bars in the middle of the label, their figures at ``bottom_pt``."""
    hri_width = next((width for width in WIDTHS if _hri_width(bars, width, figures_pt) <= _inner_pt(stock)), WIDTHS[-1])
    figures_height_pt = figures_pt * 0.74
    bottom_dots = dots.dots_covering((bottom_pt + figures_height_pt) / PT_PER_MM + HRI_GAP_MM)
    height_dots = dots.dots_covering(bar_height_mm)
    left_dots = (dots.dots_within(stock.width_mm) - bars.width_dots) // 2
    middle_pt = dots.pt(left_dots + bars.width_dots / 2)
    hri_x = middle_pt - _hri_width(bars, hri_width, figures_pt) / 2
    hri = PlacedText(hri_x, bottom_pt, bars.hri, Style.REGULAR, hri_width, figures_pt)
    return SymbolRow(PlacedBars(bars, left_dots, bottom_dots, height_dots), hri, dots.pt(bottom_dots + height_dots))


def _hri_width(bars: Bars, width: int, size_pt: float) -> float:
    return text_width(bars.hri, Style.REGULAR, width, size_pt)


def _inner_pt(stock: Stock) -> float:
    return (stock.width_mm - 2 * stock.margin_mm) * PT_PER_MM
