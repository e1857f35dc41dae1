"""What is printed where on one label: text, rules and symbols, ready to be drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from itertools import chain

from lotwake.labels.barcodes.bars import Bars
from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.barcodes.matrix import Matrix
from lotwake.labels.layout.faces import FIGURE_HEIGHT_PER_EM, PT_PER_MM, WIDTHS, Style, text_width
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import PlacedText

HRI_GAP_MM = 0.7  # white between bars and the figures under them
EDGE_MM = 1.0  # what even the white beside a barcode keeps from the edge, for stock wanders in the printer
BRACKET_DEPTH = 0.18  # how far the brackets of the figures reach below their line, in type sizes


@dataclass(frozen=True)
class Rule:
    """A filled rectangle, in points from the label's lower left corner."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Oval:
    """The outline of an ellipse in the given rectangle, in points from the label's lower left corner."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Stamp:
    """A word in outlined letters whose middle lies at ``x``, ``y`` (points), turned by ``angle`` degrees."""

    text: str
    x: float
    y: float
    size_pt: float
    angle: float


@dataclass(frozen=True)
class PlacedBars:
    """A symbol and where its first bar begins, in whole dots from the label's lower left corner."""

    bars: Bars
    left_dots: int
    bottom_dots: int
    height_dots: int


@dataclass(frozen=True)
class PlacedMatrix:
    """A 2D symbol and where its lower left module lies, in whole dots from the label's lower left corner."""

    matrix: Matrix
    left_dots: int
    bottom_dots: int


@dataclass(frozen=True)
class Ink:
    """Everything to draw on a label, or the part that all labels of a file share, or the part that is one label's own."""

    texts: tuple[PlacedText, ...] = ()
    rules: tuple[Rule, ...] = ()
    symbols: tuple[PlacedBars, ...] = ()
    matrices: tuple[PlacedMatrix, ...] = ()
    stamps: tuple[Stamp, ...] = ()
    ovals: tuple[Oval, ...] = ()


def together(*inks: Ink) -> Ink:
    """Return what several inks draw on one label as one."""
    return Ink(*(tuple(chain.from_iterable(getattr(ink, part.name) for ink in inks)) for part in fields(Ink)))


@dataclass(frozen=True)
class SymbolRow:
    """A symbol with its human-readable line under it, and the height both take from ``bottom_pt``."""

    symbol: PlacedBars
    hri: PlacedText
    top_pt: float


def bars_room_mm(stock: Stock) -> float:
    """Return the width a barcode may take with its quiet zones."""
    return stock.width_mm - 2 * EDGE_MM


def symbol_rows(
    bars: Sequence[Bars], bar_height_mm: float, figures_pt: float, gap_mm: float, stock: Stock, dots: PrinterDots
) -> list[SymbolRow]:
    """Stack symbols in the middle of the label from its lower margin up; the first of ``bars`` comes on top and first."""
    rows: list[SymbolRow] = []
    bottom_pt = stock.margin_mm * PT_PER_MM
    for symbol in reversed(bars):
        rows.insert(0, _symbol_row(symbol, bottom_pt, bar_height_mm, figures_pt, stock, dots))
        bottom_pt = rows[0].top_pt + gap_mm * PT_PER_MM
    return rows


def sample_stamp(word: str, stock: Stock) -> Stamp:
    """Return the word across the label from corner to corner, as large as its length allows."""
    width, height = stock.width_mm * PT_PER_MM, stock.height_mm * PT_PER_MM
    angle = 20.0 if width > height else 50.0
    size = min(0.8 * max(width, height) / text_width(word, Style.BOLD, WIDTHS[0], 1), 0.45 * min(width, height))
    return Stamp(word, width / 2, height / 2, size, angle)


def _symbol_row(
    bars: Bars, bottom_pt: float, bar_height_mm: float, figures_pt: float, stock: Stock, dots: PrinterDots
) -> SymbolRow:
    hri_width = next((width for width in WIDTHS if _hri_width(bars, width, figures_pt) <= _inner_pt(stock)), WIDTHS[-1])
    baseline_pt = bottom_pt + BRACKET_DEPTH * figures_pt
    figures_top_pt = baseline_pt + FIGURE_HEIGHT_PER_EM * figures_pt
    bottom_dots = dots.dots_covering(figures_top_pt / PT_PER_MM + HRI_GAP_MM)
    height_dots = dots.dots_covering(bar_height_mm)
    left_dots = (dots.dots_within(stock.width_mm) - bars.width_dots) // 2
    middle_pt = dots.pt(left_dots + bars.width_dots / 2)
    hri_x = middle_pt - _hri_width(bars, hri_width, figures_pt) / 2
    hri = PlacedText(hri_x, baseline_pt, bars.hri, Style.REGULAR, hri_width, figures_pt)
    return SymbolRow(PlacedBars(bars, left_dots, bottom_dots, height_dots), hri, dots.pt(bottom_dots + height_dots))


def _hri_width(bars: Bars, width: int, size_pt: float) -> float:
    return text_width(bars.hri, Style.REGULAR, width, size_pt)


def _inner_pt(stock: Stock) -> float:
    return (stock.width_mm - 2 * stock.margin_mm) * PT_PER_MM
