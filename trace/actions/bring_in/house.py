"""Entering who and what the old house dealt with."""

from __future__ import annotations

from lotwake.labels.gs1.keys import gtin14
from lotwake.trace.actions.bring_in.making import Making
from lotwake.trace.actions.bring_in.rows import Row
from lotwake.trace.records.entries import house
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SourceFacts


def source(making: Making, row: Row) -> None:
    house.add_source(
        making.entry,
        SourceFacts(
            kind=row.text("kind"),
            name=row.text("name"),
            mark=row.text("mark"),
            flag=row.text("flag"),
            licence=row.text("licence"),
            imo=row.text("imo"),
            address=row.text("address"),
            phone=row.text("phone"),
        ),
    )


def supplier(making: Making, row: Row) -> None:
    house.add_supplier(making.entry, row.text("name"), row.text("address"), row.text("phone"))


def buyer(making: Making, row: Row) -> None:
    house.add_buyer(
        making.entry,
        BuyerFacts(
            name=row.text("name"),
            phone=row.text("phone"),
            email=row.text("email"),
            address=row.text("address"),
            gln=row.text("gln") or None,
        ),
    )


def equipment(making: Making, row: Row) -> None:
    house.add_equipment(making.entry, row.text("name"), row.text("kind"))


def product(making: Making, row: Row) -> None:
    species = row.text("species")
    house.add_product(
        making.entry,
        ProductFacts(
            gtin=gtin14(row.text("gtin")),
            name=row.text("name"),
            smoking=row.text("smoking"),
            net_g=row.number("net_g"),
            life_days=row.number("life_days"),
            species=making.names.species(species) if species else None,
            packaging=row.text("packaging") or ProductFacts.packaging,
            ingredients=row.text("ingredients"),
            allergens=row.text("allergens"),
            storage=row.text("storage"),
            cook=row.text("cook"),
            case_packs=row.number_or("case_packs", ProductFacts.case_packs),
            catch_weight=bool(row.text("catch_weight")),
            nutrition=row.text("nutrition") or None,
        ),
    )
