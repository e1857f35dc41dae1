"""Specs with invented products, numbered under the demonstration prefix 952."""

from __future__ import annotations

from datetime import date

import pytest

from lotwake.labels.gs1.keys import make_gtin13, make_sscc
from lotwake.labels.layout.spec import CaseLabelSpec, LabelSpec


@pytest.fixture
def pack_spec() -> LabelSpec:
    """A pack that says everything a label can say."""
    return LabelSpec(
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


@pytest.fixture
def case_spec() -> CaseLabelSpec:
    """A case of 24 packs."""
    return CaseLabelSpec(
        product_name="Haddock fillets",
        smoking_kind="hot smoked",
        sscc=make_sscc("952", 12, 3),
        gtin=make_gtin13("952", 1),
        pack_count=24,
        net_g=7200,
        lot="26329000421",
        lot_shown="26329 000421",
        best_before=date(2027, 5, 25),
        storage="Keep frozen at -18 °C or colder.",
        producer_name="Skarvholm Smokehouse",
        producer_address="Quay 4, 9999 Skarvholm",
        approval_number="NO X-999",
    )
