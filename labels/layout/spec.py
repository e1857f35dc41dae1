"""What one label says: plain values, given by whoever knows them; nothing here decides what may be claimed."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field, fields, replace
from datetime import date
from enum import Enum
from typing import Any, TypeVar

from lotwake.labels.errors import LabelRefused, WrongData
from lotwake.labels.gs1.digital_link import DEFAULT_STEM
from lotwake.labels.gs1.keys import check_sscc, gtin14
from lotwake.labels.layout.faces import characters_missing
from lotwake.labels.layout.languages import Phrases, english


class Packaging(Enum):
    """How the pack is closed, which decides what its label must warn of."""

    AIR = "with air"
    REDUCED_OXYGEN = "vacuum or other reduced oxygen"
    PROTECTIVE_ATMOSPHERE = "protective atmosphere"


@dataclass(frozen=True)
class FishOrigin:
    """Where the fish comes from, for a 2D symbol. What is empty or None is left out.

    ``catch_area`` is a FAO area with its dots, ``species`` an ASFIS code, ``gear`` an ISSCFG code, ``method`` 01 caught
    at sea, 02 caught in fresh water, 03 farmed, 04 cultivated (AI 7010, from memory).
    """

    catch_area: str = ""
    caught_from: date | None = None
    caught_to: date | None = None
    species: str = ""
    gear: str = ""
    method: str = ""


@dataclass(frozen=True)
class LabelSpec:
    """One pack label, but for the serial number.

    ``lot`` is the code in AI (10) and ``lot_shown`` the same for reading, in groups. ``allergens`` are the words made
    bold wherever the ingredients name them. ``pack_face_cm2`` is the area of the pack's largest face, which decides how
    small type may be; None means that nobody said, and the larger type is kept. A label carries ``best_before`` or
    ``use_by``, not both.
    ``approval_mark`` are the lines of the oval identification mark, such as country, number and letters.
    ``ingredients``, ``storage``, ``cook``, ``approval_number``, ``allergens``, ``origin_lines``, ``country_of_origin``,
    ``nutrition`` and ``approval_mark`` may be empty and then leave no gap; everything else must be filled in.
    With ``catch_weight`` every pack has a weight of its own and ``net_g`` is the heaviest of the run. ``dual_units``
    adds ounces or pounds. ``net_figure_mm`` and ``least_x_height_mm`` are the least heights of the net weight's figures
    and of the small x where a market asks for more than the European tables. ``link_stem`` is where a Digital Link in a
    QR code leads.
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
    best_before: date | None
    storage: str
    cook: str
    producer_name: str
    producer_address: str
    approval_number: str
    origin_lines: tuple[str, ...]
    pack_face_cm2: int | None = None
    use_by: date | None = None
    country_of_origin: str = ""
    nutrition: str = ""
    approval_mark: tuple[str, ...] = ()
    packaging: Packaging = Packaging.AIR
    sold_thawed: bool = False
    catch_weight: bool = False
    dual_units: bool = False
    net_figure_mm: float = 0.0
    least_x_height_mm: float = 0.0
    origin: FishOrigin | None = None
    link_stem: str = DEFAULT_STEM
    phrases: Phrases = field(default_factory=english)


@dataclass(frozen=True)
class CaseLabelSpec:
    """One case or pallet label: an SSCC and the one product and lot in it. ``net_g`` is the weight of all its packs, and
    ``cases`` how many cases stand on it where it is a pallet.

    With ``catch_weight`` every pack has a weight of its own. Then, and with ``origin``, the label has a DataMatrix besides
    its bars, which holds all of it, the weight too.
    """

    product_name: str
    smoking_kind: str
    sscc: str
    gtin: str
    pack_count: int
    net_g: int
    lot: str
    lot_shown: str
    best_before: date | None
    storage: str
    producer_name: str
    producer_address: str
    approval_number: str
    use_by: date | None = None
    catch_weight: bool = False
    origin: FishOrigin | None = None
    phrases: Phrases = field(default_factory=english)
    cases: int | None = None


@dataclass(frozen=True)
class MixedLabelSpec:
    """The label of a case or pallet with several lots: its SSCC as a barcode, and in words what is in it.

    ``pairs`` are (heading, value), ``contents`` a line for each lot.
    """

    sscc: str
    pairs: tuple[tuple[str, str], ...]
    contents: tuple[str, ...]
    storage: str
    producer_name: str
    producer_address: str
    approval_number: str
    phrases: Phrases = field(default_factory=english)


