"""Lethal rates and accumulated lethality against the tables of FDA guidance Appendix 4 (from memory)."""

from __future__ import annotations

import pytest

from lotwake.trace.process.lethality import (
    BOTULINUM,
    LISTERIA,
    Organism,
    accumulated_lethality,
    hold_lethality,
    lethal_rate,
    minutes_for_6d,
)
from lotwake.trace.process.series import ProbeSeries, coldest

# Core C, lethal rate, minutes for six logs. Table A-3: reference 70 C, z 7.5 C.
LISTERIA_TABLE = [
    (63, 0.117, 17.0),
    (64, 0.158, 12.7),
    (65, 0.215, 9.3),
    (66, 0.293, 6.8),
    (67, 0.398, 5.0),
    (68, 0.541, 3.7),
    (69, 0.736, 2.7),
    (70, 1.000, 2.0),
    (71, 1.359, 1.5),
    (72, 1.848, 1.0),
    (73, 2.512, 0.8),
    (74, 3.415, 0.6),
    (75, 4.642, 0.4),
    (76, 6.310, 0.3),
    (77, 8.577, 0.2),
    (78, 11.659, 0.2),
    (79, 15.849, 0.1),
    (80, 21.544, 0.09),
    (81, 29.286, 0.07),
    (82, 39.810, 0.05),
    (83, 54.116, 0.03),
    (84, 73.564, 0.03),
    (85, 100.000, 0.02),
]
# Table A-4: reference 90 C, z 7 C below and 10 C above.
BOTULINUM_TABLE = [
    (85, 0.193, 51.8),
    (86, 0.270, 37.0),
    (87, 0.370, 27.0),
    (88, 0.518, 19.3),
    (89, 0.720, 13.9),
    (90, 1.000, 10.0),
    (91, 1.260, 7.9),
    (92, 1.600, 6.3),
    (93, 2.000, 5.0),
    (94, 2.510, 4.0),
    (95, 3.160, 3.1),
    (96, 3.980, 2.5),
    (97, 5.010, 2.0),
    (98, 6.310, 1.6),
    (99, 7.940, 1.3),
    (100, 10.000, 1.0),
]


@pytest.mark.parametrize(("core_c", "rate", "minutes"), LISTERIA_TABLE)
def test_listeria_table(core_c: float, rate: float, minutes: float) -> None:
    """Rates agree to three decimals and minutes to the table's own rounding."""
    assert lethal_rate(core_c, LISTERIA) == pytest.approx(rate, abs=0.002)
    assert minutes_for_6d(core_c, LISTERIA) == pytest.approx(minutes, abs=0.2)


@pytest.mark.parametrize(("core_c", "rate", "minutes"), BOTULINUM_TABLE)
def test_botulinum_table(core_c: float, rate: float, minutes: float) -> None:
    """Rates agree on both sides of 90 C within a hundredth: the table prints 1.60 at 92 C where the formula has 1.585."""
    assert lethal_rate(core_c, BOTULINUM) == pytest.approx(rate, rel=0.01)
    assert minutes_for_6d(core_c, BOTULINUM) == pytest.approx(minutes, abs=0.3)


# Derived: sum of minutes x 10^((T - 70) / 7.5); six logs in two minutes at 70 C.
HOLDS = [
    ([(62.8, 30)], 3.289, 9.87),
    ([(62.8, 20), (63.5, 10)], 3.552, 10.66),
    ([(55, 30), (60, 30), (63, 15)], 3.441, 10.32),
]


@pytest.mark.parametrize(("holds", "equivalent_min", "logs"), HOLDS)
def test_accumulated_lethality(holds: list[tuple[float, float]], equivalent_min: float, logs: float) -> None:
    """Times at several temperatures add up to the derived equivalent minutes and logs."""
    found = [hold_lethality(core, minutes, LISTERIA) for core, minutes in holds]
    assert sum(each.equivalent_min for each in found) == pytest.approx(equivalent_min, abs=0.005)
    assert sum(each.logs for each in found) == pytest.approx(logs, abs=0.02)


def test_hot_smoking_does_nothing_to_botulinum_spores() -> None:
    """62.8 C for 30 minutes is 0.004 equivalent minutes at 90 C, of 10 (derived), and the caution says so."""
    assert hold_lethality(62.8, 30, BOTULINUM).equivalent_min == pytest.approx(0.004, abs=0.0005)
    assert "does not control these spores" in BOTULINUM.basis.caution


@pytest.mark.parametrize("organism", [LISTERIA, BOTULINUM])
@pytest.mark.parametrize(("start_c", "end_c"), [(55, 75), (85, 95), (96, 82), (70, 70), (89.9999, 90.00005)])
def test_the_integral_on_a_straight_piece_is_that_of_a_fine_sum(
    organism: Organism, start_c: float, end_c: float
) -> None:
    """The closed form on a ramp agrees with a sum over 20,000 slices."""
    line = coldest([ProbeSeries("a", (0, 600), (start_c, end_c))], 900)
    slices = 20_000
    total = sum(lethal_rate(start_c + (end_c - start_c) * (at + 0.5) / slices, organism) for at in range(slices))
    assert accumulated_lethality(line, organism).equivalent_min == pytest.approx(10 * total / slices, rel=1e-6)
