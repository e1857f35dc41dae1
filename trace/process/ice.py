"""Ice to chill fish, and to keep it chilled."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Basis, must_lie

MELTING_KCAL_PER_KG = 80.0
UNKNOWN_MIX_CP = 0.8
CP_KCAL_PER_KG_C = {"lean": 0.88, "semi-fat": 0.83, "fatty": 0.78, "unknown": UNKNOWN_MIX_CP}
"""Specific heat, kcal/(kg C): a UNU-FTP course on ice and cooling; 0.8 for an unknown mix is FAO FTP 331."""
THUMB_CHILL, THUMB_HOLD_A_DAY = 0.0114, 0.015

ICE_BASIS = Basis(
    "ice kg = fish kg x cp x (from C - to C) / 80",
    "FAO Fisheries Technical Paper 331, eq. 4 (80 kcal melt one kg of ice)",
    "The least that physics asks: heat that leaks in needs more.",
)


@dataclass(frozen=True)
class IceNeed:
    """Ice, kg, to cool this much fish."""

    fish_kg: float
    from_c: float
    to_c: float
    cp_kcal_per_kg_c: float
    ice_kg: float
    basis: Basis = ICE_BASIS


def ice_to_chill(fish_kg: float, from_c: float, to_c: float = 0.0, cp: float = UNKNOWN_MIX_CP) -> IceNeed:
    """Ice that melts while the fish cools to ``to_c`` (0 C or above, since ice cools no further)."""
    must_lie("Fish", fish_kg, 0, 1e6, "kg")
    must_lie("A fish temperature", from_c, 0, 60, "C")
    must_lie("A temperature to reach with ice", to_c, 0, 60, "C")
    must_lie("A specific heat", cp, 0.3, 1.0, "kcal/(kg C)")
    if to_c > from_c:
        raise CallError(f"Ice does not warm fish from {from_c:g} to {to_c:g} C.", "Were the two exchanged?")
    return IceNeed(fish_kg, from_c, to_c, cp, fish_kg * cp * (from_c - to_c) / MELTING_KCAL_PER_KG)


def rule_of_thumb_kg(fish_kg: float, from_c: float) -> float:
    """Ice, kg, to bring fish to 0 C: 0.0114 x kg x C (Matis)."""
    return THUMB_CHILL * must_lie("Fish", fish_kg, 0, 1e6, "kg") * must_lie("A fish temperature", from_c, 0, 60, "C")


def holding_kg_per_day(fish_kg: float, around_c: float) -> float:
    """Ice, kg a day, that keeps fish chilled in surroundings of ``around_c``: 0.015 x kg x C (Matis)."""
    return THUMB_HOLD_A_DAY * must_lie("Fish", fish_kg, 0, 1e6, "kg") * must_lie("The air", around_c, 0, 60, "C")
