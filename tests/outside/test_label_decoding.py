"""Finished PDFs, rendered by pdfium at the printer's dots, decoded by zxing-cpp and parsed by biip."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any

import label_specs
import numpy as np
import pypdfium2 as pdfium
import pytest
import zxingcpp
from biip.gs1_messages import GS1Message
from label_specs import SMALL
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas

from lotwake.labels.barcodes.bars import Bars, ean13, gs1_128, itf14
from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_304, DOTS_600, DOTS_609, PrinterDots
from lotwake.labels.barcodes.drawing import bars_path, page_size_pt
from lotwake.labels.gs1.elements import Element
from lotwake.labels.gs1.keys import make_gtin13, make_gtin14
from lotwake.labels.gs1.scan import read_scan
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import lay_out, pack_label_pdf
from lotwake.labels.layout.stock import CASE_A6, ROLL_70X40, ROLL_100X60, SHEET_A4_3X7, Stock
from lotwake.labels.layout.symbols import Design

GTIN = make_gtin13("952", 1)
PACK = replace(
    label_specs.PACK, **SMALL, product_name="Makrell, vår spesialitet", smoking_kind="varmrøkt",
    species_commercial="Atlantic mackerel", species_latin="Scomber scombrus", cook="Heat to 70 °C.",
    producer_name="Đặng & Ñuñez, Καπνιστήριο, Коптильня", origin_lines=("Caught in FAO 27",),
)  # fmt: skip
CASE = replace(label_specs.CASE, product_name="Mackerel", net_g=6000, storage="Keep frozen.", approval_number="")
Image = NDArray[Any]


def _pages(path: Path, dots: PrinterDots) -> list[Image]:
    return [page.render(scale=dots.dpi / 72, grayscale=True).to_numpy() for page in pdfium.PdfDocument(path)]


def _messages(image: Image) -> set[tuple[tuple[str, str], ...]]:
    """Decode every GS1-128 of a picture and let biip tell its elements apart."""
    found = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.Code128)
    assert all(code.symbology_identifier == "]C1" for code in found)
    messages = [GS1Message.parse(code.bytes.decode("ascii")) for code in found]
    for code, message in zip(found, messages, strict=True):
        ours = read_scan("]C1" + code.bytes.decode("ascii"))
        assert [(e.ai, e.value) for e in ours.elements] == [(s.ai.ai, s.value) for s in message.element_strings]
    return {tuple((s.ai.ai, s.value) for s in message.element_strings) for message in messages}


NAME = ("01", f"0{GTIN}")
DATE = ("15", "270525")
LOT = ("10", "26329000421")
PACKS: list[tuple[Stock, PrinterDots, list[int | None], tuple[tuple[str, str], ...]]] = [
    (ROLL_100X60, DOTS_203, [1, 145, 9999, 10_000], (NAME, DATE, LOT)),
    (ROLL_100X60, DOTS_300, [145], (NAME, DATE, LOT)),
    (ROLL_100X60, DOTS_304, [145], (NAME, DATE, LOT)),
    (ROLL_100X60, DOTS_600, [None], (NAME, DATE, LOT)),
    (ROLL_70X40, DOTS_203, [None], (NAME, LOT)),
    (ROLL_70X40, DOTS_300, [None], (NAME, LOT)),
]


@pytest.mark.parametrize(("stock", "dots", "serials", "elements"), PACKS)
def test_pack_label_decodes_to_its_spec(
    tmp_path: Path, stock: Stock, dots: PrinterDots, serials: list[int | None], elements: tuple[tuple[str, str], ...]
) -> None:
    """Every label of the run reads back as what the spec says, its own serial with it."""
    pack_label_pdf(PACK, serials, stock, dots, tmp_path / "out.pdf")
    pages = _pages(tmp_path / "out.pdf", dots)
    assert len(pages) == len(serials)
    for image, serial in zip(pages, serials, strict=True):
        assert image.shape == tuple(reversed(stock.page_dots(dots)))
        digits = 4 if serial is None or serial < 10_000 else 6
        own = () if serial is None else (("21", f"{serial:0{digits}d}"),)
        assert _messages(image) == {(*elements, *own)}


def test_small_label_with_serial_carries_two_symbols(tmp_path: Path) -> None:
    """On 70 x 40 mm name and date are one symbol, lot and number the other."""
    spec = replace(PACK, ingredients="", cook="", origin_lines=(), producer_name="Skarvholm", smoking_kind="smoked")
    pack_label_pdf(spec, [7], ROLL_70X40, DOTS_203, tmp_path / "out.pdf")
    (image,) = _pages(tmp_path / "out.pdf", DOTS_203)
    assert _messages(image) == {(NAME, DATE), (LOT, ("21", "0007"))}


@pytest.mark.parametrize("dots", [DOTS_300, DOTS_600], ids=lambda dots: dots.name)
def test_every_label_of_a_sheet_decodes(tmp_path: Path, dots: PrinterDots) -> None:
    """22 labels fill a sheet and begin a second; each is found in its own place."""
    spec = replace(PACK, cook="", producer_name="Skarvholm")
    pack_label_pdf(spec, [None] * 22, SHEET_A4_3X7, dots, tmp_path / "out.pdf")
    first, second = _pages(tmp_path / "out.pdf", dots)
    width, height = dots.dots_within(SHEET_A4_3X7.width_mm), dots.dots_within(SHEET_A4_3X7.height_mm)
    origins = SHEET_A4_3X7.origins_dots(dots)
    for image, places in ((first, origins), (second, origins[:1])):
        for left, bottom in places:
            top = image.shape[0] - bottom - height
            assert _messages(image[top : top + height, left : left + width]) == {(NAME, LOT)}
    left, bottom = origins[1]
    assert (second[:, left:] > 250).all()


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600, DOTS_609], ids=lambda dots: dots.name)
def test_case_label_decodes_to_its_spec(tmp_path: Path, dots: PrinterDots) -> None:
    """SSCC, content with count, and date with lot are three symbols that read back as the spec."""
    case_label_pdf([CASE], CASE_A6, dots, tmp_path / "out.pdf")
    (image,) = _pages(tmp_path / "out.pdf", dots)
    assert _messages(image) == {(("02", f"0{GTIN}"), ("37", "24")), (DATE, LOT), (("00", CASE.sscc),)}


def _row_widths(row: Image) -> list[int]:
    """Widths of white and black runs from the first bar to the last, in pixels."""
    runs = [(is_black, len(list(group))) for is_black, group in groupby(row < 128)]
    return [length for _, length in runs[1:-1]]


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
def test_every_bar_is_exactly_its_dots(tmp_path: Path, dots: PrinterDots) -> None:
    """In the rendered picture each bar and gap has exactly the dots it was given, and the quiet zones are white."""
    layout = lay_out(PACK, 145, ROLL_100X60, dots)
    pack_label_pdf(PACK, [145], ROLL_100X60, dots, tmp_path / "out.pdf")
    (image,) = _pages(tmp_path / "out.pdf", dots)
    (placed,) = layout.own_ink(145).symbols
    for part in (0.02, 0.5, 0.98):
        row = image[image.shape[0] - placed.bottom_dots - int(placed.height_dots * part) - 1]
        edges = [edge for first, wide in placed.bars.spans for edge in (first, first + wide)]
        assert _row_widths(row) == [right - left for left, right in pairwise(edges)]
        assert (row[placed.left_dots - placed.bars.quiet_left_dots : placed.left_dots] > 250).all()
        end = placed.left_dots + placed.bars.width_dots
        assert (row[end : end + placed.bars.quiet_right_dots] > 250).all()


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
def test_every_module_is_exactly_its_dots(tmp_path: Path, dots: PrinterDots) -> None:
    """In the rendered picture the DataMatrix is dot for dot the symbol that was made, with its white round it."""
    pack_label_pdf(PACK, [145], ROLL_100X60, dots, tmp_path / "out.pdf", design=Design.DATAMATRIX)
    (image,) = _pages(tmp_path / "out.pdf", dots)
    (placed,) = lay_out(PACK, 145, ROLL_100X60, dots, Design.DATAMATRIX).own_ink(145).matrices
    side, quiet = placed.matrix.side_dots, placed.matrix.quiet_dots
    wanted = np.zeros((side + 2 * quiet, side + 2 * quiet), dtype=bool)
    for left, bottom, width, height in placed.matrix.rects:
        wanted[quiet + bottom : quiet + bottom + height, quiet + left : quiet + left + width] = True
    first_row, first_column = placed.bottom_dots - quiet, placed.left_dots - quiet
    upright = image[::-1][first_row : first_row + side + 2 * quiet, first_column : first_column + side + 2 * quiet]
    assert ((upright < 128) == wanted).all()


def test_small_letters_measure_what_the_law_asks(tmp_path: Path) -> None:
    """pdfium measures 1.2 mm for the smallest x on a label that had to go down to the minimum (Reg. 1169/2011)."""
    spec = replace(PACK, pack_face_cm2=None, ingredients="fox box mix, " * 20 + "fish", storage="")
    pack_label_pdf(spec, [None], ROLL_100X60, DOTS_300, tmp_path / "out.pdf")
    text = pdfium.PdfDocument(tmp_path / "out.pdf")[0].get_textpage()
    boxes = [text.get_charbox(place) for place in range(text.count_chars()) if text.get_text_range(place, 1) == "x"]
    heights_mm = [(top - bottom) * 25.4 / 72 for _, bottom, _, top in boxes]
    assert len(boxes) >= 60
    assert 1.199 <= min(heights_mm) < 1.25


def _drawn(bars: Bars, dots: PrinterDots, path: Path) -> Image:
    width, height = bars.total_dots + 40, 200
    canvas = Canvas(str(path), pagesize=page_size_pt(width, height, dots))
    canvas._code.append(bars_path(bars, 20 + bars.quiet_left_dots, 20, 160, dots))
    canvas.save()
    return _pages(path, dots)[0]


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
def test_ean13_and_itf14_decode(tmp_path: Path, dots: PrinterDots) -> None:
    """Both retail and outer-case symbols read back as their number."""
    ean_image = _drawn(ean13(GTIN, dots), dots, tmp_path / "ean.pdf")
    itf_image = _drawn(itf14(make_gtin14(GTIN, 1), dots), dots, tmp_path / "itf.pdf")
    assert [code.text for code in zxingcpp.read_barcodes(ean_image, formats=zxingcpp.BarcodeFormat.EAN13)] == [GTIN]
    assert [code.text for code in zxingcpp.read_barcodes(itf_image)] == [make_gtin14(GTIN, 1)]


def test_generated_messages_decode(tmp_path: Path) -> None:
    """60 random lots and serials, letters and signs among them, read back through drawing, rendering and decoding."""
    rng = random.Random(20261125)
    for _ in range(60):
        lot = "".join(rng.choice("0123456789" * 3 + "ABCXYZabcxyz-./_") for _ in range(rng.randint(1, 12)))
        serial = "".join(rng.choice("0123456789A") for _ in range(rng.randint(1, 8)))
        elements = (Element("01", f"0{GTIN}"), Element("10", lot), Element("21", serial))
        dots = rng.choice([DOTS_203, DOTS_300])
        image = _drawn(gs1_128(elements, rng.choice(dots.pack_x)), dots, tmp_path / "out.pdf")
        assert _messages(image) == {tuple((element.ai, element.value) for element in elements)}
