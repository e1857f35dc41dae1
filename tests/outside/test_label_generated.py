"""Every stock and design at three resolutions, and generated labels, read back by zxing-cpp and parsed by biip.

30 labels are generated; ``LABELS_TO_DECODE=1000`` in the environment asks for more.
"""

from __future__ import annotations

import os
import random
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import label_specs
import pypdfium2 as pdfium
import pytest
import zxingcpp
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from biip.gs1_messages import GS1Message
from label_specs import SMALL

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PrinterDots
from lotwake.labels.errors import LabelRefused
from lotwake.labels.gs1.keys import make_gtin13, make_gtin14
from lotwake.labels.layout.card_label import card_label_pdf
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.spec import CardSpec, FishOrigin, LabelSpec
from lotwake.labels.layout.stock import CARD_STOCKS, CASE_A6, PACK_STOCKS, ROLL_58X40, Stock
from lotwake.labels.layout.symbols import Design

COUNT = int(os.environ.get("LABELS_TO_DECODE", "30"))
RESOLUTIONS = (DOTS_203, DOTS_300, DOTS_600)
GTIN = make_gtin13("952", 1)
# One day, for biip reads no range of days.
ORIGIN = FishOrigin("27.3.d.28.2", date(2026, 11, 1), date(2026, 11, 1), "MAC", "LHP", "01")
FISH = {"7005": "27.3.d.28.2", "7007": "261101", "7008": "MAC", "7009": "LHP", "7010": "01"}
PACK = replace(
    label_specs.PACK, **SMALL, product_name="Mackerel", species_commercial="Atlantic mackerel",
    species_latin="Scomber scombrus", gtin=GTIN, lot="32632901457", lot_shown="326-329-014-57", cook="",
    producer_name="Skarvholm", producer_address="Quay 4", origin_lines=(),
)  # fmt: skip
CASE = replace(
    label_specs.CASE, product_name="Mackerel", gtin=GTIN, net_g=6000, lot=PACK.lot, lot_shown=PACK.lot_shown,
    storage="Keep frozen.", approval_number="", origin=ORIGIN,
)  # fmt: skip


def _read(path: Path, dots: PrinterDots) -> dict[str, str]:
    """Return every AI of all symbols on the first page; on a sheet only its first label is printed."""
    image = pdfium.PdfDocument(path)[0].render(scale=dots.dpi / 72, grayscale=True).to_numpy()
    found: dict[str, str] = {}
    for code in zxingcpp.read_barcodes(image):
        if code.symbology_identifier == "]E0":
            assert found.setdefault("01", code.text.zfill(14)) == code.text.zfill(14)
            continue
        if code.symbology_identifier == "]Q1":
            strings = GS1DigitalLinkURI.parse(code.text).element_strings
        else:
            assert code.symbology_identifier in ("]C1", "]d2"), code.symbology_identifier
            strings = GS1Message.parse(code.bytes.decode("ascii")).element_strings
        for element in strings:
            assert found.setdefault(element.ai.ai, element.value) == element.value
    return found


def _pack_elements(spec: LabelSpec, serial: int) -> dict[str, str]:
    day = spec.best_before or spec.use_by
    assert day
    ai = "15" if spec.best_before else "17"
    digits = 4 if serial < 10_000 else 6
    gtin = spec.gtin.zfill(14)
    return {"01": gtin, ai: f"{day:%y%m%d}", "10": spec.lot, "21": f"{serial:0{digits}d}"}


@pytest.mark.parametrize("dots", RESOLUTIONS, ids=lambda dots: dots.name)
@pytest.mark.parametrize("design", Design, ids=lambda design: design.name)
@pytest.mark.parametrize("stock", PACK_STOCKS.values(), ids=lambda stock: stock.name)
def test_every_stock_and_design_decodes(tmp_path: Path, stock: Stock, design: Design, dots: PrinterDots) -> None:
    """What fits reads back whole; what does not fit is refused and leaves no file."""
    out = tmp_path / "out.pdf"
    try:
        pack_label_pdf(PACK, [145], stock, dots, out, design=design)
    except LabelRefused:
        assert design in (Design.LINE, Design.QR, Design.TILL), "a DataMatrix fits every stock"
        assert not out.exists()
        return
    read = _read(out, dots)
    expected = _pack_elements(PACK, 145)
    assert read == expected or (design in (Design.LINE, Design.AUTO) and read == expected | read and "15" not in read)


