"""Every product of the demo season on every stock at three resolutions, read back by zxing-cpp.

The words are those of the product itself; lot, dates and producer are invented.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import label_specs
import pytest
import zxingcpp

from lotwake.demo_db.scenario import PRODUCTS
from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PrinterDots
from lotwake.labels.checks.on_paper import PACK_ON_PAPER, check_on_paper, measured
from lotwake.labels.errors import LabelRefused
from lotwake.labels.gs1.keys import gtin14
from lotwake.labels.layout.languages import english
from lotwake.labels.layout.pack_label import lay_out, pack_label_pdf
from lotwake.labels.layout.spec import LabelSpec, checked_spec
from lotwake.labels.layout.stock import PACK_STOCKS, ROLL_100X60
from lotwake.labels.printing.pictures import opened, picture
from lotwake.trace.actions.label_words import cook_words, storage_words
from lotwake.trace.records.entries.house import ProductFacts

SERIAL = 145


def _spec(product: ProductFacts) -> LabelSpec:
    words = english()
    return replace(
        label_specs.PACK, product_name=product.name, smoking_kind=product.smoking, net_g=product.net_g, gtin=product.gtin,
        storage=product.storage or storage_words(words, product.keeping or "frozen", product.packaging),
        cook=product.cook or cook_words(words, product.serving), ingredients=product.ingredients or "fish, salt, smoke",
        pack_face_cm2=70, origin_lines=("Caught at sea, FAO 27.2.a, trawls",), producer_address="Quay 4",
    )  # fmt: skip


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
@pytest.mark.parametrize("product", PRODUCTS, ids=lambda product: product.name)
def test_every_product_decodes_on_every_stock(tmp_path: Path, product: ProductFacts, dots: PrinterDots) -> None:
    """What fits reads back with the product's GTIN and the pack's serial, and nothing on it touches or is cut off."""
    spec = _spec(product)
    for stock in PACK_STOCKS.values():
        out = tmp_path / "out.pdf"
        try:
            pack_label_pdf(spec, [SERIAL], stock, dots, out)
        except LabelRefused:
            assert stock is not ROLL_100X60, "the largest stock takes every product"
            continue
        with opened(out) as document:
            read = "".join(code.text for code in zxingcpp.read_barcodes(picture(document, 0, dots)))
        assert f"(01){gtin14(product.gtin)}" in read
        assert f"(21){SERIAL:04d}" in read
        ink = lay_out(checked_spec(spec), SERIAL, stock, dots).whole_ink(SERIAL)
        assert check_on_paper(PACK_ON_PAPER, measured(ink, stock, dots)) == ()
