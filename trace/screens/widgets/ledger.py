"""A table of plain text rows that draws only what is seen: ten rows or a million."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Protocol

from rich.segment import Segment
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from lotwake.trace.screens.text import fitted

_BLOCK = 200
_MARK = "> "  # the selected row is seen without colour too
_GAP = "  "


@dataclass(frozen=True)
class Column:
    """A column. ``width`` 0 takes what is left; ``right`` for amounts; hidden in a ledger narrower than ``from_width``."""

    title: str
    width: int = 0
    right: bool = False
    from_width: int = 0


@dataclass(frozen=True)
class Row:
    """One row: a key the page knows it by, and one text for each column.

    ``tones`` (good, check, stop or empty, one for each column from the left) colour a word that a person should see first;
    the word says it without the colour too.
    """

    key: str
    cells: tuple[str, ...]
    tones: tuple[str, ...] = ()


class RowSource(Protocol):
    """Where rows come from, a window at a time."""

    def __len__(self) -> int: ...

    def window(self, first: int, count: int) -> Sequence[Row]:
        """Rows ``first`` to ``first + count - 1``, or fewer at the end."""
        ...


class ListedRows:
    """Rows that are all at hand."""

    def __init__(self, rows: Sequence[Row] = ()) -> None:
        self._rows = tuple(rows)

    def __len__(self) -> int:
        return len(self._rows)

    def window(self, first: int, count: int) -> Sequence[Row]:
        """A slice."""
        return self._rows[first : first + count]


class Ledger(ScrollView, can_focus=True):
    """Header, rows, one selected row. Enter chooses it; a page with an input line moves it with the arrows."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "step(-1)", show=False),
        Binding("down", "step(1)", show=False),
        Binding("pageup", "leaf(-1)", show=False),
        Binding("pagedown", "leaf(1)", show=False),
        Binding("home", "step(-1000000000)", show=False),
        Binding("end", "step(1000000000)", show=False),
        Binding("enter", "choose", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "ledger--header", "ledger--row", "ledger--selected", "ledger--good", "ledger--check", "ledger--stop",
    }  # fmt: skip
    selected = reactive(0)

    class RowMarked(Message):
        """Another row was selected."""

        def __init__(self, ledger: Ledger, row: Row) -> None:
            super().__init__()
            self.ledger = ledger
            self.row = row

    class RowChosen(Message):
        """The selected row was chosen with Enter."""

        def __init__(self, ledger: Ledger, row: Row) -> None:
            super().__init__()
            self.ledger = ledger
            self.row = row

    def __init__(
        self, *columns: Column, empty: str = "Nothing yet.", marks: bool = True, id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self.marks = marks
        """Whether a row can be chosen; False for one that is only read."""
        self.can_focus = marks
        self._columns = columns
        self._empty = empty
        self._source: RowSource = ListedRows()
        self._block: tuple[int, Sequence[Row]] = (0, ())

    def show_rows(self, rows: RowSource | Sequence[Row], keep_selected: bool = False) -> None:
        """Show other rows, from the top unless the selected row is to stay selected where it is now."""
        before = self.selected_row
        self._source = rows if not isinstance(rows, Sequence) else ListedRows(rows)
        self._block = (0, ())
        self.virtual_size = Size(0, len(self._source) + 1)
        self.selected = self._place_of(before) if keep_selected else 0
        self._keep_in_sight()
        self.refresh()

    def _place_of(self, row: Row | None) -> int:
        """Where a row with the same key stands now, near the top at least; else its old place."""
        keys = [near.key for near in self._source.window(0, _BLOCK)]
        if row is not None and row.key in keys:
            return keys.index(row.key)
        return min(self.selected, max(0, len(self._source) - 1))

    @property
    def selected_row(self) -> Row | None:
        """The row Enter would choose, or None while there is none."""
        return self._row(self.selected)

    def action_step(self, by: int) -> None:
        """Select a row further up or down."""
        last = len(self._source) - 1
        target = max(0, min(last, self.selected + by))
        if last >= 0 and target != self.selected:
            self.selected = target
            self._keep_in_sight()
            self.post_message(self.RowMarked(self, self._source.window(target, 1)[0]))

    def redraw(self) -> None:
        """The source gives other texts for the same rows."""
        self._block = (0, ())
        self.refresh()

    def mark_row(self, index: int, above: int = 3) -> None:
        """Select a row and show it with up to ``above`` rows before it; for a jump."""
        last = len(self._source) - 1
        if last < 0:
            return
        self.selected = max(0, min(last, index))
        # Rows that were just given have no room yet to scroll in.
        self.call_after_refresh(self.scroll_to, y=max(0, self.selected - above), animate=False, immediate=True)
        self.post_message(self.RowMarked(self, self._source.window(self.selected, 1)[0]))

    def action_leaf(self, by: int) -> None:
        """Move by what is seen at once."""
        self.action_step(by * max(1, self.size.height - 2))

    def action_choose(self) -> None:
        """Choose the selected row."""
        if (row := self.selected_row) is not None:
            self.post_message(self.RowChosen(self, row))

    def on_click(self, event: events.Click) -> None:
        """A click marks a row; a click on the marked one chooses it."""
        event.stop()
        at = int(self.scroll_offset.y) + event.y - 1
        if event.y < 1 or self._row(at) is None or not self.marks:
            return
        if at == self.selected:
            self.action_choose()
        else:
            self.action_step(at - self.selected)

    def _keep_in_sight(self) -> None:
        top, room = int(self.scroll_offset.y), max(1, self.size.height - 1)
        wanted = min(self.selected, max(top, self.selected - room + 1))
        if wanted != top:
            self.scroll_to(y=wanted, animate=False, immediate=True)

    @property
    def _room(self) -> int:
        return self.scrollable_content_region.width

    def _row(self, index: int) -> Row | None:
        first, rows = self._block
        if not first <= index < first + len(rows):
            first = index - index % _BLOCK
            rows = self._source.window(first, _BLOCK)
            self._block = (first, rows)
        return rows[index - first] if 0 <= index - first < len(rows) else None

    def render_line(self, y: int) -> Strip:
        """One line: the header stays on top, rows scroll under it."""
        if y == 0:
            return self._strip("  ", [column.title for column in self._columns], "ledger--header")
        index = int(self.scroll_offset.y) + y - 1
        row = self._row(index)
        if row is None:
            cells = [self._empty] if index == 0 else []
            return self._line("  " + "".join(cells), "ledger--row")
        marked = self.marks and index == self.selected
        component = "ledger--selected" if marked else "ledger--row"
        return self._strip(_MARK if marked else "  ", row.cells, component, row.tones)

    def _strip(self, mark: str, cells: Sequence[str], component: str, tones: Sequence[str] = ()) -> Strip:
        shown = self._fitted(cells)
        if not any(tones):
            return self._line(mark + _GAP.join(cell for _, cell in shown), component)
        plain = self.get_component_rich_style(component)
        parts = [Segment(mark, plain)]
        for at, cell in shown:
            tone = tones[at] if at < len(tones) and cell.strip() else ""
            words = cell.rstrip() if tone else cell
            parts.append(Segment(words, self.get_component_rich_style(f"ledger--{tone}") if tone else plain))
            parts.append(Segment(cell[len(words) :] + _GAP, plain))
        return Strip(parts).adjust_cell_length(self._room, plain)

    def _line(self, text: str, component: str) -> Strip:
        width = self._room
        return Strip([Segment(fitted(text, width), self.get_component_rich_style(component))], width)

    def _fitted(self, cells: Sequence[str]) -> list[tuple[int, str]]:
        """The cells that find room, each with the place of its column."""
        shown = [
            (at, column, cell)
            for at, (column, cell) in enumerate(zip(self._columns, cells, strict=True))
            if self._room >= column.from_width
        ]
        taken = len(_MARK) + sum(column.width + len(_GAP) for _, column, _ in shown) - len(_GAP)
        shares = [column for _, column, _ in shown if not column.width]
        share = max(0, (self._room - taken) // len(shares)) if shares else 0
        return [(at, fitted(cell, column.width or share, column.right)) for at, column, cell in shown]
