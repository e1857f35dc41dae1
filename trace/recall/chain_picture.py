"""The chain as a picture: boxes from the boats on the left to the buyers on the right, with a line for each step.

``levels`` is pure; ``ChainPicture`` draws it on a page.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from lotwake.labels.layout.faces import Style, characters_missing, font_name, text_width

MOST_IN_COLUMN = 6
_BOX_H, _ROW_GAP, _COLUMN_GAP, _WIDEST = 12.5 * mm, 2 * mm, 7 * mm, 46 * mm


@dataclass(frozen=True)
class Box:
    """A thing in the picture: three short lines; ``last``: it stands in the last column."""

    code: str
    title: str
    under: str
    below: str
    last: bool = False


def levels(boxes: Sequence[Box], links: Sequence[tuple[str, str]]) -> list[list[Box]]:
    """The boxes in columns: each stands to the right of everything that leads to it. What goes round in a circle stands
    where it was first reached."""
    known = {box.code for box in boxes}
    parents: dict[str, set[str]] = defaultdict(set)
    for parent, child in links:
        if parent in known and child in known:
            parents[child].add(parent)
    column = dict.fromkeys(known, 0)
    for _ in boxes:  # at most one column for each box, so a circle ends
        moved = {code: 1 + max(column[one] for one in above) for code, above in parents.items()}
        if all(column[code] == place for code, place in moved.items()):
            break
        column |= moved
    column |= {box.code: len(boxes) for box in boxes if box.last}
    places = sorted(set(column.values()))
    return [[box for box in boxes if column[box.code] == place] for place in places]


class ChainPicture(Flowable):  # type: ignore[misc]
    """The picture as wide as the page; a column with too many boxes says how many more there are."""

    def __init__(self, boxes: Sequence[Box], links: Sequence[tuple[str, str]], width: float) -> None:
        super().__init__()
        self.columns = [_shortened(column) for column in levels(boxes, links)]
        self.links = links
        self.width = width
        self.height = max(len(column) for column in self.columns) * (_BOX_H + _ROW_GAP) if self.columns else 0

    def wrap(self, *_: Any) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        count = len(self.columns)
        box_w = min(_WIDEST, (self.width - (count - 1) * _COLUMN_GAP) / max(1, count))
        step = (self.width - box_w) / max(1, count - 1) if count > 1 else 0
        at: dict[str, tuple[float, float]] = {}
        for number, column in enumerate(self.columns):
            top = self.height - (self.height - len(column) * (_BOX_H + _ROW_GAP)) / 2
            for row, box in enumerate(column):
                at[box.code] = number * step, top - row * (_BOX_H + _ROW_GAP) - _BOX_H
        self.canv.setStrokeColor(colors.Color(0.45, 0.45, 0.45))
        self.canv.setLineWidth(0.7)
        for parent, child in self.links:
            if parent in at and child in at:
                (x1, y1), (x2, y2) = at[parent], at[child]
                self.canv.line(x1 + box_w, y1 + _BOX_H / 2, x2, y2 + _BOX_H / 2)
        for column in self.columns:
            for box in column:
                self._box(box, *at[box.code], box_w)

    def _box(self, box: Box, x: float, y: float, width: float) -> None:
        self.canv.setFillColor(colors.white)
        self.canv.setStrokeColor(colors.black)
        self.canv.roundRect(x, y, width, _BOX_H, 3, stroke=1, fill=1)
        self.canv.setFillColor(colors.black)
        for text, style, up in (
            (box.title, Style.BOLD, 8.6),
            (box.under, Style.REGULAR, 5.0),
            (box.below, Style.REGULAR, 1.6),
        ):
            shown, cut = _fitting(text, style, width - 2.4 * mm)
            self.canv.setFont(font_name(style, cut), _SIZE)
            self.canv.drawString(x + 1.2 * mm, y + up * mm, shown)


_SIZE = 7.5


def _fitting(text: str, style: Style, room: float) -> tuple[str, int]:
    """The text in the widest font that fits, or shortened in the narrowest."""
    shown = "".join("?" if letter in characters_missing(text) else letter for letter in text)
    for width in (100, 87, 75):
        if text_width(shown, style, width, _SIZE) <= room:
            return shown, width
    while shown and text_width(shown + "...", style, 75, _SIZE) > room:
        shown = shown[:-1]
    return shown.rstrip() + "...", 75


def _shortened(column: list[Box]) -> list[Box]:
    if len(column) <= MOST_IN_COLUMN:
        return column
    more = len(column) - MOST_IN_COLUMN + 1
    return [*column[: MOST_IN_COLUMN - 1], Box("", f"and {more} more", "listed below", "or in the record")]
