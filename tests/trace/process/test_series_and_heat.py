"""The governing probe, held time and lethality: examples, laws and speed."""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.heat import HeatEvidence, HeatLimit, Why, judge_heat
from lotwake.trace.process.lethality import ORGANISMS, accumulated_lethality
from lotwake.trace.process.series import Governing, ProbeSeries, coldest, series_of_pairs, warmest

LIMIT = HeatLimit(62.8, 30, 15)
NAMED = (("core 1", 0), ("core 2", 3))


def minutes(name: str, *pairs: tuple[float, float]) -> ProbeSeries:
    """A probe from (minute, degrees C) pairs."""
    return series_of_pairs(name, [(60 * minute, core) for minute, core in pairs])


def judged(*probes: ProbeSeries) -> HeatEvidence:
    return judge_heat(probes, LIMIT)


def test_held_time_runs_from_crossing_to_crossing() -> None:
    """Between readings the core is a straight line: up through the limit half way, down half way."""
    found = judged(minutes("a", (0, 60.8), (10, 64.8), (20, 64.8), (30, 64.8), (40, 60.8)))
    assert found.held_min == pytest.approx(30)
    assert found.come_up_min == pytest.approx(5)
    assert (found.start_s, found.end_s) == (pytest.approx(300), pytest.approx(2100))


def test_exactly_at_the_limit_counts() -> None:
    """At the limit for exactly the time is met, and the first coldest reading decided."""
    found = judged(minutes("a", (0, 62.8), (10, 62.8), (20, 62.8), (30, 62.8)))
    assert found.verdict is Verdict.MET
    assert found.deciding is not None
    assert (found.deciding.core_c, found.deciding.why) == (62.8, Why.LOWEST_WHILE_HELD)


NOT_HELD = [
    ([(0, 20), (10, 50), (20, 62.7)], Verdict.NOT_MET, Why.HIGHEST, 62.7),
    ([(0, 63), (10, 63), (20, 62.7), (25, 64)], Verdict.NOT_MET, Why.FELL_BELOW, 62.7),
    ([(0, 63), (10, 63), (20, 64)], Verdict.NOT_MET, Why.RECORD_ENDS, 64),
    ([(0, 63), (10, 63.5), (30, 64), (40, 64)], Verdict.NO_EVIDENCE, Why.GAP, 63.5),
    ([(0, 63), (10, 63), (30, 61), (40, 61)], Verdict.NOT_MET, Why.GAP, 63),
    ([(0, 63), (12, 63.5), (30, 60), (40, 60), (60, 63), (70, 63)], Verdict.NOT_MET, Why.GAP, 63.5),
]


@pytest.mark.parametrize(("pairs", "verdict", "why", "core_c"), NOT_HELD)
def test_what_decided_against(pairs: list[tuple[float, float]], verdict: Verdict, why: Why, core_c: float) -> None:
    """The verdict names the reading that decided: never hot enough, fell below, a gap, or the end of the record."""
    found = judged(minutes("a", *pairs))
    assert found.verdict is verdict
    assert found.deciding is not None
    assert (found.deciding.why, found.deciding.core_c) == (why, core_c)


def test_a_gap_breaks_the_evidence_and_is_shown() -> None:
    """Readings further apart than allowed split the line; time in between counts for nothing."""
    probe = minutes("a", (0, 70), (10, 70), (30, 70), (40, 70))
    found = judged(probe)
    assert found.line.gaps == ((600, 1800),)
    assert found.held_min == pytest.approx(10)
    assert found.lethality[0].equivalent_min == pytest.approx(20)


def test_the_longest_allowed_time_between_readings_is_no_gap() -> None:
    """Readings exactly as far apart as the plan allows hold together."""
    assert judged(minutes("a", (0, 64), (15, 64), (30, 64))).verdict is Verdict.MET


def test_the_coldest_reading_while_held_decides() -> None:
    """Of all readings within the held time the lowest is named, wherever it lies."""
    deciding = judged(minutes("a", (0, 70), (10, 66), (20, 64), (30, 65), (40, 66))).deciding
    assert deciding is not None
    assert (deciding.core_c, deciding.time_s) == (64, 1200)


def test_the_coldest_probe_governs_at_each_moment() -> None:
    """Where two probes cross, the other takes over, at the crossing and not at the next reading."""
    line = coldest([minutes("a", (0, 60), (10, 70)), minutes("b", (0, 70), (10, 60))], 900)
    assert line.runs[0].time_s == [0, 300, 600]
    assert line.runs[0].core_c == [60, 65, 60]
    assert [line.probes[at] for at in line.runs[0].probe] == ["a", "b", "b"]


