"""A label as a picture of cells, whole or closer; what is outside the widget is scrolled to."""

from __future__ import annotations

import os
from dataclasses import replace

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from lotwake.labels.printing.pictures import Picture
from lotwake.trace.screens.cells import EVERY, FINE, HALF, Blocks, Cell, cells_of_line

_DARKER = bytes(round(255 * (value / 255) ** 1.8) for value in range(256))
"""What is made smaller becomes pale: thin strokes take most of their grey from the paper."""
CLOSEST = 8
"""So many times as large as the whole label."""


class LabelPicture(ScrollView, can_focus=False):
    """Shows a picture as large as the widget allows; ``closer`` doubles it."""

    DEFAULT_CSS = "LabelPicture { height: 1fr; scrollbar-size: 1 1; }"

    def __init__(self) -> None:
        super().__init__()
        self.blocks: Blocks = FINE
        self.times = 1
        self._picture: Picture | None = None
        self._shown: Picture | None = None
        self._lines: dict[int, Strip] = {}

    def on_mount(self) -> None:
        """The console of a bare machine has no fine blocks."""
        if os.environ.get("TERM") == "linux":
            self.blocks = HALF

    def show(self, picture: Picture) -> None:
        """Show another picture, whole."""
        self._picture, self.times = picture, 1
        self._fit()

    def closer(self) -> None:
        """Twice as large, or whole again after the closest."""
        self.times = 1 if self.times >= CLOSEST else self.times * 2
        self._fit()

    def other_blocks(self) -> None:
        """Draw with the next set of signs."""
        self.blocks = EVERY[(EVERY.index(self.blocks) + 1) % len(EVERY)]
        self._fit()

    def go_on(self, forward: bool) -> None:
        """To the next part in reading order, or the one before."""
        width, height = self.size
        x, y = round(self.scroll_x), round(self.scroll_y)
        if forward:
            x, y = (x + width, y) if x < self.max_scroll_x else (0, y + height) if y < self.max_scroll_y else (x, y)
        elif x > 0:
            x -= width
        elif y > 0:
            x, y = self.max_scroll_x, y - height
        self.scroll_to(x, y, animate=False)

    def on_resize(self) -> None:
        """As large as there is room now."""
        self._fit()

    def render_line(self, y: int) -> Strip:
        """One line of cells."""
        line = y + round(self.scroll_y)
        if self._shown is None or line >= self.virtual_size.height:
            return Strip.blank(self.size.width, self.rich_style)
        if line not in self._lines:
            self._lines[line] = self._line(self._shown, line)
        left = round(self.scroll_x)
        return self._lines[line].crop_extend(left, left + self.size.width, self.rich_style)

    def _fit(self) -> None:
        if self._picture is None or not self.size:
            return
        room = self.container_size
        columns, lines = _cells(self._picture, room.width, room.height)
        columns, lines = columns * self.times, lines * self.times
        small = self._picture.scaled(columns * self.blocks.across, lines * self.blocks.down)
        self._shown = replace(small, grey=small.grey.translate(_DARKER))
        self._lines = {}
        self.virtual_size = Size(columns, lines)
        self.scroll_to(0, 0, animate=False)
        self.refresh()

    def _line(self, picture: Picture, line: int) -> Strip:
        colours = not self.app.no_color
        cells = cells_of_line(picture.grey, picture.width, line, self.blocks, colours)
        return Strip([Segment(cell.sign, self._style(cell)) for cell in cells]).simplify()

    def _style(self, cell: Cell) -> Style:
        if cell.ink is None or cell.paper is None:
            return self.rich_style
        return Style.from_color(_grey(cell.ink), _grey(cell.paper))


def _cells(picture: Picture, columns: int, lines: int) -> tuple[int, int]:
    """The most columns and lines that keep the picture's shape; a cell is about twice as high as wide."""
    times = min(columns / picture.width, 2 * lines / picture.height)
    return max(1, int(picture.width * times)), max(1, int(picture.height * times / 2))


def _grey(value: int) -> Color:
    return Color.from_rgb(value, value, value)
