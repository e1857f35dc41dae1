"""The label fonts: three styles in three widths, embedded in every PDF.

Cut from Noto Sans, see ``fonts/cut_fonts.py``. Heights were measured on the outlines of the cuts, not taken from their
tables: tests measure them again.
"""

from __future__ import annotations

from enum import Enum
from functools import cache
from importlib import resources
from typing import Any

from lotwake.labels.barcodes.dots import MM_PER_INCH, PT_PER_INCH

X_HEIGHT_PER_EM = 0.536
FIGURE_HEIGHT_PER_EM = 0.714
PT_PER_MM = PT_PER_INCH / MM_PER_INCH

WIDTHS = (100, 87, 75)  # per cent of the normal width, widest first


class Style(Enum):
    """The styles of the label font; the value is part of the file name."""

    REGULAR = "Regular"
    BOLD = "Bold"
    ITALIC = "Italic"


def font_name(style: Style, width: int) -> str:
    """Return the name under which the cut is registered, registering it at the first call."""
    return str(font_of(style, width).fontName)


def text_width(text: str, style: Style, width: int, size_pt: float) -> float:
    """Return the width of a line of text in points."""
    return float(font_of(style, width).stringWidth(text, size_pt))


def characters_missing(text: str) -> str:
    """Return the characters the label font does not have, each once; all cuts have the same characters."""
    glyphs = font_of(Style.REGULAR, 100).face.charToGlyph
    return "".join(dict.fromkeys(char for char in text if ord(char) not in glyphs))


def size_for_x_height(x_height_mm: float) -> float:
    """Return the type size in points whose small x is so many millimetres high."""
    return x_height_mm * PT_PER_MM / X_HEIGHT_PER_EM


def size_for_figures(figure_height_mm: float) -> float:
    """Return the type size in points whose figures are so many millimetres high."""
    return figure_height_mm * PT_PER_MM / FIGURE_HEIGHT_PER_EM


@cache
def font_of(style: Style, width: int) -> Any:
    """Return the cut as the PDF library knows it, loading it at the first call."""
    # Imported here, so that whoever only names a spec or a stock does not wait for the PDF library.
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    name = f"LotwakeLabel-{style.value}{width}"
    with resources.as_file(resources.files("lotwake.labels.layout.fonts") / f"{name}.ttf") as path:
        font = TTFont(name, str(path))
    pdfmetrics.registerFont(font)
    return font
