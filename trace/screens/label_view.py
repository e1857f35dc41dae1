"""A label to look at before it is printed: as a picture, or in words."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from lotwake.trace.actions.label_seen import LabelSeen
from lotwake.trace.screens.command import Command
from lotwake.trace.screens.label_text import head_lines, label_lines
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets.label_picture import LabelPicture

CLOSER = Command("closer", "Closer", "Show the label's picture twice as large, then whole again; PgDn goes on in it.")
BLOCKS = Command(
    "blocks", "Blocks", "Draw the label's picture with other signs, where the terminal lacks the fine ones."
)
PICTURE_OFFERS = (CLOSER, BLOCKS)


class LabelView(Vertical):
    """Two lines of facts and the picture, or the words."""

    DEFAULT_CSS = """
    LabelView { height: 1fr; padding: 0 1; }
    LabelView .label-head { height: 2; }
    LabelView .label-words { height: 1fr; scrollbar-size-vertical: 1; }
    """

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.in_words = False
        self._seen: LabelSeen | None = None

    def compose(self) -> ComposeResult:
        """Facts, picture, words."""
        yield Static(classes="label-head")
        yield LabelPicture()
        with VerticalScroll(classes="label-words", can_focus=False):
            yield Static(classes="label-text")

    def show(self, seen: LabelSeen) -> None:
        """Show a label, as a picture first."""
        self._seen = seen
        self.query_one(".label-head", Static).update(lines(*head_lines(seen)))
        self.query_one(LabelPicture).show(seen.picture)
        self.turn(in_words=False)

    def turn(self, in_words: bool) -> None:
        """Show the words, or the picture."""
        self.in_words = in_words
        self.query_one(".label-head").display = self.query_one(LabelPicture).display = not in_words
        self.query_one(".label-words").display = in_words
        if in_words:
            self._fill_words()

    def closer(self) -> None:
        """The picture twice as large."""
        self.turn(in_words=False)
        self.query_one(LabelPicture).closer()

    def other_blocks(self) -> str:
        """The picture in other signs; their name."""
        self.turn(in_words=False)
        picture = self.query_one(LabelPicture)
        picture.other_blocks()
        return picture.blocks.name

    def move(self, move: str, by: int) -> None:
        """The arrows scroll a line, the page keys a leaf, in a picture from part to part."""
        if self.in_words:
            self.query_one(".label-words").scroll_relative(y=by * (1 if move == "step" else 10), animate=False)
        elif move == "step":
            self.query_one(LabelPicture).scroll_relative(y=by, animate=False)
        else:
            self.query_one(LabelPicture).go_on(by > 0)

    def on_resize(self) -> None:
        """Words are broken anew where the width changed."""
        if self.in_words:
            self._fill_words()

    def _fill_words(self) -> None:
        if self._seen is not None:
            text = label_lines(self._seen, max(40, self.size.width - 3))
            self.query_one(".label-text", Static).update(lines(*text))
