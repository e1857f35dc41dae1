"""Looking up published codes: species, catch areas, gear."""

from __future__ import annotations

from argparse import Namespace

from lotwake.trace.actions.reckoning.answer import Answer, Calculation, Takes
from lotwake.trace.base import areas, gear, species
from lotwake.trace.process.basis import Basis


def _species_arguments(parser: Takes) -> None:
    by = parser.add_mutually_exclusive_group(required=True)
    by.add_argument("--code", dest="sought", help="FAO 3-alpha code")
    by.add_argument("--scientific", dest="sought", help="scientific name")
    by.add_argument("--english", dest="sought", help="English name")


def _species(args: Namespace) -> Answer:
    row = species.find_species(args.sought)
    values = {
        "code": row.code,
        "scientific": row.scientific,
        "english": row.english,
        "histamine": row.histamine.value,
    }
    result = f"{row.code}  {row.scientific}, {row.english}; histamine: {row.histamine}"
    return Answer(values, args.sought, result, Basis("", species.SOURCE))


def _area_arguments(parser: Takes) -> None:
    parser.add_argument("--code", required=True, help="FAO area, two digits or below: 27, 04, 27.4.b")


def _area(args: Namespace) -> Answer:
    row = areas.find_area(args.code)
    values = {"code": row.code, "name": row.name, "inland": row.inland, "on_label": row.on_label}
    notes = () if row.on_label else ("Historic or left-over code: it does not belong on a label.",)
    return Answer(values, args.code, f"{row.code}  {row.name}", Basis("", areas.SOURCE), notes)


def _gear_arguments(parser: Takes) -> None:
    parser.add_argument("--code", required=True, help="ISSCFG code or abbreviation: 02.2, SV")


def _gear(args: Namespace) -> Answer:
    row = gear.find_gear(args.code)
    category = row.eu_category.value if row.eu_category else None
    values = {"isscfg": row.code, "abbreviation": row.abbreviation, "name": row.name, "eu_category": category}
    result = f"{row.code} {row.abbreviation}  {row.name}; EU category: {category or 'none'}"
    return Answer(values, args.code, result, Basis("", f"{gear.SOURCE}; {gear.CATEGORY_SOURCE}"))


CALCULATIONS = (
    Calculation("species", "A species by code or name.", _species_arguments, _species),
    Calculation("area", "A FAO catch area.", _area_arguments, _area),
    Calculation("gear", "A fishing gear.", _gear_arguments, _gear),
)
