"""Text from the records is data: it never becomes markup and never moves the cursor."""

from __future__ import annotations

import unicodedata

from rich.cells import cell_len, set_cell_size
from textual.content import Content

FNC1 = "^"
"""How the separator of a GS1 element string is shown, as in the rest of the program."""
_STAND_IN = "·"


def plain(text: str) -> str:
    """The text on one line with nothing in it that a terminal would obey: GS as ``^``, other controls as a dot."""
    return "".join(
        FNC1 if sign == "\x1d" else _STAND_IN if unicodedata.category(sign) in ("Cc", "Cf", "Zl", "Zp") else sign
        for sign in text
    )


def content(text: str, style: str = "") -> Content:
    """The text as something to draw; brackets stay brackets."""
    return Content.styled(plain(text), style) if style else Content(plain(text))


def lines(*texts: str) -> Content:
    """Several texts, one under the other."""
    return Content("\n").join(content(text) for text in texts)


def fitted(text: str, width: int, right: bool = False) -> str:
    """The text in exactly ``width`` cells; what is cut off is marked with an ellipsis."""
    shown = plain(text)
    if cell_len(shown) > width:
        return set_cell_size(shown, max(0, width - 1)) + "…" if width > 0 else ""
    blank = " " * (width - cell_len(shown))
    return blank + shown if right else shown + blank
