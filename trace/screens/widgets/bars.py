"""The fixed lines of every page: where you are, what is awaited, which keys there are, the window's size."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rich.cells import cell_len
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from lotwake.trace.screens.command import Command, shown_key
from lotwake.trace.screens.result import Status
from lotwake.trace.screens.text import content, fitted

_SHORTEST = 3
BEHIND = "Another station is writing; this entry waits for it, 5 s at the most ..."


class TopLine(Widget):
    """Page, person, printer, scanner and time on one line."""

    page = reactive("")
    status = reactive(Status())
    time = reactive("")

    def render(self) -> Content:
        """The parts with bars between them; the time keeps its place at the right."""
        parts = (self.page, self.status.who, self.status.printer, self.status.scanner)
        left = " | ".join(part for part in parts if part)
        room = max(0, self.size.width - cell_len(self.time) - 3)
        return content(f"{fitted(left, room)} | {self.time}")


class NowLine(Widget):
    """What the program waits for now."""

    text = reactive("")
    behind = reactive(False)
    """Whether an entry waits for another station just now; that is said in place of the text."""

    def render(self) -> Content:
        """``NOW`` and the sentence, or ``WAIT`` and for whom."""
        word, text = (" WAIT ", BEHIND) if self.behind else (" NOW  ", self.text)
        return Content.assemble((word, "bold"), content(fitted(text, max(0, self.size.width - 6))))


class KeyBar(Widget):
    """The keys of the commands offered here, in one widget that never changes its children."""

    def __init__(self) -> None:
        super().__init__()
        self._pairs: tuple[tuple[str, str], ...] = ()

    def show_commands(self, commands: Iterable[Command], keys: Mapping[str, Command]) -> None:
        """Show those of the commands that have a key, in the order of the keys."""
        labels = {command.name: command.label for command in commands}
        self._pairs = tuple(
            (shown_key(key), labels.pop(command.name)) for key, command in keys.items() if command.name in labels
        )
        self.refresh()

    def render(self) -> Content:
        """Key and label; labels lose their later words, then letters, before a key is lost."""
        keys = [key for key, _ in self._pairs]
        labels = [label for _, label in self._pairs]
        if _taken(keys, labels) > self.size.width:
            labels = [label.split()[0] for label in labels]
        while _taken(keys, labels) > self.size.width and any(len(label) > _SHORTEST for label in labels):
            longest = max(map(len, labels))
            labels = [label[: longest - 1] for label in labels]
        return Content.assemble(
            *(
                piece
                for key, label in zip(keys, labels, strict=True)
                for piece in ((f" {key}", "bold $key-text"), (f" {label}", ""))
            )
        )


def _taken(keys: list[str], labels: list[str]) -> int:
    return sum(len(text) + 1 for text in keys + labels)


class TooSmall(Widget):
    """Covers the page while the window is smaller than 80 by 24; what was typed stays underneath."""

    def render(self) -> Content:
        """One line that says what to do."""
        size = self.app.size
        return content(f"Too small: {size.width}x{size.height}, needs 80x24. Nothing is lost.")
