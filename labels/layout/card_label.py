"""The batch or tray card: what it is in letters seen from afar, its code, and the code as a barcode to scan at each step.

The code is company internal information, GS1-128 with AI (91): it scans back to the same digits whatever they are, and a
buyer's scanner that meets a card by chance takes it for neither a product nor a lot.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from lotwake.labels.barcodes.bars import fit_gs1_128
from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.errors import WrongData
from lotwake.labels.layout.faces import PT_PER_MM, Style, size_for_figures, size_for_x_height
from lotwake.labels.layout.ink import Ink, Rule, bars_room_mm, symbol_rows
from lotwake.labels.layout.pdf import LabelRun, Progress, write_pdf
from lotwake.labels.layout.phrases import in_one_piece
from lotwake.labels.layout.spec import CardSpec, checked_spec
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.symbols import card_symbol
from lotwake.labels.layout.text import SPREAD_GAP, Box, Paragraph, Run, fit, steps

LEAST_X_HEIGHT_MM = 1.6  # read at arm's length, with gloves on, through steam
CODE_SHARE, TITLE_SHARE = 0.1, 0.26  # of the card's height: figures of the code, most for the title
GAP_MM = 1.5
FIGURES_MM = 3.0


def card_label_pdf(
    specs: Sequence[CardSpec], stock: Stock, dots: PrinterDots, out: Path, progress: Progress | None = None
) -> None:
    """Write one card for each batch or tray to the PDF file ``out``; ``progress`` as in ``pack_label_pdf``.

    Raises:
        LabelRefused: when text or barcode do not fit, or the font lacks a character.
        WrongData: when there is no card to print.
    """
    if not specs:
        raise WrongData("There is no card to print.", "Ask for at least one.")
    cards = [lay_out_card(checked_spec(spec), stock, dots) for spec in specs]
    texts = tuple(text for card in cards for text in card.texts)
    write_pdf(out, stock, dots, LabelRun(f"Cards, {specs[0].title}", Ink(), cards, len(cards), texts), progress)


def lay_out_card(spec: CardSpec, stock: Stock, dots: PrinterDots) -> Ink:
    """Lay out one checked card: code and tray on top, title, details, barcode.

    Raises:
        LabelRefused: when text or barcode do not fit.
    """
    bars = fit_gs1_128([card_symbol(spec)], dots.case_x, dots, bars_room_mm(stock))
    (row,) = symbol_rows(bars, stock.bar_heights_mm[0], size_for_figures(FIGURES_MM), GAP_MM, stock, dots)
    margin, gap = stock.margin_mm * PT_PER_MM, GAP_MM * PT_PER_MM
    width, top = stock.width_mm * PT_PER_MM - 2 * margin, stock.height_mm * PT_PER_MM - margin
    least_pt = size_for_x_height(LEAST_X_HEIGHT_MM)
    code_pt = size_for_figures(CODE_SHARE * stock.height_mm)
    code = [Paragraph((Run(in_one_piece(spec.code_shown), Style.BOLD),))]
    head = fit(steps(code, code_pt, least_pt), Box(margin, top, width, 2 * code_pt), "The code")
    title_box = Box(margin, top - head.height - gap, width, TITLE_SHARE * stock.height_mm * PT_PER_MM)
    title = fit(steps(_title(spec), 0.6 * code_pt, least_pt), title_box, "The title")
    rule_y = title_box.top - title.height - gap / 2
    room = Box(margin, rule_y - gap, width, rule_y - 2 * gap - row.top_pt)
    details = fit(steps(_details(spec), 0.5 * code_pt, least_pt), room, "The text of the card", SPREAD_GAP)
    rule = Rule(margin, rule_y, width, dots.pt(2))
    return Ink((*head.texts, *title.texts, *details.texts, row.hri), (rule,), (row.symbol,))


def _title(spec: CardSpec) -> list[Paragraph]:
    return [Paragraph((Run(spec.title, Style.BOLD),))]


def _details(spec: CardSpec) -> list[Paragraph]:
    tray = ((spec.phrases.tray, spec.tray),) if spec.tray else ()
    pairs = (*tray, *spec.details)
    return [Paragraph((Run(f"{heading} "), Run(value, Style.BOLD))) for heading, value in pairs]
