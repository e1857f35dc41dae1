"""Can what lies on this label be read? Any label: its text, its symbols and the white round them, from where they lie.

Markets say what a label must say; this says whether the printer and the paper carry it. A decoder reads symbols without
their quiet zones and people read text that touches, so both are checked by geometry, not by reading back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.checks.check import Finding
from lotwake.labels.checks.facts import HRI
from lotwake.labels.layout.faces import PT_PER_MM, X_HEIGHT_PER_EM, text_width
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import PlacedText

if TYPE_CHECKING:  # the layout draws, and loads what draws; the check only reads where things lie
    from lotwake.labels.layout.ink import Ink

GS1 = "GS1 General Specifications, from memory"
COMMON = "common practice"
NARROWEST_MM = 0.25  # GS1-128 module on packs, at least
NARROWEST_LOGISTIC_MM = 0.495  # and on what moves through a warehouse
NARROWEST_MATRIX_MM = 0.38  # DataMatrix and QR on trade items
LOGISTIC_BARS_MM = 31.75
CARD_X_HEIGHT_MM = 1.6  # read at arm's length, with gloves on, through steam
SMALLEST_X_HEIGHT_MM = 0.9
CASE_X_HEIGHT_MM = 1.2
_TOLERANCE_MM = 0.01
_TOLERANCE_PT = 0.05
_ABOVE, _BELOW = 0.72, 0.2  # how far letters reach from their line, in type sizes


@dataclass(frozen=True)
class Area:
    """A rectangle on a label, in points from its lower left corner, and what lies in it."""

    what: str
    left: float
    bottom: float
    right: float
    top: float

    def meets(self, other: Area) -> bool:
        """Whether the two have ground in common."""
        across = min(self.right, other.right) - max(self.left, other.left)
        up = min(self.top, other.top) - max(self.bottom, other.bottom)
        return across > _TOLERANCE_PT and up > _TOLERANCE_PT


@dataclass(frozen=True)
class SymbolSize:
    """One symbol: its text for reading, whether it has two dimensions, its module and height (mm), its white and all."""

    hri: str
    is_matrix: bool
    module_mm: float
    height_mm: float
    area: Area


@dataclass(frozen=True)
class OnPaper:
    """What one label measures. ``x_height_mm`` is that of its smallest text, the figures under a barcode aside."""

    stock: Stock
    x_height_mm: float
    symbols: tuple[SymbolSize, ...]
    texts: tuple[Area, ...]


def measured(ink: Ink, stock: Stock, dots: PrinterDots) -> OnPaper:
    """Return what a label with all of this ink measures at the printer's dots."""
    sizes = [text.size_pt * X_HEIGHT_PER_EM / PT_PER_MM for text in ink.texts if not HRI.match(text.text)]
    return OnPaper(stock, min(sizes, default=0.0), tuple(_symbols(ink, dots)), tuple(map(_text_area, ink.texts)))


Problem = Callable[[OnPaper], str | None]


@dataclass(frozen=True)
class PaperRule:
    """One thing asked of every label of a kind: how it is looked for, why it is asked, and where that is written."""

    name: str
    problem: Problem
    why: str
    source: str


def check_on_paper(rules: tuple[PaperRule, ...], label: OnPaper) -> tuple[Finding, ...]:
    """Return what is found wrong; all of it stops the printer."""
    return tuple(
        Finding(rule.name, what[:1].upper() + what[1:], rule.why, rule.source, blocks=True)
        for rule in rules
        if (what := rule.problem(label)) is not None
    )


def over_the_edge(label: OnPaper) -> str | None:
    """Everything lies on the label, the white beside a symbol too."""
    right, top = label.stock.width_mm * PT_PER_MM, label.stock.height_mm * PT_PER_MM
    for area in (*label.texts, *(symbol.area for symbol in label.symbols)):
        beyond = max(-area.left, -area.bottom, area.right - right, area.top - top)
        if beyond > _TOLERANCE_PT:
            return f"{area.what} reaches {beyond / PT_PER_MM:.1f} mm over the edge of the label."
    return None


def text_on_text(label: OnPaper) -> str | None:
    """No two texts lie on each other."""
    met = next(((one, other) for one, other in combinations(label.texts, 2) if one.meets(other)), None)
    return f"{met[0].what} and {met[1].what} lie on each other." if met else None


def white_not_kept(label: OnPaper) -> str | None:
    """Nothing lies on a symbol or in the white that must stay beside it."""
    for symbol in label.symbols:
        others = (*label.texts, *(other.area for other in label.symbols if other is not symbol))
        if met := next((area for area in others if area.meets(symbol.area)), None):
            return f"{met.what} lies in the white beside {symbol.area.what}."
    return None


