"""Ranges of serials obey the laws of sets."""

from __future__ import annotations

import time
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.base.ranges import Serials, common, counted, in_words, merged, without

RANGES = st.lists(
    st.builds(lambda first, more: Serials(first, first + more), st.integers(1, 60), st.integers(0, 12)), max_size=8
)


def members(ranges: list[Serials]) -> set[int]:
    return {serial for item in ranges for serial in range(item.first, item.last + 1)}


def is_tidy(ranges: list[Serials]) -> bool:
    return all(a.last + 1 < b.first for a, b in pairwise(ranges)) and all(item.first <= item.last for item in ranges)


@given(RANGES)
def test_merging_keeps_every_serial_once(ranges: list[Serials]) -> None:
    """Merged ranges hold the same serials, in order, with a gap between any two."""
    assert members(merged(ranges)) == members(ranges)
    assert is_tidy(merged(ranges))
    assert counted(merged(ranges)) == len(members(ranges))


@given(RANGES, RANGES)
def test_taking_away_is_set_difference(ranges: list[Serials], taken: list[Serials]) -> None:
    """What is left is exactly the serials that were not taken."""
    left = without(ranges, taken)
    assert members(left) == members(ranges) - members(taken)
    assert is_tidy(left)


@given(RANGES, RANGES)
def test_common_is_set_intersection(ranges: list[Serials], others: list[Serials]) -> None:
    """What is common is exactly the serials in both, whichever comes first."""
    assert members(common(ranges, others)) == members(ranges) & members(others)
    assert common(ranges, others) == common(others, ranges)


@given(RANGES)
def test_words_name_every_range(ranges: list[Serials]) -> None:
    """In words each merged range stands once; no serials are said as none."""
    said = in_words(ranges)
    assert said == "none" if not ranges else len(said.split(", ")) == len(merged(ranges))


def test_words_are_the_serials_on_the_packs() -> None:
    """One serial stands alone, several as first and last, both with four digits."""
    assert in_words([Serials(131, 131), Serials(1, 100), Serials(101, 120)]) == "0001-0120, 0131"


def test_many_ranges_are_quick() -> None:
    """Twenty thousand ranges against twenty thousand others take well under a second."""
    ranges = [Serials(10 * n, 10 * n + 6) for n in range(1, 20_001)]
    taken = [Serials(10 * n + 3, 10 * n + 3) for n in range(1, 20_001)]
    began = time.perf_counter()
    left, both = without(ranges, taken), common(ranges, taken)
    assert time.perf_counter() - began < 2
    assert counted(left) == 6 * 20_000
    assert both == taken
