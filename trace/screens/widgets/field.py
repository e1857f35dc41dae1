"""One line of a form: what is asked, what was typed, and what the program makes of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, Static

from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.screens.text import content
from lotwake.trace.screens.widgets.plain_input import PlainInput

COMMAND_SIGN = "/"
Read = Callable[[str], Any]
"""Text to value; raises a LotwakeError whose sentence says what is wrong."""


def any_text(text: str) -> str:
    """A field that takes what is typed."""
    return text.strip()


class Field(Horizontal):
    """A labelled input. ``read`` runs at every change; its value is echoed by ``echo``, its refusal is shown.

    ``needed`` fields refuse an empty text; others give ``None`` for it. ``rare`` ones are seen only when the form shows
    all. A text put into ``suggest`` is what Enter takes while the field is empty.
    """

    class Edited(Message):
        """The text of a field changed."""

        def __init__(self, field: Field) -> None:
            super().__init__()
            self.field = field

    class CommandTyped(Message):
        """A ``/word`` was typed into the field instead of a value; the field is empty again."""

        def __init__(self, line: str) -> None:
            super().__init__()
            self.line = line

    class Passed(Message):
        """Enter was pressed in a field whose text can be read."""

        def __init__(self, field: Field) -> None:
            super().__init__()
            self.field = field

    def __init__(
        self,
        name: str,
        label: str,
        read: Read = any_text,
        *,
        echo: Callable[[Any], str] = lambda _value: "",
        needed: bool = True,
        placeholder: str = "",
        rare: bool = False,
    ) -> None:
        super().__init__(id=f"field-{name}", classes="-rare" if rare else None)
        self.field_name = name
        self.label = label
        self._read = read
        self._echo = echo
        self._needed = needed
        self._placeholder = placeholder
        self._usual = ""
        self.input = PlainInput(placeholder=placeholder, helps=True)

    def compose(self) -> ComposeResult:
        """Label, input, remark."""
        yield Static(content(self.label), classes="field-label")
        yield self.input
        yield Static("", classes="field-remark")

    @property
    def text(self) -> str:
        """What stands in the field."""
        return self.input.value

    @text.setter
    def text(self, text: str) -> None:
        self.input.value = text
        self.input.cursor_position = len(text)
        self._remark(told=bool(text))

    def value(self) -> Any:
        """The value of the text, or None for an empty field that may be empty.

        Raises:
            LotwakeError: the text cannot be read; the sentence is for people.
        """
        if self.text.strip():
            return self._read(self.text)
        if self._needed:
            raise CallError(f"{self.label} is empty.", "Type it, then Enter.")
        return None

    def suggest(self, usual: str) -> None:
        """What Enter takes while nothing is typed; an empty text takes the suggestion away."""
        self._usual = usual
        self.input.placeholder = f"Enter: {usual}" if usual else self._placeholder

    def focus_here(self) -> None:
        """Put the cursor into the field."""
        self.input.focus()

    def _remark(self, told: bool = True) -> bool:
        """Show what the text means or why it cannot be read; whether it can."""
        if self.text.startswith(COMMAND_SIGN):
            self._show("a command: Enter does it", wrong=False)
            return False
        try:
            value = self.value()
        except LotwakeError as wrong:
            self._show(f"CHECK {wrong.sentence}" if told else "", wrong=told)
            return False
        self._show("" if value is None else self._echo(value), wrong=False)
        return True

    def _show(self, text: str, wrong: bool) -> None:
        self.set_class(wrong, "-wrong")
        if self.is_mounted:
            self.query_one(".field-remark", Static).update(content(text))

    def on_mount(self) -> None:
        """A restored text is judged as soon as it is seen."""
        self._remark(told=bool(self.text))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Judge while typing, and tell."""
        event.stop()
        self._remark(told=bool(self.text))
        self.post_message(self.Edited(self))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on only from a text that can be read."""
        event.stop()
        self.finish()

    def finish(self) -> None:
        """Judge once more and tell whether the person may go on; a ``/word`` is no value but a command."""
        if self.text.startswith(COMMAND_SIGN):
            line, self.text = self.text, ""
            self.post_message(self.CommandTyped(line))
            return
        if self._usual and not self.text.strip():
            self.text = self._usual
        if self._remark():
            self.post_message(self.Passed(self))
