"""The case label: three symbols, words above, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pytest

from lotwake.labels.barcodes.dots import DOTS_203, PROFILES
from lotwake.labels.errors import LabelError, WrongData
from lotwake.labels.gs1.keys import make_sscc
from lotwake.labels.layout.case_label import case_label_pdf, lay_out_case
from lotwake.labels.layout.spec import CaseLabelSpec
from lotwake.labels.layout.stock import CASE_A6


@pytest.mark.parametrize("name", PROFILES)
def test_case_label_fits_at_every_resolution(case_spec: CaseLabelSpec, name: str) -> None:
    """Bars are at least 31.75 mm high with modules of at least 0.495 mm, and their white stays on the label."""
    dots = PROFILES[name]
    ink = lay_out_case(case_spec, CASE_A6, dots)
    assert len(ink.symbols) == 3
    for placed in ink.symbols:
        assert dots.mm(placed.height_dots) >= 31.75
        assert dots.mm(placed.bars.x_dots) >= 0.495
        assert placed.left_dots >= placed.bars.quiet_left_dots
        assert dots.mm(placed.left_dots + placed.bars.width_dots + placed.bars.quiet_right_dots) <= CASE_A6.width_mm
    bars_top = max(dots.pt(placed.bottom_dots + placed.height_dots) for placed in ink.symbols)
    words = [text for text in ink.texts if not text.text.startswith("(")]
    assert min(text.y for text in words) > bars_top


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"sscc": "395200000000000013"}, "check digit of SSCC"),
    ({"pack_count": 0}, "pack count is 0"),
    ({"storage": "Keep frozen at -18 °C or colder. " * 9}, "does not fit"),
    ({"lot": "ABCDEFGHIJKLMNOPQRST", "lot_shown": "ABCDEFGHIJKLMNOPQRST"}, "mm wide"),
    ({"storage": "冷凍"}, "The storage holds"),
]


@pytest.mark.parametrize(("changes", "words"), REFUSED)
def test_case_that_cannot_be_labelled_is_refused(
    case_spec: CaseLabelSpec, tmp_path: Path, changes: dict[str, Any], words: str
) -> None:
    """The refusal says what is wrong and leaves no file."""
    with pytest.raises(LabelError, match=words):
        case_label_pdf([replace(case_spec, **changes)], CASE_A6, DOTS_203, tmp_path / "out.pdf")
    assert list(tmp_path.iterdir()) == []


def test_each_case_has_a_number_of_its_own(case_spec: CaseLabelSpec, tmp_path: Path) -> None:
    """The same SSCC twice, or no case, is refused; two numbers make two pages."""
    with pytest.raises(WrongData, match="same SSCC"):
        case_label_pdf([case_spec, case_spec], CASE_A6, DOTS_203, tmp_path / "out.pdf")
    with pytest.raises(WrongData, match="no case"):
        case_label_pdf([], CASE_A6, DOTS_203, tmp_path / "out.pdf")
    case_label_pdf(
        [case_spec, replace(case_spec, sscc=make_sscc("952", 13, 3))], CASE_A6, DOTS_203, tmp_path / "out.pdf"
    )
    assert len(pdfium.PdfDocument(tmp_path / "out.pdf")) == 2
