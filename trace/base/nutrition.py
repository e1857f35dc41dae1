"""What 100 g of a food hold, as a person types it and as it stands in the record.

The particulars and their order are those of Reg. (EU) 1169/2011 Art. 30 and Annex XV; the energy that follows from them is
that of its Annex XIV (37, 17 and 17 kJ, or 9, 4 and 4 kcal, for a gram of fat, carbohydrate and protein). Both from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from decimal import ROUND_HALF_UP, Decimal

from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import parse_number

EXAMPLE = "684 kJ, 164 kcal, fat 8.1, saturates 1.9, carbohydrate 0, sugars 0, protein 22.8, salt 2.4"
NUTRIENTS = ("fat", "saturates", "carbohydrate", "sugars", "protein", "salt")
_KJ_PER_G = {"fat_mg": 37, "carbohydrate_mg": 17, "protein_mg": 17}
_KCAL_PER_G = {"fat_mg": 9, "carbohydrate_mg": 4, "protein_mg": 4}
_MOST_OFF = Decimal("0.2")
"""A typed energy further than this from what follows from the nutrients was misread (common practice)."""
_PART = re.compile(
    r"(?:(?P<energy>[0-9]+)\s*(?P<unit>kj|kcal)|(?P<name>[a-z]+)\s*(?P<g>[0-9]+(?:[.,][0-9]+)?)\s*g?)\s*(?:[,;/]\s*|\s+|$)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Nutrition:
    """What 100 g hold: energy in kilojoules and kilocalories, nutrients in milligrams."""

    energy_kj: int
    energy_kcal: int
    fat_mg: int
    saturates_mg: int
    carbohydrate_mg: int
    sugars_mg: int
    protein_mg: int
    salt_mg: int

    def __str__(self) -> str:
        """As it stands in the record: ``684 kJ, 164 kcal, fat 8.1 g, ...``; ``read_nutrition`` reads it again."""
        nutrients = (f"{name} {shown_g(getattr(self, f'{name}_mg'))} g" for name in NUTRIENTS)
        return ", ".join((f"{self.energy_kj} kJ", f"{self.energy_kcal} kcal", *nutrients))


def shown_g(mg: int) -> str:
    """Milligrams as grams with no idle zeros: ``8.1``."""
    return f"{Decimal(mg).scaleb(-3).normalize():f}"


def read_nutrition(text: str) -> Nutrition:
    """What a person typed: all six nutrients in grams; energy in kJ and kcal, or neither, then it is computed.

    CallError names what is missing, said twice, or cannot be.
    """
    said = _parts(text)
    missing = [name for name in NUTRIENTS if f"{name}_mg" not in said]
    if missing:
        raise CallError(f"The nutrition does not say {', '.join(missing)}.", f"Write it as {EXAMPLE}.")
    kj, kcal = (sum(said[name] * per_g for name, per_g in factors.items()) for factors in (_KJ_PER_G, _KCAL_PER_G))
    for name, computed in (("energy_kj", kj), ("energy_kcal", kcal)):
        _set_energy(said, name, Decimal(computed) / 1000)
    made = Nutrition(**{part.name: said[part.name] for part in fields(Nutrition)})
    _must_be_possible(made)
    return made


def _parts(text: str) -> dict[str, int]:
    said: dict[str, int] = {}
    at, bare = 0, text.strip()
    while at < len(bare):
        part = _PART.match(bare, at)
        if part is None:
            raise CallError(f"{bare[at:]!r} is no part of a nutrition declaration.", f"Write it as {EXAMPLE}.")
        at = part.end()
        name, number = _named(part)
        if name in said:
            raise CallError(f"The nutrition says {name.partition('_')[0]} twice.", f"Write it as {EXAMPLE}.")
        said[name] = number
    return said


def _named(part: re.Match[str]) -> tuple[str, int]:
    if part["energy"]:
        return f"energy_{part['unit'].lower()}", int(part["energy"])
    name = part["name"].lower()
    if name not in NUTRIENTS:
        raise CallError(f"{name!r} is no nutrient of the declaration.", f"There are: {', '.join(NUTRIENTS)}.")
    mg = parse_number(part["g"]) * 1000
    if mg != mg.to_integral_value():
        raise CallError(f"{part['g']} g of {name} is finer than a milligram.", "Give three decimals at the most.")
    return f"{name}_mg", int(mg)


def _set_energy(said: dict[str, int], name: str, computed: Decimal) -> None:
    """Fill an energy that was not typed; one that does not follow from the nutrients is refused."""
    typed = said.setdefault(name, int(computed.quantize(Decimal(1), ROUND_HALF_UP)))
    if abs(typed - computed) > max(_MOST_OFF * computed, Decimal(5)):
        unit = {"energy_kj": "kJ", "energy_kcal": "kcal"}[name]
        raise CallError(
            f"{typed} {unit} does not follow from the nutrients, which hold about {computed:.0f} {unit}.",
            "Check the numbers, or leave the energy out: it is computed.",
        )


def _must_be_possible(said: Nutrition) -> None:
    for part, whole in (("saturates", "fat"), ("sugars", "carbohydrate")):
        if getattr(said, f"{part}_mg") > getattr(said, f"{whole}_mg"):
            raise CallError(f"There cannot be more {part} than {whole}.", "Check the two numbers.")
    if said.fat_mg + said.carbohydrate_mg + said.protein_mg + said.salt_mg > 100_000:
        raise CallError("100 g cannot hold more than 100 g.", "Check the numbers.")
