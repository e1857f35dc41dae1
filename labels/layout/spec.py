"""What one label says: plain values, given by whoever knows them; nothing here decides what may be claimed."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any, TypeVar

from lotwake.labels.errors import LabelRefused, WrongData
from lotwake.labels.gs1.keys import check_sscc, gtin14
from lotwake.labels.layout.faces import characters_missing


@dataclass(frozen=True)
class LabelSpec:
    """One pack label, but for the serial number.

    ``lot`` is the code in AI (10) and ``lot_shown`` the same for reading, in groups. ``allergens`` are the words made
    bold wherever the ingredients name them. ``pack_face_cm2`` is the area of the pack's largest face, which decides how
    small type may be; None means that nobody said, and the larger type is kept.
    ``ingredients``, ``storage``, ``cook``, ``approval_number``, ``allergens`` and ``origin_lines`` may be empty and
    then leave no gap; everything else must be filled in.
    """

    product_name: str
    smoking_kind: str
    species_commercial: str
    species_latin: str
    ingredients: str
    allergens: tuple[str, ...]
    net_g: int
    gtin: str
    lot: str
    lot_shown: str
    packed_on: date
    best_before: date
    storage: str
    cook: str
    producer_name: str
    producer_address: str
    approval_number: str
    origin_lines: tuple[str, ...]
    pack_face_cm2: int | None = None


@dataclass(frozen=True)
class CaseLabelSpec:
    """One case label: an SSCC and the one product and lot in the case. ``net_g`` is the weight of all its packs."""

    product_name: str
    smoking_kind: str
    sscc: str
    gtin: str
    pack_count: int
    net_g: int
    lot: str
    lot_shown: str
    best_before: date
    storage: str
    producer_name: str
    producer_address: str
    approval_number: str


_MAY_BE_EMPTY = frozenset({"ingredients", "storage", "cook", "approval_number", "allergens", "origin_lines"})
Spec = TypeVar("Spec", LabelSpec, CaseLabelSpec)


def checked_spec(spec: Spec) -> Spec:
    """Return the spec with its text in composed Unicode form and its keys checked.

    Raises:
        LabelRefused: for an empty field, a character the label font does not have, dates in the wrong order, or a lot
            that reads otherwise than its barcode.
        WrongData: for a wrong GTIN or SSCC, or an amount that is not above zero.
    """
    composed: dict[str, Any] = {field.name: _composed(getattr(spec, field.name)) for field in fields(spec)}
    clean = replace(spec, **composed)
    for field in fields(clean):
        _check_field(field.name.replace("_", " "), getattr(clean, field.name), field.name in _MAY_BE_EMPTY)
    if _letters(clean.lot_shown) != _letters(clean.lot):
        raise LabelRefused(
            f"The lot is {clean.lot} in the barcode, but {clean.lot_shown!r} for reading.",
            "Group the same characters with spaces, nothing more.",
        )
    gtin14(clean.gtin)
    if isinstance(clean, CaseLabelSpec):
        check_sscc(clean.sscc)
    elif clean.best_before < clean.packed_on:
        raise LabelRefused("The best-before date lies before the packing date.", "Correct one of the two dates.")
    return clean


def food_name(spec: LabelSpec | CaseLabelSpec) -> str:
    """Return the name of the food with its smoking kind, which is named once only."""
    if spec.smoking_kind.casefold() in spec.product_name.casefold():
        return spec.product_name
    return f"{spec.product_name}, {spec.smoking_kind}"


def _letters(text: str) -> str:
    return "".join(filter(str.isalnum, text))


def _composed(value: object) -> object:
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value.strip())
    return tuple(_composed(item) for item in value) if isinstance(value, tuple) else value


def _check_field(name: str, value: object, may_be_empty: bool) -> None:
    if isinstance(value, tuple):
        for item in value:
            _check_field(name, item, False)
    elif isinstance(value, str):
        if not value and not may_be_empty:
            raise LabelRefused(f"The label has no {name}.", "Fill it in before printing.")
        if missing := characters_missing(value):
            shown = ", ".join(f"{char!r} (U+{ord(char):04X})" for char in missing)
            raise LabelRefused(
                f"The {name} holds {shown}, which the label font does not have.",
                "Write it with other characters: Latin, Greek and Cyrillic letters are there.",
            )
    elif isinstance(value, int) and value <= 0:
        raise WrongData(f"The {name} is {value}; it must be above zero.")
