"""A paper to be sent, once: headings, lines, lists and tables, then as plain text, as Markdown or as PDF."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO

from lotwake.trace.base.hidden import made_visible

TEXT_WIDTH = 100
"""Characters on a line of plain text."""
_SHORT, _NARROWEST_PT = 9, 24.0
_FRAME_PT, _CELL_PT = 6.0, 3.0
"""What the page frame keeps free on each side, and half of what lies between two cells."""


@dataclass(frozen=True)
class Heading:
    """A heading; ``level`` 1 is the title."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Lines:
    """Paragraphs, or with ``bullets`` the points of a list."""

    texts: tuple[str, ...]
    bullets: bool = False


@dataclass(frozen=True)
class Facts:
    """Names with what is known under them."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Table:
    """Rows of texts under headings."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


Block = Heading | Lines | Facts | Table


def as_text(blocks: Sequence[Block]) -> str:
    """The paper for a mail or a telephone: no marks but the line under a heading."""
    return "\n".join(made_visible(line) for block in blocks for line in (*_text_lines(block), "")).rstrip() + "\n"


def as_markdown(blocks: Sequence[Block]) -> str:
    """The paper in Markdown; nothing that comes from the record is read as a mark."""
    return "\n".join(made_visible(line) for block in blocks for line in (*_markdown_lines(block), "")).rstrip() + "\n"


def write_pdf(file: BinaryIO, blocks: Sequence[Block], title: str) -> None:
    """The paper on A4 pages with embedded letters. A character they lack is shown as ``?``, and the last line says so."""
    # The PDF library is slow to load, so whoever only wants the text does not wait for it.
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.units import mm
    from reportlab.platypus import SimpleDocTemplate

    page = SimpleDocTemplate(
        file, pagesize=A4, leftMargin=18 * mm, rightMargin=18 * mm, topMargin=16 * mm, bottomMargin=16 * mm,
        title=title, author="", creator="Lotwake", invariant=1,
    )  # fmt: skip
    setter = _Setter(page.width - 2 * _FRAME_PT)
    story = [part for block in blocks for part in setter.parts(block)]
    if setter.lacking:
        story += setter.parts(
            Lines((f"A ? stands for letters this paper cannot show ({len(setter.lacking)} of them).",))
        )
    page.build(story, onFirstPage=_number_page, onLaterPages=_number_page)


def _text_lines(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield block.text
        yield ("=" if block.level == 1 else "-") * len(block.text)
    elif isinstance(block, Lines):
        mark = "- " if block.bullets else ""
        for text in block.texts:
            yield from textwrap.wrap(text, TEXT_WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark)) or [""]
    elif isinstance(block, Facts):
        width = max((len(name) for name, _ in block.pairs), default=0)
        for name, text in block.pairs:
            yield f"{name + ':':{width + 1}} {text}"
    else:
        for row in block.rows:
            yield from (f"{name}: {cell}" for name, cell in zip(block.headings, row, strict=True) if cell)
            if row is not block.rows[-1]:
                yield ""


