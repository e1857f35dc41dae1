"""Find a command, a page or a record by typing: one screen, used again and again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from lotwake.trace.screens.command import Command
from lotwake.trace.screens.text import content
from lotwake.trace.screens.widgets.bars import TooSmall
from lotwake.trace.screens.widgets.plain_input import PlainInput

_RECORD = "look-up"


def matching(commands: Sequence[Command], typed: str) -> list[Command]:
    """Commands that have every typed word in name, label or help; those whose name begins with it come first."""
    words = typed.casefold().lstrip("/").split()
    found = [c for c in commands if all(word in f"{c.name} {c.label} {c.help}".casefold() for word in words)]
    return sorted(found, key=lambda c: not (words and c.name.startswith(words[0])))


class Finder(ModalScreen[str]):
    """Gives back the line to be done, as if it had been typed, or nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._commands: Sequence[Command] = ()
        self._title = ""
        self._typed = ""
        self._records = True

    def prepare(self, title: str, commands: Sequence[Command], typed: str = "", records: bool = True) -> None:
        """What the next opening offers; ``records`` adds the look-up of what is typed."""
        self._title, self._commands, self._typed, self._records = title, commands, typed, records

    def compose(self) -> ComposeResult:
        """Title, input, list."""
        with Vertical():
            yield Static("", id="finder-title")
            yield PlainInput(placeholder="type a part of it; Enter takes the marked line, Esc goes back")
            found = OptionList(id="finder-list", markup=False, compact=True)
            found.can_focus = False
            yield found
        yield TooSmall()

    def on_screen_resume(self) -> None:
        """Open empty, or with what followed ``/find``."""
        self.query_one("#finder-title", Static).update(content(self._title))
        line = self.query_one(PlainInput)
        line.value = self._typed
        line.cursor_position = len(self._typed)
        line.focus()
        self._fill(self._typed)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrow the list."""
        event.stop()
        self._fill(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the marked line."""
        event.stop()
        found = self.query_one(OptionList)
        if found.highlighted is not None:
            self._take(found.get_option_at_index(found.highlighted))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A click takes a line as well."""
        event.stop()
        self._take(event.option)

    def _take(self, option: Option) -> None:
        self.dismiss(self.query_one(PlainInput).value if option.id == _RECORD else option.id)

    def action_move(self, by: int) -> None:
        """Mark another line."""
        found = self.query_one(OptionList)
        (found.action_cursor_up if by < 0 else found.action_cursor_down)()

    def action_leave(self) -> None:
        """Nothing was chosen."""
        self.dismiss("")

    def _fill(self, typed: str) -> None:
        commands = matching(self._commands, typed)
        options = [Option(content(f"{c.word:<10} {c.help}"), id=c.word) for c in commands]
        if typed.strip() and self._records:
            bare = typed.strip()
            meant = f"do         {bare}" if bare.startswith("/") else f"look up    {bare}  in the records"
            options.append(Option(content(meant), id=_RECORD))
        found = self.query_one(OptionList)
        found.clear_options()
        found.add_options(options)
        found.highlighted = 0 if options else None
