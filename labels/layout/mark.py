"""The identification mark of an establishment: its lines in an oval.

Reg. (EC) 853/2004 Annex II Section I, from memory: country, approval number and, inside the Union, its letters. Whether
the oval is owed, and with which letters, is for the house and its authority to say.
"""

from __future__ import annotations

from lotwake.labels.layout.faces import WIDTHS, Style, text_width
from lotwake.labels.layout.ink import Oval
from lotwake.labels.layout.text import PlacedText

COMMUNITY = {
    **dict.fromkeys(("AT", "DE", "NL", "SE"), "EG"), **dict.fromkeys(("ES", "FR", "IT", "LU", "PT", "RO"), "CE"),
    **dict.fromkeys(("CY", "GR", "HU", "LV"), "EK"), **dict.fromkeys(("CZ", "SI", "SK"), "ES"), "BE": "EG", "BG": "EO",
    "DK": "EF", "EE": "EÜ", "FI": "EY", "HR": "EZ", "IE": "EC", "LT": "EB", "MT": "KE", "PL": "WE",
}  # fmt: skip
"""By country of the Union, the letters for the Community in its language; of Belgium's, those of one of its languages. From
memory, as the rest of the mark."""
LINE_HEIGHT = 1.12  # line to line, in type sizes
ASCENT = 0.86  # top of a line to its baseline, in type sizes
PAD_X, PAD_Y = 1.5, 0.42  # white between the lines and the oval, in type sizes


def mark_lines(country: str, approval: str) -> tuple[str, ...]:
    """Return the lines of the mark: the country (ISO 3166 alpha-2), the approval number, and inside the Union its letters.

    Without an approval number there is no mark. A country in front of the number is not said twice.
    """
    number = approval.strip().removeprefix(country).strip()
    return tuple(filter(None, (country, number, COMMUNITY.get(country, "")))) if number else ()


def mark_size(lines: tuple[str, ...], size_pt: float) -> tuple[float, float]:
    """Return width and height of the oval in points; without lines it takes nothing."""
    if not lines:
        return 0.0, 0.0
    widest = max(_width(line, size_pt) for line in lines)
    return widest + 2 * PAD_X * size_pt, size_pt * (LINE_HEIGHT * len(lines) + 2 * PAD_Y)


def set_mark(lines: tuple[str, ...], size_pt: float, left: float, bottom: float) -> tuple[list[PlacedText], Oval]:
    """Set the lines in the middle of an oval whose lower left corner lies at ``left``, ``bottom`` (points)."""
    width, height = mark_size(lines, size_pt)
    texts = []
    for place, line in enumerate(lines):
        baseline = bottom + height - size_pt * (PAD_Y + LINE_HEIGHT * place + ASCENT)
        x = left + (width - _width(line, size_pt)) / 2
        texts.append(PlacedText(x, baseline, line, Style.REGULAR, WIDTHS[0], size_pt))
    return texts, Oval(left, bottom, width, height)


def _width(line: str, size_pt: float) -> float:
    return text_width(line, Style.REGULAR, WIDTHS[0], size_pt)
