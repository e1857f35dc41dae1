"""The PIN: typed digit by digit and never shown. A scan closes the question instead of answering it."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from lotwake.trace.base.pins import LONGEST
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets.bars import TooSmall


class PinScreen(ModalScreen[str]):
    """Gives back what was typed, or nothing. It has no text field: keys as fast as a scanner's do not get in."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", show=False),
        Binding("enter,ctrl+j", "take", show=False),
        Binding("backspace", "less", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._asks = ""
        self._typed = ""

    def prepare(self, asks: str) -> None:
        """What the next opening asks for."""
        self._asks = asks

    def compose(self) -> ComposeResult:
        """The question and how many digits there are."""
        with Vertical():
            yield Static("", id="pin-asks")
            yield Static("", id="pin-typed")
        yield TooSmall()

    def on_screen_resume(self) -> None:
        """Begin with nothing typed."""
        self._become("")

    def on_key(self, event: events.Key) -> None:
        """A digit, from the row or the keypad."""
        sign = event.character or ""
        if sign.isascii() and sign.isdigit() and len(sign) == 1:
            event.stop()
            self._become((self._typed + sign)[:LONGEST])

    def action_less(self) -> None:
        """Take the last digit back."""
        self._become(self._typed[:-1])

    def action_take(self) -> None:
        """That is all of it."""
        typed = self._typed
        self._become("")
        self.dismiss(typed)

    def action_leave(self) -> None:
        """Leave it."""
        self._become("")
        self.dismiss(None)

    def _become(self, typed: str) -> None:
        self._typed = typed
        self.query_one("#pin-asks", Static).update(lines(self._asks))
        dots = " ".join("*" * len(typed)) or "nothing typed yet"
        self.query_one("#pin-typed", Static).update(
            lines(f"PIN   {dots}", "", "digits, then Enter   Backspace takes one back   Esc leaves it")
        )
