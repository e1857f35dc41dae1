"""Pages of a PDF as pictures at the printer's own dots: to look at, to decode, or to print where only pictures go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium

from lotwake.labels.barcodes.dots import PT_PER_INCH, PrinterDots
from lotwake.labels.errors import LabelNotWritten, WrongData
from lotwake.labels.files import whole_file


@contextmanager
def opened(pdf: Path) -> Iterator[Any]:
    """Open a PDF for as long as the block lasts.

    Raises:
        WrongData: when it cannot be read.
    """
    try:
        document = pdfium.PdfDocument(pdf)
    except (OSError, pdfium.PdfiumError) as error:
        raise WrongData(f"{pdf} cannot be read as a PDF: {error}.", "Make the labels again.") from error
    try:
        yield document
    finally:
        document.close()


def picture(document: Any, page: int, dots: PrinterDots) -> Any:
    """Return one page, counted from 0, as a grey Pillow image with a pixel for every printer dot."""
    return document[page].render(scale=dots.dpi / PT_PER_INCH, grayscale=True).to_pil()


def png_pages(pdf: Path, dots: PrinterDots, folder: Path, pages: Sequence[int] = ()) -> list[Path]:
    """Write pages (counted from 1; all when none is named) as PNG files that know their dots per inch.

    Raises:
        WrongData: when the PDF cannot be read or has no such page.
        LabelNotWritten: when a file cannot be written.
    """
    written = []
    with opened(pdf) as document:
        for page in pages or range(1, len(document) + 1):
            if not 1 <= page <= len(document):
                raise WrongData(f"{pdf} has {len(document)} pages, not a page {page}.", "Count from 1.")
            path = folder / f"{pdf.stem}-{page}.png"
            _write_png(picture(document, page - 1, dots), path, dots)
            written.append(path)
    return written


def _write_png(image: Any, path: Path, dots: PrinterDots) -> None:
    if not path.parent.is_dir():
        raise LabelNotWritten(f"{path} cannot be written: there is no folder {path.parent}.", "Make the folder first.")
    with whole_file(path) as file:
        image.save(file, format="PNG", dpi=(dots.dpi, dots.dpi))
