"""The last result in words, across the page, until the next act."""

from __future__ import annotations

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from lotwake.trace.screens.result import Result, Verdict
from lotwake.trace.screens.text import content, fitted

_INDENT = 9


class ResultStrip(Widget):
    """Two lines: verdict word and sentence, then how to undo it or what to do."""

    result: reactive[Result | None] = reactive(None)

    def watch_result(self, result: Result | None) -> None:
        """Colour comes second: the class follows the word."""
        for verdict in Verdict:
            self.set_class(result is not None and result.verdict is verdict, f"-{verdict.value.lower()}")

    def render(self) -> Content:
        """The words; a sentence that needs it runs on into the second line before the next step."""
        if self.result is None:
            return Content("")
        room = max(1, self.size.width - _INDENT - 1)
        first, rest = _broken(self.result.sentence, room)
        second = "  ".join(part for part in (rest, self.result.next_step) if part)
        word = f" {self.result.verdict.value}".ljust(_INDENT)
        lines = [Content.assemble((word, "bold"), content(first, "bold"))]
        lines.append(content(" " * _INDENT + fitted(second, room)))
        return Content("\n").join(lines)


def _broken(sentence: str, room: int) -> tuple[str, str]:
    """The sentence up to the last blank that fits, and the rest."""
    if len(sentence) <= room:
        return sentence, ""
    at = sentence.rfind(" ", 0, room + 1)
    at = at if at > 0 else room
    return sentence[:at], sentence[at:].strip()
