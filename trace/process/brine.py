"""Brine: strength by degrees and by weight, recipes, topping up.

**100 degrees is not one number.** A degree is a hundredth of saturation, and makers of instruments take saturation as
26.395, 26.4, 26.5 or, on a canning salometer, 25 % salt by weight. So a reading is kept with its scale.

**Read the table of Torry Advisory Note 82 with care** (FAO x5953e). It prints 26.4 to 264.0 against 10 to 100 degrees
as weight of salt, and its covering note says grams per litre. The figures are ten times the per cent by weight, grams
per kilogram of *brine*. Taken as grams per litre of brine they are about 17 % too low at 100 degrees (317 is right),
and as grams added to a litre of water 26 % too low (359 is right). Here strength is always per cent by weight of brine.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.process.basis import Basis, must_lie
from lotwake.trace.process.density import COMMON_TEMP_C, STRONGEST_PERCENT, density_kg_m3


@dataclass(frozen=True)
class Scale:
    """What 100 degrees means: the per cent of salt by weight the maker takes as saturated."""

    name: str
    saturation_percent: float
    source: str


US_60F = Scale("us-60f", 26.395, "US salometer, 60 F")
SCALES = (
    US_60F,
    Scale("torry", 26.4, "Torry Advisory Note 82"),
    Scale("maker-26.5", 26.5, "an instrument maker's rule: per cent = degrees / 3.7736"),
    Scale("canning-25", 25.0, "canning salometer"),
)
_LEAST_SATURATION, _MOST_SATURATION = 24.0, STRONGEST_PERCENT


def scale_of(text: str) -> Scale:
    """The scale of this name, or one with this many per cent at 100 degrees; NotFound or CallError if there is none."""
    for scale in SCALES:
        if text.strip().lower() in (scale.name, f"{scale.saturation_percent:g}"):
            return scale
    try:
        saturation = float(text.replace(",", "."))
    except ValueError:
        raise NotFound(
            f"No brine scale is called {text!r}.", "There are: " + ", ".join(scale.name for scale in SCALES) + "."
        ) from None
    must_lie("A saturation", saturation, _LEAST_SATURATION, _MOST_SATURATION, "% salt")
    return Scale(f"{saturation:g}", saturation, "as given")


def percent_of_degrees(degrees: float, scale: Scale = US_60F) -> float:
    """Salt in the brine, per cent by weight: degrees x saturation / 100."""
    return must_lie("A brine strength", degrees, 0, 100, "degrees") * scale.saturation_percent / 100


def degrees_of_percent(salt_percent: float, scale: Scale = US_60F) -> float:
    """Degrees on the scale of a brine with this much salt by weight; above 100 past what the scale calls saturated."""
    return 100 * must_lie("A brine", salt_percent, 0, STRONGEST_PERCENT, "% salt") / scale.saturation_percent


RECIPE_BASIS = Basis(
    "p = degrees x saturation / 100; salt = water x p / (100 - p); litres = (water + salt) / density",
    "Definition of the brine degree; density from the table of the brine-density calculation",
)


@dataclass(frozen=True)
class Recipe:
    """Salt and water for a brine, and how much brine comes of it at ``temp_c``."""

    degrees: float
    scale: Scale
    salt_percent: float
    water_kg: float
    salt_kg: float
    brine_kg: float
    litres: float
    temp_c: float
    basis: Basis = RECIPE_BASIS


def recipe_for_water(degrees: float, water_kg: float, scale: Scale = US_60F, temp_c: float = COMMON_TEMP_C) -> Recipe:
    """What to add to this much water (kg; a litre of water weighs very nearly one kg)."""
    must_lie("Water", water_kg, 0, 1e6, "kg")
    percent = percent_of_degrees(degrees, scale)
    salt_kg = water_kg * percent / (100 - percent)
    brine_kg = water_kg + salt_kg
    litres = 1000 * brine_kg / density_kg_m3(percent, temp_c)
    return Recipe(degrees, scale, percent, water_kg, salt_kg, brine_kg, litres, temp_c)


def recipe_for_tank(degrees: float, litres: float, scale: Scale = US_60F, temp_c: float = COMMON_TEMP_C) -> Recipe:
    """What to put into a tank so that it holds this many litres of brine."""
    must_lie("A tank", litres, 0, 1e6, "litres")
    percent = percent_of_degrees(degrees, scale)
    brine_kg = litres * density_kg_m3(percent, temp_c) / 1000
    return recipe_for_water(degrees, brine_kg * (100 - percent) / 100, scale, temp_c)


class Addition(StrEnum):
    """What to add to a brine in use."""

    SALT = "salt"
    WATER = "water"
    NOTHING = "nothing"


TOP_UP_BASIS = Basis(
    "weak: water stays, salt = brine x (want - have) / (100 - want); "
    "strong: salt stays, water = brine x (have / want - 1)",
    "Mass balance of salt and water; Seafood Academy, salting or brining of the fish",
)


@dataclass(frozen=True)
class TopUp:
    """What brings a brine in use back to strength."""

    brine_kg: float
    have_percent: float
    want_percent: float
    add: Addition
    add_kg: float
    brine_after_kg: float
    basis: Basis = TOP_UP_BASIS


def top_up(brine_kg: float, have_percent: float, want_percent: float) -> TopUp:
    """What to add to ``brine_kg`` of brine to take it from one strength to another (per cent by weight)."""
    must_lie("Brine", brine_kg, 0, 1e6, "kg")
    must_lie("The brine in hand", have_percent, 0, STRONGEST_PERCENT, "% salt")
    must_lie("The brine wanted", want_percent, 0, STRONGEST_PERCENT, "% salt")
    if want_percent == 0 < have_percent:
        raise CallError("No amount of water makes plain water of a brine.", "Give the strength you want.")
    if have_percent < want_percent:
        add, add_kg = Addition.SALT, brine_kg * (want_percent - have_percent) / (100 - want_percent)
    elif have_percent > want_percent:
        add, add_kg = Addition.WATER, brine_kg * (have_percent / want_percent - 1)
    else:
        add, add_kg = Addition.NOTHING, 0.0
    return TopUp(brine_kg, have_percent, want_percent, add, add_kg, brine_kg + add_kg)


def mixed_percent(parts: tuple[tuple[float, float], ...]) -> float:
    """The strength, per cent by weight, of brines poured together: ``parts`` are (kg, per cent) of each."""
    total_kg = sum(must_lie("Brine", kg, 0, 1e6, "kg") for kg, _ in parts)
    if total_kg <= 0:
        raise CallError("There is no brine to mix.", "Give the kilograms of each brine.")
    return sum(kg * must_lie("A brine", percent, 0, STRONGEST_PERCENT, "% salt") for kg, percent in parts) / total_kg
