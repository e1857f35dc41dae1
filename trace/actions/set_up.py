"""Add who and what the house deals with: operators, boats, farms, dealers, suppliers, buyers, equipment, products, codes."""

from __future__ import annotations

from dataclasses import replace

from lotwake.labels.gs1.keys import gtin14
from lotwake.trace.actions.desk import Desk, Operator, operator_named
from lotwake.trace.actions.refs import species_code
from lotwake.trace.records.entries import house, people
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SourceFacts
from lotwake.trace.records.rights import LINE, leads

_PEOPLE = "set up people"
ONLY_LEAD = (
    "There is one lead only: with this PIN forgotten nobody can release a batch. Make a second lead, or keep the PIN in a"
    " sealed envelope."
)


def add_operator(desk: Desk, initials: str, name: str, role: str = LINE) -> Operator:
    """Somebody who works in the house, and what they may do."""
    with desk.as_lead(_PEOPLE).entry("add operator") as entry:
        people.add_operator(entry, initials, name, role, desk.today)
    return operator_named(desk.records, initials)


def set_role(desk: Desk, who: str, role: str) -> Operator:
    """What somebody may do from now on: line, lead or reader."""
    operator = operator_named(desk.records, who)
    with desk.as_lead(_PEOPLE).entry(f"role of {operator.initials}") as entry:
        people.set_role(entry, operator.id, role)
    return operator


def set_pin(desk: Desk, who: str, pin: str | None) -> Operator:
    """Give somebody a PIN, another one, or none; only leads are ever asked for it."""
    operator = operator_named(desk.records, who)
    with desk.as_lead(_PEOPLE).entry(f"PIN of {operator.initials}") as entry:
        people.set_pin(entry, operator.id, pin)
    return operator


def grant_on_server(desk: Desk, role: str, kind: str) -> list[str]:
    """Let a role of the database server read the record, or write it as a station; the statements are given back."""
    from lotwake.trace.records.server_roles import grant

    return grant(desk.as_lead(_PEOPLE).records, role, kind)


def only_lead(desk: Desk) -> bool:
    """Whether a forgotten PIN would leave the house without anybody who can release."""
    return leads(desk.records) == 1


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
