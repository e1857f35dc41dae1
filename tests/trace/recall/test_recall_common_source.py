"""The common source: planted culprits are named, and nothing is named when nothing was planted."""

from __future__ import annotations

import math
from collections import Counter
from random import Random

import pytest

from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.recall.common_source import Factor, FactorKind, Made, common_source, upper_tail

HISTORIES, COMPLAINTS = 100, 10
PLANTED = (FactorKind.LOT, FactorKind.BRINE, FactorKind.MATERIAL)


def history(random: Random, days: int = 40) -> list[Made]:
    """Two months of a small house: each day one or two landings become one to three batches of one run each; a brine serves
    two to four batches, a bag lot ten days, two smokehouses and three people take turns."""
    made: list[Made] = []
    brine, left = 1, 0
    for day in range(days):
        landings = [Factor(FactorKind.LOT, 10 * day + n, f"landing {day}-{n}") for n in range(random.randint(1, 2))]
        bags = 1 + day // 10
        for _ in range(random.randint(1, 3)):
            number = len(made) + 1
            if left == 0:
                brine, left = brine + 1, random.randint(2, 4)
            left -= 1
            made.append(
                Made(number, random.randint(40, 300), frozenset({
                    random.choice(landings), random.choice(landings), Factor(FactorKind.BATCH, number, f"batch {number}"),
                    Factor(FactorKind.BRINE, brine, f"brine {brine}"), Factor(FactorKind.MATERIAL, bags, f"bags {bags}"),
                    Factor(FactorKind.EQUIPMENT, number % 2, f"smokehouse {number % 2}"),
                    Factor(FactorKind.PERSON, random.randrange(3), "somebody"), Factor(FactorKind.SMOKED_ON, 0, str(day)),
                }))
            )  # fmt: skip
    return made


def drawn(random: Random, made: list[Made], culprit: Factor | None = None) -> Counter[int]:
    """Ten complaint packs, drawn blindly among all packs or among those that carry the culprit."""
    packs = [item.run for item in made if culprit is None or culprit in item.factors for _ in range(item.packs)]
    return Counter(random.sample(packs, COMPLAINTS))


@pytest.mark.parametrize("kind", PLANTED, ids=str)
def test_a_planted_source_is_named_first(kind: FactorKind) -> None:
    """With ten complaints, a planted landing, brine or bag lot, or the group it cannot be told from, leads in 95 of 100."""
    named = 0
    for seed in range(HISTORIES):
        random = Random(f"{kind}-{seed}")
        made = history(random)
        # What everything carries cannot be found by comparing: such a bag lot is not planted.
        carried = Counter(factor for item in made for factor in item.factors if factor.kind is kind)
        culprit = random.choice(sorted(factor for factor, runs in carried.items() if runs < len(made) / 2))
        found = common_source(made, drawn(random, made, culprit))
        named += any(culprit in finding.factors for finding in found.first)
    assert named >= 95


def test_no_false_alarm() -> None:
    """With ten complaints drawn blindly, at most 5 of 100 histories raise an alarm, and the sentence says that none does."""
    alarms = 0
    for seed in range(HISTORIES):
        random = Random(f"none-{seed}")
        made = history(random)
        found = common_source(made, drawn(random, made))
        alarms += bool(found.first)
        assert found.sentence.startswith("Nothing stands out") is not bool(found.first)
    assert alarms <= 5


@pytest.mark.parametrize(("made", "carrying", "complaints", "with_it"), [
    (50, 5, 10, 4), (50, 5, 10, 5), (17, 9, 6, 1), (1000, 400, 10, 10), (8, 3, 5, 0), (8, 8, 5, 5),
])  # fmt: skip
def test_tail_is_the_hypergeometric_one(made: int, carrying: int, complaints: int, with_it: int) -> None:
    """The tail equals the sum of exact binomial products (the definition of the hypergeometric distribution)."""
    exact = sum(
        math.comb(carrying, hits) * math.comb(made - carrying, complaints - hits)
        for hits in range(with_it, min(carrying, complaints) + 1)
    ) / math.comb(made, complaints)
    assert upper_tail(made, carrying, complaints, with_it) == pytest.approx(exact, rel=1e-9)


def test_a_tail_that_books_print() -> None:
    """4 or more of 5 green among 10 drawn of 50 marbles is 0.00396 + 0.00012 (the marble example of Wikipedia's article
    on the hypergeometric distribution, from memory)."""
    assert upper_tail(50, 5, 10, 4) - upper_tail(50, 5, 10, 5) == pytest.approx(0.003964583, abs=5e-9)
    assert upper_tail(50, 5, 10, 5) == pytest.approx(0.0001189375, abs=5e-10)


def test_what_cannot_be_told_apart_is_one_group() -> None:
    """Two factors on the same runs are one finding with both names; equal rank leads together."""
    bags, day = Factor(FactorKind.MATERIAL, 1, "bags"), Factor(FactorKind.SMOKED_ON, 0, "monday")
    made = [Made(1, 10, frozenset({bags, day})), *(Made(number, 500, frozenset()) for number in range(2, 12))]
    found = common_source(made, {1: 4})
    assert found.first[0].factors == (bags, day)
    assert (found.first[0].with_it, found.first[0].carrying, found.first[0].runs) == (4, 10, (1,))
    assert "bags" in found.sentence
    assert "no proof" in found.sentence


def test_both_rankings_are_given() -> None:
    """By chance the narrow culprit leads; by count what more complaints share, however common it is."""
    wide, narrow = Factor(FactorKind.MATERIAL, 1, "salt"), Factor(FactorKind.LOT, 2, "landing")
    made = [
        Made(1, 10, frozenset({wide, narrow})),
        *(Made(n, 100, frozenset({wide} if n < 9 else ())) for n in range(2, 12)),
    ]
    found = common_source(made, {1: 6, 2: 1})
    assert found.findings[0].factors == (narrow,)
    assert found.by_count[0].factors == (wide,)


def test_too_little_to_go_by() -> None:
    """One complaint is refused; so is a pack that was not made in the time looked at."""
    made = [Made(1, 10, frozenset())]
    with pytest.raises(CallError, match="One complaint"):
        common_source(made, {1: 1})
    with pytest.raises(Refused, match="not among the packs"):
        common_source(made, {2: 2})