@pytest.mark.parametrize("dots", RESOLUTIONS, ids=lambda dots: dots.name)
def test_case_with_origin_decodes(tmp_path: Path, dots: PrinterDots) -> None:
    """Three lines and a DataMatrix agree, and the fish's origin is in them."""
    case_label_pdf([CASE], CASE_A6, dots, tmp_path / "out.pdf")
    trade = {"00": CASE.sscc, "02": GTIN.zfill(14), "37": "24", "15": "270525", "10": CASE.lot}
    assert _read(tmp_path / "out.pdf", dots) == trade | FISH


@pytest.mark.parametrize("dots", RESOLUTIONS, ids=lambda dots: dots.name)
@pytest.mark.parametrize("stock", CARD_STOCKS.values(), ids=lambda stock: stock.name)
def test_card_scans_to_its_code(tmp_path: Path, stock: Stock, dots: PrinterDots) -> None:
    """The card's barcode is the batch code as company internal information."""
    card_label_pdf([CardSpec("Mackerel", "22632900557", "226-329-005-57")], stock, dots, tmp_path / "out.pdf")
    assert _read(tmp_path / "out.pdf", dots) == {"91": "22632900557"}


def _generated(rng: random.Random) -> tuple[LabelSpec, int, dict[str, Any]]:
    """A spec with another product, lot and dates, a serial, and what else the label is made with."""
    lot = "".join(rng.choice("0123456789" * 4 + "ABCXYZabcxyz-./_") for _ in range(rng.randint(1, 11)))
    best_before, use_by = rng.choice([(True, False), (False, True)])
    packed_on = date(2026, 1, 1) + timedelta(days=rng.randint(0, 700))
    day = packed_on + timedelta(days=rng.randint(1, 500))
    catch_weight = rng.random() < 0.25
    gtin = make_gtin13("952", rng.randint(1, 99_999_999))
    spec = replace(
        PACK, lot=lot, lot_shown=lot, packed_on=packed_on, best_before=day if best_before else None,
        use_by=day if use_by else None, catch_weight=catch_weight, origin=ORIGIN if rng.random() < 0.5 else None,
        gtin=make_gtin14(gtin, 9) if catch_weight else gtin,
    )  # fmt: skip
    weight_g = rng.randint(1, 30_000)
    more = {"design": rng.choice(list(Design)), "weights_g": [weight_g] if catch_weight else []}
    return spec, rng.randint(1, 999_999), more


def test_generated_labels_decode(tmp_path: Path) -> None:
    """Random lots, dates, weights and serials on random stock read back as what they are, or are refused."""
    rng = random.Random(20261125)
    made = 0
    while made < COUNT:
        spec, serial, more = _generated(rng)
        stock, dots = rng.choice(list(PACK_STOCKS.values())), rng.choice(RESOLUTIONS)
        try:
            pack_label_pdf(spec, [serial], stock, dots, tmp_path / "out.pdf", **more)
        except LabelRefused:
            assert (stock, more["design"]) != (ROLL_58X40, Design.AUTO) or spec.catch_weight, spec
            continue
        made += 1
        expected = _pack_elements(spec, serial)
        if spec.catch_weight:
            expected["3103"] = f"{more['weights_g'][0]:06d}"
        read = _read(tmp_path / "out.pdf", dots)
        left_out = expected.keys() - read.keys()
        assert read == {ai: expected[ai] for ai in expected if ai in read} | (FISH if "7005" in read else {})
        assert left_out <= {"15", "17"}, "only the date may be left to the words"
