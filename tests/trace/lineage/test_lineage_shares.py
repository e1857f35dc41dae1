"""Shares of lots in batches and runs, worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from lotwake.trace.lineage.shares import Circle, order_of_making, shares

Parts = dict[int, tuple[str, str]]

LOT_A, LOT_B, LOT_C = 901, 902, 903


@pytest.mark.parametrize(
    ("uses", "flows", "work", "parts"),
    [
        ([(LOT_A, 1, 500)], [], 1, {LOT_A: ("1", "1")}),
        ([(LOT_A, 1, 300), (LOT_B, 1, 100)], [], 1, {LOT_A: ("3/4", "3/4"), LOT_B: ("1/4", "1/4")}),
        # A part of a batch is mixed as the batch is, but may all be of one lot.
        ([(LOT_A, 1, 300), (LOT_B, 1, 100)], [(1, 2, 100)], 2, {LOT_A: ("3/4", "1"), LOT_B: ("1/4", "1")}),
        ([(LOT_A, 1, 300), (LOT_B, 1, 100)], [(1, 2, 200)], 2, {LOT_A: ("3/4", "1"), LOT_B: ("1/4", "1/2")}),
        # Blended: 100 g of batch 1 and 300 g of batch 2, which is lot C alone.
        (
            [(LOT_A, 1, 300), (LOT_B, 1, 100), (LOT_C, 2, 900)],
            [(1, 3, 100), (2, 3, 300)],
            3,
            {LOT_A: ("3/16", "1/4"), LOT_B: ("1/16", "1/4"), LOT_C: ("3/4", "3/4")},
        ),
        # Split in two halves and blended again: lot B had 100 g in all, however many ways lead to it.
        (
            [(LOT_A, 1, 900), (LOT_B, 1, 100)],
            [(1, 2, 500), (1, 3, 500), (2, 4, 500), (3, 4, 500)],
            4,
            {LOT_A: ("9/10", "9/10"), LOT_B: ("1/10", "1/10")},
        ),
        # The same lot entered twice, and once more on the way.
        ([(LOT_A, 1, 100), (LOT_A, 1, 100), (LOT_A, 2, 100)], [(1, 2, 200)], 2, {LOT_A: ("1", "1")}),
        ([], [(1, 2, 100)], 2, {}),
    ],
)  # fmt: skip
def test_shares_by_hand(
    uses: list[tuple[int, int, int]], flows: list[tuple[int, int, int]], work: int, parts: Parts
) -> None:
    """The well mixed share and the most of each lot, as worked out on paper."""
    (found,) = shares(uses, flows, [work]).values()
    assert {share.lot: (str(share.mixed), str(share.most)) for share in found} == parts


def test_shares_do_not_depend_on_what_else_is_asked() -> None:
    """What a lot was used for elsewhere changes nothing in a batch it came into by another way."""
    uses = [(LOT_A, 1, 900), (LOT_B, 1, 100), (LOT_B, 9, 5000)]
    flows = [(1, 2, 500), (1, 3, 500), (2, 4, 500), (3, 4, 500)]
    assert shares(uses, flows, [4, 9])[4] == shares(uses[:2], flows, [4])[4]


def test_the_largest_share_comes_first() -> None:
    """Shares are in falling order, equal ones by lot."""
    found = shares([(LOT_C, 1, 10), (LOT_B, 1, 10), (LOT_A, 1, 80)], [], [1])[1]
    assert [share.lot for share in found] == [LOT_A, LOT_B, LOT_C]
    assert sum(share.mixed for share in found) == Fraction(1)


def test_batches_come_in_the_order_of_making() -> None:
    """A batch comes after everything it was made from; one made from itself is named, and where it goes round."""
    order = order_of_making([(3, 4, 1), (1, 3, 1), (2, 3, 1), (1, 2, 1)])
    assert order == [1, 2, 3, 4]
    with pytest.raises(Circle) as found:
        order_of_making([(1, 2, 1), (2, 3, 1), (3, 2, 1)])
    assert set(found.value.works) == {2, 3}
    assert found.value.works[0] == found.value.works[-1]
