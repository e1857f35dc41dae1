"""A number people act on, three rows high, with what it counts."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Digits, Static

from lotwake.trace.screens.text import content, lines


class CountPanel(Vertical):
    """A title, large digits, and lines under them."""

    def __init__(self, title: str, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._title = title

    def compose(self) -> ComposeResult:
        """Title, digits, line."""
        yield Static(content(self._title), classes="count-title")
        yield Digits("", classes="count-digits")
        yield Static("", classes="count-line")

    def show(self, number: str, *under: str) -> None:
        """Show another number; a text, so that a caller decides on unit and grouping."""
        self.query_one(Digits).update(number)
        self.query_one(".count-line", Static).update(lines(*under))
