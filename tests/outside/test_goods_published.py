"""What is printed for a pack of catch weight, read by an independent parser (biip) and held against published rules."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import biip
import pytest
from stdnum import ean

from lotwake.labels.gs1.elements import element_string
from lotwake.labels.layout.spec import LabelSpec
from lotwake.labels.layout.symbols import Plan, pack_symbols, varies

SIDE = LabelSpec(
    product_name="Hot smoked haddock side", smoking_kind="hot smoked", species_commercial="Haddock",
    species_latin="Melanogrammus aeglefinus", ingredients="haddock (fish), salt, smoke", allergens=("fish",), net_g=12_500,
    gtin="99520000000045", lot="32632900148", lot_shown="326-329-001-48", packed_on=date(2026, 11, 25),
    best_before=date(2027, 1, 31), storage="Keep frozen.", cook="Cook.", producer_name="Skerry", producer_address="Quay 1",
    approval_number="", origin_lines=(), catch_weight=True,
)  # fmt: skip


@pytest.mark.parametrize("net_g", [1, 985, 1_100, 12_500, 999_999])
@pytest.mark.parametrize("plan", [Plan.ONE, Plan.TWO, Plan.NO_DATE, Plan.DATAMATRIX])
def test_another_parser_reads_the_weight_with_its_gtin(net_g: int, plan: Plan) -> None:
    """AI 3103 is the net weight in kilograms with three decimals and stands in one symbol with the GTIN it needs.

    Format and pairing (310n with 01) are published: GS1 Barcode Syntax Dictionary; its reading is biip's.
    """
    first = pack_symbols(SIDE, 6, net_g, plan)[0]
    message = biip.parse(element_string(first).replace("^", "\x1d")).gs1_message
    assert message is not None
    weight, gtin = message.element_strings.get(ai="3103"), message.element_strings.get(ai="01")
    assert weight is not None
    assert weight.decimal == Decimal(net_g) / 1000
    assert gtin is not None
    assert gtin.value == SIDE.gtin
    assert varies(first)


def test_published_element_string_of_12_5_kg() -> None:
    """12.500 kg is (3103)012500, as in check gs1_element_string-07 (derived from the GS1 Barcode Syntax Dictionary)."""
    spec = replace(SIDE, gtin="09520000000011", lot="S261107", lot_shown="S261107")
    (only,) = pack_symbols(spec, None, 12_500, Plan.ONE)
    assert "310301250015270131" in element_string(only)


def test_the_indicator_of_variable_measure() -> None:
    """A GTIN-14 of variable measure begins with 9 (GS1 General Specifications, from memory); python-stdnum agrees on its
    check digit."""
    assert SIDE.gtin.startswith("9")
    assert ean.is_valid(SIDE.gtin)
