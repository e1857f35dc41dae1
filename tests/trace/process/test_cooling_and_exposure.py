"""Cooling stages and time out of temperature."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.cooling import CoolingStage, forecast_cooling, judge_cooling
from lotwake.trace.process.exposure import (
    GENERAL,
    NO_EXPOSURE,
    ONLY_S_AUREUS,
    Exposure,
    ExposureLimit,
    exposure_of,
    judge_exposure,
    worst_exposure,
)
from lotwake.trace.process.series import ProbeSeries, series_of_pairs


def minutes(name: str, *pairs: tuple[float, float]) -> ProbeSeries:
    """A probe from (minute, degrees C) pairs."""
    return series_of_pairs(name, [(60 * minute, core) for minute, core in pairs])


STAGES = [
    ([(0, 57.2), (30, 40), (60, 30), (90, 21.1)], 90, Verdict.MET),
    ([(0, 60), (10, 57.2), (60, 40), (130, 21.1)], 120, Verdict.MET),
    ([(0, 57.2), (60, 40), (121, 21.1)], 121, Verdict.NOT_MET),
    ([(0, 57.2), (60, 30), (90, 20), (110, 25), (130, 21.1)], 130, Verdict.NOT_MET),
    ([(0, 57.2), (60, 30)], 60, Verdict.NO_EVIDENCE),
    ([(0, 57.2), (60, 40), (125, 30)], 125, Verdict.NOT_MET),
    ([(0, 50), (60, 20)], None, Verdict.NO_EVIDENCE),
    ([(0, 70), (60, 60)], 0, Verdict.NO_EVIDENCE),
]


@pytest.mark.parametrize(("pairs", "took", "verdict"), STAGES)
def test_the_first_stage(pairs: list[tuple[float, float]], took: float | None, verdict: Verdict) -> None:
    """The clock runs from the last moment at 57.2 C until the core stays at or below 21.1 C."""
    found = judge_cooling([minutes("a", *pairs)], longest_gap_min=90).stages[0]
    assert found.verdict is verdict
    assert found.most_min == (None if took is None else pytest.approx(took))


def test_a_crossing_in_a_gap_is_bounded_not_guessed() -> None:
    """If 21.1 C was passed in a gap the time lies between two figures, and only the safe one can be met."""
    early = judge_cooling([minutes("a", (0, 57.2), (20, 40), (80, 15))], longest_gap_min=30).stages[0]
    assert (early.least_min, early.most_min, early.verdict) == (pytest.approx(20), pytest.approx(80), Verdict.MET)
    late = judge_cooling([minutes("a", (0, 57.2), (20, 40), (150, 15))], longest_gap_min=30).stages[0]
    assert (late.least_min, late.most_min) == (pytest.approx(20), pytest.approx(150))
    assert late.verdict is Verdict.NO_EVIDENCE


def test_both_stages_and_the_whole() -> None:
    """The verdict of the whole is that of the worse stage."""
    quick = [(0, 60), (60, 21.1)]
    assert judge_cooling([minutes("a", *quick, (200, 4.4))], 600).verdict is Verdict.MET
    assert judge_cooling([minutes("a", *quick, (301, 4.4))], 600).verdict is Verdict.NOT_MET
    assert judge_cooling([minutes("a", *quick, (200, 5))], 600).verdict is Verdict.NO_EVIDENCE


def test_the_slowest_probe_governs_and_is_named() -> None:
    """A fish that lags fails the batch, though another set the clock back by staying hot longer."""
    lagging, hot = minutes("edge", (0, 57.2), (130, 21.1)), minutes("middle", (0, 60), (20, 57.2), (131, 21.1))
    stage = judge_cooling([lagging, hot], 600).stages[0]
    assert (stage.probe, stage.verdict) == ("edge", Verdict.NOT_MET)


temperatures = st.integers(0, 700).map(lambda tenths: tenths / 10)


@st.composite
def cooling_probes(draw: st.DrawFn) -> ProbeSeries:
    steps = draw(st.lists(st.integers(1, 60), min_size=1, max_size=8))
    times = [0]
    for step in steps:
        times.append(times[-1] + step)
    return minutes("p", *((moment, draw(temperatures)) for moment in times))


@given(st.lists(cooling_probes(), min_size=1, max_size=3), cooling_probes())
def test_adding_a_probe_never_helps_cooling(series: list[ProbeSeries], new: ProbeSeries) -> None:
    """No stage becomes met by one probe more."""
    before, after = judge_cooling(series, 30), judge_cooling([*series, new], 30)
    for old, now in zip(before.stages, after.stages, strict=True):
        assert old.verdict is Verdict.MET or now.verdict is not Verdict.MET


@pytest.mark.parametrize(
    ("first", "later", "air", "target"), [(60, 60, 2, 21), (40, 60, 2, 21), (60, 40, 45, 50), (60, 40, 5, 4.4)]
)
def test_a_forecast_that_cannot_be_is_refused(first: float, later: float, air: float, target: float) -> None:
    """Warming fish, or air warmer than the target, has no forecast."""
    with pytest.raises(CallError):
        forecast_cooling(first, later, 30, air, target)


def test_a_stage_that_warms_is_refused() -> None:
    """A cooling stage goes down."""
    with pytest.raises(CallError, match="exchanged"):
        CoolingStage(4.4, 21.1, 60)


def test_exposure_counts_the_band_only() -> None:
    """A straight rise from 0 to 60 C in an hour spends 47.2 minutes in the band, 36.1 of them warm."""
    found = exposure_of(minutes("a", (0, 0), (60, 60)), 90)
    assert found == Exposure(pytest.approx(47.2), pytest.approx(36.1), 0)


def test_exposure_adds_up_over_steps() -> None:
    """The day's steps are added; a gap is unrecorded time."""
    step = exposure_of(minutes("a", (0, 15), (10, 15), (60, 15), (70, 15)), 20)
    assert step == Exposure(20, 0, 50)
    assert step + step + NO_EXPOSURE == Exposure(40, 0, 100)


