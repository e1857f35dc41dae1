"""The case label: what is in the case in words, then its content, lot and SSCC as barcodes, the SSCC lowest.

Heights as on a GS1 logistic label: bars of 32 mm, figures of 3 mm (both from memory of the General Specifications).
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from lotwake.labels.barcodes.bars import fit_gs1_128
from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.dates import write_date
from lotwake.labels.gs1.elements import Element
from lotwake.labels.gs1.keys import gtin14
from lotwake.labels.layout import phrases
from lotwake.labels.layout.faces import PT_PER_MM, Style, size_for_figures, size_for_x_height
from lotwake.labels.layout.ink import Ink, Rule, SymbolRow, bars_room_mm, symbol_row
from lotwake.labels.layout.pdf import LabelRun, Progress, write_pdf
from lotwake.labels.layout.spec import CaseLabelSpec, checked_spec, food_name
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import SPREAD_GAP, Box, Paragraph, PlacedText, Run, fit, steps
from lotwake.labels.layout.type_sizes import min_x_height_mm

FIGURES_MM = 3.0
ROW_GAP_MM = 2.2
CASE_FACE_CM2 = 1000  # a case has a face far above the limit for small type
TITLE_PT, BODY_PT = 17.0, 10.0


def case_label_pdf(
    specs: Sequence[CaseLabelSpec], stock: Stock, dots: PrinterDots, out: Path, progress: Progress | None = None
) -> None:
    """Write one label for each case to the PDF file ``out``; ``progress`` as in ``pack_label_pdf``.

    Raises:
        LabelRefused: when text or barcodes do not fit, or the font lacks a character.
        WrongData: for wrong keys or amounts, no case at all, or an SSCC there twice.
    """
    if not specs:
        raise WrongData("There is no case to label.", "Ask for at least one.")
    if len({spec.sscc for spec in specs}) < len(specs):
        raise WrongData("Two cases have the same SSCC.", "Each logistic unit has a number of its own.")
    labels = [lay_out_case(checked_spec(spec), stock, dots) for spec in specs]
    write_pdf(out, stock, dots, LabelRun(f"Case labels, {specs[0].product_name}", Ink(), labels, len(labels)), progress)


def case_symbols(spec: CaseLabelSpec) -> tuple[tuple[Element, ...], ...]:
    """Return the elements of each symbol, top to bottom: content and count, date and lot, SSCC."""
    content = (Element("02", gtin14(spec.gtin)), Element("37", str(spec.pack_count)))
    lot = (Element("15", write_date(spec.best_before)), Element("10", spec.lot))
    return content, lot, (Element("00", spec.sscc),)


def lay_out_case(spec: CaseLabelSpec, stock: Stock, dots: PrinterDots) -> Ink:
    """Lay out one checked case label.

    Raises:
        LabelRefused: when text or barcodes do not fit.
    """
    rows = _rows(spec, stock, dots)
    margin, gap = stock.margin_mm * PT_PER_MM, ROW_GAP_MM * PT_PER_MM / 2
    width, top = stock.width_mm * PT_PER_MM - 2 * margin, stock.height_mm * PT_PER_MM - margin
    bottom = rows[-1].top_pt + gap
    least_pt = size_for_x_height(min_x_height_mm(CASE_FACE_CM2))
    name = [Paragraph((Run(food_name(spec), Style.BOLD),))]
    head = fit(steps(name, TITLE_PT, least_pt), Box(margin, top, width, 0.5 * (top - bottom)), "The name of the food")
    rule_y = top - head.height - gap / 2
    body_top, half = rule_y - gap / 2, (width - 2 * gap) / 2
    height = body_top - bottom
    what = fit(steps(_contents(spec), BODY_PT, least_pt), Box(margin, body_top, half, height), "The text", SPREAD_GAP)
    who_box = Box(margin + half + 2 * gap, body_top, half, height)
    who = fit(steps(_origin(spec), BODY_PT, least_pt), who_box, "The text of sender and storage", SPREAD_GAP)
    texts: list[PlacedText] = [*head.texts, *what.texts, *who.texts, *(row.hri for row in rows)]
    rule = Rule(margin, rule_y, width, dots.pt(max(1, round(dots.dpi * 0.25 / 25.4))))
    return Ink(tuple(texts), (rule,), tuple(row.symbol for row in rows))


def _rows(spec: CaseLabelSpec, stock: Stock, dots: PrinterDots) -> list[SymbolRow]:
    """Return the symbols stacked from the bottom, the lowest first."""
    rows: list[SymbolRow] = []
    bottom_pt = stock.margin_mm * PT_PER_MM
    for bars in reversed(fit_gs1_128(case_symbols(spec), dots.case_x, dots, bars_room_mm(stock))):
        rows.append(symbol_row(bars, bottom_pt, stock.bar_heights_mm[0], size_for_figures(FIGURES_MM), stock, dots))
        bottom_pt = rows[-1].top_pt + ROW_GAP_MM * PT_PER_MM
    return rows


def _contents(spec: CaseLabelSpec) -> list[Paragraph]:
    pairs = [
        (phrases.LOT, phrases.in_one_piece(spec.lot_shown)),
        (phrases.BEST_BEFORE, phrases.shown_date(spec.best_before)),
        (phrases.COUNT, str(spec.pack_count)),
        (phrases.NET, phrases.shown_weight(spec.net_g)),
    ]
    return [Paragraph((Run(f"{heading} "), Run(value, Style.BOLD))) for heading, value in pairs]


def _origin(spec: CaseLabelSpec) -> list[Paragraph]:
    sender = f"{phrases.FROM} {spec.producer_name}, {spec.producer_address}"
    blocks = [(Run(sender),)]
    if spec.approval_number:
        blocks.append((Run(f"{phrases.APPROVAL} {phrases.in_one_piece(spec.approval_number)}"),))
    if spec.storage:
        blocks.append((Run(phrases.unbroken(spec.storage), Style.BOLD),))
    return [Paragraph(runs) for runs in blocks]
