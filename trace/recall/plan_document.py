"""The traceability plan of 21 CFR 1.1315, filled from what the house has set up.

The five points were seen in a copy of the rule: how records are kept, how listed foods are identified, how lot codes are
assigned, a point of contact, a map for growers. That an old plan is kept two years after a change, and records two years,
is from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from lotwake.trace.base.moments import show_day
from lotwake.trace.base.units import show_pack
from lotwake.trace.recall.written import Block, Facts, Heading, Lines, Table
from lotwake.trace.records.entries.house import ProductFacts, SiteFacts, SourceFacts
from lotwake.trace.records.lists import SpeciesSeen

BLANK = "TO BE FILLED IN"


@dataclass(frozen=True)
class PlanFacts:
    """What the plan is filled from. ``contact`` is a person's name, ``records_at`` where the record lies."""

    site: SiteFacts
    contact: str
    records_at: str
    backups_at: str
    boats: Sequence[SourceFacts]
    farms: Sequence[SourceFacts]
    dealers: Sequence[SourceFacts]
    products: Sequence[ProductFacts]
    species: Sequence[SpeciesSeen]
    written: date


def blanks(facts: PlanFacts) -> tuple[str, ...]:
    """What the house has not set up and has to be written in by hand."""
    asked = {
        "the address of the house": facts.site.address, "the telephone number of the house": facts.site.phone,
        "who is the contact (operator in house.toml)": facts.contact,
    }  # fmt: skip
    found = [name for name, text in asked.items() if not text]
    return (*found, *(() if facts.products else ("the products",)))


def plan(facts: PlanFacts) -> tuple[Block, ...]:
    """The plan as a paper."""
    return (
        Heading(f"Traceability plan of {facts.site.name}", 1),
        Lines((f"21 CFR 1.1315. Written {show_day(facts.written)} from what the house has set up in Lotwake.",)),
        Lines((
            "Enforcement of 21 CFR part 1 subpart S begins on 2028-07-20; until then 21 CFR part 1 subpart J binds. This"
            " paper is a draft for the house: read it, put right what is done otherwise, and let a qualified person look"
            " at it. Local rules may ask for more.",
        )),
        *_records(facts), *_foods(facts), *_codes(facts), *_contact(facts), *_farms(facts), *_upkeep(),
    )  # fmt: skip


def _records(facts: PlanFacts) -> tuple[Block, ...]:
    return (
        Heading("1. How the records are kept"),
        Lines(
            (
                "Format: electronic, in one record that is only added to. Each entry says who, when it was entered, when"
                " it happened, and is chained to the one before it; a correction names the entry it corrects and why.",
                f"Place: {facts.records_at}. Copies: {facts.backups_at}, and wherever the house carries them"
                " (lotwake back-up).",
                "What: every lot that comes in (boat, farm or dealer, species, catch area and days, weight, document),"
                " every batch with what went into it, every run of packs, every case and pallet, every dispatch and return.",
                "On request: lotwake send-out kde gives the key data elements as a sortable spreadsheet by lot code or by"
                " days, with what is missing listed first; it takes seconds, the rule allows 24 hours.",
                "How long: two years from when the record was made; the record deletes nothing.",
            ),
            bullets=True,
        ),
    )


def _foods(facts: PlanFacts) -> tuple[Block, ...]:
    names = {each.code: f"{each.english} ({each.scientific})" for each in facts.species}
    rows = tuple(
        (
            each.name,
            each.gtin,
            names.get(each.species or "", BLANK),
            each.smoking,
            show_pack(each.net_g, bool(each.catch_weight)),
            each.packaging,
        )
        for each in facts.products
    )
    return (
        Heading("2. How foods on the Food Traceability List are identified"),
        Lines((
            "Smoked finfish is on the list, and so is the fresh and frozen finfish it is made from: every lot of fish that"
            " comes in and every product below is treated as listed. Catfish (Siluriformes) is left out by the list and is"
            " recorded in the same way here. Salt, wood, sugar and bags are not listed; their lots are recorded too.",
        )),
        Table(("Product", "GTIN", "Species", "Smoking", "Net", "Packed in"), rows)
        if rows
        else Lines((f"Products: {BLANK}.",)),
    )  # fmt: skip


def _codes(facts: PlanFacts) -> tuple[Block, ...]:
    return (
        Heading("3. How traceability lot codes are assigned"),
        Lines(
            (
                f"Fish from a boat ({len(facts.boats)} known): first land-based receiving. One code for one species,"
                " presentation, catch area, boat and day, made when the lot is written down.",
                f"Fish from a dealer or a farm ({len(facts.dealers)} and {len(facts.farms)} known): receiving. The"
                " supplier's code is kept; only when there is none does the house make one.",
                "Smoking and packing: transformation. Each run of packs gets a new code, which is the lot on the pack (GS1"
                " AI 10); the record names every lot in it and how much of each.",
                "Dispatch, casing and palletising make no new code. Goods that come back keep theirs.",
                "A code is made by the program, never used twice: kind (1 lot, 3 run), year, day of the year, number on"
                " that day, two check digits (ISO/IEC 7064 MOD 97-10).",
                f"Lot code source: {_or_blank(_place(facts.site))}.",
            ),
            bullets=True,
        ),
    )


def _contact(facts: PlanFacts) -> tuple[Block, ...]:
    site = facts.site
    return (
        Heading("4. Point of contact"),
        Facts((
            ("Who", _or_blank(facts.contact)), ("Telephone", _or_blank(site.phone)),
            ("Where", _or_blank(_place(site))), ("GLN", site.gln or "none"), ("Approval number", site.approval or "none"),
        )),
    )  # fmt: skip


def _farms(facts: PlanFacts) -> tuple[Block, ...]:
    named = ", ".join(farm.name for farm in facts.farms)
    bought = f" Fish comes from these farms, which keep their own maps: {named}." if named else ""
    return (
        Heading("5. Farm map"),
        Lines((f"The house grows nothing, so that it keeps no map of ponds, tanks or cages.{bought}",)),
    )


def _upkeep() -> tuple[Block, ...]:
    return (
        Heading("6. Keeping this plan"),
        Lines(("It is written anew when anything in it changes; the one before is kept for two years.",)),
        Facts((("Read and put in force by", "______________________"), ("Day", "______________________"))),
    )


def _place(site: SiteFacts) -> str:
    return f"{site.name}, {site.address}, {site.country}" if site.address else ""


def _or_blank(text: str) -> str:
    return text or BLANK