def test_three_probes_can_take_over_within_one_interval() -> None:
    """A third probe that is lowest only between two readings is found."""
    a, b, c = minutes("a", (0, 0), (10, 30)), minutes("b", (0, 30), (10, 0)), minutes("c", (0, 10), (10, 10))
    line = coldest([a, b, c], 900)
    assert line.runs[0].core_c == pytest.approx([0, 10, 10, 0])
    assert [line.probes[at] for at in line.runs[0].probe] == ["a", "c", "b", "b"]


def test_a_probe_that_falls_silent_breaks_the_evidence() -> None:
    """Where one probe is not known, nothing is: it may have been the coldest."""
    whole = minutes("a", *((at, 70) for at in range(0, 61, 10)))
    silent = minutes("b", (0, 66), (10, 66), (20, 66), (40, 66), (50, 66), (60, 66))
    assert judged(whole).verdict is Verdict.MET
    assert judged(whole, silent).verdict is Verdict.NO_EVIDENCE
    assert judged(whole, silent).line.gaps == ((1200, 2400),)


def test_probes_never_known_together_are_no_evidence() -> None:
    """Two records without a common moment prove nothing."""
    found = judged(minutes("a", (0, 70), (10, 70)), minutes("b", (60, 70), (70, 70)))
    assert (found.verdict, found.deciding, found.line.runs) == (Verdict.NO_EVIDENCE, None, ())


def test_the_warmest_line_is_the_upper_one() -> None:
    """The warmest of two probes governs cooling."""
    line = warmest([minutes("a", (0, 60), (10, 40)), minutes("b", (0, 50), (10, 50))], 900)
    assert line.runs[0].core_c == [60, 50, 50]


BAD = [
    (lambda: minutes("core 2", (0, 20), (10, 30), (10, 31)), "core 2: reading 3"),
    (lambda: minutes("core 2", (0, 20), (10, 30), (5, 31)), "not later"),
    (lambda: minutes("core 2", (0, 20), (10, 162)), "reading 2 of 162 C"),
    (lambda: minutes("core 2", (0, float("nan"))), "not a number"),
    (lambda: minutes("core 2"), "no readings"),
    (lambda: ProbeSeries("core 2", (0, 1), (20,)), "2 times and 1 temperatures"),
    (lambda: coldest([], 900), "no readings"),
    (lambda: coldest([minutes("a", (0, 20))], 0), "above zero"),
]


@pytest.mark.parametrize(("make", "said"), BAD)
def test_a_series_that_cannot_be_is_refused(make: object, said: str) -> None:
    """The sentence names the probe and the reading."""
    with pytest.raises(CallError, match=said):
        make()  # type: ignore[operator]


temperatures = st.integers(0, 1000).map(lambda tenths: tenths / 10)
steps_s = st.integers(10, 1500)


@st.composite
def probes(draw: st.DrawFn, name: str = "a") -> ProbeSeries:
    """A probe with a few readings at odd times; some gaps are too long."""
    start = draw(st.integers(0, 300))
    gaps = draw(st.lists(steps_s, min_size=1, max_size=12))
    times = [start]
    for gap in gaps:
        times.append(times[-1] + gap)
    return ProbeSeries(name, tuple(times), tuple(draw(temperatures) for _ in times))


def at(probe: ProbeSeries, moment: float) -> float:
    """The probe's temperature on its straight line."""
    for (t0, t1), (c0, c1) in zip(pairwise(probe.time_s), pairwise(probe.core_c), strict=True):
        if t0 <= moment <= t1:
            return c0 + (c1 - c0) * (moment - t0) / (t1 - t0)
    raise AssertionError("the moment lies outside the probe")


@pytest.mark.parametrize(("govern", "extreme"), [(coldest, min), (warmest, max)])
@given(series=st.lists(probes(), min_size=1, max_size=4), share=st.floats(0, 1))
def test_the_line_is_the_extreme_of_the_probes_everywhere(
    govern: Callable[..., Governing], extreme: Callable[..., float], series: list[ProbeSeries], share: float
) -> None:
    """At any moment of any run the governing line is the minimum (maximum) of all probes, found by plain search."""
    for run in govern(series, 900).runs:
        moment = run.start_s + share * (run.end_s - run.start_s)
        mine = at(ProbeSeries("line", run.time_s, run.core_c), moment) if len(run.time_s) > 1 else run.core_c[0]
        assert mine == pytest.approx(extreme(at(probe, moment) for probe in series), abs=1e-6)


