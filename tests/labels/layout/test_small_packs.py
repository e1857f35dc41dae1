"""Small packs, catch weight, half-used sheets and samples: what is laid out where, and what each label says."""

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
from lotwake.labels.errors import LabelRefused, WrongData
from lotwake.labels.gs1.elements import Element
from lotwake.labels.layout.calibration import calibration_pdf
from lotwake.labels.layout.card_label import card_label_pdf, lay_out_card
from lotwake.labels.layout.case_label import lay_out_case
from lotwake.labels.layout.faces import PT_PER_MM, text_width
from lotwake.labels.layout.ink import Ink
from lotwake.labels.layout.languages import bilingual, english, phrases_of
from lotwake.labels.layout.pack_label import lay_out, pack_label_pdf
from lotwake.labels.layout.spec import CardSpec, CaseLabelSpec, FishOrigin, LabelSpec, checked_spec
from lotwake.labels.layout.stock import (
    CARD_STOCKS,
    CASE_A6,
    PACK_STOCKS,
    ROLL_58X40,
    ROLL_70X40,
    ROLL_100X60,
    SHEET_A4_3X7,
    Stock,
)
from lotwake.labels.layout.symbols import Design, Plan

SMALL: dict[str, Any] = {"pack_face_cm2": 70, "cook": "Heat to 70 °C.", "origin_lines": ("Caught in FAO 27",)}
ORIGIN = FishOrigin("27.3.d.28.2", date(2026, 11, 1), date(2026, 11, 3), "HAD", "LLS", "01")
CARD = CardSpec("Haddock, hot smoked", "22632900557", "226-329-005-57", "3 of 12", (("Raw", "48.5 kg"),))
Box = tuple[float, float, float, float]


def _boxes(inks: Sequence[Ink], dots: PrinterDots) -> list[Box]:
    """Every text and symbol of a label, 2D symbols with their white, in points."""
    boxes: list[Box] = []
    for ink in inks:
        for text in ink.texts:
            width = text_width(text.text, text.style, text.width, text.size_pt)
            boxes.append((text.x, text.y - 0.2 * text.size_pt, text.x + width, text.y + 0.73 * text.size_pt))
        for bars in ink.symbols:
            left, bottom = bars.left_dots, bars.bottom_dots
            boxes.append(_pt((left, bottom, left + bars.bars.width_dots, bottom + bars.height_dots), dots))
        for placed in ink.matrices:
            side, quiet = placed.matrix.side_dots, placed.matrix.quiet_dots
            left, bottom = placed.left_dots - quiet, placed.bottom_dots - quiet
            boxes.append(_pt((left, bottom, left + side + 2 * quiet, bottom + side + 2 * quiet), dots))
    return boxes


def _pt(box: tuple[int, int, int, int], dots: PrinterDots) -> Box:
    left, bottom, right, top = map(dots.pt, box)
    return left, bottom, right, top


def _assert_apart(boxes: Sequence[Box], stock: Stock) -> None:
    for left, bottom, right, top in boxes:
        assert 0 < left < right < stock.width_mm * PT_PER_MM
        assert 0 < bottom < top < stock.height_mm * PT_PER_MM
    for one, other in combinations(boxes, 2):
        apart = one[2] <= other[0] + 0.01 or other[2] <= one[0] + 0.01 or one[3] <= other[1] or other[3] <= one[1]
        assert apart, (one, other)


PLACES = [
    (ROLL_58X40, Design.AUTO, SMALL, Plan.DATAMATRIX),
    (ROLL_70X40, Design.AUTO, SMALL, Plan.DATAMATRIX),
    (ROLL_100X60, Design.DATAMATRIX, {"origin": ORIGIN}, Plan.DATAMATRIX),
    (ROLL_100X60, Design.QR, SMALL, Plan.QR),
    (ROLL_100X60, Design.LINE, {}, Plan.ONE),
]


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
@pytest.mark.parametrize(("stock", "design", "changes", "plan"), PLACES)
def test_two_dimensional_symbols_keep_their_place(
    pack_spec: LabelSpec, stock: Stock, design: Design, changes: dict[str, Any], plan: Plan, dots: PrinterDots
) -> None:
    """The plan is the one that fits, and no text comes into the symbol or its white."""
    layout = lay_out(checked_spec(replace(pack_spec, **changes)), 145, stock, dots, design)
    assert layout.plan is plan
    _assert_apart(_boxes((layout.shared, layout.own_ink(7)), dots), stock)


def test_origin_stays_in_words_where_the_symbol_grows_too_large(pack_spec: LabelSpec) -> None:
    """On 58 x 40 mm at 203 dpi the DataMatrix leaves the origin out rather than refuse the label."""
    layout = lay_out(checked_spec(replace(pack_spec, **SMALL, origin=ORIGIN)), 145, ROLL_58X40, DOTS_203)
    assert layout.plan is Plan.NO_ORIGIN
    _assert_apart(_boxes((layout.shared, layout.own_ink(7)), DOTS_203), ROLL_58X40)


