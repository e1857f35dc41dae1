"""The record of a batch as one A4 page in ink on paper: black and grey, words beside every sign.

The type grows smaller until all of it is on one page; what does not fit then either goes on to a second page, uncut.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from lotwake.labels.layout.faces import Style, font_name, text_width
from lotwake.trace.actions import batch_words
from lotwake.trace.actions.batch_chart import draw_chart
from lotwake.trace.actions.batch_record import BatchRecord
from lotwake.trace.actions.batch_words import Cell
from lotwake.trace.base.moments import show_moment
from lotwake.trace.process.basis import CAUTION

PAGE_PT = (595.28, 841.89)
MARGIN_PT = 34.0
WIDTH_PT = PAGE_PT[0] - 2 * MARGIN_PT
FOOT_PT = 30.0
CHART_PT = (112.0, 220.0)
"""The least and the greatest height of the chart."""
SIZES_PT = (8.0, 7.5, 7.0, 6.5, 6.0)
LEADING = 1.28


@dataclass(frozen=True)
class Block:
    """A part of the page: its height in points, and how it is drawn with its top at a given height."""

    height: float
    draw: Callable[[Any, float], None]


def draw_batch_record(record: BatchRecord) -> bytes:
    """The page as a PDF; the same record gives the same bytes."""
    from reportlab.pdfgen.canvas import Canvas  # only when a page is drawn

    canvas = Canvas(None, pagesize=PAGE_PT, pageCompression=1, invariant=1)
    canvas.setTitle(f"Batch record {record.batch.shown}")
    canvas.setCreator("Lotwake")
    room = PAGE_PT[1] - 2 * MARGIN_PT - FOOT_PT
    for size_pt in SIZES_PT:
        above, below = list(_above(record, size_pt)), list(_below(record, size_pt))
        left = room - sum(block.height for block in (*above, *below))
        if left >= CHART_PT[0]:
            break
    _draw_down(canvas, record, [*above, _chart(record, min(CHART_PT[1], max(CHART_PT[0], left))), *below])
    return bytes(canvas.getpdfdata())


def _draw_down(canvas: Any, record: BatchRecord, blocks: Sequence[Block]) -> None:
    top, page = PAGE_PT[1] - MARGIN_PT, 1
    for block in blocks:
        if top - block.height < MARGIN_PT + FOOT_PT - 0.01:
            _foot(canvas, record, page)
            canvas.showPage()
            top, page = PAGE_PT[1] - MARGIN_PT, page + 1
        block.draw(canvas, top)
        top -= block.height
    _foot(canvas, record, page)
    canvas.showPage()


def _above(record: BatchRecord, size_pt: float) -> Iterator[Block]:
    yield _head(record)
    yield _lines(batch_words.about(record), size_pt)
    yield from _table(
        "What went in", (0.2, 0.29, 0.18, 0.14, 0.1, 0.09), batch_words.inputs(record), size_pt, last=True
    )
    yield from _table("Steps against plan", (0.17, 0.26, 0.2, 0.09, 0.12, 0.16), batch_words.steps(record), size_pt)


def _chart(record: BatchRecord, height: float) -> Block:
    if not (record.evidence.core or record.evidence.air):
        return Block(
            16, lambda canvas, top: _write(canvas, MARGIN_PT, top - 12, "No temperature was read.", Style.BOLD, 9)
        )

    def draw(canvas: Any, top: float) -> None:
        plan = record.verdict.plan if record.verdict else None
        _write(
            canvas,
            MARGIN_PT,
            top - 12,
            "Temperatures, degrees C" if not record.evidence.core else "Core temperature, degrees C",
            Style.BOLD,
            9,
        )
        draw_chart(canvas, record.evidence, plan, record.zone, (MARGIN_PT, top - height, WIDTH_PT, height - 14))

    return Block(height, draw)


def _below(record: BatchRecord, size_pt: float) -> Iterator[Block]:
    yield from _table("Critical limits", (0.34, 0.12, 0.34, 0.2), batch_words.limits(record), size_pt)
    yield from _table("Yields", (0.34, 0.2, 0.1, 0.16, 0.2), batch_words.yields(record), size_pt)
    yield from _table("Read with", (0.24, 0.26, 0.14, 0.36), batch_words.instruments(record), size_pt)
    yield from _table("Deviations", (0.16, 0.24, 0.26, 0.34), batch_words.deviations(record), size_pt)
    yield from _table("Signed", (0.12, 0.3, 0.58), batch_words.signatures(record), size_pt)
    yield from _table("Corrections to this record", (0.26, 0.3, 0.44), batch_words.corrections(record), size_pt)


def _head(record: BatchRecord) -> Block:
    site = record.site

    def draw(canvas: Any, top: float) -> None:
        right = MARGIN_PT + WIDTH_PT
        _write(canvas, MARGIN_PT, top - 12, site.name, Style.BOLD, 12)
        approval = f"approval {site.approval}" if site.approval else ""
        where = ", ".join(part for part in (site.address, site.country, approval, site.phone) if part)
        _write(canvas, MARGIN_PT, top - 23, where, Style.REGULAR, 8)
        _write(canvas, right, top - 14, f"Batch record {record.batch.shown}", Style.BOLD, 15, to_right=True)
        _write(canvas, right, top - 26, batch_words.state(record), Style.BOLD, 9, to_right=True)
        canvas.setLineWidth(1)
        canvas.line(MARGIN_PT, top - 31, right, top - 31)

    return Block(36, draw)


def _foot(canvas: Any, record: BatchRecord, page: int) -> None:
    y, right = MARGIN_PT, MARGIN_PT + WIDTH_PT
    canvas.setLineWidth(0.5)
    canvas.line(MARGIN_PT, y + 22, right, y + 22)
    _write(canvas, MARGIN_PT, y + 12, CAUTION, Style.BOLD, 7)
    _write(canvas, right, y + 12, f"page {page}", Style.REGULAR, 7, to_right=True)
    _write(canvas, MARGIN_PT, y + 3, f"Record as of {show_moment(record.now, record.zone)}, journal line"
           f" {record.head.seq}, hash {record.head.hash}", Style.REGULAR, 6)  # fmt: skip


def _lines(texts: Sequence[str], size_pt: float) -> Block:
    lines = [line for text in texts for line in _wrap(text, Style.REGULAR, size_pt + 0.5, WIDTH_PT)]
    leading = (size_pt + 0.5) * LEADING

    def draw(canvas: Any, top: float) -> None:
        for number, line in enumerate(lines, 1):
            _write(canvas, MARGIN_PT, top - number * leading + 1, line, Style.REGULAR, size_pt + 0.5)

    return Block(len(lines) * leading + 3, draw)


def _table(
    title: str, shares: Sequence[float], rows: Sequence[Sequence[Cell]], size_pt: float, last: bool = False
) -> Iterator[Block]:
    """A title and rows of cells that wrap in their columns; nothing at all without rows. ``last``: numbers to the right."""
    if not rows:
        return
    yield Block(16, lambda canvas, top: _write(canvas, MARGIN_PT, top - 12, title, Style.BOLD, 9))
    for row in rows:
        yield _row(shares, row, size_pt, last)


def _row(shares: Sequence[float], row: Sequence[Cell], size_pt: float, last: bool) -> Block:
    widths = [share * WIDTH_PT - 6 for share in shares]
    styles = [Style.BOLD if cell.bold else Style.REGULAR for cell in row]
    wrapped = [_wrap(cell.text, style, size_pt, w) for cell, style, w in zip(row, styles, widths, strict=True)]
    leading, height = size_pt * LEADING, max(map(len, wrapped)) * size_pt * LEADING + 2.5

    def draw(canvas: Any, top: float) -> None:
        canvas.setLineWidth(0.25)
        canvas.setStrokeGray(0.6)
        canvas.line(MARGIN_PT, top, MARGIN_PT + WIDTH_PT, top)
        canvas.setStrokeGray(0)
        left = MARGIN_PT
        for column, (lines, style, share) in enumerate(zip(wrapped, styles, shares, strict=True)):
            to_right = last and column == len(shares) - 1
            x = MARGIN_PT + WIDTH_PT if to_right else left
            for number, line in enumerate(lines, 1):
                _write(canvas, x, top - number * leading + 1, line, style, size_pt, to_right=to_right)
            left += share * WIDTH_PT

    return Block(height, draw)


def _wrap(text: str, style: Style, size_pt: float, width: float) -> list[str]:
    """Lines that fit the width; a word longer than a line is broken."""
    lines = [""]
    for word in text.split():
        while text_width(word, style, 100, size_pt) > width:
            cut = next(
                n for n in range(len(word) - 1, 0, -1) if n == 1 or text_width(word[:n], style, 100, size_pt) <= width
            )
            lines, word = [*lines, word[:cut]], word[cut:]
        longer = f"{lines[-1]} {word}".strip()
        if text_width(longer, style, 100, size_pt) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return [line for line in lines if line] or [""]


def _write(canvas: Any, x: float, y: float, text: str, style: Style, size_pt: float, to_right: bool = False) -> None:
    canvas.setFillGray(0)
    canvas.setFont(font_name(style, 100), size_pt)
    (canvas.drawRightString if to_right else canvas.drawString)(x, y, text)
