"""What can be missing or wrong on a label: each function says what, or returns None when it finds nothing.

Where words are looked for, they are looked for in the languages whose phrases come with the program; text in another
language is found wanting and has to be judged by a person.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from lotwake.labels.checks.facts import LayoutFacts
from lotwake.labels.layout.spec import LabelSpec, Packaging
from lotwake.labels.layout.type_sizes import (
    min_figure_height_mm,
    min_x_height_mm,
    us_figure_height_mm,
    us_x_height_mm,
)

ROP_MOST_C = 3.0
TOO_SMALL_FOR_NUTRITION_CM2 = 25  # Reg. (EU) 1169/2011 Annex V 18, from memory
TOLERANCE_MM = 0.001
_CELSIUS = re.compile(r"([-\u2212]?\d+(?:[.,]\d+)?)\s*°?\s*C\b")
_SMOKED = ("smoke", "fumé", "ahumad", "tinapa", "pinausok", "røkt", "røget", "geräuchert")
_THAWED = ("thawed", "defrosted", "previously frozen", "décongelé", "descongelad", "tinunaw")
_ATMOSPHERE = ("protective atmosphere", "atmosphère protectrice", "atmósfera protectora")
_KEEP_COLD = ("keep frozen", "keep refrigerated")


@dataclass(frozen=True)
class Checked:
    """One label under the check: what it says and what it measures."""

    spec: LabelSpec
    facts: LayoutFacts


Problem = Callable[[Checked], str | None]


def missing(field: str, words: str) -> Problem:
    """Return a check that ``field`` of the spec is filled in."""
    return lambda label: None if getattr(label.spec, field) else f"There is no {words}."


def not_smoked_in_name(label: Checked) -> str | None:
    """The name says that the fish is smoked, and how."""
    name = f"{label.spec.product_name} {label.spec.smoking_kind}".casefold()
    return None if any(word in name for word in _SMOKED) else "The name does not say that the fish is smoked."


def not_one_date(label: Checked) -> str | None:
    """Best before or use by, one of them."""
    dates = [day for day in (label.spec.best_before, label.spec.use_by) if day]
    if len(dates) == 2:
        return "There is a best-before and a use-by date."
    return None if dates else "There is no durability date."


def allergen_not_declared(label: Checked) -> str | None:
    """At least the fish is declared as an allergen."""
    return None if label.spec.allergens else "No allergen is declared; fish is one."


def allergen_not_emphasised(label: Checked) -> str | None:
    """Every allergen stands as a word in the list of ingredients, where it is printed bold."""
    ingredients = label.spec.ingredients
    absent = [word for word in label.spec.allergens if not _has_word(ingredients, word)]
    if not label.spec.allergens:
        return "No allergen is declared; fish is one."
    return f"The ingredients do not name {', '.join(absent)} as such." if absent else None


def species_not_in_allergens(label: Checked) -> str | None:
    """The allergen statement names the species of the fish, not only "fish"."""
    declared = " ".join(label.spec.allergens).casefold()
    species = re.findall(r"\w{4,}", label.spec.species_commercial.casefold())
    if any(word in declared for word in species):
        return None
    return f"The allergen statement does not name the species ({label.spec.species_commercial})."


def no_percentage(label: Checked) -> str | None:
    """An ingredient that the name stresses has its percentage."""
    return None if "%" in label.spec.ingredients else "The ingredients give no percentage of the fish."


def says_thawed(text: str) -> bool:
    """Whether these words say that the food was frozen and thawed."""
    return any(word in text.casefold() for word in _THAWED)


def thawed_not_said(label: Checked) -> str | None:
    """Fish that is sold thawed says so."""
    if not label.spec.sold_thawed or says_thawed(f"{label.spec.product_name} {label.spec.storage} {label.spec.cook}"):
        return None
    return "The pack is sold thawed and does not say so."


def warm_reduced_oxygen(label: Checked) -> str | None:
    """A pack without air names a storage temperature of 3 °C or colder."""
    spec = label.spec
    named = [float(text.replace("\u2212", "-").replace(",", ".")) for text in _CELSIUS.findall(spec.storage)]
    if spec.packaging is Packaging.AIR or any(celsius <= ROP_MOST_C for celsius in named):
        return None
    return f"The pack ({spec.packaging.value}) names no storage temperature of {ROP_MOST_C:g} °C or colder."


def no_keep_cold(label: Checked) -> str | None:
    """A pack without air says in so many words that it is kept refrigerated or frozen."""
    spec = label.spec
    if spec.packaging is Packaging.AIR or any(words in spec.storage.casefold() for words in _KEEP_COLD):
        return None
    return f'The pack ({spec.packaging.value}) does not say "Keep frozen" or "Keep refrigerated".'


def atmosphere_not_said(label: Checked) -> str | None:
    """A pack under a protective gas says so."""
    spec = label.spec
    text = f"{spec.product_name} {spec.storage} {' '.join(spec.origin_lines)}".casefold()
    if spec.packaging is not Packaging.PROTECTIVE_ATMOSPHERE or any(words in text for words in _ATMOSPHERE):
        return None
    return 'The pack does not say "packaged in a protective atmosphere".'


def no_dual_units(label: Checked) -> str | None:
    """The net quantity stands in ounces or pounds and in grams."""
    return None if label.spec.dual_units else "The net weight is not given in ounces or pounds as well."


def not_english(label: Checked) -> str | None:
    """The fixed words are there in English."""
    return None if "English" in label.spec.phrases.language else "The label is not in English."


def apart(label: Checked) -> str | None:
    """Name and net weight are seen together."""
    return None if label.facts.one_field else "Name and net weight are not in one field of vision."


def no_nutrition(label: Checked) -> str | None:
    """There is a nutrition declaration, unless the pack's largest face is too small to be asked for one."""
    facts = label.facts
    if label.spec.nutrition or (facts.face_known and facts.face_cm2 < TOO_SMALL_FOR_NUTRITION_CM2):
        return None
    return "There is no nutrition declaration."


