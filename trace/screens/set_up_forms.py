"""Who and what the house deals with: for each kind its fields, how it is added, and who is there already."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from lotwake.labels.errors import LabelError
from lotwake.labels.gs1.keys import gtin14
from lotwake.trace.actions import judge, set_up
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import read_day, show_day
from lotwake.trace.base.nutrition import read_nutrition
from lotwake.trace.base.units import parse_mass_g, show_mass
from lotwake.trace.records import lists
from lotwake.trace.records.entries.house import (
    EQUIPMENT_KINDS,
    LONGEST_LIFE_DAYS,
    PACKAGINGS,
    SMOKING_KINDS,
    BuyerFacts,
    ProductFacts,
    SourceFacts,
)
from lotwake.trace.records.rights import LINE, ROLES
from lotwake.trace.records.stock import INSTRUMENTS
from lotwake.trace.screens.arrival_form import DeskOf, moment_field, species
from lotwake.trace.screens.set_up_files import FILE_KINDS
from lotwake.trace.screens.set_up_kind import Kind, Values
from lotwake.trace.screens.widgets import ChoiceField, Field


def _texts(*wanted: str, needed: tuple[str, ...] = ("name",)) -> Callable[[DeskOf], list[Field]]:
    return lambda _desk_of: [
        Field(name, _LABELS.get(name, name.capitalize()), needed=name in needed, placeholder=_EXAMPLES.get(name, ""))
        for name in wanted
    ]


_LABELS = {"imo": "IMO number", "mark": "Registration", "cook": "Cook and serve"}
_EXAMPLES = {"flag": "two letters, such as NO", "initials": "1 to 4 letters", "phone": "first thing in a recall"}


def _gtin(text: str) -> str:
    try:
        return gtin14(text)
    except LabelError as wrong:
        raise CallError(wrong.sentence, wrong.hint) from None


def _count(most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        bare = text.strip()
        if not (bare.isascii() and bare.isdigit() and 1 <= int(bare) <= most):
            raise CallError(f"{bare} is not a whole number from 1 to {most}.", "Type digits only.")
        return int(bare)

    return read


def _words(name: str, label: str, words: tuple[str, ...]) -> ChoiceField:
    return ChoiceField(name, label, lambda: [(word, "") for word in words], placeholder="choose with up and down")


def _product_fields(desk_of: DeskOf) -> list[Field]:
    usual_case = Field("case_packs", "Packs in a case", _count(10_000), placeholder="12")
    usual_case.suggest("12")
    packaging = _words("packaging", "Packaging", PACKAGINGS)
    packaging.suggest(PACKAGINGS[0])
    weighed = _words("catch_weight", "Each weighed", ("no", "yes"))
    weighed.suggest("no")
    return [
        Field("name", "Name"),
        Field("gtin", "GTIN", _gtin, echo=str, placeholder="8, 12, 13 or 14 digits"),
        _words("smoking", "Smoking", SMOKING_KINDS),
        Field(
            "net_g", "Net weight", lambda text: parse_mass_g(text, "g"), echo=show_mass, placeholder="g; or type kg, lb"
        ),
        Field("life_days", "Life, days", _count(LONGEST_LIFE_DAYS), placeholder="packing to best before"),
        ChoiceField("species", "Species", lambda: species(desk_of()), needed=False, placeholder="code or name"),
        packaging,
        usual_case,
        *_texts("storage", "ingredients", "allergens", "cook", needed=())(desk_of),
        weighed,
        Field("nutrition", "In 100 g", lambda text: str(read_nutrition(text)), needed=False,
              placeholder="fat 8.1, ... salt 2.4"),
    ]  # fmt: skip


def _equipment_fields(_desk_of: DeskOf) -> list[Field]:
    return [Field("name", "Name"), _words("kind", "Kind", EQUIPMENT_KINDS)]


def _said(values: Values) -> Values:
    return {name: value for name, value in values.items() if value is not None}


def _add_source(kind: str) -> Callable[[Desk, Values], str]:
    def add(desk: Desk, values: Values) -> str:
        set_up.add_source(desk, SourceFacts(kind, **_said(values)))
        return f"The {kind} {values['name']} is known now."

    return add


def _add_supplier(desk: Desk, values: Values) -> str:
    set_up.add_supplier(desk, **_said(values))
    return f"The supplier {values['name']} is known now."


def _add_buyer(desk: Desk, values: Values) -> str:
    set_up.add_buyer(desk, BuyerFacts(**_said(values)))
    return f"The buyer {values['name']} is known now."


def _add_product(desk: Desk, values: Values) -> str:
    set_up.add_product(desk, ProductFacts(**_said({**values, "catch_weight": values["catch_weight"] == "yes"})))
    return f"The product {values['name']} can be packed now."


def _add_equipment(desk: Desk, values: Values) -> str:
    set_up.add_equipment(desk, values["name"], values["kind"])
    return f"The {values['kind']} {values['name']} is known now."


def _instruments(desk: Desk) -> list[tuple[str, str]]:
    """Every instrument, with how long its last check is good."""
    last = {item.instrument: item for item in reversed(lists.calibrations(desk.records))}
    pairs = []
    for item in lists.equipment(desk.records):
        if item.kind in INSTRUMENTS:
            check = last.get(item.name)
            passed = check is not None and check.result == "passed"
            good = (
                f"good until {show_day(date.fromisoformat(check.due_on))}" if check and passed else "failed its check"
            )
            pairs.append((item.name, f"{item.kind}, {good if check else 'never checked'}"))
    return pairs


def _check_fields(desk_of: DeskOf) -> list[Field]:
    result = _words("result", "Result", ("passed", "failed"))
    result.suggest("passed")
    return [
        ChoiceField("instrument", "Instrument", lambda: _instruments(desk_of()), placeholder="part of its name"),
        Field("found", "What was found", placeholder="0.1 C high in ice water"),
        result,
        Field("due_on", "Check again by", lambda text: read_day(text, desk_of().today), echo=show_day,
              placeholder="+30, or 24 Dec 2026"),
        moment_field("at", "Checked", desk_of),
    ]  # fmt: skip


def _add_check(desk: Desk, values: Values) -> str:
    name, passed = values["instrument"], values["result"] == "passed"
    judge.calibrate(desk, name, values["found"], passed, values["due_on"], values["at"])
    if passed:
        return f"{name} passed its check; the next is due {show_day(values['due_on'])}."
    return f"{name} failed its check: what was measured with it since its last good check waits on the start page."


def _add_operator(desk: Desk, values: Values) -> str:
    who = set_up.add_operator(desk, values["initials"], values["name"], values["role"])
    return f"{who.name} signs in with /as {who.initials}, or with a card of code {show_code(who.code)}."


def _operator_fields(desk_of: DeskOf) -> list[Field]:
    role = _words("role", "May do", ROLES)
    role.suggest(LINE)
    return [*_texts("initials", "name", needed=("initials", "name"))(desk_of), role]


def _sources(kind: str) -> Callable[[Desk], list[str]]:
    return lambda desk: [item.name for item in lists.sources(desk.records, kind)]


KINDS = (
    Kind("boat", "boats", _texts("name", "mark", "flag", "licence", "imo", "address", "phone"), _add_source("boat"),
         _sources("boat")),
    Kind("farm", "farms", _texts("name", "licence", "address", "phone"), _add_source("farm"), _sources("farm")),
    Kind("dealer", "dealers", _texts("name", "licence", "address", "phone"), _add_source("dealer"), _sources("dealer")),
    Kind("supplier", "suppliers", _texts("name", "address", "phone"), _add_supplier,
         lambda desk: [item.name for item in lists.suppliers(desk.records)]),
    Kind("buyer", "buyers", _texts("name", "phone", "email", "address", needed=("name", "phone")), _add_buyer,
         lambda desk: [item.name for item in lists.buyers(desk.records)]),
    Kind("product", "products", _product_fields, _add_product,
         lambda desk: [item.name for item in lists.products(desk.records)]),
    Kind("equipment", "equipment", _equipment_fields, _add_equipment,
         lambda desk: [item.name for item in lists.equipment(desk.records)]),
    Kind("operator", "operators", _operator_fields, _add_operator,
         lambda desk: [f"{item.initials} {item.name} ({item.role})" for item in lists.operators(desk.records)]),
    Kind("check", "checks", _check_fields, _add_check,
         lambda desk: [f"{name} ({said})" for name, said in _instruments(desk)]),
    *FILE_KINDS,
)  # fmt: skip
