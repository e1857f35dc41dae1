"""The words of the pack label, set into their boxes: name and net weight, particulars, dates and lot."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lotwake.labels.barcodes.dots import MM_PER_INCH, PrinterDots
from lotwake.labels.errors import LabelRefused
from lotwake.labels.layout import phrases
from lotwake.labels.layout.faces import PT_PER_MM, WIDTHS, Style, size_for_figures, size_for_x_height, text_width
from lotwake.labels.layout.ink import Rule
from lotwake.labels.layout.spec import LabelSpec, food_name
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import SPREAD_GAP, Box, Fitted, Paragraph, PlacedText, Run, Trial, fit, steps
from lotwake.labels.layout.type_sizes import min_figure_height_mm, min_x_height_mm

TITLE_SCALES = (1.55, 1.2)  # name of the food against the species line under it, best first
VALUE_SCALE = 1.35  # dates and lot against their headings
SIDE_SHARES = (0.32, 0.25)  # of the width, for dates and lot, best first
HEAD_SHARE = 0.34  # of the height above the bars, the most for the name of the food
BLOCK_GAP_MM = 0.9
RULE_MM = 0.12
UNKNOWN_FACE_CM2 = 1000  # a pack whose face nobody gave gets the larger type


def set_words(
    spec: LabelSpec, number: str | None, stock: Stock, dots: PrinterDots, bottom_pt: float
) -> tuple[list[PlacedText], list[Rule]]:
    """Set everything a checked spec says above ``bottom_pt``; ``number`` is the serial that takes most room.

    Raises:
        LabelRefused: when something does not fit at the smallest type allowed.
    """
    margin, gap = stock.margin_mm * PT_PER_MM, BLOCK_GAP_MM * PT_PER_MM
    width, top = stock.width_mm * PT_PER_MM - 2 * margin, stock.height_mm * PT_PER_MM - margin
    least_pt = size_for_x_height(min_x_height_mm(spec.pack_face_cm2 or UNKNOWN_FACE_CM2))
    net = _net_weight(spec, stock, margin + width, top)
    head_box = Box(margin, top, net.texts[0].x - margin - 2 * gap, HEAD_SHARE * (top - bottom_pt))
    head = fit(_head_trials(spec, least_pt, stock), head_box, "The name of the food")
    rule_y = top - max(head.height, net.height) - gap
    room = Box(margin, rule_y - gap, width, rule_y - gap - bottom_pt)
    rule_pt = dots.pt(max(1, round(dots.dpi * RULE_MM / MM_PER_INCH)))
    for share in SIDE_SHARES:
        try:
            columns, divider_x = _columns(spec, number, room, share * width, least_pt, stock)
        except LabelRefused as error:
            refusal = error
            continue
        rules = [Rule(margin, rule_y, width, rule_pt), Rule(divider_x, bottom_pt, rule_pt, room.height)]
        return [*net.texts, *head.texts, *columns], rules
    raise refusal


def _columns(
    spec: LabelSpec, number: str | None, room: Box, side_width: float, least_pt: float, stock: Stock
) -> tuple[list[PlacedText], float]:
    """Set particulars left and dates and lot right; return them with the middle of the gap between."""
    between = 3 * BLOCK_GAP_MM * PT_PER_MM
    body_box = Box(room.left, room.top, room.width - side_width - between, room.height)
    side_box = Box(room.left + room.width - side_width, room.top, side_width, room.height)
    best_pt = max(least_pt, stock.height_mm * 0.145)
    body = fit(steps(_particulars(spec), best_pt, least_pt), body_box, "The text of the label", SPREAD_GAP)
    side = fit(_side_trials(spec, number, best_pt, least_pt), side_box, "The column with dates and lot", SPREAD_GAP)
    return [*body.texts, *side.texts], side_box.left - between / 2


def _net_weight(spec: LabelSpec, stock: Stock, right: float, top: float) -> Fitted:
    """Set the net weight against the right edge, its figures at least as high as the law asks."""
    size = size_for_figures(max(min_figure_height_mm(spec.net_g) * 1.02, 0.08 * stock.height_mm))
    text = phrases.shown_weight(spec.net_g)
    word_size = size * 0.5
    value_x = right - text_width(text, Style.BOLD, WIDTHS[0], size)
    word_x = value_x - text_width(phrases.NET + " ", Style.REGULAR, WIDTHS[0], word_size)
    baseline = top - size * 0.76
    return Fitted(
        (
            PlacedText(word_x, baseline, phrases.NET, Style.REGULAR, WIDTHS[0], word_size),
            PlacedText(value_x, baseline, text, Style.BOLD, WIDTHS[0], size),
        ),
        size,
    )


def _head_trials(spec: LabelSpec, least_pt: float, stock: Stock) -> list[Trial]:
    species = [Run(f"{spec.species_commercial} "), Run(spec.species_latin, Style.ITALIC)]
    title = (Run(phrases.unbroken(food_name(spec)), Style.BOLD),)
    best_pt = max(least_pt, stock.height_mm * 0.15)
    return [
        trial
        for scale in TITLE_SCALES
        for trial in steps((Paragraph(title, scale), Paragraph(tuple(species))), best_pt, least_pt)
    ]


def _particulars(spec: LabelSpec) -> list[Paragraph]:
    producer = f"{phrases.PRODUCED_BY} {spec.producer_name}, {spec.producer_address}"
    if spec.approval_number:
        producer += f". {phrases.APPROVAL}{phrases.NO_BREAK}{phrases.in_one_piece(spec.approval_number)}"
    ingredients = (Run(f"{phrases.INGREDIENTS} "), *emphasised(spec.ingredients, spec.allergens))
    contains = (Run(f"{phrases.CONTAINS} {', '.join(spec.allergens)}", Style.BOLD),)
    blocks = [
        ingredients if spec.ingredients else (),
        contains if spec.allergens else (),
        (Run(phrases.unbroken(spec.storage), Style.BOLD),) if spec.storage else (),
        (Run(phrases.unbroken(spec.cook)),) if spec.cook else (),
        *((Run(phrases.unbroken(line)),) for line in spec.origin_lines),
        (Run(producer),),
    ]
    return [Paragraph(runs) for runs in blocks if runs]


def emphasised(text: str, words: Sequence[str]) -> tuple[Run, ...]:
    """Return the text as runs, every one of ``words`` in it bold, upper and lower case alike."""
    if not words:
        return (Run(text),)
    longest_first = sorted(words, key=len, reverse=True)
    pieces = re.split(rf"\b({'|'.join(map(re.escape, longest_first))})\b", text, flags=re.IGNORECASE)
    return tuple(Run(piece, Style.BOLD if place % 2 else Style.REGULAR) for place, piece in enumerate(pieces) if piece)


def _side_trials(spec: LabelSpec, number: str | None, best_pt: float, least_pt: float) -> list[Trial]:
    pairs = [
        (phrases.BEST_BEFORE, Run(phrases.shown_date(spec.best_before), Style.BOLD)),
        (phrases.PACKED, Run(phrases.shown_date(spec.packed_on))),
        (phrases.LOT, Run(phrases.in_one_piece(spec.lot_shown), Style.BOLD)),
    ]
    if number is not None:
        pairs.append((phrases.PACK_NUMBER, Run(number, is_serial=True)))
    stacked = [
        part for heading, value in pairs for part in (Paragraph((Run(heading),)), Paragraph((value,), VALUE_SCALE))
    ]
    inline = [Paragraph((Run(f"{heading} "), value)) for heading, value in pairs]
    return [*steps(stacked, best_pt, least_pt), *steps(inline, best_pt, least_pt)]