def module_under(line_mm: float) -> Problem:
    """Return a check that the modules of every symbol are wide enough; those in two dimensions have a limit of their own."""

    def problem(label: OnPaper) -> str | None:
        for symbol in label.symbols:
            least = NARROWEST_MATRIX_MM if symbol.is_matrix else line_mm
            if symbol.module_mm < least - _TOLERANCE_MM:
                return f"A module of {symbol.area.what} is {symbol.module_mm:.3f} mm wide, less than {least:g} mm."
        return None

    return problem


def bars_under(least_mm: float) -> Problem:
    """Return a check that the bars of every line symbol are high enough."""

    def problem(label: OnPaper) -> str | None:
        low = [
            symbol for symbol in label.symbols if not symbol.is_matrix and symbol.height_mm < least_mm - _TOLERANCE_MM
        ]
        return f"{low[0].area.what} is {low[0].height_mm:.1f} mm high, less than {least_mm:g} mm." if low else None

    return problem


def letters_under(least_mm: float) -> Problem:
    """Return a check that the smallest text is large enough."""

    def problem(label: OnPaper) -> str | None:
        small = label.x_height_mm < least_mm - _TOLERANCE_MM
        return (
            f"The smallest letters have an x-height of {label.x_height_mm:.2f} mm, not {least_mm:g} mm."
            if small
            else None
        )

    return problem


def no_symbol_with(ai: str, words: str) -> Problem:
    """Return a check that one of the line symbols, which every scanner reads, holds this application identifier."""

    def problem(label: OnPaper) -> str | None:
        held = any(f"({ai})" in symbol.hri for symbol in label.symbols if not symbol.is_matrix)
        return None if held else f"No barcode holds {words} ({ai})."

    return problem


def _rules(line_mm: float, letters_mm: float) -> tuple[PaperRule, ...]:
    return (
        PaperRule("on the label", over_the_edge, "What is cut off cannot be read.", COMMON),
        PaperRule("text apart", text_on_text, "What lies on each other cannot be read.", COMMON),
        PaperRule("quiet zone", white_not_kept, "Scanners need the white beside a symbol.", GS1),
        PaperRule("module width", module_under(line_mm), "Narrower bars do not scan where they are used.", GS1),
        PaperRule("letters", letters_under(letters_mm), "Smaller ones are not read where the label is used.", COMMON),
    )


PACK_ON_PAPER = _rules(NARROWEST_MM, SMALLEST_X_HEIGHT_MM)
UNIT_ON_PAPER = (
    *_rules(NARROWEST_LOGISTIC_MM, CASE_X_HEIGHT_MM),
    PaperRule("SSCC", no_symbol_with("00", "the SSCC"), "Every logistic unit is named by its own number.", GS1),
    PaperRule("bar height", bars_under(LOGISTIC_BARS_MM), "Bars on cases are read from a distance.", GS1),
)
CASE_ON_PAPER = (
    *UNIT_ON_PAPER,
    PaperRule(
        "contents", no_symbol_with("02", "what is in it"), "A unit that is no trade item names what it holds.", GS1
    ),
    PaperRule("lot", no_symbol_with("10", "the lot"), "A recall finds the case by it.", COMMON),
)
CARD_ON_PAPER = (
    *_rules(NARROWEST_MM, CARD_X_HEIGHT_MM),
    PaperRule("code", no_symbol_with("91", "the code of the batch"), "It is scanned at every step.", COMMON),
)


def _text_area(text: PlacedText) -> Area:
    width = text_width(text.text, text.style, text.width, text.size_pt)
    above, below = _ABOVE * text.size_pt, _BELOW * text.size_pt
    return Area(f'"{text.text}"', text.x, text.y - below, text.x + width, text.y + above)


def _symbols(ink: Ink, dots: PrinterDots) -> Iterator[SymbolSize]:
    for placed in ink.symbols:
        bars = placed.bars
        left, right = (
            placed.left_dots - bars.quiet_left_dots,
            placed.left_dots + bars.width_dots + bars.quiet_right_dots,
        )
        bottom, top = placed.bottom_dots, placed.bottom_dots + placed.height_dots
        area = Area(f"the barcode {bars.hri}", dots.pt(left), dots.pt(bottom), dots.pt(right), dots.pt(top))
        yield SymbolSize(bars.hri, False, dots.mm(bars.x_dots), dots.mm(placed.height_dots), area)
    for spot in ink.matrices:
        matrix, quiet = spot.matrix, spot.matrix.quiet_dots
        left, bottom = spot.left_dots - quiet, spot.bottom_dots - quiet
        right, top = left + matrix.total_dots, bottom + matrix.total_dots
        area = Area(f"the 2D symbol {matrix.hri}", dots.pt(left), dots.pt(bottom), dots.pt(right), dots.pt(top))
        yield SymbolSize(matrix.hri, True, dots.mm(matrix.x_dots), dots.mm(matrix.side_dots), area)
