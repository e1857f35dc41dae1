"""Draw one label of each design, all of it invented, as PNG files for the README: ``python tests/gallery.py FOLDER``.

Each is drawn at the dots of a 203 dpi printer, as it comes out of one, in four greys so that the files are small. The
pictures in ``tests/gallery`` are made by it; ``tests/labels/test_gallery.py`` reads them back.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import label_specs
from PIL import Image

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.checks.check import for_market
from lotwake.labels.checks.markets import US
from lotwake.labels.gs1.keys import make_gtin13, make_sscc
from lotwake.labels.layout.card_label import card_label_pdf
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.languages import bilingual, phrases_of
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.spec import CardSpec, FishOrigin, LabelSpec, MixedLabelSpec
from lotwake.labels.layout.stock import CASE_A6, ROLL_58X40, ROLL_100X60, Stock
from lotwake.labels.layout.symbols import Design
from lotwake.labels.printing.pictures import png_pages
from lotwake.trace.actions.label_words import storage_words

GREYS = 4
BOTH = bilingual(phrases_of("english"), phrases_of("filipino"))
ORIGIN = FishOrigin("27.4.b", date(2026, 11, 22), date(2026, 11, 23), "HAD", "03.12", "01")
PACK = replace(
    label_specs.PACK,
    product_name="Hot smoked haddock",
    gtin=make_gtin13("9520000", 1),
    lot="32632901409",
    lot_shown="326-329-014-09",
    best_before=date(2027, 5, 24),
    producer_name="Skerry Smokehouse",
    producer_address="Quay 1, NO",
    origin_lines=("Caught at sea, Central North Sea (FAO 27.4.b), trawls",),
    country_of_origin="Norway",
)
SMALL = replace(
    PACK, net_g=150, pack_face_cm2=60, cook="", country_of_origin="", storage="Keep frozen at -18 °C or colder."
)
CASE = replace(
    label_specs.CASE, product_name=PACK.product_name, sscc=make_sscc("9520000", 12, 0), gtin=PACK.gtin, lot=PACK.lot,
    lot_shown=PACK.lot_shown, best_before=PACK.best_before, producer_name=PACK.producer_name,
    producer_address=PACK.producer_address, origin=ORIGIN,
)  # fmt: skip
PALLET = MixedLabelSpec(
    sscc=make_sscc("9520000", 13, 0), pairs=(("Cases", "11"), ("Packs on pallet", "240"), ("Net", "66 kg")),
    contents=(
        "120 x Hot smoked haddock, Lot 326-329-014-09, Best before 24 May 2027",
        "96 x Hot smoked mackerel, Lot 326-327-002-31, Best before 22 May 2027",
        "24 x Smoke flavoured cod, Lot 326-320-001-82, Best before 15 May 2027",
    ),
    storage="Keep frozen at -18 °C or colder.", producer_name=PACK.producer_name, producer_address=PACK.producer_address,
    approval_number=PACK.approval_number,
)  # fmt: skip
CARD = CardSpec(
    "Haddock, hot smoked", "22632900557", "226-329-005-57", "3 of 12",
    (("From", "Aurora"), ("Started", "24 Nov 2026 07:00"), ("In", "48.5 kg")),
)  # fmt: skip

Draw = Callable[[Path], None]


def _pack(spec: LabelSpec, stock: Stock, design: Design = Design.AUTO, sample: bool = False) -> Draw:
    serial = None if sample else 145
    return lambda pdf: pack_label_pdf(spec, [serial], stock, DOTS_203, pdf, design=design, sample=sample)


DESIGNS: dict[str, Draw] = {
    "pack": _pack(PACK, ROLL_100X60),
    "pack-two-languages": _pack(
        replace(PACK, phrases=BOTH, storage=storage_words(BOTH, "frozen", "air"), cook=""), ROLL_100X60
    ),
    "pack-us": _pack(for_market(replace(PACK, allergens=("fish (haddock)",)), US, ROLL_100X60), ROLL_100X60),
    "pack-sample": _pack(PACK, ROLL_100X60, sample=True),
    "small-datamatrix": _pack(replace(SMALL, origin=ORIGIN), ROLL_58X40, Design.DATAMATRIX),
    "pack-qr": _pack(PACK, ROLL_100X60, Design.QR),
    "pack-till": _pack(replace(PACK, pack_face_cm2=70, country_of_origin=""), ROLL_100X60, Design.TILL),
    "case": lambda pdf: case_label_pdf([CASE], CASE_A6, DOTS_203, pdf),
    "pallet": lambda pdf: case_label_pdf([PALLET], CASE_A6, DOTS_203, pdf),
    "card": lambda pdf: card_label_pdf([CARD], CASE_A6, DOTS_203, pdf),
}


def draw(folder: Path) -> list[Path]:
    """Draw every design into a folder, which is made when it is not there; the files are given back."""
    folder.mkdir(parents=True, exist_ok=True)
    drawn = []
    with tempfile.TemporaryDirectory() as work:
        for name, design in DESIGNS.items():
            pdf = Path(work) / f"{name}.pdf"
            design(pdf)
            (page,) = png_pages(pdf, DOTS_203, Path(work), [1])
            with Image.open(page) as picture:
                drawn.append(folder / f"{name}.png")
                picture.quantize(GREYS).save(drawn[-1], optimize=True, dpi=(DOTS_203.dpi, DOTS_203.dpi))
    return drawn


if __name__ == "__main__":
    for path in draw(Path(sys.argv[1])):
        sys.stdout.write(f"{path}  {path.stat().st_size} bytes\n")
