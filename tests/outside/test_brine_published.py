"""Brine against published tables, and against an independent property correlation."""

from __future__ import annotations

import pytest

from lotwake.trace.process.brine import degrees_of_percent, percent_of_degrees, recipe_for_water, scale_of
from lotwake.trace.process.density import (
    US_HYDROMETER_C,
    correct_hydrometer,
    density_kg_m3,
    percent_of_specific_gravity,
    salt_g_per_litre,
)

# Torry Advisory Note 82 (FAO x5953e), published: the printed figure is ten times the per cent by weight.
TORRY_82 = [(10, 26.4), (20, 52.8), (30, 79.2), (40, 105.6), (50, 132.0), (60, 158.4), (70, 184.8), (80, 211.2)]
TORRY_82 += [(90, 237.6), (100, 264.0)]


@pytest.mark.parametrize(("degrees", "printed"), TORRY_82)
def test_torry_table_is_grams_per_kilogram_of_brine(degrees: float, printed: float) -> None:
    """The printed figures are ten times the per cent by weight on that table's own scale."""
    assert percent_of_degrees(degrees, scale_of("torry")) == pytest.approx(printed / 10, abs=0.001)


# US salt-industry brine table at 60 F, from memory: per cent, specific gravity 60/60, lb salt per US gallon of brine.
US_60F = [
    (10, 2.640, 1.019, 0.224),
    (20, 5.279, 1.038, 0.456),
    (30, 7.919, 1.058, 0.698),
    (40, 10.558, 1.078, 0.947),
    (50, 13.198, 1.098, 1.207),
    (60, 15.837, 1.118, 1.475),
    (70, 18.477, 1.139, 1.753),
    (80, 21.116, 1.160, 2.040),
    (90, 23.756, 1.182, 2.338),
    (100, 26.395, 1.204, 2.647),
]
LB_PER_GALLON_OF_WATER_60F = 8.328


@pytest.mark.parametrize(("degrees", "percent", "sg", "lb_per_gallon"), US_60F)
def test_us_salometer_table(degrees: float, percent: float, sg: float, lb_per_gallon: float) -> None:
    """Per cent, specific gravity and pounds in a gallon come out as the table has them."""
    mine = percent_of_degrees(degrees)
    gravity = density_kg_m3(mine, US_HYDROMETER_C) / density_kg_m3(0, US_HYDROMETER_C)
    assert mine == pytest.approx(percent, abs=0.001)
    assert gravity == pytest.approx(sg, abs=0.001)
    assert mine / 100 * gravity * LB_PER_GALLON_OF_WATER_60F == pytest.approx(lb_per_gallon, abs=0.005)
    assert degrees_of_percent(percent_of_specific_gravity(sg)) == pytest.approx(degrees, abs=0.5)


# Poradnik fizykochemiczny, WNT 1974 (fizyka.umk.pl/~lab2/tables/NaCl.html), published: 20 C.
POLISH_20C = [
    (1, 10.053, 1005.3),
    (2, 20.250, 1012.2),
    (4, 41.072, 1026.8),
    (6, 62.478, 1041.3),
    (8, 84.472, 1055.9),
    (10, 107.070, 1070.7),
    (12, 130.284, 1085.7),
    (14, 154.128, 1100.9),
    (16, 178.592, 1116.2),
    (18, 203.742, 1131.9),
    (20, 229.560, 1147.8),
    (22, 256.080, 1164.0),
    (24, 283.296, 1180.4),
    (26, 311.272, 1197.2),
]


@pytest.mark.parametrize(("percent", "g_per_litre", "density"), POLISH_20C)
def test_density_at_20_c(percent: float, g_per_litre: float, density: float) -> None:
    """Density and grams in a litre at 20 C are those of the handbook."""
    assert density_kg_m3(percent, 20) == pytest.approx(density, abs=0.01)
    assert salt_g_per_litre(percent, 20) == pytest.approx(g_per_litre, abs=0.02)


# Melinder 2010, NaCl in water, computed with CoolProp 8.0.0 (INCOMP::MNA, 101325 Pa): an independent correlation.
MELINDER = [
    (3, 0, 1022.8),
    (3, 10, 1021.7),
    (3, 20, 1019.6),
    (3, 30, 1016.7),
    (10, 0, 1076.8),
    (10, 5, 1075.4),
    (10, 10, 1073.9),
    (10, 15, 1072.3),
    (10, 20, 1070.6),
    (10, 30, 1066.7),
    (20, 0, 1156.7),
    (20, 5, 1154.5),
    (20, 10, 1152.3),
    (20, 15, 1150.1),
    (20, 20, 1147.8),
    (20, 30, 1142.9),
]


@pytest.mark.parametrize(("percent", "temp_c", "density"), MELINDER)
def test_density_at_other_temperatures(percent: float, temp_c: float, density: float) -> None:
    """From 0 to 30 C the density is within 1 kg/m3 of Melinder's, and within 0.5 from 10 to 20 C."""
    assert density_kg_m3(percent, temp_c) == pytest.approx(density, abs=0.5 if 10 <= temp_c <= 20 else 1.0)


# Degrees read with an instrument of glass for 60 F, brine temperature, true degrees: by Melinder's densities as above.
CORRECTED = [(78, 25, 80.01), (60, 4, 57.96), (40, 25, 41.66), (80, 10, 78.88)]


@pytest.mark.parametrize(("read", "temp_c", "degrees"), CORRECTED)
def test_hydrometer_at_other_temperatures(read: float, temp_c: float, degrees: float) -> None:
    """The corrected reading is within 0.3 degrees of the one by an independent correlation."""
    found = correct_hydrometer(percent_of_degrees(read), temp_c)
    assert degrees_of_percent(found.salt_percent) == pytest.approx(degrees, abs=0.3)


# (kg of water, degrees, kg of salt): derived, salt = water x p / (1 - p), 26.395 % scale.
RECIPES = [(10, 80, 2.68), (25, 70, 5.67), (50, 40, 5.9)]


@pytest.mark.parametrize(("water_kg", "degrees", "salt_kg"), RECIPES)
def test_salt_for_a_brine(water_kg: float, degrees: float, salt_kg: float) -> None:
    """The salt to add to the water is the derived figure."""
    assert recipe_for_water(degrees, water_kg).salt_kg == pytest.approx(salt_kg, abs=0.02)


def test_a_thousand_litres_of_water_make_about_eleven_hundred_of_80_degree_brine() -> None:
    """Seafood Academy, note to its brine strength table, published: about 1100 litres."""
    recipe = recipe_for_water(80, 1000)
    assert recipe.litres == pytest.approx(1100, abs=10)
    assert recipe.salt_kg == pytest.approx(268, abs=0.5)
    assert recipe.brine_kg == pytest.approx(1268, abs=0.5)


def test_reading_the_torry_table_as_grams_per_litre_makes_the_brine_weak() -> None:
    """At 100 degrees a litre of brine holds about 317 g and a kilogram of water 359 g, not 264 (derived)."""
    recipe = recipe_for_water(100, 1)
    assert 1000 * recipe.salt_kg == pytest.approx(358.6, abs=0.1)
    assert salt_g_per_litre(percent_of_degrees(100), 20) == pytest.approx(317, abs=0.5)
