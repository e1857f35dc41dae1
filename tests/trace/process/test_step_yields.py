"""Yields from weighed step to weighed step."""

from __future__ import annotations

import pytest

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.plan import UsualYield, read_plan, shipped_plan, shipped_plans
from lotwake.trace.process.yields import WENT_IN, StepYield, Weighing, step_yields, weighing

STEPS = [("split and bone", 100.0), ("brine", 200.0), ("smoking", 300.0)]


@pytest.mark.parametrize(
    ("typed", "at_s", "step"),
    [
        ("", 50, WENT_IN),
        ("", 250, "brine"),
        ("", 300, "brine"),
        ("Smoking ", 900, "smoking"),
        ("brine", 900, "brine"),
        ("scale 2", 900, "smoking"),
    ],
)
def test_a_weight_belongs_to_the_step_it_names_or_the_one_begun_last(typed: str, at_s: float, step: str) -> None:
    """A step by its name; anything else stands under the step begun last; before the first step it is what went in."""
    assert weighing(typed, at_s, 1, STEPS).step == step


def test_yields_go_from_weighed_step_to_weighed_step() -> None:
    """A step that was not weighed is passed over, and of two weighings of a step the later counts."""
    weighed = [Weighing("smoking", 400, 8_000), Weighing("brine", 210, 9_000), Weighing("brine", 220, 10_000)]
    assert step_yields(20_000, weighed) == (
        StepYield("brine", WENT_IN, 20_000, 10_000),
        StepYield("smoking", "brine", 10_000, 8_000),
    )
    assert [item.percent for item in step_yields(20_000, weighed)] == [50, 80]


def test_a_weight_before_the_first_step_is_what_went_in() -> None:
    """The scale overrules the sum of the lots; without anything that went in there is no yield."""
    first = Weighing(WENT_IN, 10, 19_000)
    assert step_yields(20_000, [first, Weighing("brine", 210, 9_500)])[0].percent == 50
    assert step_yields(0, [Weighing("brine", 210, 9_500)]) == ()


def test_a_plan_names_usual_yields() -> None:
    """Every example says between which of its steps a yield is usual, and whose figure it is."""
    for text in shipped_plans().values():
        (usual,) = read_plan(text).usual_yields
        assert 0 < usual.low_percent < usual.high_percent <= 100
        assert usual.source
    kiln = read_plan(shipped_plan("Hot smoking, controlled kiln")).usual_yields[0]
    assert (kiln.step, kiln.of, kiln.low_percent, kiln.high_percent) == ("smoking at 80", "rinse and drain", 80, 90)
    assert isinstance(kiln, UsualYield)


@pytest.mark.parametrize(
    ("yields", "words"),
    [
        ('step = "smoking"\nlow_percent = 80', "must both be there"),
        ('step = "smoking"\nlow_percent = 90\nhigh_percent = 80\nsource = "x"', "the lower first"),
        ('step = "smokin"\nlow_percent = 80\nhigh_percent = 90\nsource = "x"', "'smokin' that the plan does not have"),
        ('step = "smoking"\nof = "rinse"\nlow_percent = 8\nhigh_percent = 9\nsource = "x"', "'rinse'"),
        ('step = "smoking"\nlow_percent = 8\nhigh_percent = 9\nsource = "x"\nmost = 1', "'most', which means nothing"),
    ],
)
def test_a_usual_yield_that_cannot_be_is_refused(yields: str, words: str) -> None:
    """Bounds are complete and in order, steps are those of the plan, and a key nobody knows is named."""
    plan = shipped_plan("Hot smoking, simple smokehouse").partition("[[yield]]")[0]
    with pytest.raises(CallError, match=words):
        read_plan(f"{plan}[[yield]]\n{yields}\n")
