"""The verdict of a batch: every kind of limit met, not met and without evidence, with the numbers that decided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.plan import LimitKind, ScheduledProcess, read_plan, shipped_plan
from lotwake.trace.process.salt import SaltSample
from lotwake.trace.process.series import ProbeSeries, series_of_pairs
from lotwake.trace.process.steps import StepWord
from lotwake.trace.process.verdict import BatchEvidence, BatchVerdict, FishIn, StepDone, judge_batch

MET, NOT_MET, NO_EVIDENCE = Verdict.MET, Verdict.NOT_MET, Verdict.NO_EVIDENCE
RANK = (NOT_MET, NO_EVIDENCE, MET)
HOT = read_plan(shipped_plan("Hot smoking, simple smokehouse"))
COLD = read_plan(shipped_plan("Cold smoking"))


def probe(name: str, *pairs: tuple[float, float]) -> ProbeSeries:
    """A series of (minutes, degrees C)."""
    return series_of_pairs(name, [(60 * minute, core) for minute, core in pairs])


def steady(name: str, core_c: float, first: int, last: int, every: int = 10) -> ProbeSeries:
    """One temperature from a minute to another."""
    return probe(name, *((minute, core_c) for minute in range(first, last + 1, every)))


def done(name: str, start_min: float, end_min: float | None) -> StepDone:
    return StepDone(name, 60 * start_min, None if end_min is None else 60 * end_min)


GOOD_CORE = probe(
    "P1", (0, 4), (10, 30), (20, 55), (30, 64), (40, 66), (50, 66), (60, 66), (70, 57.2),
    (90, 40), (110, 30), (130, 21.1), (160, 15), (190, 12), (220, 8), (250, 6), (280, 4.4), (300, 3),
)  # fmt: skip
COLD_FISH = FishIn("mackerel", True, 3.0, 30)
GOOD = BatchEvidence(
    now_s=60 * 2000,
    steps=(done("brine", 0, 20), done("cold smoking", 100, 400)),
    core=(GOOD_CORE,),
    air=(steady("air", 25, 100, 400, 20),),
    salt=(SaltSample(2.5, 65, "loin"),),
    fish=(COLD_FISH,),
)


def found(plan: ScheduledProcess, key: str, evidence: BatchEvidence) -> tuple[Verdict, str]:
    """What the verdict says about the limit of this key."""
    finding = next(item for item in judge_batch(plan, evidence).findings if item.limit.key == key)
    return finding.verdict, finding.found


def core(*pairs: tuple[float, float]) -> BatchEvidence:
    return replace(GOOD, core=(probe("P1", *pairs),))


HEAT = [
    (GOOD, MET, "62.8 C or hotter for 35 min unbroken; coldest while the limit was held"),
    (core((0, 4), (10, 70), (20, 70), (35, 70), (40, 50)), NOT_MET, "fell below the limit: 50.0 C, P1"),
    (core((0, 4), (10, 60), (20, 60)), NOT_MET, "for 0 min unbroken; highest reached: 60.0 C, P1"),
    (core((0, 70), (10, 70), (40, 70), (50, 70)), NO_EVIDENCE, "last before a gap in the readings"),
    (replace(GOOD, core=()), NO_EVIDENCE, "no core temperature was read"),
    (replace(GOOD, core=(GOOD_CORE, steady("P2", 62.7, 0, 300))), NOT_MET, "62.7 C, P2"),
]
COOLING = [
    (GOOD, MET, "57.2 to 21.1 C: 60 min, within 120 min, P1; 21.1 to 4.4 C: 150 min, within 240 min, P1"),
    (core((0, 60), (20, 57.2), (40, 50), (60, 45), (80, 40), (100, 35), (120, 30), (141, 21.1), (160, 4)), NOT_MET,
     "57.2 to 21.1 C: 121 min, took longer than 120 min"),
    (core((0, 60), (20, 50), (40, 30)), NO_EVIDENCE, "so far, not yet at 21.1 C"),
    (core((0, 20), (20, 4)), NO_EVIDENCE, "no reading at or above 57.2 C"),
    (core((0, 58), (180, 20)), NO_EVIDENCE, "lies in a gap between readings"),
    (replace(GOOD, core=()), NO_EVIDENCE, "no core temperature was read"),
]  # fmt: skip
SALT = [
    (GOOD, MET, "3.704 % in the lowest sample loin, 3.5 % wanted"),
    (
        replace(GOOD, salt=(SaltSample(2.5, 65), SaltSample(2.0, 65, "tail"))),
        NOT_MET,
        "2.985 % in the lowest sample tail",
    ),
    (
        replace(GOOD, salt=(SaltSample(2.2, 65, "a"),), nitrite_ppm=100),
        MET,
        "3.274 % in the lowest sample a, 3 % wanted",
    ),
    (replace(GOOD, salt=(SaltSample(2.2, 65, "a"),), nitrite_ppm=99), NOT_MET, "3.5 % wanted, nitrite 99 ppm"),
    (replace(GOOD, salt=(SaltSample(2.3565, 65, "a"),)), NOT_MET, "3.499 %"),
    (replace(GOOD, salt=()), NO_EVIDENCE, "no salt and moisture result"),
]
RECEIVING = [
    (GOOD, MET, "mackerel: core 3.0 C, 30 h old, at most 4.4 C wanted"),
    (replace(GOOD, fish=(COLD_FISH, FishIn("tuna", True, 5.0, 30))), NOT_MET, "tuna: core 5.0 C, 30 h old"),
    (replace(GOOD, fish=(COLD_FISH, FishIn("tuna", True, None, 30))), NO_EVIDENCE, "tuna: no core temperature"),
    (replace(GOOD, fish=(FishIn("tuna", True, 5.0, None),)), NO_EVIDENCE, "hours since landing not known"),
    (
        replace(GOOD, fish=(FishIn("tuna", True, 62.8, 30),)),
        NO_EVIDENCE,
        "tuna: A core temperature of 62.8 C cannot be",
    ),
    (replace(GOOD, fish=(FishIn("haddock", False, None, None),)), MET, "no fish of a kind that forms histamine"),
    (replace(GOOD, fish=()), NO_EVIDENCE, "no fish lot is written down"),
]
BRINE = [
    (GOOD, MET, "20 min, 18 to 25 min wanted"),
    (replace(GOOD, steps=(done("Brine ", 0, 25),)), MET, "25 min"),
    (replace(GOOD, steps=(done("brine", 0, 17),)), NOT_MET, "17 min"),
    (replace(GOOD, steps=(done("brine", 0, 26),)), NOT_MET, "26 min"),
    (replace(GOOD, steps=(done("brine", 0, 60), done("brine", 70, 90))), NOT_MET, "60 min"),
    (replace(GOOD, steps=(done("brine", 0, None),), now_s=600), NO_EVIDENCE, "brine has not ended, 10 min so far"),
    (replace(GOOD, steps=(done("brine", 0, None),), now_s=1560), NOT_MET, "26 min"),
    (replace(GOOD, steps=()), NO_EVIDENCE, "the step brine was not written down"),
]
AIR = [
    (GOOD, MET, "hottest air 25.0 C of 16 readings, at most 30 C wanted"),
    (replace(GOOD, air=(steady("air", 30, 100, 400, 60),)), MET, "hottest air 30.0 C"),
    (replace(GOOD, air=(probe("air", (110, 25), (120, 30.1)),)), NOT_MET, "hottest air 30.1 C of 2 readings"),
    (replace(GOOD, air=(probe("air", (110, 25)),)), NO_EVIDENCE, "no reading for 290 min of cold smoking"),
    (replace(GOOD, air=(steady("air", 25, 161, 400, 20),)), NO_EVIDENCE, "no reading for 61 min of cold smoking"),
    (replace(GOOD, air=(steady("air", 99, 0, 90),)), NO_EVIDENCE, "no air temperature was read during cold smoking"),
    (replace(GOOD, steps=(done("cold smoking", 100, None),)), NO_EVIDENCE, "cold smoking has not ended"),
    (replace(GOOD, steps=()), NO_EVIDENCE, "no air temperature was read during cold smoking"),
]
TABLE: list[tuple[ScheduledProcess, str, BatchEvidence, Verdict, str]] = [
    (HOT, key, *row)
    for key, rows in (("core-heat", HEAT), ("cooling", COOLING), ("salt-vacuum", SALT), ("receiving", RECEIVING),
                      ("brine-time", BRINE))
    for row in rows
] + [(COLD, "air", *row) for row in AIR]  # fmt: skip


@pytest.mark.parametrize(("plan", "key", "evidence", "verdict", "words"), TABLE)
def test_limits(plan: ScheduledProcess, key: str, evidence: BatchEvidence, verdict: Verdict, words: str) -> None:
    """Each kind of limit is met, not met or without evidence, and says the numbers behind it."""
    given_verdict, said = found(plan, key, evidence)
    assert given_verdict is verdict, said
    assert words in said


def test_when_the_deciding_reading_was_taken() -> None:
    """The moment of the reading that decided goes with the finding."""
    evidence = core((0, 4), (10, 70), (20, 70), (30, 50))
    finding = judge_batch(HOT, evidence).finding(LimitKind.CORE_HEAT)
    assert finding is not None
    assert finding.at_s == 60 * 30


def test_a_limit_for_one_packaging_does_not_hold_the_batch_back() -> None:
    """Salt for vacuum packs is judged and shown, and counts only when packs of that kind are asked about."""
    verdict = judge_batch(HOT, replace(GOOD, salt=()))
    assert (verdict.word, verdict.holding_back) == (MET, ())
    assert verdict.finding(LimitKind.WATER_PHASE_SALT) is None
    vacuum = verdict.finding(LimitKind.WATER_PHASE_SALT, "vacuum")
    assert vacuum is not None
    assert vacuum.verdict is NO_EVIDENCE


WORDS = [
    (GOOD, MET, set()),
    (replace(GOOD, fish=()), NO_EVIDENCE, {"receiving"}),
    (replace(GOOD, fish=(), core=(steady("P1", 60, 0, 100),)), NOT_MET, {"receiving", "core-heat", "cooling"}),
]


@pytest.mark.parametrize(("evidence", "word", "keys"), WORDS)
def test_the_word_of_a_batch(evidence: BatchEvidence, word: Verdict, keys: set[str]) -> None:
    """The worst limit speaks for the batch, and all that are not met hold it back."""
    verdict = judge_batch(HOT, evidence)
    assert verdict.word is word
    assert {item.limit.key for item in verdict.holding_back} == keys


def test_a_plan_without_limits_shows_nothing() -> None:
    """Where a plan sets no limit, the record has proved none: the word is NO EVIDENCE, never MET."""
    plan = read_plan('name = "x"\nsmoking = "hot smoked"\nsource = "y"\n[[step]]\nname = "smoking"\n')
    assert judge_batch(plan, GOOD).word is NO_EVIDENCE


def test_every_planned_step_is_timed() -> None:
    """All planned steps stand against their windows: done, running or waiting."""
    steps = (done("ICE REST", 0, 1500), done("split and bone", 1500, 1560), done("brine", 1570, None))
    timings = dict(judge_batch(HOT, replace(GOOD, steps=steps, now_s=60 * 1590)).timings)
    words = {step.name: timing.word for step, timing in timings.items()}
    assert words["ice rest"] is StepWord.IN_WINDOW
    assert words["brine"] is StepWord.MAY_END
    assert words["smoking"] is StepWord.WAITING


def test_a_step_that_ended_within_this_minute() -> None:
    """A step that ended some seconds after the minute that is now does not stop the verdict."""
    evidence = replace(GOOD, steps=(StepDone("brine", 0, 1230),), now_s=1200)
    assert found(HOT, "brine-time", evidence)[0] is MET


LEVELS = st.floats(-1, 90, allow_nan=False)


@st.composite
def cores(draw: st.DrawFn, name: str = "P1") -> ProbeSeries:
    """A core series with uneven steps, some of them gaps."""
    steps = draw(st.lists(st.sampled_from([300, 600, 900, 2400]), min_size=1, max_size=20))
    moment, pairs = 0.0, []
    for step in steps:
        moment += step
        pairs.append((moment, draw(LEVELS)))
    return series_of_pairs(name, pairs)


SAMPLES = st.builds(SaltSample, st.floats(0, 6), st.floats(50, 80))
LOTS = st.builds(FishIn, st.just("x"), st.booleans(), st.none() | st.floats(0, 20), st.none() | st.floats(0, 50))
BRININGS = st.floats(0, 40, allow_nan=False).map(lambda end_min: done("brine", 0, end_min))


@st.composite
def evidences(draw: st.DrawFn) -> BatchEvidence:
    """The record of some batch, with any part of it missing."""
    return BatchEvidence(
        now_s=60 * 2000,
        steps=(*draw(st.sampled_from([(), GOOD.steps])), *draw(st.lists(BRININGS, max_size=2))),
        core=tuple(draw(st.lists(cores(), max_size=2))),
        air=draw(st.sampled_from([(), GOOD.air, (steady("air", 31, 100, 400),)])),
        salt=tuple(draw(st.lists(SAMPLES, max_size=3))),
        nitrite_ppm=draw(st.sampled_from([None, 0.0, 99.0, 150.0])),
        fish=tuple(draw(st.lists(LOTS, max_size=2))),
    )


PARTS = {"steps": (), "core": (), "air": (), "salt": (), "nitrite_ppm": None, "fish": ()}


def met(plan: ScheduledProcess, evidence: BatchEvidence) -> set[str]:
    return {item.limit.key for item in judge_batch(plan, evidence).findings if item.verdict is MET}


@settings(max_examples=300, deadline=None)
@given(evidence=evidences(), part=st.sampled_from(sorted(PARTS)), plan=st.sampled_from([HOT, COLD]))
def test_taking_evidence_away_never_helps(evidence: BatchEvidence, part: str, plan: ScheduledProcess) -> None:
    """Without a part of the record no limit is met that was not met with it."""
    assert met(plan, replace(evidence, **{part: PARTS[part]})) <= met(plan, evidence)


@settings(max_examples=200, deadline=None)
@given(evidence=evidences(), keep=st.integers(0, 20))
def test_a_shorter_record_of_the_heat_never_helps(evidence: BatchEvidence, keep: int) -> None:
    """A core record that breaks off earlier never proves heat that the whole one does not."""
    shorter = tuple(
        ProbeSeries(series.name, series.time_s[: keep + 1], series.core_c[: keep + 1]) for series in evidence.core
    )
    heat = {"core-heat"}
    assert met(HOT, replace(evidence, core=shorter)) & heat <= met(HOT, evidence) & heat


def rank(verdict: BatchVerdict, kind: LimitKind) -> int:
    finding = verdict.finding(kind)
    assert finding is not None
    return RANK.index(finding.verdict)


@settings(max_examples=300, deadline=None)
@given(first=cores(), second=cores("P2"), colder_by=st.floats(0, 40))
def test_one_more_probe_never_helps(first: ProbeSeries, second: ProbeSeries, colder_by: float) -> None:
    """A second probe, colder or any other, never proves heat or cooling that the first alone does not."""
    alone = judge_batch(HOT, replace(GOOD, core=(first,)))
    colder = ProbeSeries("colder", first.time_s, [core_c - colder_by for core_c in first.core_c])
    for other in (colder, second):
        both = judge_batch(HOT, replace(GOOD, core=(first, other)))
        for kind in (LimitKind.CORE_HEAT, LimitKind.COOLING):
            assert not (rank(both, kind) == RANK.index(MET) > rank(alone, kind))


@settings(max_examples=200, deadline=None)
@given(samples=st.lists(SAMPLES, min_size=1, max_size=4))
def test_one_more_salt_sample_never_helps(samples: Sequence[SaltSample]) -> None:
    """The lowest sample counts, so a further one never makes a batch saltier."""
    one = judge_batch(HOT, replace(GOOD, salt=tuple(samples[:1]))).finding(LimitKind.WATER_PHASE_SALT, "vacuum")
    every = judge_batch(HOT, replace(GOOD, salt=tuple(samples))).finding(LimitKind.WATER_PHASE_SALT, "vacuum")
    assert one is not None
    assert every is not None
    assert RANK.index(every.verdict) <= RANK.index(one.verdict)


def test_no_finding_promises_too_much() -> None:
    """No sentence of a verdict says safe or compliant."""
    for plan, _, evidence, *_ in TABLE:
        for item in judge_batch(plan, evidence).findings:
            assert not {"safe", "compliant"} & set(item.found.lower().replace(",", " ").split())
