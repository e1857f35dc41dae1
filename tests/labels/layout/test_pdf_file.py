"""The PDF file: complete for every reader, small, and made with little memory."""

from __future__ import annotations

import shutil
import subprocess
import tracemalloc
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.pdf_update import PdfUpdate
from lotwake.labels.layout.spec import LabelSpec
from lotwake.labels.layout.stock import ROLL_100X60, SHEET_LETTER_2X5


def test_labels_take_little_space_and_memory(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """A label takes under 1,000 bytes in the file; ten times the labels take hardly more memory."""
    peaks = []
    for labels in (100, 1000):
        tracemalloc.start()
        pack_label_pdf(pack_spec, range(1, labels + 1), ROLL_100X60, DOTS_203, tmp_path / "out.pdf")
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert (tmp_path / "out.pdf").stat().st_size / 1000 < 1000
    assert (peaks[1] - peaks[0]) / 900 < 300


def test_every_page_is_there_once(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """Pages come in the order of the serials, and the page of the first part of the file is not among them."""
    pack_label_pdf(pack_spec, range(1, 31), ROLL_100X60, DOTS_203, tmp_path / "out.pdf")
    pages = [page.get_textpage().get_text_range() for page in pdfium.PdfDocument(tmp_path / "out.pdf")]
    assert len(pages) == 30
    for serial, text in enumerate(pages, 1):
        assert f"(21){serial:04d}" in text


@pytest.mark.skipif(shutil.which("pdffonts") is None, reason="poppler's pdffonts is not installed")
def test_another_reader_finds_all_fonts_embedded(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """poppler reads the file without a complaint, and every label font is in it."""
    pack_label_pdf(pack_spec, range(1, 12), SHEET_LETTER_2X5, DOTS_203, tmp_path / "out.pdf", first_place=3)
    done = subprocess.run(["pdffonts", tmp_path / "out.pdf"], capture_output=True, text=True, check=True)
    fonts = [line for line in done.stdout.splitlines()[2:] if line]
    assert done.stderr == ""
    assert len(fonts) >= 3
    assert all("LotwakeLabel" in line and " yes yes " in line for line in fonts), done.stdout


def test_file_that_is_built_otherwise_is_not_guessed_at(tmp_path: Path) -> None:
    """A first part without the marks that are looked for stops everything."""
    with (tmp_path / "out.pdf").open("wb") as file, pytest.raises(RuntimeError, match="writes its files otherwise"):
        PdfUpdate(file, b"%PDF-1.4\n%%EOF", (100, 100))
