"""Brine recipes, topping up, the hydrometer; salt in the fish."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.brine import (
    SCALES,
    Addition,
    Scale,
    degrees_of_percent,
    mixed_percent,
    percent_of_degrees,
    recipe_for_tank,
    recipe_for_water,
    scale_of,
    top_up,
)
from lotwake.trace.process.density import (
    US_HYDROMETER_C,
    correct_hydrometer,
    density_kg_m3,
    percent_of_density,
    percent_of_specific_gravity,
)
from lotwake.trace.process.salt import SaltSample, estimate_water_activity, judge_wps, wps_limit_percent

percents = st.floats(0.1, 26)
degrees = st.floats(0, 100)


@pytest.mark.parametrize("scale", SCALES)
@given(degree=degrees)
def test_degrees_and_per_cent_are_inverse(scale: Scale, degree: float) -> None:
    """On any scale degrees become per cent and back, and 100 is what the scale calls saturated."""
    assert degrees_of_percent(percent_of_degrees(degree, scale), scale) == pytest.approx(degree)
    assert percent_of_degrees(100, scale) == pytest.approx(scale.saturation_percent)


@pytest.mark.parametrize(("text", "percent"), [("us-60f", 26.395), ("26.4", 26.4), ("25", 25), ("26,2", 26.2)])
def test_a_scale_by_name_or_by_its_saturation(text: str, percent: float) -> None:
    """A scale has a name, or is said by what 100 degrees stands for."""
    assert scale_of(text).saturation_percent == percent


def test_an_unknown_scale_is_refused() -> None:
    """A name nobody knows and a saturation that cannot be are refused."""
    with pytest.raises(NotFound, match="us-60f"):
        scale_of("baume")
    with pytest.raises(CallError):
        scale_of("50")


@given(degrees, st.floats(1, 2000), st.floats(0, 30))
def test_a_tank_recipe_fills_the_tank(degree: float, litres: float, temp_c: float) -> None:
    """The recipe for a tank is the recipe for its water."""
    tank = recipe_for_tank(degree, litres, temp_c=temp_c)
    assert tank.litres == pytest.approx(litres)
    assert tank.salt_kg == pytest.approx(recipe_for_water(degree, tank.water_kg).salt_kg)
    assert 100 * tank.salt_kg / tank.brine_kg == pytest.approx(tank.salt_percent)


@given(st.floats(0.1, 1000), percents, percents)
def test_topping_up_reaches_the_strength_wanted(brine_kg: float, have: float, want: float) -> None:
    """Salt into weak brine or water into strong brine gives the strength asked for, by mixing what is added."""
    found = top_up(brine_kg, have, want)
    salt_kg = brine_kg * have / 100 + (found.add_kg if found.add is Addition.SALT else 0)
    assert found.add_kg >= 0
    assert 100 * salt_kg / found.brine_after_kg == pytest.approx(want)


def test_top_up_says_what_to_add() -> None:
    """100 kg of 15 % brine takes 7.6 kg of salt to 21 %; of 21 % brine 40 kg of water to 15 %; equal needs nothing."""
    weak, strong, equal = top_up(100, 15, 21), top_up(100, 21, 15), top_up(100, 15, 15)
    assert (weak.add, weak.add_kg) == (Addition.SALT, pytest.approx(7.595, abs=0.001))
    assert (strong.add, strong.add_kg) == (Addition.WATER, pytest.approx(40))
    assert (equal.add, equal.add_kg) == (Addition.NOTHING, 0)


@given(st.lists(st.tuples(st.floats(0.1, 100), percents), min_size=1, max_size=4))
def test_a_mixture_lies_between_its_parts(parts: list[tuple[float, float]]) -> None:
    """Brines poured together are no weaker than the weakest and no stronger than the strongest."""
    strengths = [percent for _, percent in parts]
    assert min(strengths) - 1e-9 <= mixed_percent(tuple(parts)) <= max(strengths) + 1e-9


@given(st.floats(0, 26.5), st.floats(0, 30))
def test_strength_from_density_and_back(percent: float, temp_c: float) -> None:
    """Density rises with salt, so that a density names one strength."""
    assert percent_of_density(density_kg_m3(percent, temp_c), temp_c) == pytest.approx(percent, abs=1e-6)


def test_a_hydrometer_reads_low_in_warm_brine() -> None:
    """At its own temperature it reads true; a warm brine is stronger than it reads, a cold one weaker."""
    assert correct_hydrometer(21.0, US_HYDROMETER_C).salt_percent == pytest.approx(21.0, abs=1e-6)
    assert correct_hydrometer(21.0, 25).salt_percent > 21.3
    assert correct_hydrometer(21.0, 4).salt_percent < 20.7


def test_ten_fahrenheit_are_about_a_degree_of_brine() -> None:
    """The rule of thumb (common practice, from memory): add one degree for each 10 F above 60 F."""
    corrected = correct_hydrometer(percent_of_degrees(60), (80 - 32) * 5 / 9)
    assert degrees_of_percent(corrected.salt_percent) - 60 == pytest.approx(2, abs=0.6)


REFUSED = [
    lambda: percent_of_degrees(101),
    lambda: percent_of_degrees(-1),
    lambda: recipe_for_water(80, -1),
    lambda: recipe_for_tank(80, float("inf")),
    lambda: density_kg_m3(27, 20),
    lambda: density_kg_m3(10, 40),
    lambda: percent_of_density(900, 20),
    lambda: percent_of_specific_gravity(0.9),
    lambda: top_up(100, 10, 0),
    lambda: top_up(100, 10, 30),
    lambda: mixed_percent(()),
    lambda: SaltSample(65, 2.5),
    lambda: SaltSample(30, 80),
    lambda: SaltSample(2.5, 0),
    lambda: SaltSample(float("nan"), 60),
    lambda: estimate_water_activity(27),
    lambda: wps_limit_percent(-5),
]


@pytest.mark.parametrize("call", REFUSED)
def test_what_cannot_be_is_refused(call: object) -> None:
    """A value outside nature is refused with a sentence and a hint."""
    with pytest.raises(CallError) as caught:
        call()  # type: ignore[operator]
    assert caught.value.sentence.endswith(".")
    assert caught.value.hint


def test_the_lowest_sample_counts() -> None:
    """One weak sample among good ones decides, and is named."""
    weak = SaltSample(2.0, 66, "loin 2")
    found = judge_wps([SaltSample(3.0, 60, "loin 1"), weak], 3.5)
    assert (found.verdict, found.deciding) == (Verdict.NOT_MET, weak)


def test_no_sample_is_no_evidence() -> None:
    """Without a laboratory result nothing is met or failed."""
    assert judge_wps([], 3.5).verdict is Verdict.NO_EVIDENCE


@pytest.mark.parametrize(
    ("nitrite_ppm", "reduced_oxygen", "limit"), [(0, True, 3.5), (99, True, 3.5), (100, True, 3.0), (0, False, 3.0)]
)
def test_salt_limit(nitrite_ppm: float, reduced_oxygen: bool, limit: float) -> None:
    """3.5 % in sealed packs, 3.0 % with 100 ppm nitrite or in air."""
    assert wps_limit_percent(nitrite_ppm, reduced_oxygen) == limit


@given(st.floats(0, 26), st.floats(0.01, 0.5))
def test_more_salt_means_less_water_activity(percent: float, more: float) -> None:
    """Water activity falls as salt rises, from 1 in plain water, and stays marked as an estimate."""
    weaker, stronger = estimate_water_activity(percent), estimate_water_activity(percent + more)
    assert stronger.aw < weaker.aw <= 1
    assert weaker.kind == "upper estimate"
