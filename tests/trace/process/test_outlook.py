"""What comes: when fish will have cooled, how long it has lain warm, ice and histamine."""

from __future__ import annotations

import math

import pytest

from lotwake.trace.process.outlook import cooling_outlook, outlook
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.process.verdict import BatchEvidence, FishIn

AIR = (ProbeSeries("air", [0.0], [2.0]),)


def test_the_worked_cooling_curve() -> None:
    """62.8 C, 40 C after 30 min in air of 2 C: 21.1 C at 1.23 h and 4.4 C at 3.44 h (Newton's law, worked by hand)."""
    first, second = cooling_outlook([ProbeSeries("P1", [0, 1800], [62.8, 40.0])], AIR, 30)
    assert first.at_s / 3600 == pytest.approx(1.23, abs=0.005)
    assert second.at_s / 3600 == pytest.approx(3.44, abs=0.005)
    assert first.minutes == pytest.approx(66.5, abs=0.1)  # from 57.2 C, 7.4 min after the first reading
    assert second.minutes == pytest.approx(60 * (3.44 - 1.23), abs=0.7)
    assert first.in_time
    assert second.in_time


@pytest.mark.parametrize(
    ("core", "air", "in_time"),
    [
        ([62.8, 61.0], 2.0, [False, False]),
        ([62.8, 40.0], 10.0, [True, False]),
        ([20.0, 15.0], 2.0, []),
        ([40.0, 62.8], 2.0, []),
    ],
)
def test_what_will_be_too_slow(core: list[float], air: float, in_time: list[bool]) -> None:
    """Fish that hardly cools is too slow, air above 4.4 C never gets it there; what warms or began unseen has no outlook."""
    found = cooling_outlook([ProbeSeries("P1", [0, 1800], core)], (ProbeSeries("air", [0.0], [air]),), 30)
    assert [item.in_time for item in found] == in_time
    if air > 4.4:
        assert math.isinf(found[-1].minutes)


def test_no_outlook_without_air_or_with_one_reading() -> None:
    """Air that was read more than an hour ago, or readings a minute apart, give none."""
    probe = ProbeSeries("P1", [0, 1800], [62.8, 40.0])
    assert cooling_outlook([probe], (), 30) == ()
    assert cooling_outlook([ProbeSeries("P1", [7200, 9000], [62.8, 40.0])], AIR, 30) == ()
    assert cooling_outlook([ProbeSeries("P1", [0, 60], [62.8, 62.0])], AIR, 30) == ()


def test_ice_and_histamine_where_they_apply() -> None:
    """Fish at 25 C asks for the published 25 kg of ice for 100 kg, until its core is read in the smokehouse; a kind that
    forms histamine is named."""
    fish = (FishIn("Mackerel 1", True, 25.0, 3), FishIn("Haddock 2", False, None, 3))
    found = {item.about: item for item in outlook(BatchEvidence(0.0, fish=fish), 100_000, 30)}
    assert found["ice"].word == "25.0 kg"
    assert "Mackerel 1 can form histamine" in found["histamine"].text
    read = BatchEvidence(0.0, core=(ProbeSeries("P1", [0, 600], [4, 20]),), fish=fish)
    assert "ice" not in {item.about for item in outlook(read, 100_000, 30)}
    cold = BatchEvidence(0.0, fish=(FishIn("Haddock 2", False, 1.5, 3),))
    assert list(outlook(cold, 100_000, 30)) == []


def test_time_out_of_cold_is_added_up() -> None:
    """Minutes from 10 to 57.2 C by the worst probe, and those of them above 21.1 C."""
    core = (ProbeSeries("P1", [0, 1200, 2400], [10.0, 21.1, 57.2]),)
    (found,) = outlook(BatchEvidence(0.0, core=core), 1, 30)
    assert (found.word, found.text.split(";")[0]) == ("40 min", "from 10 to 57.2 C, 20 of them above 21.1 C")