def test_origin_is_in_the_symbol_where_there_is_room(pack_spec: LabelSpec) -> None:
    """A DataMatrix holds catch area, dates, species, gear and method; a line symbol leaves them to the words."""
    spec = checked_spec(replace(pack_spec, origin=ORIGIN))
    (matrix,) = lay_out(spec, 145, ROLL_100X60, DOTS_203, Design.DATAMATRIX).symbols(145)
    fish = {"7005": "27.3.d.28.2", "7007": "261101261103", "7008": "HAD", "7009": "LLS", "7010": "01"}
    assert fish.items() <= {element.ai: element.value for element in matrix}.items()
    (line,) = lay_out(spec, 145, ROLL_100X60, DOTS_203).symbols(145)
    assert not fish.keys() & {element.ai for element in line}


MARKED: list[tuple[Stock, dict[str, Any], int | None]] = [
    (ROLL_100X60, {}, 145),
    (ROLL_70X40, SMALL, 145),
    (ROLL_70X40, {**SMALL, "origin_lines": ()}, None),
]


@pytest.mark.parametrize(("stock", "changes", "serial"), MARKED)
def test_mark_stands_in_its_oval(
    pack_spec: LabelSpec, stock: Stock, changes: dict[str, Any], serial: int | None
) -> None:
    """The lines of the identification mark lie in their oval, and nothing else does."""
    lines = ("NO", "X-999", "EFTA")
    layout = lay_out(checked_spec(replace(pack_spec, **changes, approval_mark=lines)), serial, stock, DOTS_203)
    (oval,) = layout.shared.ovals
    assert {text.text for text in layout.shared.texts} >= set(lines)
    inks = (layout.shared, layout.own_ink(serial))
    others = tuple(text for ink in inks for text in ink.texts if text.text not in lines)
    symbols, matrices = [part for ink in inks for part in ink.symbols], [part for ink in inks for part in ink.matrices]
    boxes = _boxes([Ink(others, (), tuple(symbols), tuple(matrices))], DOTS_203)
    box = (oval.x, oval.y, oval.x + oval.width, oval.y + oval.height)
    _assert_apart([*boxes, box], stock)
    for text in layout.shared.texts:
        if text.text in lines:
            end = text.x + text_width(text.text, text.style, text.width, text.size_pt)
            assert box[0] < text.x < end < box[2]
            assert box[1] < text.y - 0.2 * text.size_pt < text.y + 0.73 * text.size_pt < box[3]


def test_use_by_is_said_and_encoded(pack_spec: LabelSpec) -> None:
    """A use-by date has its own words and AI (17); both dates, or none, are refused."""
    spec = checked_spec(replace(pack_spec, best_before=None, use_by=date(2026, 12, 20)))
    layout = lay_out(spec, None, ROLL_100X60, DOTS_203)
    assert Element("17", "261220") in layout.symbols(None)[0]
    assert "Use by" in {text.text for text in layout.shared.texts}
    with pytest.raises(LabelRefused, match="best-before and a use-by"):
        checked_spec(replace(pack_spec, use_by=date(2026, 12, 20)))
    with pytest.raises(LabelRefused, match="no durability date"):
        checked_spec(replace(pack_spec, best_before=None))


