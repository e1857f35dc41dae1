"""What this page is for, what is awaited, and what every command does: from the commands themselves."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from lotwake.trace.screens.command import Command, key_rows
from lotwake.trace.screens.text import content
from lotwake.trace.screens.widgets.bars import TooSmall

_STANDING = (
    "A number + Enter is a quantity. A code + Enter is looked up. Any code can be scanned at any time.",
    "Keypad: digits, Enter, + one more, - void the last, * repeat, / find.",
    'Own keys: house.toml, under [keys], void = "f10". Cards for words: /scanner.',
)
_HELP_COLUMN = 24
_MARGIN = 4  # one blank at each side and the scroll bar


def help_text(title: str, purpose: str, now: str, rows: Sequence[tuple[str, str, str]], width: int) -> Content:
    """The whole help page as one text, its last column wrapped under itself."""
    pieces: list[tuple[str, str]] = [(f"{title}  ", "bold"), (f"{purpose}\n", "")]
    pieces += [("NOW  ", "bold"), (f"{now}\n\n", "")] if now else [("\n", "")]
    pieces += [(f"{sentence}\n", "") for sentence in _STANDING] + [("\n", "")]
    for keys, words, text in rows:
        hanging = ("\n" + " " * _HELP_COLUMN).join(wrap(text, max(20, width - _HELP_COLUMN)))
        if len(words) > _HELP_COLUMN - 6:
            words += "\n" + " " * (_HELP_COLUMN - 1)
        pieces += [(f"{keys:<4} ", "bold $key-text"), (f"{words:<{_HELP_COLUMN - 6}} ", "bold"), (f"{hanging}\n", "")]
    return Content.assemble(*pieces)


class HelpScreen(ModalScreen[None]):
    """Closed by Esc, Enter or F2; a scan closes it too and is taken."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,f2", "leave", show=False),
        Binding("up", "scroll(-1)", show=False),
        Binding("down", "scroll(1)", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._write: Callable[[int], Content] = lambda _width: Content("")

    def prepare(
        self, title: str, purpose: str, now: str, commands: Sequence[Command], keys: Mapping[str, Command]
    ) -> None:
        """What the next opening shows."""
        rows = key_rows(commands, keys)
        self._write = lambda width: help_text(title, purpose, now, rows, width)

    def compose(self) -> ComposeResult:
        """The text and how to leave it."""
        with VerticalScroll():
            yield Static("", id="help-text")
        yield Static(content("Esc goes back   up and down scroll"), id="help-foot")
        yield TooSmall()

    def on_screen_resume(self) -> None:
        """Show what was prepared, from the top."""
        self.query_one("#help-text", Static).update(self._write(self.size.width - _MARGIN))
        self.query_one(VerticalScroll).scroll_home(animate=False)

    def action_leave(self) -> None:
        """Back to the page."""
        self.dismiss(None)

    def action_scroll(self, by: int) -> None:
        """Scroll by lines."""
        self.query_one(VerticalScroll).scroll_relative(y=by * 3, animate=False)
