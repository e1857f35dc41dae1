"""Scheduled processes: the shipped ones read, and whatever is wrong in one is named."""

from __future__ import annotations

import pytest

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.process.basis import CAUTION
from lotwake.trace.process.plan import LimitKind, read_plan, shipped_plan, shipped_plans
from lotwake.trace.records.entries.house import SMOKING_KINDS

GOOD = """
name = "Trial"
smoking = "hot smoked"
source = "common practice"

[[step]]
name = "Brine"
least_min = 18
most_min = 25.5
most_wait_min = 60
set_low_c = 2
set_high_c = 4
note = "cold"

[[step]]
name = "smoking"

[[limit]]
key = "heat"
kind = "core heat"
says = "hot enough"
core_c = 62.8
held_min = 30
longest_gap_min = 15
source = "a rule"

[[limit]]
key = "brined"
kind = "step time"
says = "long enough"
step = "BRINE"
source = "common practice"

[[limit]]
key = "salt"
kind = "water phase salt"
says = "salt enough"
percent = 3.5
packaging = "vacuum"
source = "a rule"

[[limit]]
key = "cold"
kind = "air at most"
says = "cool enough"
step = "smoking"
air_c = 30
source = "a rule"
"""


def test_a_plan_is_read_as_written() -> None:
    """Steps, windows, figures and packagings come out as they stand; names of steps do not mind their case."""
    plan = read_plan(GOOD)
    brine = plan.step_named(" Brine ")
    assert brine is not None
    assert (brine.name, brine.window.least_min, brine.window.most_min, brine.window.most_wait_min) == (
        "brine",
        18,
        25.5,
        60,
    )
    assert (brine.set_low_c, brine.set_high_c, brine.note) == (2, 4, "cold")
    heat, brined, salt, cold = plan.limits
    assert heat.figures == {"core_c": 62.8, "held_min": 30, "longest_gap_min": 15}
    assert (brined.step, salt.packaging, cold.figures) == ("brine", "vacuum", {"air_c": 30})


def test_a_limit_protects_health_unless_the_plan_says_otherwise() -> None:
    """Only the time of a step is taken as no matter of health; every other limit carries its caution by default."""
    plan = read_plan(GOOD)
    assert [limit.protects_health for limit in plan.limits] == [True, False, True, True]
    assert [limit.caution for limit in plan.limits] == [CAUTION, "", CAUTION, CAUTION]
    loosened = read_plan(GOOD.replace("core_c = 62.8", "core_c = 62.8\nprotects_health = false"))
    assert not loosened.limits[0].protects_health


@pytest.mark.parametrize("name", sorted(shipped_plans()))
def test_shipped_plans_read(name: str) -> None:
    """Every example has steps, a kind of smoking of the record, a source and a source for each limit."""
    plan = read_plan(shipped_plan(f" {name.upper()} "))
    assert plan.name == name
    assert plan.smoking in SMOKING_KINDS
    assert plan.steps
    assert plan.source
    for limit in plan.limits:
        assert limit.source
        assert limit.says
        assert limit.protects_health is (limit.kind is not LimitKind.STEP_TIME)


SHIPPED = [
    ("Hot smoking, simple smokehouse", "ice rest", 1440, None, None, None),
    ("Hot smoking, simple smokehouse", "surface drying", 30, 35, 45, 55),
    ("Hot smoking, simple smokehouse", "smoking", 90, 120, 70, 80),
    ("Hot smoking, controlled kiln", "smoking at 60", 50, 70, 58, 62),
    ("Hot smoking, controlled kiln", "smoking at 70", 50, 70, 68, 72),
    ("Hot smoking, controlled kiln", "smoking at 80", 50, 70, 78, 82),
]


@pytest.mark.parametrize(("plan", "step", "least", "most", "low", "high"), SHIPPED)
def test_shipped_windows(
    plan: str, step: str, least: float, most: float | None, low: float | None, high: float | None
) -> None:
    """The examples hold what is common practice: ice a day, dry 30-35 min near 50 C, smoke 1.5-2 h at 70-80 C or by hours."""
    found = read_plan(shipped_plan(plan)).step_named(step)
    assert found is not None
    assert (found.window.least_min, found.window.most_min) == (least, most)
    assert (found.set_low_c, found.set_high_c) == (low, high)


def test_a_plan_that_is_not_shipped() -> None:
    """An unknown example is refused with the names of those there are."""
    with pytest.raises(NotFound) as error:
        shipped_plan("Jerky")
    assert "Cold smoking" in error.value.hint


