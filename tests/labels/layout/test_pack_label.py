"""The pack label: what is laid out, what is refused, and that nothing overlaps or leaves its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import combinations
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pytest

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PrinterDots
from lotwake.labels.errors import LabelError, LabelNotWritten, LabelRefused, WrongData
from lotwake.labels.layout.faces import PT_PER_MM, X_HEIGHT_PER_EM, Style, text_width
from lotwake.labels.layout.pack_label import Plan, lay_out, pack_label_pdf
from lotwake.labels.layout.pack_words import emphasised
from lotwake.labels.layout.spec import LabelSpec, checked_spec
from lotwake.labels.layout.stock import ROLL_70X40, ROLL_100X60, SHEET_A4_3X7, Stock
from lotwake.labels.layout.text import PlacedText

SMALL = {"pack_face_cm2": 70, "cook": "Heat to 70 °C.", "origin_lines": ("Caught in FAO 27",)}
PLACES: list[tuple[Stock, PrinterDots, int | None, dict[str, Any], Plan]] = [
    (ROLL_100X60, DOTS_203, 145, {}, Plan.ONE),
    (ROLL_100X60, DOTS_203, None, {}, Plan.ONE),
    (ROLL_100X60, DOTS_300, 12_345, {}, Plan.ONE),
    (ROLL_100X60, DOTS_600, 145, {}, Plan.ONE),
    (ROLL_70X40, DOTS_203, None, SMALL, Plan.NO_DATE),
    (ROLL_70X40, DOTS_300, None, SMALL, Plan.NO_DATE),
    (SHEET_A4_3X7, DOTS_300, None, SMALL, Plan.NO_DATE),
    (SHEET_A4_3X7, DOTS_600, None, SMALL, Plan.NO_DATE),
]


def _written(path: Path) -> str:
    return " ".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(path)).replace("\xa0", " ")


def _boxes(texts: Sequence[PlacedText]) -> list[tuple[float, float, float, float]]:
    sizes = [(text, text_width(text.text, text.style, text.width, text.size_pt)) for text in texts]
    return [(t.x, t.y - 0.2 * t.size_pt, t.x + width, t.y + 0.73 * t.size_pt) for t, width in sizes]


@pytest.mark.parametrize(("stock", "dots", "serial", "changes", "plan"), PLACES)
def test_nothing_overlaps_or_leaves_the_label(
    pack_spec: LabelSpec, stock: Stock, dots: PrinterDots, serial: int | None, changes: dict[str, Any], plan: Plan
) -> None:
    """Every text and symbol with its quiet zone lies on the label, and no two texts or text and bars touch."""
    layout = lay_out(checked_spec(replace(pack_spec, **changes)), serial, stock, dots)
    assert layout.plan is plan
    own = layout.own_ink(serial)
    boxes = _boxes((*layout.shared.texts, *own.texts))
    width_pt, height_pt = stock.width_mm * PT_PER_MM, stock.height_mm * PT_PER_MM
    for placed in (*layout.shared.symbols, *own.symbols):
        left, bars = placed.left_dots, placed.bars
        assert left - bars.quiet_left_dots >= 0
        assert dots.pt(left + bars.width_dots + bars.quiet_right_dots) <= width_pt
        bottom = dots.pt(placed.bottom_dots)
        boxes.append((dots.pt(left), bottom, dots.pt(left + bars.width_dots), bottom + dots.pt(placed.height_dots)))
    for left_pt, bottom, right_pt, top in boxes:
        assert 0 < left_pt < right_pt < width_pt
        assert 0 < bottom < top < height_pt
    for one, other in combinations(boxes, 2):
        apart = one[2] <= other[0] + 0.01 or other[2] <= one[0] + 0.01 or one[3] <= other[1] or other[3] <= one[1]
        assert apart, (one, other)


@pytest.mark.parametrize(("stock", "dots", "serial", "changes"), [place[:4] for place in PLACES])
def test_no_type_is_under_the_minimum(
    pack_spec: LabelSpec, stock: Stock, dots: PrinterDots, serial: int | None, changes: dict[str, Any]
) -> None:
    """Every particular has an x-height of 1.2 mm, or 0.9 mm on a pack with a small face."""
    layout = lay_out(checked_spec(replace(pack_spec, **changes)), serial, stock, dots)
    least_mm = 0.9 if changes else 1.2
    hri = [row.hri.text for row in layout.own_rows] if layout.own_rows else [s.bars.hri for s in layout.shared.symbols]
    particulars = [text for text in (*layout.shared.texts, *layout.slots) if text.text not in hri]
    assert min(text.size_pt for text in particulars) * X_HEIGHT_PER_EM / PT_PER_MM >= least_mm - 1e-9


def test_label_says_everything_in_the_spec(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """Each particular can be read out of the finished PDF, dates with the month in letters."""
    pack_label_pdf(pack_spec, [145], ROLL_100X60, DOTS_203, tmp_path / "out.pdf")
    text = " ".join(_written(tmp_path / "out.pdf").split())
    for words in (
        "Haddock fillets, hot smoked", "Melanogrammus aeglefinus", "300 g", "Ingredients: haddock (fish) 97 %",
        "Contains: fish", "−18 °C or colder", "70 °C for 2 minutes", "(FAO 27)", "25 May 2027", "25 Nov 2026",
        "26329 000421", "0145", "Skarvholm Smokehouse", "NO X-999", "(01)09520000000011(15)270525(10)26329000421(21)0145",
    ):  # fmt: skip
        assert words in text, words


def test_empty_particulars_leave_no_heading(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """What may be empty is left out, heading and all."""
    spec = replace(pack_spec, ingredients="", allergens=(), cook="", approval_number="", origin_lines=())
    pack_label_pdf(spec, [None], ROLL_100X60, DOTS_203, tmp_path / "out.pdf")
    text = _written(tmp_path / "out.pdf")
    assert not any(heading in text for heading in ("Ingredients", "Contains", "Approval", "Pack no."))


def test_smoking_kind_is_named_once(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """A product called hot smoked already is not called so twice."""
    pack_label_pdf(
        replace(pack_spec, product_name="Hot smoked haddock"), [None], ROLL_100X60, DOTS_203, tmp_path / "o.pdf"
    )
    assert _written(tmp_path / "o.pdf").casefold().count("hot smoked") == 1


def test_allergens_are_bold_wherever_they_stand() -> None:
    """Whole words only, whatever their case."""
    runs = emphasised("Fish, fishing, salt, fish", ["fish"])
    assert [(run.text, run.style) for run in runs] == [
        ("Fish", Style.BOLD), (", fishing, salt, ", Style.REGULAR), ("fish", Style.BOLD),
    ]  # fmt: skip


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"storage": "Keep frozen. " * 80}, r"does not fit at the smallest type allowed: \d+\.\d mm more height"),
    ({"product_name": "Haddock" * 12}, r"name of the food does not fit .* mm more width"),
    ({"ingredients": "鱈, salt"}, r"The ingredients holds '鱈' \(U\+9C48\)"),
    ({"origin_lines": ("Caught\tnear", "x")}, r"The origin lines holds .*U\+0009"),
    ({"cook": "a\u0323\u0333"}, r"The cook holds .*U\+0333"),
    ({"producer_name": " "}, "The label has no producer name"),
    ({"allergens": ("",)}, "The label has no allergens"),
    ({"best_before": date(2026, 11, 24)}, "before the packing date"),
    ({"lot_shown": "26329 000412"}, "The lot is 26329000421 in the barcode"),
    ({"net_g": 0}, "must be above zero"),
    ({"gtin": "9520000000012"}, "check digit"),
    ({"lot": "LOT A", "lot_shown": "LOT A"}, "holds a space"),
]


@pytest.mark.parametrize(("changes", "words"), REFUSED)
def test_what_cannot_be_printed_is_refused_in_words(
    pack_spec: LabelSpec, tmp_path: Path, changes: dict[str, Any], words: str
) -> None:
    """The refusal names the field and what is missing, gives a code for the shell, and leaves no file."""
    out = tmp_path / "out.pdf"
    with pytest.raises(LabelError, match=words) as caught:
        pack_label_pdf(replace(pack_spec, **changes), [145], ROLL_100X60, DOTS_203, out)
    assert caught.value.exit_code in (2, 3)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("serials", [[], [0], [3, 4, 3], [1, None]])
def test_serials_that_cannot_be_are_refused(pack_spec: LabelSpec, tmp_path: Path, serials: list[int | None]) -> None:
    """No label, number nought, a number twice, and some with some without are refused."""
    with pytest.raises(WrongData):
        pack_label_pdf(pack_spec, serials, ROLL_100X60, DOTS_203, tmp_path / "out.pdf")


def test_same_labels_give_the_same_bytes(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """Two runs of the same labels differ in no byte."""
    for name in ("one.pdf", "two.pdf"):
        pack_label_pdf(pack_spec, [1, 2, 3], ROLL_100X60, DOTS_300, tmp_path / name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_composed_and_decomposed_letters_are_the_same(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """An accent typed as a mark of its own prints as the accented letter."""
    spec = replace(pack_spec, producer_name="Cafe\u0301 Ro\u0308ker")
    pack_label_pdf(spec, [None], ROLL_100X60, DOTS_203, tmp_path / "out.pdf")
    assert "Café Röker" in _written(tmp_path / "out.pdf")


def test_progress_counts_and_can_stop(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """Progress is told of every label; when it raises, no file is left."""
    seen: list[tuple[int, int]] = []
    pack_label_pdf(pack_spec, [1, 2], ROLL_100X60, DOTS_203, tmp_path / "out.pdf", lambda *done: seen.append(done))
    assert seen == [(1, 2), (2, 2)]

    def stop(done: int, _count: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        pack_label_pdf(pack_spec, [1, 2, 3], ROLL_100X60, DOTS_203, tmp_path / "stopped.pdf", stop)
    assert [path.name for path in tmp_path.iterdir()] == ["out.pdf"]


def test_folder_that_is_not_there_is_said(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """A file that cannot be written gives a sentence and the code of a failed machine."""
    with pytest.raises(LabelNotWritten, match="cannot be written") as caught:
        pack_label_pdf(pack_spec, [1], ROLL_100X60, DOTS_203, tmp_path / "away" / "out.pdf")
    assert caught.value.exit_code == 6


def test_small_roll_refuses_full_text(pack_spec: LabelSpec) -> None:
    """Full text at 1.2 mm does not go on 70 x 40 mm, and the hint says when smaller type is allowed."""
    with pytest.raises(LabelRefused, match="does not fit") as caught:
        lay_out(checked_spec(pack_spec), None, ROLL_70X40, DOTS_203)
    assert "80 cm2" in caught.value.hint
