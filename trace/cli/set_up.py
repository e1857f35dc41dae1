"""Open a new house, or add who and what it deals with.

With --json: what was added, with its ``kind`` and the facts that were given. setting, stock and phrase change files in the
house's folder and give ``file``, ``name``, ``now`` and ``was``; without a value setting and phrase list what there is, each
``name`` with ``now``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import asdict
from pathlib import Path

from lotwake.trace.actions import set_up
from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.base.nutrition import EXAMPLE as NUTRITION_EXAMPLE
from lotwake.trace.cli import set_up_files
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.values import mass, whole
from lotwake.trace.records.entries.house import (
    EQUIPMENT_KINDS,
    KEEPINGS,
    PACKAGINGS,
    SERVINGS,
    SMOKING_KINDS,
    BuyerFacts,
    ProductFacts,
    SiteFacts,
    SourceFacts,
)
from lotwake.trace.records.rights import LINE, ROLES

NAME = "set-up"
HELP = "Open a new house, add who and what it deals with, change its settings, label stock and phrases."
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """One word for each kind of thing that can be added."""
    nouns = Nouns(parser)
    _house_arguments(nouns.add("house", "Open a new house in an empty folder.", _house))
    _operator_arguments(nouns.add("operator", "Add somebody who works here, and what they may do.", _operator))
    _people_arguments(nouns)
    for kind in ("boat", "farm", "dealer"):
        _source_arguments(nouns.add(kind, f"Add a {kind} fish comes from.", _source), kind)
    _supplier_arguments(nouns.add("supplier", "Add a supplier of salt, wood, sugar or bags.", _supplier))
    _buyer_arguments(nouns.add("buyer", "Add a buyer; the telephone number is what a recall needs first.", _buyer))
    _equipment_arguments(nouns.add("equipment", "Add a smokehouse, tank, freezer or instrument.", _equipment))
    _product_arguments(nouns.add("product", "Add a product.", _product))
    _code_arguments(nouns)
    set_up_files.add_arguments(nouns)


def _house_arguments(house: ArgumentParser) -> None:
    house.add_argument("name")
    house.add_argument("--address", required=True)
    house.add_argument("--country", required=True, metavar="XX", help="ISO 3166 letters, such as NO or PH")
    house.add_argument("--prefix", required=True, metavar="DIGITS", help="GS1 company prefix; for practice 9520000")
    house.add_argument("--zone", required=True, metavar="AREA/CITY", help="IANA time zone, such as Europe/Oslo")
    house.add_argument("--first", required=True, nargs=2, metavar=("INITIALS", "NAME"), help="the first operator")
    for option in ("--phone", "--approval"):
        house.add_argument(option, default="")
    house.add_argument("--gln", help="GS1 global location number, 13 digits")


def _house(args: Namespace, shell: Shell) -> None:
    site = SiteFacts(args.name, args.address, args.country, args.prefix, args.zone, args.phone, args.approval, args.gln)
    initials, name = args.first
    desk = set_up_house(shell.places, site, initials, name, shell.clock)
    desk.close()
    shell.give(
        {"kind": "house", **asdict(site), "folder": str(shell.places.folder), "operator": initials.upper()},
        f"Opened the house {site.name} in {shell.places.folder}; {name} ({initials.upper()}) may make entries.",
    )


def _operator_arguments(operator: ArgumentParser) -> None:
    operator.add_argument("initials", help="1 to 4 letters or digits")
    operator.add_argument("name")
    operator.add_argument("--role", choices=ROLES, default=LINE, help=_MAY)


_MAY = "line writes what happens (default); lead also releases, rejects, corrects and sets up people; reader looks only"


def _operator(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        made = set_up.add_operator(desk, args.initials, args.name, args.role)
    data = {"kind": "operator", "code": made.code, "initials": made.initials, "name": made.name, "role": args.role}
    shell.give(data, f"Added {made.name} ({made.initials}), {args.role}.")


def _people_arguments(nouns: Nouns) -> None:
    role = nouns.add("role", "Say what somebody may do from now on.", _role)
    pin = nouns.add(
        "pin", "Give a lead a PIN, asked for at a release, rejection, correction or set-up of people.", _pin
    )
    server = nouns.add(
        "server-role", "Let a role of the PostgreSQL server only read, or write as a station.", _server_role
    )
    server.add_argument("role", help="a role that the server has")
    server.add_argument("kind", choices=("station", "reader"))
    for noun in (role, pin):
        noun.add_argument("initials")
    role.add_argument("role", choices=ROLES, help=_MAY)
    pin.add_argument("--new-pin-file", type=Path, metavar="FILE", help="where the new PIN stands; else it is asked for")
    pin.add_argument("--none", action="store_true", help="take the PIN away")


def _server_role(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        done = set_up.grant_on_server(desk, args.role, args.kind)
    data = {"kind": "server role", "role": args.role, "may": args.kind, "statements": done}
    shell.give(
        data, f"The server's role {args.role} may {'read' if args.kind == 'reader' else 'read and write entries'} now."
    )


def _role(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        who = set_up.set_role(desk, args.initials, args.role)
    shell.give({"kind": "operator", "initials": who.initials, "role": args.role}, f"{who.name} is {args.role} now.")


def _pin(args: Namespace, shell: Shell) -> None:
    from lotwake.trace.cli.secrets import new_pin

    with shell.desk() as desk:
        pin = None if args.none else new_pin(args.initials.upper(), args.new_pin_file)
        who = set_up.set_pin(desk, args.initials, pin)
        alone = pin is not None and set_up.only_lead(desk)
    shell.give(
        {"kind": "operator", "initials": who.initials, "pin": pin is not None},
        f"{who.name} has {'a PIN' if pin is not None else 'no PIN'} now.",
    )
    if alone:
        shell.say(set_up.ONLY_LEAD)


def _source_arguments(source: ArgumentParser, kind: str) -> None:
    source.set_defaults(kind=kind, mark="", flag="", licence="", imo="")
    source.add_argument("name")
    if kind == "boat":
        source.add_argument("--mark", help="registration mark on the hull")
        source.add_argument("--flag", metavar="XX", help="flag state, ISO 3166 letters")
        source.add_argument("--imo", help="IMO number")
    source.add_argument("--licence")
    source.add_argument("--address", default="")
    source.add_argument("--phone", default="")


def _source(args: Namespace, shell: Shell) -> None:
    facts = SourceFacts(args.kind, args.name, args.mark, args.flag, args.licence, args.imo, args.address, args.phone)
    with shell.desk() as desk:
        set_up.add_source(desk, facts)
    shell.give(asdict(facts), f"Added the {facts.kind} {facts.name} {facts.mark}".rstrip() + ".")


def _supplier_arguments(supplier: ArgumentParser) -> None:
    supplier.add_argument("name")
    supplier.add_argument("--address", default="")
    supplier.add_argument("--phone", default="")


def _supplier(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        set_up.add_supplier(desk, args.name, args.address, args.phone)
    data = {"kind": "supplier", "name": args.name, "address": args.address, "phone": args.phone}
    shell.give(data, f"Added the supplier {args.name}.")


def _buyer_arguments(buyer: ArgumentParser) -> None:
    buyer.add_argument("name")
    buyer.add_argument("--phone", required=True)
    buyer.add_argument("--email", default="")
    buyer.add_argument("--address", default="")
    buyer.add_argument("--gln", help="GS1 global location number, 13 digits")


def _buyer(args: Namespace, shell: Shell) -> None:
    facts = BuyerFacts(args.name, args.phone, args.email, args.address, args.gln)
    with shell.desk() as desk:
        set_up.add_buyer(desk, facts)
    shell.give({"kind": "buyer", **asdict(facts)}, f"Added the buyer {facts.name}, telephone {facts.phone}.")


def _equipment_arguments(equipment: ArgumentParser) -> None:
    equipment.add_argument("name")
    equipment.add_argument("kind", metavar="KIND", help=", ".join(EQUIPMENT_KINDS))


def _equipment(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        set_up.add_equipment(desk, args.name, args.kind)
    data = {"kind": "equipment", "name": args.name, "equipment_kind": args.kind}
    shell.give(data, f"Added the {args.kind} {args.name}.")


def _product_arguments(product: ArgumentParser) -> None:
    product.add_argument("name")
    product.add_argument("--gtin", required=True, help="GTIN with its check digit, 8, 12, 13 or 14 digits")
    product.add_argument("--smoking", required=True, metavar="KIND", help=", ".join(SMOKING_KINDS))
    product.add_argument(
        "--net", required=True, type=mass, metavar="MASS", help="net weight of a pack, such as '300 g'"
    )
    product.add_argument(
        "--catch-weight", action="store_true",
        help="every pack is weighed by itself; --net is then about what one weighs, and the GTIN-14 begins with 9",
    )  # fmt: skip
    product.add_argument("--life-days", required=True, type=whole, metavar="N", help="days from packing to best before")
    product.add_argument("--species", default="", help="FAO code, Latin or English name")
    product.add_argument("--packaging", default="air", metavar="KIND", help=f"{', '.join(PACKAGINGS)} (default: air)")
    product.add_argument("--case-packs", type=whole, default=12, metavar="N", help="packs in a case (default: 12)")
    product.add_argument("--process", default=None, metavar="NAME", help="its scheduled process, if not the usual one")
    product.add_argument("--keeping", choices=KEEPINGS, help="how packs are kept")
    product.add_argument("--serving", choices=SERVINGS, help="how they are eaten; ready to eat rests on core heat")
    product.add_argument("--nutrition", metavar="TEXT", help=f"what 100 g hold: '{NUTRITION_EXAMPLE}'")
    for option in ("--ingredients", "--allergens", "--storage", "--cook"):
        product.add_argument(option, default="", help=f"the label's words on {option[2:]}")


def _product(args: Namespace, shell: Shell) -> None:
    facts = ProductFacts(
        args.gtin, args.name, args.smoking, args.net, args.life_days, args.species or None, args.packaging,
        args.ingredients, args.allergens, args.storage, args.cook, args.case_packs,
        args.process, args.keeping, args.serving, args.catch_weight, args.nutrition,
    )  # fmt: skip
    with shell.desk() as desk:
        set_up.add_product(desk, facts)
    shell.give({"kind": "product", **asdict(facts)}, f"Added the product {facts.name}, GTIN {facts.gtin}.")


def _code_arguments(nouns: Nouns) -> None:
    species = nouns.add("species", "Add a species the shipped list does not have.", _species)
    species.add_argument("code", help="FAO 3-alpha code")
    species.add_argument("--scientific", required=True, help="Latin name")
    species.add_argument("--english", required=True)
    species.add_argument("--histamine", action="store_true", help="it can form histamine")
    area = nouns.add("area", "Add a catch area under a name of its own.", _area)
    area.add_argument("code", help="FAO area, such as 27.4.b")
    area.add_argument("--name", required=True)
    gear = nouns.add("gear", "Add a gear the shipped list does not have.", _gear)
    gear.add_argument("code", help="ISSCFG code, such as 03.1")
    gear.add_argument("--abbr", required=True, help="its abbreviation, such as OTB")
    gear.add_argument("--name", required=True)
    gear.add_argument("--eu-category", help="its EU consumer category, if it has one")
    for parser in (species, area, gear):
        parser.add_argument("--origin", required=True, help="who says so: the list or the person")


def _species(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        set_up.add_species(desk, args.code, args.scientific, args.english, args.histamine, args.origin)
    _give_code(shell, args, "species", ("scientific", "english", "histamine"))


def _area(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        set_up.add_area(desk, args.code, args.name, args.origin)
    _give_code(shell, args, "area", ("name",))


def _gear(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        set_up.add_gear(desk, args.code, args.abbr, args.name, args.eu_category, args.origin)
    _give_code(shell, args, "gear", ("abbr", "name", "eu_category"))


def _give_code(shell: Shell, args: Namespace, kind: str, names: tuple[str, ...]) -> None:
    said = {name: getattr(args, name) for name in ("code", *names, "origin")}
    shell.give({"kind": kind, **said}, f"Added the {kind} {args.code}.")