def always(words: str) -> Problem:
    """Return a reminder of what no program can see."""
    return lambda _: words


def face_unknown(label: Checked) -> str | None:
    """The size of the pack is known, by which type sizes are judged."""
    if label.facts.face_known:
        return None
    return (
        f"Nobody gave the pack's largest face; it was taken for {label.facts.face_cm2:.0f} cm2, the label's own size."
    )


def fixed_weight_gtin(label: Checked) -> str | None:
    """A pack with a weight of its own has a GTIN for variable measure, with indicator 9."""
    spec = label.spec
    if not spec.catch_weight or (len(spec.gtin) == 14 and spec.gtin.startswith("9")):
        return None
    return f"Packs of catch weight have GTIN {spec.gtin}, which does not begin with the indicator 9."


def small_eu_type(label: Checked) -> str | None:
    """The small x is as high as Reg. (EU) 1169/2011 asks for this face; an unknown face counts as a large one."""
    face_cm2 = label.facts.face_cm2 if label.facts.face_known else 1000
    return _too_small("The small x", label.facts.x_height_mm, min_x_height_mm(face_cm2))


def small_eu_figures(label: Checked) -> str | None:
    """The figures of the net weight are as high as Directive 76/211/EEC asks for this weight."""
    return _too_small("The net weight", label.facts.net_figure_mm, min_figure_height_mm(label.spec.net_g))


def small_us_type(label: Checked) -> str | None:
    """The small letters are as high as 21 CFR 101.2 asks for this panel."""
    return _too_small("The small o", label.facts.x_height_mm, us_x_height_mm(label.facts.panel_sq_in))


def small_us_figures(label: Checked) -> str | None:
    """The figures of the net weight are as high as 21 CFR 101.7 asks for this panel."""
    return _too_small("The net weight", label.facts.net_figure_mm, us_figure_height_mm(label.facts.panel_sq_in))


def _too_small(what: str, height_mm: float, least_mm: float) -> str | None:
    if height_mm >= least_mm - TOLERANCE_MM:
        return None
    return f"{what} is {height_mm:.2f} mm high; {least_mm:.2f} mm is the least."


def _has_word(text: str, word: str) -> bool:
    return re.search(rf"\b{re.escape(word)}\b", text, re.IGNORECASE) is not None