@given(probes(), st.floats(0, 20))
def test_lethality_is_monotone_in_temperature(probe: ProbeSeries, warmer: float) -> None:
    """Warmer by any amount at any time never counts for less."""
    hot = ProbeSeries("hot", probe.time_s, tuple(core + warmer for core in probe.core_c))
    for organism in ORGANISMS:
        before = accumulated_lethality(coldest([probe], 900), organism).equivalent_min
        after = accumulated_lethality(coldest([hot], 900), organism).equivalent_min
        assert after >= before * (1 - 1e-9)


@given(probes(), st.data())
def test_lethality_is_additive_in_time(probe: ProbeSeries, data: st.DataObject) -> None:
    """Cut at any reading, the two parts add up to the whole."""
    cut = data.draw(st.integers(0, len(probe.time_s) - 1))
    first = ProbeSeries("first", probe.time_s[: cut + 1], probe.core_c[: cut + 1])
    rest = ProbeSeries("rest", probe.time_s[cut:], probe.core_c[cut:])
    for organism in ORGANISMS:
        whole, *parts = (
            accumulated_lethality(coldest([part], 1e9), organism).equivalent_min for part in (probe, first, rest)
        )
        assert sum(parts) == pytest.approx(whole, rel=1e-9, abs=1e-12)


@given(probes(), st.lists(st.integers(1, 19).map(lambda part: part / 20), min_size=1, max_size=3, unique=True))
def test_resampling_a_straight_line_changes_nothing(probe: ProbeSeries, shares: list[float]) -> None:
    """More readings on the same straight lines give the same held time, come-up time and lethality."""
    pairs = [(probe.time_s[0], probe.core_c[0])]
    for (t0, t1), (c0, c1) in zip(pairwise(probe.time_s), pairwise(probe.core_c), strict=True):
        pairs += [(t0 + share * (t1 - t0), c0 + share * (c1 - c0)) for share in sorted(shares)]
        pairs.append((t1, c1))
    limit = HeatLimit(62.8, 30, 1e6)
    before, after = judge_heat([probe], limit), judge_heat([series_of_pairs("fine", pairs)], limit)
    assert after.held_min == pytest.approx(before.held_min, abs=1e-6)
    assert (after.come_up_min is None) is (before.come_up_min is None)
    assert after.come_up_min is None or after.come_up_min == pytest.approx(before.come_up_min, abs=1e-6)
    for mine, theirs in zip(after.lethality, before.lethality, strict=True):
        assert mine.equivalent_min == pytest.approx(theirs.equivalent_min, rel=1e-6, abs=1e-12)


@given(st.lists(probes(), min_size=1, max_size=3), probes("new"))
def test_adding_a_probe_never_helps(series: list[ProbeSeries], new: ProbeSeries) -> None:
    """With one probe more, colder or not, no more time is held, no more lethality counted, and nothing becomes met."""
    before, after = judge_heat(series, LIMIT), judge_heat([*series, new], LIMIT)
    assert after.held_min <= before.held_min + 1e-6
    assert before.verdict is Verdict.MET or after.verdict is not Verdict.MET
    for mine, theirs in zip(after.lethality, before.lethality, strict=True):
        assert mine.equivalent_min <= theirs.equivalent_min * (1 + 1e-6) + 1e-12


def test_half_a_million_readings_in_two_seconds() -> None:
    """Four probes of 125,000 readings each are judged in under two seconds."""
    count = 125_000
    times = tuple(range(0, 10 * count, 10))
    series = [
        ProbeSeries(f"core {probe}", times, tuple(60 + (at * (probe + 3)) % 97 / 10 for at in range(count)))
        for probe in range(4)
    ]
    began = time.process_time()
    found = judge_heat(series, LIMIT)
    assert time.process_time() - began < 2
    assert found.verdict is Verdict.NOT_MET


def test_a_record_full_of_gaps_is_as_quick() -> None:
    """Two probes with 20,000 gaps each are judged in the time of their readings, not of readings times gaps."""
    times = tuple(at * 10 + 2_000 * (at // 5) for at in range(100_000))
    series = [ProbeSeries(name, times, tuple(60 + (at + shift) % 7 for at in range(100_000))) for name, shift in NAMED]
    began = time.process_time()
    found = judge_heat(series, LIMIT)
    assert time.process_time() - began < 2
    assert len(found.line.gaps) == 19_999
