"""Paper for people who cannot see the screen: headings, sentences and tables on A4, with the house's own fonts inside.

The same content gives the same bytes. Text of the record is data: it is escaped, and a letter the font does not have is
shown as a question mark instead of stopping a recall.
"""

from __future__ import annotations

import io
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import (
    BaseDocTemplate,
    Frame,
    KeepInFrame,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from lotwake.labels.layout.faces import Style, characters_missing, font_name
from lotwake.trace.base.errors import MachineFailed

MARGIN = 16 * mm
WIDTH, HEIGHT = A4[0] - 2 * MARGIN, A4[1] - 2 * MARGIN - 6 * mm
REGULAR, BOLD = Style.REGULAR, Style.BOLD
_GREY = colors.Color(0.35, 0.35, 0.35)
_PALE = colors.Color(0.93, 0.93, 0.93)
_RULE = colors.Color(0.7, 0.7, 0.7)


def clean(text: str) -> str:
    """Text as the font can show it, safe inside a paragraph."""
    plain = text.replace("\u202f", " ")
    for letter in characters_missing(plain):
        plain = plain.replace(letter, "?")
    return escape(plain)


def _style(name: str, face: Style, size: float, **more: Any) -> ParagraphStyle:
    return ParagraphStyle(name, fontName=font_name(face, 100), fontSize=size, leading=size * 1.28, **more)


def title(text: str) -> Paragraph:
    """The one title of a paper."""
    return Paragraph(clean(text), _style("title", BOLD, 17))


def warning(text: str) -> Table:
    """A line nobody must miss: white on black."""
    inside = Paragraph(clean(text), _style("warning", BOLD, 11, textColor=colors.white))
    return Table([[inside]], [WIDTH], style=TableStyle([("BACKGROUND", (0, 0), (-1, -1), colors.black)]))


def heading(text: str) -> Paragraph:
    """A heading within a paper."""
    return Paragraph(clean(text), _style("heading", BOLD, 10.5, spaceBefore=7, spaceAfter=2, keepWithNext=1))


def line(text: str, size: float = 9.5) -> Paragraph:
    """A sentence or two."""
    return Paragraph(clean(text), _style("line", REGULAR, size))


def small(text: str) -> Paragraph:
    """What must stand there but is read last: sources and cautions."""
    return Paragraph(clean(text), _style("small", REGULAR, 7, textColor=_GREY))


def gap(height_mm: float = 3) -> Spacer:
    """White."""
    return Spacer(1, height_mm * mm)


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], parts: Sequence[float], size: float = 8) -> Table:
    """Rows under headings; ``parts`` are the widths as parts of the page. A heading with ``>`` in front stands over numbers."""
    right = [text.startswith(">") for text in headings]
    top, body = _style("top", BOLD, size), _style("cell", REGULAR, size)
    heads = [[text.removeprefix(">") for text in headings]] if any(headings) else []
    cells = [[Paragraph(clean(text), _aligned(top, to)) for text, to in zip(row, right, strict=True)] for row in heads]
    cells += [[Paragraph(clean(text), _aligned(body, to)) for text, to in zip(row, right, strict=True)] for row in rows]
    widths = [WIDTH * part / sum(parts) for part in parts]
    shade = [("BACKGROUND", (0, 0), (-1, 0), _PALE)] if heads else []
    return Table(cells, widths, style=TableStyle([*_LOOKS, *shade]), repeatRows=len(heads), hAlign="LEFT")


_LOOKS = [
    ("LINEBELOW", (0, 0), (-1, -1), 0.4, _RULE),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("TOPPADDING", (0, 0), (-1, -1), 1.6),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
    ("LEFTPADDING", (0, 0), (-1, -1), 3),
    ("RIGHTPADDING", (0, 0), (-1, -1), 3),
]


def _aligned(style: ParagraphStyle, to_right: bool) -> ParagraphStyle:
    return ParagraphStyle(f"{style.name}-right", style, alignment=2) if to_right else style


def write(out: Path, name: str, pages: Sequence[Sequence[Any]], foot: str, one_page: bool = False) -> None:
    """Write a PDF: each part begins on a page of its own; with ``one_page`` each is made to fit one.

    MachineFailed when the file cannot be written; nothing half written is left.
    """
    story: list[Any] = []
    for number, part in enumerate(pages):
        story += [PageBreak()] if number else []
        story += [KeepInFrame(WIDTH, HEIGHT, list(part), mode="shrink")] if one_page else list(part)
    buffer = io.BytesIO()
    document = BaseDocTemplate(buffer, pagesize=A4, title=name, author="Lotwake", invariant=1)
    frame = Frame(MARGIN, MARGIN + 6 * mm, WIDTH, HEIGHT, 0, 0, 0, 0)

    def foot_line(canvas: Any, _: Any) -> None:
        canvas.setFont(font_name(REGULAR, 100), 7)
        canvas.setFillColor(_GREY)
        canvas.drawString(MARGIN, MARGIN, foot)
        canvas.drawRightString(A4[0] - MARGIN, MARGIN, f"page {canvas.getPageNumber()}")

    document.addPageTemplates([PageTemplate(frames=[frame], onPage=foot_line)])
    document.build(story)
    _write_whole(out, buffer.getvalue())


def _write_whole(out: Path, data: bytes) -> None:
    part = out.with_name(f".{out.name}.part")
    try:
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(out)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise MachineFailed(
            f"{out} cannot be written: {error.strerror}.", "Choose another folder, or free space."
        ) from error