def test_catch_weight_is_on_each_pack(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """Each label shows and encodes its own weight, and the widest one decides the layout."""
    spec = replace(pack_spec, catch_weight=True)
    pack_label_pdf(spec, [1, 2], ROLL_100X60, DOTS_203, tmp_path / "out.pdf", weights_g=[1305, 987])
    texts = [page.get_textpage().get_text_range() for page in pdfium.PdfDocument(tmp_path / "out.pdf")]
    assert "1.305 kg" in texts[0].replace("\xa0", " ")
    assert "(3103)001305" in texts[0]
    assert "987 g" in texts[1].replace("\xa0", " ")
    assert "(3103)000987" in texts[1]
    layout = lay_out(checked_spec(replace(spec, net_g=1305)), 2, ROLL_100X60, DOTS_203)
    _assert_apart(_boxes((layout.shared, layout.own_ink(2, 987)), DOTS_203), ROLL_100X60)


@pytest.mark.parametrize(
    ("changes", "weights_g", "words"),
    [
        ({"catch_weight": True}, [], "have a weight each"),
        ({}, [300, 310], "have a weight each"),
        ({"catch_weight": True}, [300], "1 weights for 2 labels"),
        ({"catch_weight": True}, [300, 0], "net weight of 0 g"),
    ],
)
def test_weights_that_do_not_match_are_refused(
    pack_spec: LabelSpec, tmp_path: Path, changes: dict[str, Any], weights_g: list[int], words: str
) -> None:
    """Every pack of catch weight has one weight above nothing, other packs have none, and no file is left."""
    spec = replace(pack_spec, **changes)
    with pytest.raises(WrongData, match=words):
        pack_label_pdf(spec, [1, 2], ROLL_100X60, DOTS_203, tmp_path / "out.pdf", weights_g=weights_g)
    assert list(tmp_path.iterdir()) == []


def test_begun_sheet_is_used_up(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """Printing from label 20 of 21 leaves the first 19 places white and goes on on a second sheet."""
    spec = replace(pack_spec, **SMALL, producer_name="Skarvholm", smoking_kind="smoked")
    pack_label_pdf(spec, [None] * 3, SHEET_A4_3X7, DOTS_203, tmp_path / "out.pdf", first_place=20)
    first, second = (
        page.render(scale=DOTS_203.dpi / 72, grayscale=True).to_numpy()
        for page in pdfium.PdfDocument(tmp_path / "out.pdf")
    )
    origins = SHEET_A4_3X7.origins_dots(DOTS_203)
    width, height = DOTS_203.dots_within(SHEET_A4_3X7.width_mm), DOTS_203.dots_within(SHEET_A4_3X7.height_mm)
    for image, used in ((first, {19, 20}), (second, {0})):
        for place, (left, bottom) in enumerate(origins):
            top = image.shape[0] - bottom - height
            dark = (image[top : top + height, left : left + width] < 128).any()
            assert dark == (place in used), place


def test_sample_says_so_across_the_label(pack_spec: LabelSpec, tmp_path: Path) -> None:
    """SAMPLE, in the languages of the label, is on every page of a sample and on no other."""
    both = bilingual(english(), phrases_of("french"))
    for name, sample in (("sample.pdf", True), ("real.pdf", False)):
        pack_label_pdf(replace(pack_spec, phrases=both), [1], ROLL_100X60, DOTS_203, tmp_path / name, sample=sample)
        text = pdfium.PdfDocument(tmp_path / name)[0].get_textpage().get_text_range()
        assert ("SAMPLE / ÉCHANTILLON" in text) is sample


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
def test_case_label_with_origin_keeps_apart(case_spec: CaseLabelSpec, dots: PrinterDots) -> None:
    """The DataMatrix with the fish's origin stands beside the words and above the bars."""
    ink = lay_out_case(checked_spec(replace(case_spec, origin=ORIGIN)), CASE_A6, dots)
    assert len(ink.matrices) == 1
    _assert_apart(_boxes([ink], dots), CASE_A6)


def test_long_name_leaves_the_origin_its_room(case_spec: CaseLabelSpec) -> None:
    """A name that would push the DataMatrix into the bars is set smaller, or refused."""
    spec = replace(case_spec, origin=ORIGIN, product_name="Haddock fillets with skin, from the first catch of the year")
    _assert_apart(_boxes([lay_out_case(checked_spec(spec), CASE_A6, DOTS_203)], DOTS_203), CASE_A6)


@pytest.mark.parametrize("stock", CARD_STOCKS.values(), ids=lambda stock: stock.name)
@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
def test_card_keeps_its_parts_apart(stock: Stock, dots: PrinterDots) -> None:
    """Code, title, details and barcode of a batch card lie on it, apart from each other."""
    _assert_apart(_boxes([lay_out_card(checked_spec(CARD), stock, dots)], dots), stock)


def test_card_that_cannot_be_is_refused(tmp_path: Path) -> None:
    """No card, and a code that reads otherwise than it scans, are refused."""
    with pytest.raises(WrongData, match="no card"):
        card_label_pdf([], ROLL_100X60, DOTS_203, tmp_path / "out.pdf")
    with pytest.raises(LabelRefused, match="The code is 22632900557"):
        card_label_pdf([replace(CARD, code_shown="226-329-005-75")], ROLL_100X60, DOTS_203, tmp_path / "out.pdf")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("stock", PACK_STOCKS.values(), ids=lambda stock: stock.name)
def test_calibration_page_shows_every_place(stock: Stock, tmp_path: Path) -> None:
    """One page with as many numbered outlines as there are labels on it, and a ruler of the length it names."""
    calibration_pdf(stock, DOTS_300, tmp_path / "out.pdf")
    document = pdfium.PdfDocument(tmp_path / "out.pdf")
    assert len(document) == 1
    text = document[0].get_textpage().get_text_range()
    assert text.count("Print at 100 %") == stock.places
    assert f"{stock.places}: {stock.width_mm:g} x {stock.height_mm:g} mm, 300 dpi" in text
