"""Labels onto the pages of a PDF file.

Pages are whole printer dots, bars are drawn in dots, fonts are embedded, and the same labels give the same bytes. What
labels share is put into the file once, as a form.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.barcodes.drawing import bars_path, page_size_pt
from lotwake.labels.errors import LabelNotWritten
from lotwake.labels.layout.faces import font_name
from lotwake.labels.layout.ink import Ink
from lotwake.labels.layout.stock import Stock

# Streams as they are: the ASCII form that reportlab puts around them takes a third of the time and adds a quarter in size.
rl_config.useA85 = 0

Progress = Callable[[int, int], None]
_SHARED = "shared"


@dataclass(frozen=True)
class LabelRun:
    """The labels of one file: ``shared`` is on every one of them, ``own`` yields what each has besides."""

    title: str
    shared: Ink
    own: Iterable[Ink]
    count: int


def write_pdf(out: Path, stock: Stock, dots: PrinterDots, run: LabelRun, progress: Progress | None = None) -> None:
    """Write the labels of a run to ``out``, one a page on rolls, filling sheets in reading order.

    The file appears when it is whole: it is written beside ``out`` first. ``progress`` gets labels done and in all.

    Raises:
        LabelNotWritten: when the file cannot be written.
    """
    canvas = Canvas(None, pagesize=page_size_pt(*stock.page_dots(dots), dots), pageCompression=1, invariant=1)
    canvas.setTitle(run.title)
    canvas.setCreator("Lotwake")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.beginForm(_SHARED)
    _draw(canvas, run.shared, dots)
    canvas.endForm()
    origins = stock.origins_dots(dots)
    for place, own in enumerate(run.own):
        if place and place % len(origins) == 0:
            canvas.showPage()
        left, bottom = origins[place % len(origins)]
        canvas.saveState()
        canvas.translate(dots.pt(left), dots.pt(bottom))
        canvas.doForm(_SHARED)
        _draw(canvas, own, dots)
        canvas.restoreState()
        if progress:
            progress(place + 1, run.count)
    canvas.showPage()
    _write_whole(out, canvas.getpdfdata())


def _draw(canvas: Any, ink: Ink, dots: PrinterDots) -> None:
    for rule in ink.rules:
        canvas.rect(rule.x, rule.y, rule.width, rule.height, stroke=0, fill=1)
    for placed in ink.symbols:
        canvas._code.append(bars_path(placed.bars, placed.left_dots, placed.bottom_dots, placed.height_dots, dots))
    for text in ink.texts:
        canvas.setFont(font_name(text.style, text.width), text.size_pt)
        canvas.drawString(text.x, text.y, text.text)


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
        raise LabelNotWritten(
            f"{out} cannot be written: {error.strerror}.", "Choose another folder or free some space."
        ) from error
