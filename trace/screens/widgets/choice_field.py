"""A field whose text is one of a list: type any part of the code or the name, Enter takes it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import DescendantBlur, DescendantFocus
from textual.message import Message
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.base.typed import bare
from lotwake.trace.screens.text import content
from lotwake.trace.screens.widgets.field import COMMAND_SIGN, Field

Choices = Callable[[], Sequence[tuple[str, str]]]
"""Gives (code, text) pairs, called whenever the list is opened."""


def fitting(choices: Sequence[tuple[str, str]], typed: str) -> list[tuple[str, str]]:
    """Choices that have every typed word in code or text; first the code itself, then codes that begin so."""
    words = bare(typed).split()
    found = [pair for pair in choices if all(word in bare(f"{pair[0]} {pair[1]}") for word in words)]
    whole = bare(typed.strip())
    return sorted(found, key=lambda pair: (bare(pair[0]) != whole, not bare(pair[0]).startswith(whole)))


class ChoiceField(Field):
    """Its value is the code. The list is open while the field has the focus.

    ``other`` reads a text that is not in the list, and wins over a choice that only resembles it; ``free`` fields take any
    text that no choice resembles.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]

    class Chosen(Message):
        """One of the choices was taken."""

        def __init__(self, field: ChoiceField, code: str) -> None:
            super().__init__()
            self.field = field
            self.code = code

    def __init__(
        self,
        name: str,
        label: str,
        choices: Choices,
        *,
        needed: bool = True,
        placeholder: str = "",
        rare: bool = False,
        other: Callable[[str], str] | None = None,
        free: bool = False,
    ) -> None:
        super().__init__(
            name, label, self._code_of, echo=self._text_of, needed=needed, placeholder=placeholder, rare=rare
        )
        self._choices = choices
        self._other = other
        self._free = free
        self._list = OptionList(markup=False, compact=True)
        self._list.can_focus = False

    def compose(self) -> ComposeResult:
        """The field and its list."""
        yield from super().compose()
        yield self._list

    def _code_of(self, text: str) -> str:
        typed = text.strip().casefold()
        for code, _name in self._choices():
            if code.casefold() == typed:
                return code
        if self._other is not None:
            return self._other(text)
        if self._free:
            return text.strip()
        raise CallError(f"{self.label}: {text.strip()} is not in the list.", "Choose with the arrows, then Enter.")

    def _text_of(self, code: str) -> str:
        return dict(self._choices()).get(code, "")

    def suggest(self, usual: str) -> None:
        """Offer a choice by its code, with its text beside it."""
        super().suggest(usual)
        self._remark(told=bool(self.text))

    def _remark(self, told: bool = True) -> bool:
        """As in any field; beside an empty one stands what Enter takes, where there is room for it."""
        read = super()._remark(told)
        if self._usual and not self.text:
            self._show(self._text_of(self._usual) or self._usual, wrong=False)
        return read

    def on_descendant_focus(self, _event: DescendantFocus) -> None:
        """Open the list."""
        self.add_class("-open")
        self._fill()

    def on_descendant_blur(self, _event: DescendantBlur) -> None:
        """Close the list."""
        self.remove_class("-open")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrow the list while typing."""
        super().on_input_changed(event)
        event.prevent_default()  # the base class would handle it a second time
        self._fill()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter takes the choice that is marked, then goes on."""
        event.stop()
        event.prevent_default()
        if not self.text.startswith(COMMAND_SIGN):
            self._take_marked()
        self.finish()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A click takes a choice as well."""
        event.stop()
        self._take(event.option.id or "")

    def action_move(self, by: int) -> None:
        """Mark another choice."""
        if by < 0:
            self._list.action_cursor_up()
        else:
            self._list.action_cursor_down()

    def _fill(self) -> None:
        found = fitting(self._choices(), self.text)
        self._list.clear_options()
        self._list.add_options([Option(content(f"{code}  {text}"), id=code) for code, text in found])
        takes_first = bool(found) and bool(self.text.strip()) and not self._stands_alone()
        self._list.highlighted = 0 if takes_first else None
        if takes_first and self.text.strip().casefold() != found[0][0].casefold():
            self._show(f"Enter: {'  '.join(found[0]).rstrip()}", wrong=False)

    def _stands_alone(self) -> bool:
        """Whether the text means something by itself, whatever the list offers near it."""
        if self._other is None:
            return False
        try:
            self._other(self.text)
        except LotwakeError:
            return False
        return True

    def _take_marked(self) -> None:
        marked = self._list.highlighted
        if marked is not None:
            self._take(self._list.get_option_at_index(marked).id or "")

    def _take(self, code: str) -> None:
        self.text = code
        self.post_message(self.Chosen(self, code))
