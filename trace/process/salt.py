"""Salt in the fish: water phase salt, and the water activity it leaves at most."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import CAUTION, Basis, Verdict, must_lie
from lotwake.trace.process.density import STRONGEST_PERCENT
from lotwake.trace.process.limits import published

NITRITE_COUNTS_FROM_PPM = 100
_MOST_SALT_PERCENT = 35
"""No dried salted fish holds more; a higher figure is salt and moisture exchanged."""

WPS_BASIS = Basis(
    "WPS % = 100 x salt % / (salt % + moisture %), compared unrounded; the lowest sample counts",
    "FDA Fish and Fishery Products Hazards and Controls Guidance, ch. 13 (formula from memory; extension texts agree)",
    CAUTION,
)


@dataclass(frozen=True)
class SaltSample:
    """One laboratory result, loin muscle at the thickest part: salt and moisture, per cent by weight."""

    salt_percent: float
    moisture_percent: float
    name: str = ""

    def __post_init__(self) -> None:
        must_lie("Salt", self.salt_percent, 0, _MOST_SALT_PERCENT, "%")
        must_lie("Moisture", self.moisture_percent, 0, 100, "%")
        together = self.salt_percent + self.moisture_percent
        if together > 100:
            raise CallError(
                f"Salt and moisture of {together:g} % together cannot be.", "Both are per cent of the whole fish."
            )
        if self.moisture_percent == 0:
            raise CallError("Fish with no moisture has no water phase.", "Give the moisture the laboratory found.")

    @property
    def wps_percent(self) -> float:
        """Water phase salt, unrounded. It is not salt / moisture, which some leaflets print and which reads higher."""
        return 100 * self.salt_percent / (self.salt_percent + self.moisture_percent)


@dataclass(frozen=True)
class WpsFinding:
    """Water phase salt of a batch against a limit; ``deciding`` is the sample with the lowest."""

    wps_percent: float | None
    limit_percent: float
    verdict: Verdict
    deciding: SaltSample | None
    basis: Basis = WPS_BASIS


def wps_limit_percent(nitrite_ppm: float = 0, reduced_oxygen: bool = True) -> float:
    """The least water phase salt: 3.5 % in reduced-oxygen packs, 3.0 % with 100 ppm nitrite or more, 3.0 % in air.

    FDA guidance ch. 13 for reduced oxygen (from memory; 3.5 % also in Torry Advisory Note 82); it has no figure for
    air packs, where state rules ask 3.0 % (Michigan R 285.569). Nitrite is allowed in some species only.
    """
    must_lie("Nitrite", nitrite_ppm, 0, 1000, "ppm")
    if not reduced_oxygen:
        return published("wps_air").value
    return published("wps_reduced_oxygen" if nitrite_ppm < NITRITE_COUNTS_FROM_PPM else "wps_with_nitrite").value


def judge_wps(samples: Sequence[SaltSample], limit_percent: float) -> WpsFinding:
    """The lowest of several samples against the limit, unrounded: 3.4985 prints as 3.50 and does not meet 3.5."""
    if not samples:
        return WpsFinding(None, limit_percent, Verdict.NO_EVIDENCE, None)
    lowest = min(samples, key=lambda sample: sample.wps_percent)
    verdict = Verdict.MET if lowest.wps_percent >= limit_percent else Verdict.NOT_MET
    return WpsFinding(lowest.wps_percent, limit_percent, verdict, lowest)


WATER_ACTIVITY_BASIS = Basis(
    "aw = exp(-2 x m x osmotic coefficient x 0.0180153), m = mol NaCl per kg water, 25 C",
    "Pitzer and Mayorga 1973 (coefficients from memory); within 0.0003 of the ICMSF 1980 table",
    "An upper estimate from salt alone: it supports no label claim. Measure. " + CAUTION,
)


@dataclass(frozen=True)
class WaterActivityEstimate:
    """Water activity at 25 C of a brine as strong as the water phase: an upper estimate, never evidence for a claim.

    Sugar and soluble protein lower it further in the fish, by an amount only a measurement shows.
    """

    salt_percent: float
    aw: float
    kind: str = "upper estimate"
    basis: Basis = WATER_ACTIVITY_BASIS


NACL_G_PER_MOL = 58.443
WATER_KG_PER_MOL = 0.0180153


def osmotic_coefficient(molal: float) -> float:
    """Osmotic coefficient of NaCl in water at 25 C, ``molal`` in mol per kg water (Pitzer and Mayorga 1973)."""
    a_phi, b, alpha = 0.3915, 1.2, 2.0
    beta_0, beta_1, c_phi = 0.0765, 0.2664, 0.00127
    root = math.sqrt(molal)
    debye_hueckel = -a_phi * root / (1 + b * root)
    return 1 + debye_hueckel + molal * (beta_0 + beta_1 * math.exp(-alpha * root)) + molal**2 * c_phi


def estimate_water_activity(salt_percent: float) -> WaterActivityEstimate:
    """The estimate for a brine, or for fish by its water phase salt (per cent by weight, up to saturation)."""
    must_lie("Salt in the water", salt_percent, 0, STRONGEST_PERCENT, "%")
    molal = 1000 * salt_percent / (NACL_G_PER_MOL * (100 - salt_percent))
    aw = math.exp(-2 * molal * osmotic_coefficient(molal) * WATER_KG_PER_MOL)
    return WaterActivityEstimate(salt_percent, aw)