WRONG = {
    "no TOML": ("[[step]", "[step", "cannot be read"),
    "no name": ('name = "Trial"', "", "In the plan, name must be a text"),
    "no source": ('source = "common practice"\n\n[[step]]', "[[step]]", "In the plan, source must be a text"),
    "kind of smoking": ('"hot smoked"', '"boiled"', "In the plan, smoking 'boiled' is not known"),
    "unknown key": ('source = "common practice"\n\n[[step]]', 'source = "x"\ncolour = 1\n[[step]]', "there is 'colour'"),
    "unknown key of a step": ("note =", "notes =", "In step brine there is 'notes'"),
    "unknown key of a limit": ("held_min = 30", "held_min = 30\nheld_s = 1", "In limit heat there is 'held_s'"),
    "figure of another kind": ("percent = 3.5", "percent = 3.5\nair_c = 3", "In limit salt there is 'air_c'"),
    "text for a number": ("least_min = 18", 'least_min = "18"', "In step brine, least_min must be a number, not '18'"),
    "true for a number": ("least_min = 18", "least_min = true", "In step brine, least_min must be a number"),
    "not a number": ("least_min = 18", "least_min = nan", "In step brine, least_min of nan min cannot be"),
    "without end": ("held_min = 30", "held_min = inf", "In limit heat, held_min of inf min cannot be"),
    "below nothing": ("least_min = 18", "least_min = -1", "In step brine, least_min of -1 min cannot be"),
    "Fahrenheit": ("core_c = 62.8", "core_c = 145", "In limit heat, core_c of 145 C cannot be"),
    "lost mark": ("percent = 3.5", "percent = 350", "In limit salt, percent of 350 % cannot be"),
    "gap of a day": ("longest_gap_min = 15", "longest_gap_min = 1440", "In limit heat, longest_gap_min of 1440 min"),
    "no gap at all": ("longest_gap_min = 15", "longest_gap_min = 0", "In limit heat, longest_gap_min of 0 min"),
    "window exchanged": ("most_min = 25.5", "most_min = 2.5", "In step brine, 18 to 2.5 min cannot be"),
    "set points exchanged": ("set_high_c = 4", "set_high_c = 1", "In step brine, 2 to 1 C cannot be"),
    "kind of limit": ('"core heat"', '"heat"', "In limit heat, kind 'heat' is not known"),
    "no figure": ("core_c = 62.8\n", "", "In limit heat, core_c is missing"),
    "packaging": ('"vacuum"', '"vaccum"', "In limit salt, packaging 'vaccum' is not known"),
    "no source of a limit": ('longest_gap_min = 15\nsource = "a rule"', "longest_gap_min = 15", "In limit heat, source"),
    "no such step": ('step = "BRINE"', 'step = "boil"', "Limit brined is about a step 'boil'"),
    "no step of a limit": ('step = "BRINE"\n', "", "Limit brined is about a step ''"),
    "time without bounds": ('step = "BRINE"', 'step = "smoking"', "about the time of smoking, which has no bounds"),
    "step twice": ('name = "smoking"', 'name = "BRINE"', "The step 'brine' stands twice"),
    "limit twice": ('key = "salt"', 'key = "heat"', "The limit 'heat' stands twice"),
    "health in words": ("percent = 3.5", 'percent = 3.5\nprotects_health = "yes"', "protects_health must be true or false"),
    "steps as one": ("[[step]]", "[step]", "cannot be read"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_named(name: str) -> None:
    """Each wrong key or number is refused with the step or limit and the key, and a hint."""
    was, now, sentence = WRONG[name]
    assert was in GOOD
    with pytest.raises(CallError) as error:
        read_plan(GOOD.replace(was, now))
    assert sentence in error.value.sentence
    assert error.value.hint


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('name = "x"\nsmoking = "hot smoked"\nsource = "y"\n', "The plan 'x' has no step."),
        ('name = "x"\nsmoking = "hot smoked"\nsource = "y"\nstep = 3\n', "step must be a list of tables"),
        ('name = "x"\nsmoking = "hot smoked"\nsource = "y"\nstep = [1]\n', "step must be a list of tables"),
        ("[[step]]\nleast_min = 3\n", "In step 1, name must be a text"),
    ],
)
def test_a_plan_without_steps(text: str, sentence: str) -> None:
    """A plan is a list of steps, each with a name."""
    with pytest.raises(CallError) as error:
        read_plan(text)
    assert sentence in error.value.sentence


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("most_min = 25.5", 'most_min = "long"', 9, "most_min must be a number"),
        ("held_min = 30", "held_min = 30000", 23, "held_min of 30000"),
        ('note = "cold"', 'notes = "cold"', 13, "'notes', which means nothing"),
        ('step = "BRINE"', 'step = "bath"', 31, "a step 'bath' that the plan does not have"),
        ("percent = 3.5", "", 35, "percent is missing"),
        ('key = "cold"', 'key = "salt"', 43, "'salt' stands twice"),
        ('smoking = "hot smoked"', 'smoking = "boiled"', 3, "'boiled' is not known"),
        ("least_min = 18", "least_min = 30", 8, "30 to 25.5 min cannot be"),
    ],
)
def test_what_is_wrong_is_named_with_file_and_line(old: str, new: str, line: int, words: str) -> None:
    """Whoever wrote the plan is told what is wrong, in which file, and on which line it stands."""
    with pytest.raises(CallError) as wrong:
        read_plan(GOOD.replace(old, new, 1), "my plan.toml")
    assert words in wrong.value.sentence
    assert wrong.value.sentence.endswith(f"(my plan.toml, line {line}).")


def test_a_text_that_is_no_toml_is_named_with_its_file() -> None:
    """The line that cannot be read at all is told with the file."""
    with pytest.raises(CallError, match=r"in my plan\.toml cannot be read: .*line 2"):
        read_plan('name = "x"\nsmoking hot', "my plan.toml")
