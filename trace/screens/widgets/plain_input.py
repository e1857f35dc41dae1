"""An input that keeps what it was given."""

from __future__ import annotations

import re
import unicodedata

from textual import events
from textual.message import Message
from textual.widgets import Input

from lotwake.trace.screens.text import FNC1


class PlainInput(Input):
    """One line of text: no selection on focus (the first key would wipe a restored draft), no blinking.

    With ``helps`` a ``?`` in the empty input asks for help.

    A paste is taken whole: GS becomes a visible ``^``, and several lines are refused rather than cut to the first.
    """

    class PasteRefused(Message):
        """Several lines were pasted where one fits; nothing was put in."""

        def __init__(self, lines: int) -> None:
            super().__init__()
            self.lines = lines

    class HelpAsked(Message):
        """``?`` was pressed in the empty input."""

    def __init__(self, value: str = "", placeholder: str = "", *, id: str | None = None, helps: bool = False) -> None:
        super().__init__(value, placeholder, select_on_focus=False, compact=True, id=id)
        self.cursor_blink = False
        self._helps = helps

    async def on_key(self, event: events.Key) -> None:
        """See the key that is no text."""
        if self._helps and event.character == "?" and not self.value:
            event.prevent_default()
            event.stop()
            self.post_message(self.HelpAsked())

    def _on_paste(self, event: events.Paste) -> None:
        event.prevent_default()
        event.stop()
        lines = [line for line in re.split(r"[\r\n]+", event.text) if line]
        if len(lines) > 1:
            self.post_message(self.PasteRefused(len(lines)))
        elif lines:
            self.insert_text_at_cursor(_typed(lines[0]))


def _typed(pasted: str) -> str:
    signs = pasted.replace("\x1d", FNC1).replace("\t", " ")
    return "".join(sign for sign in signs if unicodedata.category(sign) != "Cc")
