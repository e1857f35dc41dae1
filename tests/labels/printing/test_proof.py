"""The proof of a run and its pictures: what is right passes, each kind of wrong is found."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, PrinterDots
from lotwake.labels.errors import LabelNotWritten, LabelRefused, WrongData
from lotwake.labels.layout.card_label import card_label_pdf
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import lay_out, pack_label_pdf
from lotwake.labels.layout.spec import CardSpec, CaseLabelSpec, FishOrigin, LabelSpec, checked_spec
from lotwake.labels.layout.stock import CASE_A6, ROLL_58X40, ROLL_100X60, SHEET_A4_3X7, SHEET_LETTER_2X5, Stock
from lotwake.labels.layout.symbols import Design
from lotwake.labels.printing.pictures import png_pages
from lotwake.labels.printing.proof import Scans, card_scans, case_scans, pack_scans, proof, refuse_misprint

SMALL: dict[str, Any] = {"pack_face_cm2": 70, "cook": "Heat to 70 °C.", "origin_lines": ("Caught in FAO 27",)}
RUNS = [
    (ROLL_100X60, DOTS_203, Design.AUTO, {}, 1, 30),
    (ROLL_58X40, DOTS_203, Design.AUTO, SMALL, 1, 5),
    (ROLL_100X60, DOTS_203, Design.QR, SMALL, 1, 5),
    (SHEET_A4_3X7, DOTS_300, Design.AUTO, {**SMALL, "producer_name": "Skarvholm"}, 20, 5),
    (SHEET_LETTER_2X5, DOTS_203, Design.AUTO, SMALL, 3, 12),
]


def _printed(
    spec: LabelSpec, stock: Stock, dots: PrinterDots, design: Design, first: int, count: int, out: Path
) -> list[Scans]:
    pack_label_pdf(spec, range(1, count + 1), stock, dots, out, design=design, first_place=first)
    layout = lay_out(checked_spec(spec), count, stock, dots, design)
    return [pack_scans(layout, serial) for serial in range(1, count + 1)]


@pytest.mark.parametrize(("stock", "dots", "design", "changes", "first", "count"), RUNS)
def test_right_run_passes_and_a_wrong_serial_does_not(
    pack_spec: LabelSpec,
    tmp_path: Path,
    stock: Stock,
    dots: PrinterDots,
    design: Design,
    changes: dict[str, Any],
    first: int,
    count: int,
) -> None:
    """Each label reads as the record says; with the serials shifted by one the first label is a misprint."""
    spec, out = replace(pack_spec, **changes), tmp_path / "out.pdf"
    expected = _printed(spec, stock, dots, design, first, count, out)
    found = proof(out, expected, stock, dots, first)
    assert found.misprints == ()
    assert found.labels >= min(count, 5)
    refuse_misprint(found)
    shifted = proof(out, [*expected[1:], expected[0]], stock, dots, first)
    assert (shifted.misprints[0].page, shifted.misprints[0].place) == (1, first)
    with pytest.raises(LabelRefused, match=r"do not read as the record says, page 1, label .*there is no"):
        refuse_misprint(shifted)


def test_long_run_is_sampled_with_both_ends(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """Of 30 pages twelve are looked at, the first and the last among them."""
    out = tmp_path / "out.pdf"
    expected = _printed(pack_spec, ROLL_100X60, DOTS_203, Design.AUTO, 1, 30, out)
    assert proof(out, expected, ROLL_100X60, DOTS_203).pages == 12
    for place in (0, 29):
        wrong = [*expected]
        wrong[place] = expected[5]
        misprints = proof(out, wrong, ROLL_100X60, DOTS_203).misprints
        assert {misprint.page for misprint in misprints} == {place + 1}


def test_pages_too_few_and_another_size_are_found(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """A file with too few pages, and pages of another stock or resolution, are misprints."""
    out = tmp_path / "out.pdf"
    expected = _printed(pack_spec, ROLL_100X60, DOTS_203, Design.AUTO, 1, 3, out)
    assert "has 3 pages, not 4" in proof(out, [*expected, expected[0]], ROLL_100X60, DOTS_203).misprints[0].what
    other = proof(out, expected, ROLL_58X40, DOTS_203).misprints
    assert "the page is 800 x 480 dots, not 464 x 320" in other[0].what


def test_cases_and_cards_are_proofed(case_spec: CaseLabelSpec, tmp_path: Path) -> None:
    """All symbols of a case, the DataMatrix with its origin too, and the code of a card read back."""
    origin = FishOrigin("27.3.d.28.2", date(2026, 11, 1), date(2026, 11, 3), "HAD", "LLS", "01")
    case = replace(case_spec, origin=origin)
    case_label_pdf([case], CASE_A6, DOTS_203, tmp_path / "case.pdf")
    assert len(case_scans(case)) == 4
    assert proof(tmp_path / "case.pdf", [case_scans(case)], CASE_A6, DOTS_203).misprints == ()
    card = CardSpec("Haddock", "22632900557", "226-329-005-57")
    card_label_pdf([card], ROLL_100X60, DOTS_203, tmp_path / "card.pdf")
    assert card_scans(card) == ("]C19122632900557",)
    assert proof(tmp_path / "card.pdf", [card_scans(card)], ROLL_100X60, DOTS_203).misprints == ()


def test_pictures_have_the_dots_of_the_printer(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """A PNG has one pixel for each dot and knows its dots per inch; a page that is not there is said."""
    out = tmp_path / "out.pdf"
    pack_label_pdf(pack_spec, [1, 2, 3], ROLL_100X60, DOTS_300, out)
    (path,) = png_pages(out, DOTS_300, tmp_path, [2])
    assert path.name == "out-2.png"
    with Image.open(path) as image:
        assert image.size == ROLL_100X60.page_dots(DOTS_300)
        assert image.info["dpi"] == pytest.approx((300, 300), abs=0.1)
    assert len(png_pages(out, DOTS_300, tmp_path)) == 3
    with pytest.raises(WrongData, match="has 3 pages, not a page 4"):
        png_pages(out, DOTS_300, tmp_path, [4])
    with pytest.raises(LabelNotWritten, match="no folder"):
        png_pages(out, DOTS_300, tmp_path / "away")


def test_file_that_is_no_pdf_is_said(tmp_path: Path) -> None:
    """Something else than a PDF, or nothing, gives a sentence."""
    (tmp_path / "no.pdf").write_text("labels")
    with pytest.raises(WrongData, match="cannot be read as a PDF"):
        proof(tmp_path / "no.pdf", [()], ROLL_100X60, DOTS_203)
    with pytest.raises(WrongData, match="cannot be read as a PDF"):
        png_pages(tmp_path / "away.pdf", DOTS_203, tmp_path)
