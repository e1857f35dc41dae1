"""Labels onto the pages of a PDF file.

Pages are whole printer dots, bars are drawn in dots, fonts are embedded, and the same labels give the same bytes. What
labels share is put into the file once, as a form; what each has of its own goes to the file page by page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, groupby, islice
from pathlib import Path
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.barcodes.drawing import bars_path, matrix_path, page_size_pt
from lotwake.labels.files import whole_file
from lotwake.labels.layout.faces import WIDTHS, Style, font_name, font_of, text_width
from lotwake.labels.layout.ink import Ink, Stamp
from lotwake.labels.layout.pdf_update import PdfUpdate
from lotwake.labels.layout.stock import Stock, first_place_checked
from lotwake.labels.layout.text import PlacedText

Progress = Callable[[int, int], None]
_SHARED = "shared"
_LINE_PT = 0.7


@dataclass(frozen=True)
class LabelRun:
    """The labels of one file: ``shared`` is on every one of them, ``own`` yields what each has besides.

    ``own_samples`` are texts in every face that own ink uses, with every character that is not ASCII.
    """

    title: str
    shared: Ink
    own: Iterable[Ink]
    count: int
    own_samples: Sequence[PlacedText] = ()


def write_pdf(
    out: Path,
    stock: Stock,
    dots: PrinterDots,
    run: LabelRun,
    progress: Progress | None = None,
    first_place: int = 1,
) -> None:
    """Write the labels of a run to ``out``, one a page on rolls, filling sheets in reading order from ``first_place``.

    The file appears when it is whole: it is written beside ``out`` first. ``progress`` gets labels done and in all.

    Raises:
        LabelNotWritten: when the file cannot be written.
        WrongData: when a sheet has no such place.
    """
    skipped = first_place_checked(stock, first_place) - 1
    size_pt = page_size_pt(*stock.page_dots(dots), dots)
    base, faces, form = _base(run, size_pt, dots)
    moves = [_move(origin, dots) for origin in stock.origins_dots(dots)]
    done = 0
    with whole_file(out) as file:
        pdf = PdfUpdate(file, base, size_pt)
        labels = chain([None] * skipped, run.own)
        while page := list(islice(labels, len(moves))):
            placed = [(move, own) for move, own in zip(moves, page, strict=False) if own is not None]
            pdf.add_page("\n".join(f"q {move} {form} Do {_content(own, faces, dots)} Q" for move, own in placed))
            for _ in placed:
                done += 1
                if progress:
                    progress(done, run.count)
        pdf.finish()


@dataclass(frozen=True)
class _Face:
    """One cut as it is in one file: for each character the font resource that has it, and its byte there, escaped."""

    fonts: dict[str, str]
    escaped: dict[int, str]

    def show(self, text: PlacedText) -> str:
        pieces = [
            f"{font} {text.size_pt:.5g} Tf ({''.join(letters).translate(self.escaped)}) Tj"
            for font, letters in groupby(text.text, key=self.fonts.__getitem__)
        ]
        return f"BT {text.x:.3f} {text.y:.3f} Td {' '.join(pieces)} ET"


Faces = dict[tuple[Style, int], _Face]


def _base(run: LabelRun, size_pt: tuple[float, float], dots: PrinterDots) -> tuple[bytes, Faces, str]:
    """Return a PDF with the shared form and all fonts, the faces for own text, and the name of the form."""
    # A first font of our own, for the one that the library begins with is not embedded.
    first_font = font_name(Style.REGULAR, WIDTHS[0])
    canvas = Canvas(None, pagesize=size_pt, pageCompression=1, invariant=1, initialFontName=first_font)
    canvas.setTitle(run.title)
    canvas.setCreator("Lotwake")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.beginForm(_SHARED)
    _draw(canvas, run.shared, dots)
    canvas.endForm()
    canvas.doForm(_SHARED)
    faces = _faces(canvas, run.own_samples)
    form = f"/{canvas._doc.getXObjectName(_SHARED)}"
    canvas.showPage()
    return canvas.getpdfdata(), faces, form


def _faces(canvas: Any, samples: Iterable[PlacedText]) -> Faces:
    ascii_text = "".join(map(chr, range(32, 127)))
    wanted: dict[tuple[Style, int], str] = {}
    for sample in samples:
        key = (sample.style, sample.width)
        wanted[key] = wanted.get(key, ascii_text) + sample.text
    return {key: _face(canvas, font_of(*key), text) for key, text in wanted.items()}


def _face(canvas: Any, font: Any, text: str) -> _Face:
    fonts, escaped = {}, {}
    for char in dict.fromkeys(text):
        ((subset, code),) = font.splitString(char, canvas._doc)
        fonts[char] = font.getSubsetInternalName(subset, canvas._doc)
        plain = 32 <= code[0] < 127 and code not in b"()\\"
        escaped[ord(char)] = chr(code[0]) if plain else f"\\{code[0]:03o}"
    return _Face(fonts, escaped)


def _move(origin: tuple[int, int], dots: PrinterDots) -> str:
    return f"1 0 0 1 {dots.pt(origin[0]):.5f} {dots.pt(origin[1]):.5f} cm"


def _content(ink: Ink, faces: Faces, dots: PrinterDots) -> str:
    parts = _symbols(ink, dots)
    parts += [faces[text.style, text.width].show(text) for text in ink.texts]
    parts += [f"{rule.x:.3f} {rule.y:.3f} {rule.width:.3f} {rule.height:.3f} re f" for rule in ink.rules]
    return "\n".join(parts)


def _draw(canvas: Any, ink: Ink, dots: PrinterDots) -> None:
    for rule in ink.rules:
        canvas.rect(rule.x, rule.y, rule.width, rule.height, stroke=0, fill=1)
    canvas._code.extend(_symbols(ink, dots))
    for text in ink.texts:
        canvas.setFont(font_name(text.style, text.width), text.size_pt)
        canvas.drawString(text.x, text.y, text.text)
    canvas.setLineWidth(_LINE_PT)
    for oval in ink.ovals:
        canvas.ellipse(oval.x, oval.y, oval.x + oval.width, oval.y + oval.height)
    for stamp in ink.stamps:
        _draw_stamp(canvas, stamp)


def _symbols(ink: Ink, dots: PrinterDots) -> list[str]:
    bars = [
        bars_path(placed.bars, placed.left_dots, placed.bottom_dots, placed.height_dots, dots) for placed in ink.symbols
    ]
    return bars + [matrix_path(placed.matrix, placed.left_dots, placed.bottom_dots, dots) for placed in ink.matrices]


def _draw_stamp(canvas: Any, stamp: Stamp) -> None:
    canvas.saveState()
    canvas.translate(stamp.x, stamp.y)
    canvas.rotate(stamp.angle)
    outline = canvas.beginText(-text_width(stamp.text, Style.BOLD, WIDTHS[0], stamp.size_pt) / 2, -stamp.size_pt * 0.36)
    outline.setFont(font_name(Style.BOLD, WIDTHS[0]), stamp.size_pt)
    outline.setTextRenderMode(1)
    outline.textOut(stamp.text)
    canvas.drawText(outline)
    canvas.restoreState()