LIMITS = [
    (Exposure(120, 120, 0), GENERAL, 240, Verdict.MET),
    (Exposure(240, 120, 0), GENERAL, 240, Verdict.MET),
    (Exposure(241, 60, 0), GENERAL, 240, Verdict.NOT_MET),
    (Exposure(121, 121, 0), GENERAL, 120, Verdict.NOT_MET),
    (Exposure(300, 0, 0), GENERAL, 300, Verdict.MET),
    (Exposure(301, 0, 0), GENERAL, 300, Verdict.NOT_MET),
    (Exposure(100, 100, 21), GENERAL, 240, Verdict.NO_EVIDENCE),
    (Exposure(60, 0, 60), GENERAL, 300, Verdict.MET),
    (Exposure(180, 180, 0), ONLY_S_AUREUS, 180, Verdict.MET),
    (Exposure(181, 1, 0), ONLY_S_AUREUS, 180, Verdict.NOT_MET),
    (Exposure(720, 0, 0), ONLY_S_AUREUS, 720, Verdict.MET),
]


@pytest.mark.parametrize(("exposure", "limit", "allowed", "verdict"), LIMITS)
def test_exposure_limit(exposure: Exposure, limit: ExposureLimit, allowed: float, verdict: Verdict) -> None:
    """The limit follows from where the time was spent; unrecorded time counts against the record."""
    found = judge_exposure(exposure, limit)
    assert (found.allowed_min, found.verdict) == (allowed, verdict)


def test_the_worst_probe_counts() -> None:
    """Of several probes the one longest in the band is taken."""
    cold, warm = minutes("a", (0, 5), (60, 5)), minutes("b", (0, 15), (60, 15))
    assert worst_exposure([cold, warm], 90).band_min == 60
