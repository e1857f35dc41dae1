"""An invented pack and case that say everything a label can say, numbered under the demonstration prefix 952.

Whoever needs another label replaces what differs.
"""

from __future__ import annotations

from datetime import date

from lotwake.labels.gs1.keys import make_gtin13, make_sscc
from lotwake.labels.layout.spec import CaseLabelSpec, LabelSpec

PACK = LabelSpec(
    product_name="Haddock fillets",
    smoking_kind="hot smoked",
    species_commercial="Haddock",
    species_latin="Melanogrammus aeglefinus",
    ingredients="haddock (fish) 97 %, salt, beech smoke",
    allergens=("fish",),
    net_g=300,
    gtin=make_gtin13("952", 1),
    lot="26329000421",
    lot_shown="26329 000421",
    packed_on=date(2026, 11, 25),
    best_before=date(2027, 5, 25),
    storage="Keep frozen at -18 °C or colder. Thaw in the refrigerator. Do not refreeze.",
    cook="Cook until the core is at least 70 °C for 2 minutes.",
    producer_name="Skarvholm Smokehouse",
    producer_address="Quay 4, 9999 Skarvholm",
    approval_number="NO X-999",
    origin_lines=("Caught in the Northeast Atlantic (FAO 27), hooks and lines",),
)
CASE = CaseLabelSpec(
    product_name=PACK.product_name,
    smoking_kind=PACK.smoking_kind,
    sscc=make_sscc("952", 12, 3),
    gtin=PACK.gtin,
    pack_count=24,
    net_g=7200,
    lot=PACK.lot,
    lot_shown=PACK.lot_shown,
    best_before=PACK.best_before,
    storage="Keep frozen at -18 °C or colder.",
    producer_name=PACK.producer_name,
    producer_address=PACK.producer_address,
    approval_number=PACK.approval_number,
)
SMALL = {
    "ingredients": "mackerel (fish), salt",
    "net_g": 250,
    "storage": "Keep frozen at -18 °C or colder.",
    "pack_face_cm2": 70,
}
"""What a pack for a small label says instead: few words, on a small face."""
