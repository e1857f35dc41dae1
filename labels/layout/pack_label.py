"""The pack label: name and net weight on top, particulars left, dates and lot right, barcode below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise
from pathlib import Path

from lotwake.labels.barcodes.bars import Bars, fit_gs1_128, gs1_128_unchecked
from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.errors import LabelRefused, WrongData
from lotwake.labels.gs1.dates import write_date
from lotwake.labels.gs1.elements import Element, fixed_first
from lotwake.labels.gs1.keys import gtin14
from lotwake.labels.layout import phrases
from lotwake.labels.layout.faces import PT_PER_MM, size_for_x_height
from lotwake.labels.layout.ink import Ink, Rule, SymbolRow, bars_room_mm, symbol_row
from lotwake.labels.layout.pack_words import BLOCK_GAP_MM, set_words
from lotwake.labels.layout.pdf import LabelRun, Progress, write_pdf
from lotwake.labels.layout.spec import LabelSpec, checked_spec
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import PlacedText
from lotwake.labels.layout.type_sizes import SMALL_FACE_CM2


def pack_label_pdf(
    spec: LabelSpec,
    serials: Sequence[int | None],
    stock: Stock,
    dots: PrinterDots,
    out: Path,
    progress: Progress | None = None,
) -> None:
    """Write one label for each of ``serials`` (None for a label without a number) to the PDF file ``out``.

    The layout is made once; per label only the number and the symbol that holds it are. ``progress`` is called with
    labels done and in all, and may raise to stop: then no file is left.

    Raises:
        LabelRefused: when text or barcode do not fit, or the font lacks a character.
        WrongData: for wrong keys or amounts, a serial below one or there twice.
    """
    _check_serials(serials)
    layout = lay_out(checked_spec(spec), max(serials, key=_serial_length), stock, dots)
    title = f"{spec.product_name}, lot {spec.lot_shown}"
    run = LabelRun(title, layout.shared, map(layout.own_ink, serials), len(serials))
    write_pdf(out, stock, dots, run, progress)


class Plan(Enum):
    """How a pack's elements are spread over symbols, best first."""

    ONE = "all in one symbol"
    TWO = "name and date, then lot and number"
    NO_DATE = "in one symbol, the date in words only"


@dataclass(frozen=True)
class PackLayout:
    """A laid out run: everything that its labels share, and where the parts with the serial number go."""

    spec: LabelSpec
    plan: Plan
    shared: Ink
    serial_texts: tuple[PlacedText, ...]
    serial_row: SymbolRow | None

    def own_ink(self, serial: int | None) -> Ink:
        """Return what one label of the run has besides the shared ink: its number and the symbol that holds it."""
        if serial is None or self.serial_row is None:
            return Ink()
        number = phrases.serial_text(serial)
        placed, hri = self.serial_row.symbol, self.serial_row.hri
        elements = symbols_of(self.spec, number, self.plan)[-1]
        bars = gs1_128_unchecked(elements, placed.bars.x_dots)
        texts = [replace(text, text=number) for text in self.serial_texts]
        return Ink((*texts, replace(hri, text=bars.hri)), (), (replace(placed, bars=bars),))


def symbols_of(spec: LabelSpec, serial: str | None, plan: Plan) -> tuple[tuple[Element, ...], ...]:
    """Return the elements of each symbol of a pack: fixed lengths first, the serial, when there is one, last."""
    gtin, date = Element("01", gtin14(spec.gtin)), Element("15", write_date(spec.best_before))
    lot = (Element("10", spec.lot), *((Element("21", serial),) if serial else ()))
    if plan is Plan.TWO:
        return (gtin, date), lot
    return (fixed_first((gtin, date, *lot) if plan is Plan.ONE else (gtin, *lot)),)


def lay_out(spec: LabelSpec, longest_serial: int | None, stock: Stock, dots: PrinterDots) -> PackLayout:
    """Lay out a checked spec on the stock; ``longest_serial`` is the one that takes most room.

    Tried in turn: the plans for the symbols, and for each the bar heights of the stock.

    Raises:
        LabelRefused: when no layout fits; for the text where it was the text, else for the barcode.
    """
    number = None if longest_serial is None else phrases.serial_text(longest_serial)
    no_bars = no_words = None
    for plan in Plan:
        try:
            bars = fit_gs1_128(symbols_of(spec, number, plan), dots.pack_x, dots, bars_room_mm(stock))
        except LabelRefused as error:
            no_bars = error
            continue
        for bar_height_mm in stock.bar_heights_mm:
            rows = _symbol_rows(bars, bar_height_mm, stock, dots)
            try:
                texts, rules = set_words(spec, number, stock, dots, rows[0].top_pt + BLOCK_GAP_MM * PT_PER_MM)
            except LabelRefused as error:
                no_words = error
                continue
            return _assemble(spec, number, plan, rows, texts, rules)
    raise _with_face_hint(spec, no_words) or no_bars or ValueError(f"{stock.name} has no bar heights")


def _with_face_hint(spec: LabelSpec, error: LabelRefused | None) -> LabelRefused | None:
    if error is None or spec.pack_face_cm2 is not None:
        return error
    hint = (
        f"{error.hint} Or give the area of the pack's largest face: under {SMALL_FACE_CM2} cm2 smaller type is allowed."
    )
    return LabelRefused(error.sentence, hint)


def _assemble(
    spec: LabelSpec,
    number: str | None,
    plan: Plan,
    rows: list[SymbolRow],
    texts: list[PlacedText],
    rules: list[Rule],
) -> PackLayout:
    shared_rows, serial_row = (rows, None) if number is None else (rows[:-1], rows[-1])
    shared = Ink(
        (*(text for text in texts if not text.is_serial), *(row.hri for row in shared_rows)),
        tuple(rules),
        tuple(row.symbol for row in shared_rows),
    )
    serial_texts = tuple(text for text in texts if text.is_serial)
    return PackLayout(spec, plan, shared, serial_texts, serial_row)


def _symbol_rows(bars: Sequence[Bars], bar_height_mm: float, stock: Stock, dots: PrinterDots) -> list[SymbolRow]:
    """Stack the symbols from the bottom, the first on top."""
    figures_pt = size_for_x_height(0.9 if stock.height_mm < 50 else 1.1)
    bottom_pt = stock.margin_mm * PT_PER_MM
    rows: list[SymbolRow] = []
    for symbol in reversed(bars):
        rows.insert(0, symbol_row(symbol, bottom_pt, bar_height_mm, figures_pt, stock, dots))
        bottom_pt = rows[0].top_pt + BLOCK_GAP_MM * PT_PER_MM
    return rows


def _check_serials(serials: Sequence[int | None]) -> None:
    if not serials:
        raise WrongData("There is no label to print.", "Ask for at least one.")
    numbers = sorted(serial for serial in serials if serial is not None)
    if numbers and numbers[0] < 1:
        raise WrongData(f"A pack cannot have number {numbers[0]}.", "Pack numbers begin at 1.")
    for first, second in pairwise(numbers):
        if first == second:
            raise WrongData(f"Pack number {first} is asked for twice.", "Each pack has a number of its own.")
    if 0 < len(numbers) < len(serials):
        raise WrongData("Some labels have a pack number and some have none.", "Print them as two runs.")


def _serial_length(serial: int | None) -> int:
    return 0 if serial is None else len(phrases.serial_text(serial))
