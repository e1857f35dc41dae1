"""Histamine, yields, ice, quantities, type heights and step times."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.histamine import (
    EU_BRINE_RIPENED_PLAN,
    EU_PLAN,
    SamplingPlan,
    judge_histamine,
    judge_receiving,
    judge_sensory,
)
from lotwake.trace.process.ice import ice_to_chill
from lotwake.trace.process.limits import published
from lotwake.trace.process.quantity import maximum_variation, tolerable_error
from lotwake.trace.process.steps import StepWindow, StepWord, time_step
from lotwake.trace.process.type_size import eu_figure_height, eu_x_height, us_figure_height
from lotwake.trace.process.yields import YieldWord, judge_yield, yield_percent

RECEIVING = [
    (10.0, 6, 10.0, Verdict.MET),
    (10.1, 6, 10.0, Verdict.NOT_MET),
    (4.4, 24, 4.4, Verdict.MET),
    (4.5, 24, 4.4, Verdict.NOT_MET),
    (12.0, 3, None, Verdict.NO_EVIDENCE),
    (4.0, 3, None, Verdict.MET),
    (None, 10, None, Verdict.NO_EVIDENCE),
    (4.0, None, None, Verdict.NO_EVIDENCE),
]


@pytest.mark.parametrize(("core_c", "hours", "limit_c", "verdict"), RECEIVING)
def test_receiving_temperature(
    core_c: float | None, hours: float | None, limit_c: float | None, verdict: Verdict
) -> None:
    """The limit follows from the hours since death; what was not recorded is no evidence."""
    found = judge_receiving(core_c, hours)
    assert (found.limit_c, found.verdict) == (limit_c, verdict)


SENSORY = [
    (18, 0, Verdict.MET),
    (18, 1, Verdict.NOT_MET),
    (17, 0, Verdict.NO_EVIDENCE),
    (5, 1, Verdict.NOT_MET),
    (100, 2, Verdict.MET),
    (0, 0, Verdict.NO_EVIDENCE),
]


@pytest.mark.parametrize(("examined", "decomposed", "verdict"), SENSORY)
def test_sensory_check(examined: int, decomposed: int, verdict: Verdict) -> None:
    """Eighteen fish, fewer than 2.5 % decomposed; a bad one counts even if too few were looked at."""
    assert judge_sensory(examined, decomposed) is verdict


LABORATORY = [
    ([20.0] * 9, EU_PLAN, Verdict.MET),
    ([20.0] * 7 + [150.0] * 2, EU_PLAN, Verdict.MET),
    ([20.0] * 6 + [150.0] * 3, EU_PLAN, Verdict.NOT_MET),
    ([20.0] * 8 + [201.0], EU_PLAN, Verdict.NOT_MET),
    ([99.0] * 7 + [150.0] * 2, EU_PLAN, Verdict.NOT_MET),
    ([201.0], EU_PLAN, Verdict.NOT_MET),
    ([20.0] * 8, EU_PLAN, Verdict.NO_EVIDENCE),
    ([20.0] * 8 + [201.0], EU_BRINE_RIPENED_PLAN, Verdict.MET),
]


@pytest.mark.parametrize(("results", "plan", "verdict"), LABORATORY)
def test_histamine_results(results: list[float], plan: SamplingPlan, verdict: Verdict) -> None:
    """Nine samples, two at most above m, none above M, the mean not above m."""
    assert judge_histamine(results, plan).verdict is verdict


HISTORY = [81.0, 82.0, 83.0, 80.0, 81.5, 82.0, 79.5, 84.0]
YIELDS = [
    (82.0, HISTORY, None, YieldWord.IN_LINE),
    (70.0, HISTORY, None, YieldWord.LOW),
    (95.0, HISTORY, None, YieldWord.HIGH),
    (70.0, [*HISTORY, 20.0], None, YieldWord.LOW),
    (70.0, HISTORY[:7], None, YieldWord.UNKNOWN),
    (70.0, HISTORY[:7], (60.0, 75.0), YieldWord.IN_LINE),
    (82.0, [], (60.0, 75.0), YieldWord.HIGH),
    (81.0, [80.0] * 8, None, YieldWord.IN_LINE),
    (84.0, [80.0] * 8, None, YieldWord.HIGH),
]


@pytest.mark.parametrize(("percent", "history", "usual", "word"), YIELDS)
def test_yield_against_history(
    percent: float, history: list[float], usual: tuple[float, float] | None, word: YieldWord
) -> None:
    """The product's own history decides, robustly; a fixed range while there is too little of it."""
    assert judge_yield(100_000, round(1000 * percent), history, usual).word is word