def _markdown_lines(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"{'#' * block.level} {_plain(block.text)}"
    elif isinstance(block, Lines):
        for place, text in enumerate(block.texts):
            if place and not block.bullets:
                yield ""
            yield f"- {_plain(text)}" if block.bullets else _plain(text)
    elif isinstance(block, Facts):
        yield from (f"- **{_plain(name)}:** {_plain(text)}" for name, text in block.pairs)
    else:
        yield f"| {' | '.join(map(_plain, block.headings))} |"
        yield f"| {' | '.join('---' for _ in block.headings)} |"
        yield from (f"| {' | '.join(map(_plain, row))} |" for row in block.rows)


def _plain(text: str) -> str:
    """Text that Markdown would take for marks, with a backslash before each."""
    return "".join(f"\\{char}" if char in r"\`*_{}[]<>#|" else char for char in " ".join(text.split()))


class _Setter:
    """Sets blocks in the label letters; remembers the characters these do not have."""

    def __init__(self, width_pt: float) -> None:
        from reportlab.lib.styles import ParagraphStyle

        from lotwake.labels.layout.faces import Style, font_name

        regular, bold = font_name(Style.REGULAR, 100), font_name(Style.BOLD, 100)
        self.width_pt = width_pt
        self.lacking: set[str] = set()
        self._body = ParagraphStyle("body", fontName=regular, fontSize=9, leading=12, spaceAfter=4)
        self._cell = ParagraphStyle("cell", fontName=regular, fontSize=7.5, leading=9.5)
        self._head = ParagraphStyle("head", fontName=bold, fontSize=7.5, leading=9.5)
        self._title = ParagraphStyle("title", fontName=bold, fontSize=15, leading=19, spaceAfter=6)
        self._section = ParagraphStyle(
            "section", fontName=bold, fontSize=11, leading=14, spaceBefore=8, spaceAfter=4, keepWithNext=1
        )

    def parts(self, block: Block) -> list[Any]:
        """What the page layout takes for a block."""
        if isinstance(block, Heading):
            return [self._set(block.text, self._title if block.level == 1 else self._section)]
        if isinstance(block, Lines):
            return [self._set(f"- {text}" if block.bullets else text, self._body) for text in block.texts]
        if isinstance(block, Facts):
            rows = [[self._set(name, self._head), self._set(text, self._cell)] for name, text in block.pairs]
            return [self._table(rows, [self.width_pt * 0.25, self.width_pt * 0.75], lines=False)] if rows else []
        cells = [[self._set(cell, self._cell) for cell in row] for row in block.rows]
        heads = [self._set(name, self._head) for name in block.headings]
        return [self._table([heads, *cells], self._widths(block), lines=True)]

    def _widths(self, block: Table) -> list[float]:
        """Each column as wide as its longest word, and what is left shared by how much longer its longest cell is."""
        columns = list(zip(block.headings, *block.rows, strict=True))
        longest = [max(self._width(word) for cell in column for word in _unbroken(cell)) for column in columns]
        least = [min(max(width, _NARROWEST_PT), self.width_pt / 3) for width in longest]  # an endless word is broken
        whole = [max(self._width(cell) for cell in column) for column in columns]
        over = self.width_pt - sum(least)
        wishes = [max(wanted - needed, 0.0) for wanted, needed in zip(whole, least, strict=True)]
        if over <= 0 or not sum(wishes):
            return [self.width_pt * part / sum(least) for part in least]
        return [needed + over * wish / sum(wishes) for needed, wish in zip(least, wishes, strict=True)]

    def _width(self, text: str) -> float:
        from lotwake.labels.layout.faces import Style, text_width

        return text_width(text, Style.BOLD, 100, self._head.fontSize) + 2 * _CELL_PT + 1.0

    def _set(self, text: str, style: Any) -> Any:
        from xml.sax.saxutils import escape

        from reportlab.platypus import Paragraph

        from lotwake.labels.layout.faces import characters_missing

        lacking = characters_missing(text)
        self.lacking |= set(lacking)
        return Paragraph(escape(text.translate(dict.fromkeys(map(ord, lacking), "?"))), style)

    def _table(self, rows: list[list[Any]], widths: list[float], lines: bool) -> Any:
        from reportlab.lib.colors import grey
        from reportlab.platypus import Table as PageTable
        from reportlab.platypus import TableStyle

        looks: list[tuple[Any, ...]] = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]
        looks.append(("RIGHTPADDING", (0, 0), (-1, -1), 2 * _CELL_PT))
        looks += [("TOPPADDING", (0, 0), (-1, -1), 1), ("BOTTOMPADDING", (0, 0), (-1, -1), 2)]
        if lines:
            looks.append(("LINEBELOW", (0, 0), (-1, -1), 0.4, grey))
        return PageTable(
            rows, colWidths=widths, repeatRows=int(lines), splitInRow=1, style=TableStyle(looks), spaceAfter=6
        )


def _unbroken(cell: str) -> list[str]:
    """What of a cell stays on one line: its words, or a short amount with its unit."""
    return [cell] if len(cell) <= _SHORT else cell.split()


def _number_page(canvas: Any, page: Any) -> None:
    from lotwake.labels.layout.faces import Style, font_name

    canvas.setFont(font_name(Style.REGULAR, 100), 7.5)
    canvas.drawRightString(page.leftMargin + page.width, 20, str(canvas.getPageNumber()))
