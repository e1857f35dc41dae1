"""Ice and cooling against published figures."""

from __future__ import annotations

import pytest

from lotwake.trace.process.cooling import forecast_cooling
from lotwake.trace.process.ice import CP_KCAL_PER_KG_C, holding_kg_per_day, ice_to_chill, rule_of_thumb_kg

# FAO Fisheries Technical Paper 331 eq. 4-5, derived: Mi = Mf Cp (ts - tc) / 80.
WORKED = [(100, 0.8, 25, 25.0), (40, 0.8, 28, 11.2), (60, 0.83, 30, 18.68)]


@pytest.mark.parametrize(("fish_kg", "cp", "from_c", "ice_kg"), WORKED)
def test_ice_by_the_formula(fish_kg: float, cp: float, from_c: float, ice_kg: float) -> None:
    """The ice is that of the worked example."""
    assert ice_to_chill(fish_kg, from_c, 0, cp).ice_kg == pytest.approx(ice_kg, abs=0.01)


# UNU-FTP course on ice and cooling, published: kg of fish that 1 kg of ice cools from 30 to 0 C.
@pytest.mark.parametrize(("kind", "fish_kg"), [("lean", 3.0), ("semi-fat", 3.2), ("fatty", 3.4)])
def test_fish_that_a_kilogram_of_ice_cools(kind: str, fish_kg: float) -> None:
    """One kilogram of ice cools the published mass of lean, semi-fat and fatty fish."""
    assert 1 / ice_to_chill(1, 30, 0, CP_KCAL_PER_KG_C[kind]).ice_kg == pytest.approx(fish_kg, abs=0.05)


# Kg of fish, C, kg of ice. Matis, published; FAO Fisheries Technical Paper 436 table for 10 kg, from memory.
THUMB = [(100, 15, 17.1), (10, 30, 3.4), (10, 25, 2.8), (10, 20, 2.3), (10, 15, 1.7), (10, 10, 1.2), (10, 5, 0.6)]


@pytest.mark.parametrize(("fish_kg", "from_c", "ice_kg"), THUMB)
def test_ice_by_the_rule_of_thumb(fish_kg: float, from_c: float, ice_kg: float) -> None:
    """0.0114 x kg x C gives the published figures to a tenth."""
    assert rule_of_thumb_kg(fish_kg, from_c) == pytest.approx(ice_kg, abs=0.1)


def test_ice_to_hold() -> None:
    """0.015 x kg x C a day (Matis, published)."""
    assert holding_kg_per_day(100, 10) == pytest.approx(15.0)


def test_newton_forecast() -> None:
    """62.8 C, 40 C after 30 min in 2 C air: k 0.940 per h, 21.1 C at 1.23 h, 4.4 C at 3.44 h (derived)."""
    found = forecast_cooling(62.8, 40, 30, 2, 21.1)
    assert found.rate_per_h == pytest.approx(0.940, abs=0.001)
    assert found.minutes_to_target / 60 == pytest.approx(1.23, abs=0.005)
    assert forecast_cooling(62.8, 40, 30, 2, 4.4).minutes_to_target / 60 == pytest.approx(3.44, abs=0.005)