def test_a_yield_needs_an_input() -> None:
    """Nothing in is refused; more out than in is not, since brine adds weight."""
    with pytest.raises(CallError):
        yield_percent(0, 10)
    assert yield_percent(1000, 1040) == pytest.approx(104)


@given(st.integers(50, 250_000).map(lambda tenths: Decimal(tenths) / 10))
def test_tolerable_error_is_never_rounded_down(nominal_g: Decimal) -> None:
    """In tenths of a gram, T2 below T1 below nominal, and no pack loses more than a tenth of itself by one TNE."""
    found = tolerable_error(nominal_g)
    assert found.tne_g == found.tne_g.quantize(Decimal("0.1"))
    assert 0 < found.t2_g < found.t1_g < nominal_g
    assert found.tne_g <= nominal_g / 10 + Decimal("0.1")


REFUSED = [
    lambda: tolerable_error(Decimal("4.9")),
    lambda: tolerable_error(Decimal(25_001)),
    lambda: maximum_variation(Decimal(0)),
    lambda: maximum_variation(Decimal(636)),
    lambda: eu_figure_height(Decimal(0)),
    lambda: us_figure_height(Decimal(-1)),
    lambda: eu_x_height(Decimal(0)),
    lambda: ice_to_chill(-1, 20),
    lambda: ice_to_chill(10, 20, -2),
    lambda: ice_to_chill(10, 2, 5),
    lambda: ice_to_chill(10, 20, 0, 4.2),
    lambda: judge_sensory(5, 6),
    lambda: judge_receiving(80, 5),
    lambda: judge_histamine([-1]),
    lambda: StepWindow(30, 20),
    lambda: time_step(StepWindow(), 10, None, None, 5),
    lambda: time_step(StepWindow(), 10, None, 5, 3),
    lambda: time_step(StepWindow(), 10, 6, 5, 8),
    lambda: time_step(StepWindow(), 10, None, 12, None),
]


@pytest.mark.parametrize("call", REFUSED)
def test_what_cannot_be_is_refused(call: object) -> None:
    """A value that cannot be is refused with a sentence and a hint."""
    with pytest.raises(CallError) as caught:
        call()  # type: ignore[operator]
    assert caught.value.sentence
    assert caught.value.hint


def test_an_unknown_figure_is_refused() -> None:
    """A figure nobody kept is not made up."""
    with pytest.raises(NotFound):
        published("hot_smoke")


DRYING = StepWindow(least_min=30, most_min=35, most_wait_min=10)
STEPS = [
    (5, 0, None, None, StepWord.WAITING, None, 5, False, None),
    (15, 0, None, None, StepWord.OVERDUE, None, 15, True, None),
    (30, 0, 5, None, StepWord.RUNNING, 25, 5, False, 5),
    (37, 0, 5, None, StepWord.MAY_END, 32, 5, False, 3),
    (45, 0, 5, None, StepWord.RUNNING_LONG, 40, 5, False, None),
    (99, 0, 5, 30, StepWord.SHORT, 25, 5, False, None),
    (99, 0, 5, 35, StepWord.IN_WINDOW, 30, 5, False, None),
    (99, 0, 5, 41, StepWord.LONG, 36, 5, False, None),
    (99, 0, 12, 45, StepWord.IN_WINDOW, 33, 12, True, None),
]


@pytest.mark.parametrize(("now", "ready", "start", "end", "word", "actual", "waited", "late", "left"), STEPS)
def test_a_step_against_its_window(
    now: float,
    ready: float,
    start: float | None,
    end: float | None,
    word: StepWord,
    actual: float | None,
    waited: float,
    late: bool,
    left: float | None,
) -> None:
    """Short, long and late are seen at once, while the step runs and after it."""
    found = time_step(DRYING, now, ready, start, end)
    assert (found.word, found.actual_min, found.waited_min) == (word, actual, waited)
    assert (found.began_late, found.left_min) == (late, left)


def test_a_first_step_without_bounds_is_always_in_window() -> None:
    """Where the plan sets no bound there is none to miss."""
    assert time_step(StepWindow(), 50, None, 0, None).word is StepWord.MAY_END
    assert time_step(StepWindow(), 50, None, 0, 40).word is StepWord.IN_WINDOW
