"""The case label: three symbols, words above, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pytest

from lotwake.labels.barcodes.dots import DOTS_203, PROFILES
from lotwake.labels.checks.on_paper import UNIT_ON_PAPER, check_on_paper, measured
from lotwake.labels.errors import LabelError, LabelRefused, WrongData
from lotwake.labels.gs1.keys import make_sscc
from lotwake.labels.layout.case_label import case_label_pdf, lay_out_case, lay_out_logistic
from lotwake.labels.layout.spec import CaseLabelSpec, MixedLabelSpec
from lotwake.labels.layout.stock import CASE_A6
from lotwake.labels.printing.proof import case_scans, proof


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


MIXED = MixedLabelSpec(
    sscc=make_sscc("952", 13, 3),
    pairs=(("Cases", "9"), ("Packs on pallet", "192"), ("Net", "41.2 kg")),
    contents=tuple(
        f"{count} x Hot smoked haddock, Lot 326-329-014-09, Best before 25 May 2027" for count in range(1, 9)
    ),
    storage="Keep frozen at -18 °C or colder.",
    producer_name="Skarvholm Smokehouse",
    producer_address="Quay 4, 9999 Skarvholm",
    approval_number="NO X-999",
)


def test_a_mixed_unit_lists_its_lots_above_its_sscc(tmp_path: Path, case_spec: CaseLabelSpec) -> None:
    """One symbol, the SSCC, and a line for each lot; it goes into one file with labels of units of one lot, and reads back."""
    case_label_pdf([case_spec, MIXED], CASE_A6, DOTS_203, tmp_path / "out.pdf")
    scans = [case_scans(case_spec), case_scans(MIXED)]
    assert scans[1] == (f"]C100{MIXED.sscc}",)
    assert proof(tmp_path / "out.pdf", scans, CASE_A6, DOTS_203).misprints == ()
    ink = lay_out_logistic(MIXED, CASE_A6, DOTS_203)
    said = " ".join(text.text for text in ink.texts)
    assert [f"{count} x Hot smoked haddock" in said for count in range(1, 9)] == [True] * 8
    assert check_on_paper(UNIT_ON_PAPER, measured(ink, CASE_A6, DOTS_203)) == ()


def test_more_lots_than_fit_are_refused(case_spec: CaseLabelSpec) -> None:
    """A list that would have to be cut is refused, with the height that is missing; a lot twice under one SSCC is no unit."""
    with pytest.raises(LabelRefused, match="The list of lots does not fit at the smallest type allowed"):
        lay_out_logistic(replace(MIXED, contents=MIXED.contents * 8), CASE_A6, DOTS_203)
    with pytest.raises(WrongData, match="Two cases have the same SSCC"):
        case_label_pdf([case_spec, replace(MIXED, sscc=case_spec.sscc)], CASE_A6, DOTS_203, Path("none.pdf"))


def test_a_pallet_of_one_lot_says_its_cases(case_spec: CaseLabelSpec) -> None:
    """Packs on the pallet and cases on it, in place of packs in a case."""
    said = " ".join(text.text for text in lay_out_logistic(replace(case_spec, cases=9), CASE_A6, DOTS_203).texts)
    assert "Packs on pallet" in said
    assert "Cases 9" in said.replace("Cases  9", "Cases 9")
    assert "Packs in case" not in said
