"""The case label: what is in the case in words, then its content, lot and SSCC as barcodes, the SSCC lowest.

Heights as on a GS1 logistic label: bars of 32 mm, figures of 3 mm (both from memory of the General Specifications). With
the fish's origin a DataMatrix stands beside the words, for that set does not fit a line of 165.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from lotwake.labels.barcodes.bars import fit_gs1_128
from lotwake.labels.barcodes.dots import MM_PER_INCH, PrinterDots
from lotwake.labels.barcodes.matrix import Matrix, gs1_datamatrix
from lotwake.labels.errors import WrongData
from lotwake.labels.layout import phrases
from lotwake.labels.layout.faces import PT_PER_MM, Style, size_for_figures, size_for_x_height
from lotwake.labels.layout.ink import Ink, PlacedMatrix, Rule, bars_room_mm, sample_stamp, symbol_rows
from lotwake.labels.layout.pdf import LabelRun, Progress, write_pdf
from lotwake.labels.layout.spec import CaseLabelSpec, LogisticSpec, MixedLabelSpec, checked_spec, durability, food_name
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.symbols import case_matrix, case_symbols, logistic_symbols
from lotwake.labels.layout.text import SPREAD_GAP, Box, Paragraph, PlacedText, Run, fit, steps
from lotwake.labels.layout.type_sizes import min_x_height_mm

FIGURES_MM = 3.0
ROW_GAP_MM = 1.9
GAP_MM = 1.2
WORDS_GAP_MM = 2.0  # between the words and the first bars
CASE_FACE_CM2 = 1000  # a case has a face far above the limit for small type
TITLE_PT, BODY_PT = 17.0, 10.0
RULE_MM = 0.25
FACTS_SHARE = 0.5  # of the height under the title of a mixed unit, the most for what is not its list of lots
TITLE_SHARE = 0.5  # of the height above the bars, the most for the name of the food


def case_label_pdf(
    specs: Sequence[LogisticSpec],
    stock: Stock,
    dots: PrinterDots,
    out: Path,
    progress: Progress | None = None,
    *,
    first_place: int = 1,
    sample: bool = False,
    copies: int = 1,
) -> None:
    """Write one label for each case to the PDF file ``out``, or as many as ``copies`` says, one after the other.

    ``progress`` and the rest as in ``pack_label_pdf``.

    Raises:
        LabelRefused: when text or barcodes do not fit, or the font lacks a character.
        WrongData: for wrong keys or amounts, no case at all, or an SSCC there twice.
    """
    if not specs:
        raise WrongData("There is no case to label.", "Ask for at least one.")
    if len({spec.sscc for spec in specs}) < len(specs):
        raise WrongData("Two cases have the same SSCC.", "Each logistic unit has a number of its own.")
    labels = [label for spec in specs for label in [lay_out_logistic(spec, stock, dots)] * copies]
    shared = Ink(stamps=(sample_stamp(specs[0].phrases.sample, stock),) if sample else ())
    texts = tuple(text for label in labels for text in label.texts)
    run = LabelRun(f"Labels of {len(specs)} logistic units", shared, labels, len(labels), texts)
    write_pdf(out, stock, dots, run, progress, first_place)


def lay_out_logistic(spec: LogisticSpec, stock: Stock, dots: PrinterDots) -> Ink:
    """Check and lay out the label of a case or pallet, of one lot or of several.

    Raises:
        LabelRefused: when text or barcodes do not fit, or the font lacks a character.
        WrongData: for wrong keys or amounts.
    """
    if isinstance(spec, CaseLabelSpec):
        return lay_out_case(checked_spec(spec), stock, dots)
    return lay_out_mixed(checked_spec(spec), stock, dots)


def lay_out_mixed(spec: MixedLabelSpec, stock: Stock, dots: PrinterDots) -> Ink:
    """Lay out one checked label of a unit with several lots: what is in it, lot by lot, above its SSCC.

    Raises:
        LabelRefused: when text or barcode do not fit.
    """
    bars = fit_gs1_128(logistic_symbols(spec), dots.case_x, dots, bars_room_mm(stock))
    rows = symbol_rows(bars, stock.bar_heights_mm[0], size_for_figures(FIGURES_MM), ROW_GAP_MM, stock, dots)
    margin, gap = stock.margin_mm * PT_PER_MM, GAP_MM * PT_PER_MM
    width, top = stock.width_mm * PT_PER_MM - 2 * margin, stock.height_mm * PT_PER_MM - margin
    bottom = rows[0].top_pt + WORDS_GAP_MM * PT_PER_MM
    least_pt = size_for_x_height(min_x_height_mm(CASE_FACE_CM2))
    title = [Paragraph((Run(spec.phrases.mixed, Style.BOLD),))]
    head = fit(steps(title, TITLE_PT, least_pt), Box(margin, top, width, TITLE_SHARE * (top - bottom)), "The title")
    rule_y = top - head.height - gap / 2
    facts = Box(margin, rule_y - gap, width, FACTS_SHARE * (rule_y - bottom))
    columns = _columns(_pairs(spec.pairs), spec, facts, gap, least_pt)
    lowest = min(text.y for text in columns) - gap
    listed = [Paragraph((Run(phrases.unbroken(line)),)) for line in spec.contents]
    room = Box(margin, lowest - gap, width, lowest - gap - bottom)
    contents = fit(steps(listed, BODY_PT, least_pt), room, "The list of lots", SPREAD_GAP)
    rules = tuple(Rule(margin, y, width, _rule_pt(dots)) for y in (rule_y, lowest - gap / 2))
    texts = (*head.texts, *columns, *contents.texts, *(row.hri for row in rows))
    return Ink(texts, rules, tuple(row.symbol for row in rows))


def lay_out_case(spec: CaseLabelSpec, stock: Stock, dots: PrinterDots) -> Ink:
    """Lay out one checked case label.

    Raises:
        LabelRefused: when text or barcodes do not fit.
    """
    bars = fit_gs1_128(case_symbols(spec), dots.case_x, dots, bars_room_mm(stock))
    rows = symbol_rows(bars, stock.bar_heights_mm[0], size_for_figures(FIGURES_MM), ROW_GAP_MM, stock, dots)
    margin, gap = stock.margin_mm * PT_PER_MM, GAP_MM * PT_PER_MM
    width, top = stock.width_mm * PT_PER_MM - 2 * margin, stock.height_mm * PT_PER_MM - margin
    bottom = rows[0].top_pt + WORDS_GAP_MM * PT_PER_MM
    least_pt = size_for_x_height(min_x_height_mm(CASE_FACE_CM2))
    name = [Paragraph((Run(food_name(spec), Style.BOLD),))]
    elements = case_matrix(spec)
    matrix = gs1_datamatrix(elements, dots.matrix_x) if elements else None
    most = top - bottom - gap - dots.pt(matrix.total_dots) if matrix else TITLE_SHARE * (top - bottom)
    head = fit(steps(name, TITLE_PT, least_pt), Box(margin, top, width, most), "The name of the food")
    rule_y = top - head.height - gap / 2
    body = Box(margin, rule_y - gap / 2, width, rule_y - gap / 2 - bottom)
    room = width - dots.pt(matrix.total_dots) if matrix else width
    columns = _columns(_contents(spec), spec, Box(margin, body.top, room, body.height), gap, least_pt)
    texts = [*head.texts, *columns]
    rule = Rule(margin, rule_y, width, _rule_pt(dots))
    symbols = tuple(row.symbol for row in rows)
    ink = Ink((*texts, *(row.hri for row in rows)), (rule,), symbols)
    return replace(ink, matrices=(_in_corner(matrix, body, dots),)) if matrix else ink


def _rule_pt(dots: PrinterDots) -> float:
    return dots.pt(max(1, round(dots.dpi * RULE_MM / MM_PER_INCH)))


def _columns(
    left_words: Sequence[Paragraph], spec: LogisticSpec, room: Box, gap: float, least_pt: float
) -> list[PlacedText]:
    left_width = 0.46 * room.width - gap
    right_left = room.left + left_width + 2 * gap
    left = Box(room.left, room.top, left_width, room.height)
    right = Box(right_left, room.top, room.left + room.width - right_left, room.height)
    what = fit(steps(left_words, BODY_PT, least_pt), left, "The text", SPREAD_GAP)
    who = fit(steps(_sender(spec), BODY_PT, least_pt), right, "The text of sender and storage", SPREAD_GAP)
    return [*what.texts, *who.texts]


def _in_corner(matrix: Matrix, body: Box, dots: PrinterDots) -> PlacedMatrix:
    """Place a 2D symbol into the upper right corner of the words, on whole dots."""
    right, top = int(dots.dots_at(body.left + body.width)), int(dots.dots_at(body.top))
    return PlacedMatrix(matrix, right - matrix.side_dots, top - matrix.quiet_dots - matrix.side_dots)


def _contents(spec: CaseLabelSpec) -> list[Paragraph]:
    words, (date_heading, day) = spec.phrases, durability(spec)
    pairs = [
        (words.lot, phrases.in_one_piece(spec.lot_shown)),
        (date_heading, phrases.shown_date(day, words.months)),
        (words.on_pallet if spec.cases else words.count, str(spec.pack_count)),
        *([(words.cases, str(spec.cases))] if spec.cases else []),
        (words.net, phrases.shown_weight(spec.net_g)),
    ]
    return _pairs(pairs)


def _pairs(pairs: Sequence[tuple[str, str]]) -> list[Paragraph]:
    return [Paragraph((Run(f"{heading} "), Run(value, Style.BOLD))) for heading, value in pairs]


def _sender(spec: LogisticSpec) -> list[Paragraph]:
    blocks = [(Run(f"{spec.phrases.from_} {spec.producer_name}, {spec.producer_address}"),)]
    if spec.approval_number:
        blocks.append((Run(f"{spec.phrases.approval} {phrases.in_one_piece(spec.approval_number)}"),))
    if spec.storage:
        blocks.append((Run(phrases.unbroken(spec.storage), Style.BOLD),))
    return [Paragraph(runs) for runs in blocks]
