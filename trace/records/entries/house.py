"""The house itself and everyone it deals with: site, sources, suppliers, buyers, equipment, products, codes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import zone_named
from lotwake.trace.base.nutrition import read_nutrition
from lotwake.trace.records.entries.people import first_operator
from lotwake.trace.records.entries.rules import must_say, must_weigh, one_of
from lotwake.trace.records.journal import Entry

SOURCE_KINDS = ("boat", "farm", "dealer")
EQUIPMENT_KINDS = (
    "smokehouse",
    "brine tank",
    "freezer",
    "chiller",
    "table",
    "scale",
    "thermometer",
    "hydrometer",
    "logger",
)
SMOKING_KINDS = ("hot smoked", "cold smoked", "smoke flavoured", "smoke-dried")
"""Told apart as Codex CXS 311-2013 does; a label never mixes them."""
LONGEST_LIFE_DAYS = 3650
PACKAGINGS = ("air", "vacuum", "modified atmosphere")
FROZEN, CHILLED, ROOM = "frozen", "chilled", "room"
KEEPINGS = (FROZEN, CHILLED, ROOM)
READY, TO_COOK = "ready to eat", "to be cooked"
SERVINGS = (READY, TO_COOK)


@dataclass(frozen=True)
class SiteFacts:
    """The house: ``country`` ISO 3166 alpha-2, ``company_prefix`` GS1 digits (4 to 12), ``zone`` an IANA time zone."""

    name: str
    address: str
    country: str
    company_prefix: str
    zone: str
    phone: str = ""
    approval: str = ""
    gln: str | None = None


def open_house(entry: Entry, site: SiteFacts, initials: str, name: str, day: date) -> int:
    """The first entry of a record: the site and its first operator, whose id is given back."""
    zone_named(site.zone)
    if not (site.company_prefix.isascii() and site.company_prefix.isdigit() and 4 <= len(site.company_prefix) <= 12):
        raise CallError(
            f"The GS1 company prefix {site.company_prefix!r} is not 4 to 12 digits.",
            "Copy it from the licence; for practice use 9520000.",
        )
    if not (len(site.country) == 2 and site.country.isalpha() and site.country.isupper()):
        raise CallError(
            f"The country {site.country!r} is not a two-letter code.", "Use ISO 3166 letters such as NO or PH."
        )
    entry.add("site", **{**vars(site), "name": must_say("The name of the house", site.name)})
    return first_operator(entry, initials, name, day)


@dataclass(frozen=True)
class SourceFacts:
    """A boat, farm or dealer. ``mark``: registration mark of a boat; ``flag``: ISO 3166 alpha-2; ``imo``: IMO number."""

    kind: str
    name: str
    mark: str = ""
    flag: str = ""
    licence: str = ""
    imo: str = ""
    address: str = ""
    phone: str = ""


def add_source(entry: Entry, facts: SourceFacts) -> int:
    """Where fish comes from."""
    one_of("The kind of source", facts.kind, SOURCE_KINDS)
    name = must_say("The name of the source", facts.name)
    same = "SELECT 1 FROM source WHERE kind = ? AND name = ? AND mark = ?"
    if entry.records.value(same, facts.kind, name, facts.mark):
        raise Refused(f"The {facts.kind} {name} {facts.mark} is known already.".replace("  ", " "), "Nothing to do.")
    return entry.add("source", **{**vars(facts), "name": name})


def add_supplier(entry: Entry, name: str, address: str, phone: str) -> int:
    """Where salt, wood, sugar and bags come from."""
    return _named(entry, "supplier", name, address=address, phone=phone)


@dataclass(frozen=True)
class BuyerFacts:
    """Somebody goods are sent to. A telephone number is asked for: it is what a recall needs first."""

    name: str
    phone: str
    email: str = ""
    address: str = ""
    gln: str | None = None


def add_buyer(entry: Entry, facts: BuyerFacts) -> int:
    """A buyer. CallError without a telephone number."""
    must_say("The buyer's telephone number", facts.phone)
    others = {name: value for name, value in vars(facts).items() if name != "name"}
    return _named(entry, "buyer", facts.name, **others)


def add_equipment(entry: Entry, name: str, kind: str) -> int:
    """A smokehouse, tank, freezer or instrument."""
    return _named(entry, "equipment", name, kind=one_of("The kind of equipment", kind, EQUIPMENT_KINDS))


@dataclass(frozen=True)
class ProductFacts:
    """What is sold: ``gtin`` 14 digits, ``net_g`` grams in a pack, ``life_days`` days from packing to best before.

    ``plan``: name of the scheduled process; ``keeping``: how packs are kept; ``serving``: how they are eaten. ``storage``
    and ``cook`` are the label's own words for the two. With ``catch_weight`` every pack is weighed by itself, and ``net_g``
    is what one weighs about. ``nutrition`` is what 100 g hold, as ``base/nutrition.py`` writes it.
    """

    gtin: str
    name: str
    smoking: str
    net_g: int
    life_days: int
    species: str | None = None
    packaging: str = "air"
    ingredients: str = ""
    allergens: str = ""
    storage: str = ""
    cook: str = ""
    case_packs: int = 12
    plan: str | None = None
    keeping: str | None = None
    serving: str | None = None
    catch_weight: bool | None = None
    nutrition: str | None = None


def add_product(entry: Entry, facts: ProductFacts) -> int:
    """A product. The check digit of its GTIN has been looked at by the caller; here it is 14 digits and new."""
    one_of("The kind of smoking", facts.smoking, SMOKING_KINDS)
    one_of("The packaging", facts.packaging, PACKAGINGS)
    one_of("How it is kept", facts.keeping or FROZEN, KEEPINGS)
    one_of("How it is eaten", facts.serving or TO_COOK, SERVINGS)
    must_weigh("A pack", facts.net_g)
    must_be_sellable(facts.life_days, facts.case_packs)
    if not (facts.gtin.isascii() and facts.gtin.isdigit() and len(facts.gtin) == 14):
        raise CallError(f"The GTIN {facts.gtin!r} is not 14 digits.", "Put zeros in front of a shorter one.")
    known = entry.records.value("SELECT name FROM product WHERE gtin = ?", facts.gtin)
    if known:
        raise Refused(f"GTIN {facts.gtin} belongs to {known} already.", "Each product and pack size has its own.")
    if facts.catch_weight:
        must_vary(facts.gtin)
    said = {
        "name": must_say("The product name", facts.name),
        "catch_weight": 1 if facts.catch_weight else None,
        "nutrition": str(read_nutrition(facts.nutrition)) if facts.nutrition else None,
    }
    return entry.add("product", **{**vars(facts), **said})


def must_vary(gtin: str) -> None:
    """The GTIN (14 digits) of packs with a weight each says so: its indicator is 9 (GS1 General Specifications, from
    memory)."""
    if not gtin.startswith("9"):
        raise CallError(
            f"GTIN {gtin} is one of packs that all weigh the same.",
            "Packs that are weighed one by one have a GTIN-14 that begins with 9.",
        )


def must_be_sellable(life_days: int, case_packs: int) -> None:
    """A product lasts a day at least, and ten years at most; a case of it holds a pack at least."""
    if not 1 <= life_days <= LONGEST_LIFE_DAYS:
        raise CallError(f"A life of {life_days} days cannot be.", f"Enter 1 to {LONGEST_LIFE_DAYS} days.")
    if case_packs < 1:
        raise CallError(f"A case cannot hold {case_packs} packs.", "Enter 1 or more.")


def add_species(entry: Entry, code: str, scientific: str, english: str, histamine: bool, origin: str) -> None:
    """A species by its FAO 3-alpha code; ``histamine`` says whether it can form histamine; ``origin`` is who says so."""
    if not (len(code) == 3 and code.isalpha() and code.isupper()):
        raise CallError(f"The species code {code!r} is not three capital letters.", "Use the FAO 3-alpha code.")
    _coded(entry, "species", code, scientific=scientific, english=english, histamine=int(histamine), origin=origin)


def add_area(entry: Entry, code: str, name: str, origin: str) -> None:
    """A catch area by its FAO code, such as ``27`` or ``27.4.b``."""
    _coded(entry, "area", code, name=name, origin=origin)


def add_gear(entry: Entry, code: str, abbr: str, name: str, eu_category: str | None, origin: str) -> None:
    """A gear by its ISSCFG code, with its abbreviation and its EU consumer category if it has one."""
    _coded(entry, "gear", code, abbr=abbr, name=name, eu_category=eu_category, origin=origin)


def _named(entry: Entry, table: str, name: str, **values: int | str | None) -> int:
    bare = must_say(f"The name of the {table}", name)
    if entry.records.value(f"SELECT 1 FROM {table} WHERE name = ?", bare):
        raise Refused(f"The {table} {bare} is known already.", "Nothing to do.")
    return entry.add(table, name=bare, **values)


def _coded(entry: Entry, table: str, code: str, **values: int | str | None) -> None:
    bare = must_say(f"The {table} code", code)
    if entry.records.value(f"SELECT 1 FROM {table} WHERE code = ?", bare):
        raise Refused(f"The {table} {bare} is known already.", "Nothing to do.")
    entry.add(table, code=bare, **values)
