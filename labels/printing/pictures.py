"""Pages of a PDF as pictures at the printer's own dots: to look at, to decode, or to print where only pictures go."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium

from lotwake.labels.barcodes.dots import PT_PER_INCH, PrinterDots
from lotwake.labels.errors import LabelNotWritten, WrongData
from lotwake.labels.files import whole_file
from lotwake.labels.layout.stock import Stock


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


def label_image(image: Any, place: int, stock: Stock, dots: PrinterDots) -> Any:
    """Return the part of a page's image that is the label at this place, counted from 0 in reading order."""
    left, bottom = stock.origins_dots(dots)[place]
    top = image.height - bottom - dots.dots_within(stock.height_mm)
    return image.crop((left, top, left + dots.dots_within(stock.width_mm), image.height - bottom))


@dataclass(frozen=True)
class Picture:
    """A label in greys, 0 black to 255 white, one byte for each dot, line by line from the top."""

    width: int
    height: int
    grey: bytes

    def scaled(self, width: int, height: int) -> Picture:
        """Return it at another size, each new dot the mean of what it covers."""
        from PIL import Image  # only whoever looks at pictures waits for it

        return Picture(width, height, self._image().resize((width, height), Image.Resampling.BOX).tobytes())

    def save_png(self, path: Path, dots: PrinterDots) -> None:
        """Write it as a PNG file that knows its dots per inch.

        Raises:
            LabelNotWritten: when the file cannot be written.
        """
        _write_png(self._image(), path, dots)

    def _image(self) -> Any:
        from PIL import Image

        return Image.frombytes("L", (self.width, self.height), self.grey)


def label_picture(pdf: Path, stock: Stock, dots: PrinterDots) -> Picture:
    """Return the first label of a PDF as it comes out of the printer.

    Raises:
        WrongData: when the PDF cannot be read.
    """
    with opened(pdf) as document:
        image = label_image(picture(document, 0, dots), 0, stock, dots)
    return Picture(image.width, image.height, image.tobytes())


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


def is_picture(out: Path) -> bool:
    """Whether a file of this name is to hold a picture and no PDF."""
    return out.suffix.lower() == ".png"


def give_out(pdf: Path, out: Path, dots: PrinterDots) -> tuple[Path, ...]:
    """Put a finished PDF where it is wanted and return the files: a copy, or where ``out`` ends in .png a picture of each
    page, numbered when there are several.

    Raises:
        LabelNotWritten: when a file cannot be written.
    """
    if not is_picture(out):
        with pdf.open("rb") as data, whole_file(out) as copy:
            shutil.copyfileobj(data, copy)
        return (out,)
    with opened(pdf) as document:
        pages = len(document)
        names = (
            [out] if pages == 1 else [out.with_name(f"{out.stem}-{page}{out.suffix}") for page in range(1, pages + 1)]
        )
        for page, path in enumerate(names):
            _write_png(picture(document, page, dots), path, dots)
    return tuple(names)


def _write_png(image: Any, path: Path, dots: PrinterDots) -> None:
    if not path.parent.is_dir():
        raise LabelNotWritten(f"{path} cannot be written: there is no folder {path.parent}.", "Make the folder first.")
    with whole_file(path) as file:
        image.save(file, format="PNG", dpi=(dots.dpi, dots.dpi))
