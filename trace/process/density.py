"""Density of salt brine, and what a hydrometer says in a brine that is not at its own temperature.

The table is that of *Poradnik fizykochemiczny* (WNT, Warszawa 1974, page fizyka.umk.pl/~lab2/tables/NaCl.html). The
page heads its second density column 15 C. That column is the brine at **10 C**: each row to 22 % is within 0.4 kg/m3
of Melinder's correlation for 10 C (2010) and 0.8 to 2.6 above it for 15 C, and it would give a US 60 F salometer table
that is 0.2 % off. It is used as 10 C here. The row for 2 % at 20 C is kept as printed (1012.2), though its own
grams-per-litre figure says 1012.5.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Basis, must_lie

STRONGEST_PERCENT = 26.5
"""Saturated brine, per cent by weight, by the highest figure in use."""
COMMON_TEMP_C = 20.0
US_HYDROMETER_C = (60 - 32) * 5 / 9
"""60 F: the temperature most salometers are made for."""
GLASS_PER_C = 25e-6
"""Cubic expansion of soda-lime glass, per degree C (common value, from memory)."""

# per cent by weight, density at 10 C, density at 20 C (kg/m3)
_BRINE = (
    (1.0, 1007.1, 1005.3),
    (2.0, 1014.4, 1012.2),
    (4.0, 1029.2, 1026.8),
    (6.0, 1044.1, 1041.3),
    (8.0, 1059.1, 1055.9),
    (10.0, 1074.2, 1070.7),
    (12.0, 1089.5, 1085.7),
    (14.0, 1104.9, 1100.9),
    (16.0, 1120.6, 1116.2),
    (18.0, 1136.4, 1131.9),
    (20.0, 1152.5, 1147.8),
    (22.0, 1168.9, 1164.0),
    (24.0, 1185.6, 1180.4),
    (26.0, 1202.5, 1197.2),
)
# Density of pure water, kg/m3 (CIPM 2001), by degree C.
_WATER = ((0.0, 999.84), (5.0, 999.97), (10.0, 999.70), (15.0, 999.10), (20.0, 998.21), (25.0, 997.05), (30.0, 995.65))
COLDEST_C, WARMEST_C = _WATER[0][0], _WATER[-1][0]

_Points = tuple[tuple[float, float], ...]
_WATER_10, _WATER_20 = 999.70, 998.21
# How much denser than water the brine is; that excess changes little, and evenly, with temperature.
_EXCESS_10: _Points = ((0.0, 0.0), *((percent, at_10 - _WATER_10) for percent, at_10, _ in _BRINE))
_EXCESS_20: _Points = ((0.0, 0.0), *((percent, at_20 - _WATER_20) for percent, _, at_20 in _BRINE))

DENSITY_BASIS = Basis(
    "linear between the rows of the table (10 and 20 C); the excess over water is taken as linear in temperature",
    "Poradnik fizykochemiczny, WNT 1974 (its column headed 15 C is the brine at 10 C); water: CIPM 2001",
)


def _interpolate(points: _Points, x: float) -> float:
    """Straight lines between the points, the last one carried on."""
    right = min(bisect_right(points, x, key=lambda point: point[0]), len(points) - 1)
    (x0, y0), (x1, y1) = points[right - 1], points[right]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def density_kg_m3(salt_percent: float, temp_c: float = COMMON_TEMP_C) -> float:
    """Density of a brine, kg/m3, from 0 to 26.5 % salt and 0 to 30 C; CallError outside.

    Exact at the rows of the table; away from 10 to 20 C within about 1 kg/m3 (0.15 % salt).
    """
    must_lie("A brine", salt_percent, 0, STRONGEST_PERCENT, "% salt")
    must_lie("A brine temperature", temp_c, COLDEST_C, WARMEST_C, "C")
    at_10, at_20 = _interpolate(_EXCESS_10, salt_percent), _interpolate(_EXCESS_20, salt_percent)
    return _interpolate(_WATER, temp_c) + at_20 + (at_10 - at_20) * (COMMON_TEMP_C - temp_c) / 10


def salt_g_per_litre(salt_percent: float, temp_c: float = COMMON_TEMP_C) -> float:
    """Grams of salt in a litre of brine: 10 x per cent x density (kg/L)."""
    return salt_percent * density_kg_m3(salt_percent, temp_c) / 100


def percent_of_density(density: float, temp_c: float = COMMON_TEMP_C) -> float:
    """Salt, per cent by weight, of a brine of this density (kg/m3) at this temperature; CallError if there is none."""
    low, high = 0.0, STRONGEST_PERCENT
    lightest, heaviest = density_kg_m3(low, temp_c), density_kg_m3(high, temp_c)
    if not lightest <= density <= heaviest:
        raise CallError(
            f"No salt brine at {temp_c:g} C weighs {density:.1f} kg/m3.",
            f"From water to saturated it is {lightest:.1f} to {heaviest:.1f}.",
        )
    for _ in range(50):  # halving 26.5 % fifty times is far below the last bit that matters
        middle = (low + high) / 2
        low, high = (middle, high) if density_kg_m3(middle, temp_c) < density else (low, middle)
    return (low + high) / 2


HYDROMETER_BASIS = Basis(
    "density = density(reading, made-for temperature) / (1 + 25e-6 x (temperature - made-for temperature)); "
    "salt = the strength with that density at the brine's temperature",
    f"Floating body of glass; {DENSITY_BASIS.source}",
)


@dataclass(frozen=True)
class HydrometerReading:
    """What a floating instrument read, and the salt that is really there."""

    read_percent: float
    temp_c: float
    made_for_c: float
    density_kg_m3: float
    salt_percent: float
    basis: Basis = HYDROMETER_BASIS


def correct_hydrometer(read_percent: float, temp_c: float, made_for_c: float = US_HYDROMETER_C) -> HydrometerReading:
    """The true strength from a reading taken at another temperature than the instrument is made for.

    ``read_percent`` is the strength the scale shows (per cent by weight, as if the brine were at ``made_for_c``).
    Warm brine is lighter, so the instrument sinks and reads low; the rule of thumb is one degree for each 10 F (common
    practice, from memory), and this gives a little more in strong brine.
    """
    shown = density_kg_m3(read_percent, made_for_c)
    density = shown / (1 + GLASS_PER_C * (temp_c - made_for_c))
    return HydrometerReading(read_percent, temp_c, made_for_c, density, percent_of_density(density, temp_c))


def percent_of_specific_gravity(specific_gravity: float, made_for_c: float = US_HYDROMETER_C) -> float:
    """The strength a specific gravity stands for, brine and water both at ``made_for_c`` (60/60 F by default)."""
    must_lie("A specific gravity", specific_gravity, 1.0, 1.25, "")
    return percent_of_density(specific_gravity * _interpolate(_WATER, made_for_c), made_for_c)
