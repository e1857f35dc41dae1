"""The one input line of a page: always focused; a number, a code or a ``/word``."""

from __future__ import annotations

from textual import events
from textual.message import Message

from lotwake.trace.screens.widgets.plain_input import PlainInput

_KEYPAD_WITHOUT_NUMLOCK = ("kp_begin", "insert")


class LineInput(PlainInput):
    """Takes a line, tells the page and is empty again."""

    class Entered(Message):
        """A line was finished with Enter; ``text`` may be empty."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    class KeypadFoundOff(Message):
        """A key came that the keypad only sends with NumLock off."""

    async def on_key(self, event: events.Key) -> None:
        """See the keys that only a keypad without digits sends."""
        if event.key in _KEYPAD_WITHOUT_NUMLOCK:
            self.post_message(self.KeypadFoundOff())

    async def action_submit(self) -> None:
        """Hand the line over and empty it in one step, so that the next key starts a new line."""
        text = self.value
        self.value = ""
        self.post_message(self.Entered(text))
