"""The pack label: name and net weight on top, particulars left, dates and lot right, barcode below.

A pack too small for a line has a 2D symbol in the lower right corner, under dates and lot.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from lotwake.labels.barcodes.bars import Bars, check_width, ean13, fit_gs1_128, gs1_128_unchecked
from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.barcodes.matrix import Matrix, datamatrix_unchecked, digital_link_qr
from lotwake.labels.errors import LabelRefused, WrongData
from lotwake.labels.gs1.elements import checked
from lotwake.labels.layout import phrases
from lotwake.labels.layout.faces import FIGURE_HEIGHT_PER_EM, PT_PER_MM, WIDTHS, Style, size_for_x_height, text_width
from lotwake.labels.layout.ink import (
    BRACKET_DEPTH,
    HRI_GAP_MM,
    Ink,
    PlacedBars,
    PlacedMatrix,
    SymbolRow,
    bars_room_mm,
    sample_stamp,
    symbol_rows,
    together,
)
from lotwake.labels.layout.pack_words import BLOCK_GAP_MM, Corner, net_weight, set_words
from lotwake.labels.layout.pdf import LabelRun, Progress, write_pdf
from lotwake.labels.layout.spec import LabelSpec, checked_spec
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.symbols import ON_LINES, Design, Elements, Plan, pack_symbols, varies
from lotwake.labels.layout.text import PlacedText, Slot
from lotwake.labels.layout.type_sizes import SMALL_FACE_CM2

CLEAR_MM = 0.2  # between the white of a 2D symbol and the figures under it
SMALL_STOCK_MM = 50  # stock lower than this has smaller figures under its barcode


def pack_label_pdf(
    spec: LabelSpec,
    serials: Sequence[int | None],
    stock: Stock,
    dots: PrinterDots,
    out: Path,
    progress: Progress | None = None,
    *,
    weights_g: Sequence[int] = (),
    design: Design = Design.AUTO,
    first_place: int = 1,
    sample: bool = False,
) -> None:
    """Write one label for each of ``serials`` (None for a label without a number) to the PDF file ``out``.

    The layout is made once; per label only the number, the weight and the symbol that holds them are. ``weights_g`` are
    the net weights of packs of catch weight, one for each serial. ``first_place`` is the first label to use on a sheet
    that was begun before, counted from 1 in reading order. ``sample`` prints SAMPLE across each label; its barcode stays
    readable. ``progress`` is called with labels done and in all, and may raise to stop: then no file is left.

    Raises:
        LabelRefused: when text or barcode do not fit, or the font lacks a character.
        WrongData: for wrong keys or amounts, a serial below one or there twice, or weights that do not match.
    """
    _check_serials(serials)
    if weights_g:
        spec = replace(spec, net_g=max(weights_g))
    _check_weights(spec, weights_g, len(serials))
    layout = lay_out(checked_spec(spec), max(serials, key=_serial_length), stock, dots, design)
    shared = replace(layout.shared, stamps=(sample_stamp(spec.phrases.sample, stock),)) if sample else layout.shared
    own = map(layout.own_ink, serials, weights_g) if weights_g else map(layout.own_ink, serials)
    title = f"{spec.product_name}, lot {spec.lot_shown}"
    run = LabelRun(title, shared, own, len(serials), layout.own_samples)
    write_pdf(out, stock, dots, run, progress, first_place)


@dataclass(frozen=True)
class PackLayout:
    """A laid out run: everything that its labels share, and where the parts of its own go.

    ``own_rows`` or ``own_matrix`` are the symbols that differ from label to label.
    """

    spec: LabelSpec
    plan: Plan
    stock: Stock
    dots: PrinterDots
    shared: Ink
    slots: tuple[PlacedText, ...]
    own_rows: tuple[SymbolRow, ...]
    own_matrix: PlacedMatrix | None

    @property
    def own_samples(self) -> tuple[PlacedText, ...]:
        """Texts in every face that own ink may use."""
        return (*self.slots, *(row.hri for row in self.own_rows))

    @property
    def net_figures(self) -> PlacedText:
        """The figures of the net weight, of the heaviest pack where weights differ."""
        return net_weight(self.spec, self.spec.net_g, self.stock)[-1]

    def own_ink(self, serial: int | None, net_g: int | None = None) -> Ink:
        """Return what one label of the run has besides the shared ink: number, weight and the symbol that holds them."""
        own = filter(varies, self.symbols(serial, net_g))
        texts = list(self._own_texts(serial, net_g))
        if self.own_matrix is not None:
            matrix = _matrix(self.spec, self.plan, next(own), self.dots)
            return Ink(tuple(texts), matrices=(_moved(self.own_matrix, matrix),))
        symbols = []
        for row, elements in zip(self.own_rows, own, strict=True):
            placed, hri = row.symbol, row.hri
            bars = gs1_128_unchecked(elements, placed.bars.x_dots)
            texts.append(PlacedText(hri.x, hri.y, bars.hri, hri.style, hri.width, hri.size_pt))
            symbols.append(PlacedBars(bars, placed.left_dots, placed.bottom_dots, placed.height_dots))
        return Ink(tuple(texts), symbols=tuple(symbols))

    def whole_ink(self, serial: int | None, net_g: int | None = None) -> Ink:
        """Return everything on one label of the run."""
        return together(self.shared, self.own_ink(serial, net_g))

    def symbols(self, serial: int | None, net_g: int | None = None) -> tuple[Elements, ...]:
        """Return the elements of each symbol that a label of this run carries: what a reader must find on it."""
        return pack_symbols(self.spec, serial, net_g or self.spec.net_g, self.plan)

    def _own_texts(self, serial: int | None, net_g: int | None) -> Iterator[PlacedText]:
        for slot in self.slots:
            if slot.slot is Slot.SERIAL and serial is not None:
                yield PlacedText(
                    slot.x, slot.y, phrases.serial_text(serial), slot.style, slot.width, slot.size_pt, slot.slot
                )
        if self.spec.catch_weight:
            yield from net_weight(self.spec, net_g or self.spec.net_g, self.stock)


def lay_out(
    spec: LabelSpec, longest_serial: int | None, stock: Stock, dots: PrinterDots, design: Design = Design.AUTO
) -> PackLayout:
    """Lay out a checked spec on the stock; ``longest_serial`` is the one that takes most room.

    Tried in turn: the plans for the symbols, and for each the bar heights of the stock.

    Raises:
        LabelRefused: when no layout fits; for the text where it was the text, else for the barcode.
    """
    refusals: list[LabelRefused] = []
    for plan in design.value:
        lay_out_plan = _lay_out_lines if plan in ON_LINES else _lay_out_matrix
        try:
            return lay_out_plan(spec, longest_serial, plan, stock, dots)
        except LabelRefused as error:
            refusals.append(error)
    text = [error for error in refusals if isinstance(error, _TextRefused)]
    raise _with_face_hint(spec, text[-1]) if text else refusals[-1]


class _TextRefused(LabelRefused):
    """It was the text that did not fit, not the barcode."""


def _lay_out_lines(spec: LabelSpec, serial: int | None, plan: Plan, stock: Stock, dots: PrinterDots) -> PackLayout:
    symbols = pack_symbols(spec, serial, spec.net_g, plan)
    bars = _line_bars(spec, symbols, plan, dots, bars_room_mm(stock))
    for height_mm in stock.bar_heights_mm:
        rows = symbol_rows(bars, height_mm, _figures_pt(stock), BLOCK_GAP_MM, stock, dots)
        try:
            words = set_words(spec, _number(serial), stock, dots, rows[0].top_pt + BLOCK_GAP_MM * PT_PER_MM)
        except LabelRefused as error:
            refusal = _TextRefused(error.sentence, error.hint)
            continue
        own = tuple(row for row, elements in zip(rows, symbols, strict=True) if varies(elements))
        shared_rows = [row for row in rows if row not in own]
        texts = (*words.shared, *(row.hri for row in shared_rows))
        ink = Ink(texts, words.rules, tuple(row.symbol for row in shared_rows), ovals=words.ovals)
        return PackLayout(spec, plan, stock, dots, ink, words.slots, own, None)
    raise refusal


def _line_bars(
    spec: LabelSpec, symbols: Sequence[Elements], plan: Plan, dots: PrinterDots, room_mm: float
) -> tuple[Bars, ...]:
    if plan is not Plan.TILL:
        return fit_gs1_128(symbols, dots.pack_x, dots, room_mm)
    if spec.catch_weight:
        raise LabelRefused(
            "EAN-13 cannot say what a pack of catch weight weighs.", "Choose another design, such as auto."
        )
    name, *rest = symbols
    return check_width(ean13(spec.gtin, dots), dots, room_mm), *fit_gs1_128(rest, dots.pack_x, dots, room_mm, name)


def _lay_out_matrix(spec: LabelSpec, serial: int | None, plan: Plan, stock: Stock, dots: PrinterDots) -> PackLayout:
    elements = checked(pack_symbols(spec, serial, spec.net_g, plan)[0])
    matrix = _matrix(spec, plan, elements, dots)
    figures_pt = _figures_pt(stock)
    gtin = f"({elements[0].ai}){elements[0].value}"
    hri_width = next((w for w in WIDTHS if _width(gtin, w, figures_pt) <= dots.pt(matrix.total_dots)), WIDTHS[-1])
    width = max(dots.pt(matrix.total_dots), _width(gtin, hri_width, figures_pt))
    margin_pt, gap_pt = stock.margin_mm * PT_PER_MM, BLOCK_GAP_MM * PT_PER_MM
    baseline_pt = margin_pt + BRACKET_DEPTH * figures_pt
    figures_top_mm = (baseline_pt + figures_pt * FIGURE_HEIGHT_PER_EM) / PT_PER_MM
    white_mm = max(HRI_GAP_MM, dots.mm(matrix.quiet_dots) + CLEAR_MM)
    bottom_dots = dots.dots_covering(figures_top_mm + white_mm)
    top_pt = dots.pt(bottom_dots + matrix.side_dots + matrix.quiet_dots)
    try:
        corner = Corner(width, top_pt + gap_pt - margin_pt)
        words = set_words(spec, _number(serial), stock, dots, margin_pt, corner)
    except LabelRefused as error:
        raise _TextRefused(error.sentence, error.hint) from error
    middle_pt = (words.side_left + stock.width_mm * PT_PER_MM - margin_pt) / 2
    left_dots = round(dots.dots_at(middle_pt) - matrix.side_dots / 2)
    placed = PlacedMatrix(matrix, left_dots, bottom_dots)
    hri = PlacedText(
        middle_pt - _width(gtin, hri_width, figures_pt) / 2, baseline_pt, gtin, Style.REGULAR, hri_width, figures_pt
    )
    own = placed if varies(elements) else None
    ink = Ink((*words.shared, hri), words.rules, matrices=() if own else (placed,), ovals=words.ovals)
    return PackLayout(spec, plan, stock, dots, ink, words.slots, (), own)


def _matrix(spec: LabelSpec, plan: Plan, elements: Elements, dots: PrinterDots) -> Matrix:
    if plan is Plan.QR:
        return digital_link_qr(elements, dots.matrix_x, spec.link_stem)
    return datamatrix_unchecked(elements, dots.matrix_x)


def _moved(place: PlacedMatrix, matrix: Matrix) -> PlacedMatrix:
    """Return the symbol with its middle where the laid out one has it, for fewer digits may need a smaller one."""
    aside = (place.matrix.side_dots - matrix.side_dots) // 2
    return PlacedMatrix(matrix, place.left_dots + aside, place.bottom_dots + aside)


def _width(text: str, width: int, size_pt: float) -> float:
    return text_width(text, Style.REGULAR, width, size_pt)


def _figures_pt(stock: Stock) -> float:
    return size_for_x_height(0.9 if stock.height_mm < SMALL_STOCK_MM else 1.1)


def _number(serial: int | None) -> str | None:
    return None if serial is None else phrases.serial_text(serial)


def _with_face_hint(spec: LabelSpec, error: LabelRefused) -> LabelRefused:
    if spec.pack_face_cm2 is not None:
        return error
    hint = (
        f"{error.hint} Or give the area of the pack's largest face: under {SMALL_FACE_CM2} cm2 smaller type is allowed."
    )
    return LabelRefused(error.sentence, hint)


def _check_serials(serials: Sequence[int | None]) -> None:
    if not serials:
        raise WrongData("There is no label to print.", "Ask for at least one.")
    numbers = [serial for serial in serials if serial is not None]
    if any(first >= second for first, second in pairwise(numbers)):
        numbers.sort()
    if numbers and numbers[0] < 1:
        raise WrongData(f"A pack cannot have number {numbers[0]}.", "Pack numbers begin at 1.")
    for first, second in pairwise(numbers):
        if first == second:
            raise WrongData(f"Pack number {first} is asked for twice.", "Each pack has a number of its own.")
    if 0 < len(numbers) < len(serials):
        raise WrongData("Some labels have a pack number and some have none.", "Print them as two runs.")


def _check_weights(spec: LabelSpec, weights_g: Sequence[int], count: int) -> None:
    if spec.catch_weight != bool(weights_g):
        raise WrongData(
            "Packs of catch weight have a weight each, other packs have none.", "Give the weights, or do not."
        )
    if weights_g and len(weights_g) != count:
        raise WrongData(f"There are {len(weights_g)} weights for {count} labels.", "Give one weight for each label.")
    if any(weight <= 0 for weight in weights_g):
        raise WrongData(f"A net weight of {min(weights_g)} g cannot be.", "Weigh the pack again.")


def _serial_length(serial: int | None) -> int:
    return 0 if serial is None else len(phrases.serial_text(serial))
