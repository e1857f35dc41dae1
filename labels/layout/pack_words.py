"""The words of the pack label, set into their boxes: name and net weight, particulars, dates and lot."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from lotwake.labels.barcodes.dots import MM_PER_INCH, PrinterDots
from lotwake.labels.errors import LabelRefused
from lotwake.labels.layout import phrases
from lotwake.labels.layout.faces import PT_PER_MM, WIDTHS, Style, size_for_figures, size_for_x_height, text_width
from lotwake.labels.layout.ink import Oval, Rule
from lotwake.labels.layout.mark import mark_size, set_mark
from lotwake.labels.layout.spec import LabelSpec, durability, food_name
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.text import SPREAD_GAP, Box, Paragraph, PlacedText, Run, Slot, Trial, fit, steps
from lotwake.labels.layout.type_sizes import min_figure_height_mm, min_x_height_mm

TITLE_SCALES = (1.55, 1.2)  # name of the food against the species line under it, best first
VALUE_SCALE = 1.35  # dates and lot against their headings
SIDE_SHARES = (0.32, 0.25)  # of the width, for dates and lot, best first
MATRIX_SIDE_SHARES = (0.4, 0.35, 0.3)  # the same above a 2D symbol
NET_SHARE = 0.08  # of the height, the figures of the net weight where the law asks for less
NET_WORD_SCALE = 0.5  # the word before the net weight against its figures
HEAD_SHARE = 0.34  # of the height above the bars, the most for the name of the food
MATRIX_HEAD_SHARE = 0.24  # the same of the whole height, for a 2D symbol leaves dates and lot less
BLOCK_GAP_MM = 0.9
BETWEEN = 3  # gaps between the two columns
RULE_MM = 0.12
UNKNOWN_FACE_CM2 = 1000  # a pack whose face nobody gave gets the larger type


@dataclass(frozen=True)
class Corner:
    """The lower right corner of a label that a 2D symbol takes, white included, in points."""

    width: float
    height: float


@dataclass(frozen=True)
class Words:
    """What a pack says, set; the column with dates and lot begins at ``side_left`` (points)."""

    texts: tuple[PlacedText, ...]
    rules: tuple[Rule, ...]
    ovals: tuple[Oval, ...]
    side_left: float

    @property
    def shared(self) -> tuple[PlacedText, ...]:
        """The texts that all labels of a run have."""
        return tuple(text for text in self.texts if not text.slot)

    @property
    def slots(self) -> tuple[PlacedText, ...]:
        """The texts that stand for what each label has of its own."""
        return tuple(text for text in self.texts if text.slot)


def set_words(
    spec: LabelSpec, number: str | None, stock: Stock, dots: PrinterDots, bottom_pt: float, corner: Corner | None = None
) -> Words:
    """Set everything a checked spec says above ``bottom_pt``; ``number`` is the serial that takes most room.

    Raises:
        LabelRefused: when something does not fit at the smallest type allowed.
    """
    margin, gap = stock.margin_mm * PT_PER_MM, BLOCK_GAP_MM * PT_PER_MM
    width, top = stock.width_mm * PT_PER_MM - 2 * margin, stock.height_mm * PT_PER_MM - margin
    least_mm = max(min_x_height_mm(spec.pack_face_cm2 or UNKNOWN_FACE_CM2), spec.least_x_height_mm)
    least_pt = size_for_x_height(least_mm)
    net = net_weight(spec, spec.net_g, stock)
    head_share = MATRIX_HEAD_SHARE if corner else HEAD_SHARE
    head_box = Box(margin, top, net[0].x - margin - 2 * gap, head_share * (top - bottom_pt))
    head = fit(_head_trials(spec, least_pt, stock), head_box, "The name of the food")
    rule_y = top - max(head.height, net[-1].size_pt) - gap
    room = Box(margin, rule_y - gap, width, rule_y - gap - bottom_pt)
    rule_pt = dots.pt(max(1, round(dots.dpi * RULE_MM / MM_PER_INCH)))
    for share in MATRIX_SIDE_SHARES if corner else SIDE_SHARES:
        try:
            columns = _columns(spec, number, room, share * width, least_pt, stock, corner)
        except LabelRefused as error:
            refusal = error
            continue
        divider_x = columns.side_left - BETWEEN * gap / 2
        rules = (Rule(margin, rule_y, width, rule_pt), Rule(divider_x, bottom_pt, rule_pt, room.height))
        return replace(columns, texts=(*net, *head.texts, *columns.texts), rules=rules)
    raise refusal


def net_weight(spec: LabelSpec, net_g: int, stock: Stock) -> tuple[PlacedText, ...]:
    """Set a net weight against the upper right margin, its figures at least as high as the law asks."""
    right, top = (stock.width_mm - stock.margin_mm) * PT_PER_MM, (stock.height_mm - stock.margin_mm) * PT_PER_MM
    least_mm = max(min_figure_height_mm(spec.net_g), spec.net_figure_mm) * 1.02
    size = size_for_figures(max(least_mm, NET_SHARE * stock.height_mm))
    text = phrases.shown_dual_weight(net_g) if spec.dual_units else phrases.shown_weight(net_g)
    slot = Slot.WEIGHT if spec.catch_weight else None
    value_x = right - text_width(text, Style.BOLD, WIDTHS[0], size)
    word_x = value_x - text_width(spec.phrases.net + " ", Style.REGULAR, WIDTHS[0], size * NET_WORD_SCALE)
    baseline = top - size * 0.76
    return (
        PlacedText(word_x, baseline, spec.phrases.net, Style.REGULAR, WIDTHS[0], size * NET_WORD_SCALE, slot),
        PlacedText(value_x, baseline, text, Style.BOLD, WIDTHS[0], size, slot),
    )


def _columns(
    spec: LabelSpec,
    number: str | None,
    room: Box,
    side_width: float,
    least_pt: float,
    stock: Stock,
    corner: Corner | None,
) -> Words:
    """Set particulars left and dates and lot right; the mark comes under the dates, or under the particulars where a
    2D symbol is.
    """
    between = BETWEEN * BLOCK_GAP_MM * PT_PER_MM
    mark_width, mark_height = mark_size(spec.approval_mark, least_pt)
    side_width = max(side_width, corner.width if corner else mark_width)
    body_width, bottom = room.width - side_width - between, room.top - room.height
    side_left = room.left + room.width - side_width
    under = mark_height + BLOCK_GAP_MM * PT_PER_MM if spec.approval_mark else 0.0
    under_body, under_side = (under, corner.height) if corner else (0.0, under)
    best_pt = max(least_pt, stock.height_mm * 0.145)
    body_box = Box(room.left, room.top, body_width, room.height - under_body)
    body = fit(steps(_particulars(spec), best_pt, least_pt), body_box, "The text of the label", SPREAD_GAP)
    side_box = Box(side_left, room.top, side_width, room.height - under_side)
    side = fit(_side_trials(spec, number, best_pt, least_pt), side_box, "The column with dates and lot", SPREAD_GAP)
    texts = [*body.texts, *side.texts]
    if not spec.approval_mark:
        return Words(tuple(texts), (), (), side_left)
    mark_left = room.left if corner else side_left + (side_width - mark_width) / 2
    lines, oval = set_mark(spec.approval_mark, least_pt, mark_left, bottom)
    return Words((*texts, *lines), (), (oval,), side_left)


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
    words = spec.phrases
    producer = f"{words.produced_by} {spec.producer_name}, {spec.producer_address}"
    if spec.approval_number:
        producer += f". {phrases.in_one_piece(f'{words.approval} {spec.approval_number}')}"
    ingredients = (Run(f"{words.ingredients} "), *emphasised(spec.ingredients, spec.allergens))
    contains = (Run(f"{words.contains} {', '.join(spec.allergens)}", Style.BOLD),)
    country = f"{words.product_of} {spec.country_of_origin}"
    blocks = [
        ingredients if spec.ingredients else (),
        contains if spec.allergens else (),
        (Run(phrases.unbroken(spec.storage), Style.BOLD),) if spec.storage else (),
        (Run(phrases.unbroken(spec.cook)),) if spec.cook else (),
        *((Run(phrases.unbroken(line)),) for line in spec.origin_lines),
        (Run(country),) if spec.country_of_origin else (),
        (Run(producer),),
        (Run(phrases.unbroken(spec.nutrition)),) if spec.nutrition else (),
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
    words, (date_heading, day) = spec.phrases, durability(spec)
    pairs = [
        (date_heading, Run(phrases.shown_date(day, words.months), Style.BOLD)),
        (words.packed, Run(phrases.shown_date(spec.packed_on, words.months))),
        (words.lot, Run(phrases.in_one_piece(spec.lot_shown), Style.BOLD)),
    ]
    if number is not None:
        pairs.append((words.pack_number, Run(number, slot=Slot.SERIAL)))
    stacked = [
        part for heading, value in pairs for part in (Paragraph((Run(heading),)), Paragraph((value,), VALUE_SCALE))
    ]
    inline = [Paragraph((Run(f"{heading} "), value)) for heading, value in pairs]
    return [*steps(stacked, best_pt, least_pt), *steps(inline, best_pt, least_pt)]
