"""Add who and what the house deals with: operators, boats, farms, dealers, suppliers, buyers, equipment, products, codes."""

from __future__ import annotations

from dataclasses import replace

from lotwake.labels.gs1.keys import gtin14
from lotwake.trace.actions.desk import Desk, Operator, operator_named
from lotwake.trace.actions.refs import species_code
from lotwake.trace.records.entries import house
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SourceFacts


def add_operator(desk: Desk, initials: str, name: str) -> Operator:
    """Somebody who may make entries."""
    with desk.entry("add operator") as entry:
        house.add_operator(entry, initials, name, desk.today)
    return operator_named(desk.records, initials)


def add_source(desk: Desk, facts: SourceFacts) -> int:
    """A boat, farm or dealer."""
    with desk.entry(f"add {facts.kind}") as entry:
        return house.add_source(entry, facts)


def add_supplier(desk: Desk, name: str, address: str = "", phone: str = "") -> int:
    """A supplier of salt, wood, sugar or bags."""
    with desk.entry("add supplier") as entry:
        return house.add_supplier(entry, name, address, phone)


def add_buyer(desk: Desk, facts: BuyerFacts) -> int:
    """Somebody goods are sent to."""
    with desk.entry("add buyer") as entry:
        return house.add_buyer(entry, facts)


def add_equipment(desk: Desk, name: str, kind: str) -> int:
    """A smokehouse, tank, freezer or instrument."""
    with desk.entry("add equipment") as entry:
        return house.add_equipment(entry, name, kind)


def add_product(desk: Desk, facts: ProductFacts) -> int:
    """A product; its GTIN may be 8, 12, 13 or 14 digits, its species a code or a name."""
    species = species_code(desk.records, facts.species) if facts.species else None
    with desk.entry("add product") as entry:
        return house.add_product(entry, replace(facts, gtin=gtin14(facts.gtin), species=species))


def add_species(desk: Desk, code: str, scientific: str, english: str, histamine: bool, origin: str) -> None:
    """A species the shipped list does not have; ``origin`` names who says so."""
    with desk.entry("add species") as entry:
        house.add_species(entry, code.strip().upper(), scientific, english, histamine, origin)


def add_area(desk: Desk, code: str, name: str, origin: str) -> None:
    """A catch area under a name of its own."""
    with desk.entry("add area") as entry:
        house.add_area(entry, code.strip().lower(), name, origin)


def add_gear(desk: Desk, code: str, abbr: str, name: str, eu_category: str | None, origin: str) -> None:
    """A gear the shipped list does not have."""
    with desk.entry("add gear") as entry:
        house.add_gear(entry, code.strip(), abbr.strip().upper(), name, eu_category, origin)