LogisticSpec = CaseLabelSpec | MixedLabelSpec


@dataclass(frozen=True)
class CardSpec:
    """A card that goes with a batch or a tray through the house: its code, and what people should see from afar.

    ``tray`` is ``"3 of 12"`` or empty; ``details`` are (heading, value) pairs, the first ones most wanted; ``more`` are
    further (AI, value) pairs behind the code in the barcode.
    """

    title: str
    code: str
    code_shown: str
    tray: str = ""
    details: tuple[tuple[str, str], ...] = ()
    more: tuple[tuple[str, str], ...] = ()
    phrases: Phrases = field(default_factory=english)


_MAY_BE_EMPTY = frozenset(
    {"ingredients", "storage", "cook", "approval_number", "allergens", "origin_lines", "country_of_origin", "nutrition"}
    | {"approval_mark", "tray", "details", "more"}
)
Spec = TypeVar("Spec", LabelSpec, CaseLabelSpec, MixedLabelSpec, CardSpec)


def checked_spec(spec: Spec) -> Spec:
    """Return the spec with its text in composed Unicode form and its keys checked.

    Raises:
        LabelRefused: for an empty field, a character the label font does not have, no date or two or dates in the wrong
            order, or a lot that reads otherwise than its barcode.
        WrongData: for a wrong GTIN or SSCC, or an amount that is not above zero.
    """
    composed: dict[str, Any] = {part.name: _composed(getattr(spec, part.name)) for part in fields(spec)}
    clean = replace(spec, **composed)
    for part in fields(clean):
        _check_field(part.name.replace("_", " "), getattr(clean, part.name), part.name in _MAY_BE_EMPTY)
    if isinstance(clean, CardSpec):
        _check_shown("code", clean.code, clean.code_shown)
        return clean
    if isinstance(clean, MixedLabelSpec):
        check_sscc(clean.sscc)
        return clean
    _check_shown("lot", clean.lot, clean.lot_shown)
    gtin14(clean.gtin)
    _, day = durability(clean)
    if isinstance(clean, CaseLabelSpec):
        check_sscc(clean.sscc)
    elif day < clean.packed_on:
        which = "best-before" if clean.best_before else "use-by"
        raise LabelRefused(f"The {which} date lies before the packing date.", "Correct one of the two dates.")
    return clean


def durability(spec: LabelSpec | CaseLabelSpec) -> tuple[str, date]:
    """Return the heading of the durability date in the label's words, and the date.

    Raises:
        LabelRefused: when there is none, or both.
    """
    if spec.best_before and spec.use_by:
        raise LabelRefused(
            "The label has a best-before and a use-by date.", "A food carries one of them: take the other away."
        )
    if spec.use_by:
        return spec.phrases.use_by, spec.use_by
    if spec.best_before:
        return spec.phrases.best_before, spec.best_before
    raise LabelRefused("The label has no durability date.", "Give a best-before or a use-by date.")


def food_name(spec: LabelSpec | CaseLabelSpec) -> str:
    """Return the name of the food with its smoking kind, which is named once only."""
    return named_once(spec.product_name, spec.smoking_kind)


def named_once(name: str, smoking_kind: str) -> str:
    """Return the name with the smoking kind behind it, unless it says so itself."""
    return name if smoking_kind.casefold() in name.casefold() else f"{name}, {smoking_kind}"


def _check_shown(name: str, code: str, shown: str) -> None:
    if _letters(shown) != _letters(code):
        raise LabelRefused(
            f"The {name} is {code} in the barcode, but {shown!r} for reading.",
            "Group the same characters with spaces, nothing more.",
        )


def _letters(text: str) -> str:
    return "".join(filter(str.isalnum, text))


def _composed(value: object) -> object:
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value.strip())
    return tuple(_composed(item) for item in value) if isinstance(value, tuple) else value


def _check_field(name: str, value: object, may_be_empty: bool) -> None:
    if isinstance(value, Phrases):
        for part in fields(value):
            _check_field(f"{value.language} phrase {part.name}", getattr(value, part.name), False)
    elif isinstance(value, tuple):
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
    elif isinstance(value, int) and not isinstance(value, bool) and value <= 0:
        raise WrongData(f"The {name} is {value}; it must be above zero.")
