"""Packs that are weighed one by one: what is refused, and what their grams add up to."""

from __future__ import annotations

import sys
from collections.abc import Callable

import pytest

from lotwake.trace.actions import correct, pack, set_up, smoke
from lotwake.trace.base.errors import CallError, LotwakeError, Refused
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records import facts
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.facts import RunSeen
from lotwake.trace.records.find import by_code
from lotwake.trace.records.pack_mass import PackMass, packs_g
from lotwake.trace.records.seen import contents_of, facts_of
from lotwake.trace.records.verify import verify

SIDE = "Hot smoked haddock side"


def seen(house, run: str) -> RunSeen:
    ref = by_code(house.desk.records, run).id
    return facts.runs(house.desk.records, [ref])[ref]


@pytest.mark.parametrize(
    ("weights", "parts", "g"),
    [
        (None, [Serials(1, 3), Serials(9, 9)], 1200),
        (((1, 310), (2, 290), (3, 305), (9, 400)), [Serials(1, 3)], 905),
        (((1, 310), (2, 290), (3, 305), (9, 400)), [Serials(2, 2), Serials(3, 9)], 995),
        (((1, 310), (2, 290)), [Serials(3, 8)], 0),
        (((1, 310), (2, 290)), [], 0),
        ((), [Serials(1, 1)], 0),
    ],
)
def test_grams_of_serials(weights: tuple[tuple[int, int], ...] | None, parts: list[Serials], g: int) -> None:
    """Packs of 300 g weigh 300 g each; weighed ones weigh what the scale said of just these serials."""
    assert PackMass(300, weights).of(parts) == g


def test_each_weight_in_the_order_of_the_labels() -> None:
    """The weights of labels follow their serials, across gaps; packs that weigh the same all have that weight."""
    mass = PackMass(300, ((1, 310), (2, 290), (5, 305)))
    assert mass.each([Serials(5, 5), Serials(1, 2)]) == [305, 310, 290]
    assert PackMass(300, None).each([Serials(5, 5), Serials(1, 2)]) == [300, 300, 300]


def test_the_record_adds_up_what_was_weighed(house) -> None:
    """A run, its void packs, its case and what is left of it weigh the sum of their packs, however they are asked for."""
    run = house.weighed_run(1_100, 1_250, 1_300, 1_050)
    assert (seen(house, run).packs_g, seen(house, run).left_g) == (4_700, 0)
    pack.end_packs(house.desk, f"{run}/3", "VOID", "smeared")
    now = seen(house, run)
    assert (now.packs, now.packs_g, now.left_g, now.g_of(Serials(2, 4))) == (3, 3_400, 1_300, 3_600)
    case = house.case(f"{run}/1-2")
    records = house.desk.records
    assert [part.g for part in contents_of(records, by_code(records, case))] == [2_350]
    assert packs_g(records, by_code(records, run).id, [Serials(4, 4)]) == 1_050
    one = facts_of(records, by_code(records, f"{run}/2"))
    assert (getattr(one, "net_g", 0), getattr(one, "catch_weight", False)) == (1_250, True)
    assert verify(records).whole


def test_rework_brings_back_what_the_packs_weigh(house) -> None:
    """Weighed packs that go into a batch again bring their own grams with them."""
    run = house.weighed_run(1_100, 1_250, 1_300)
    house.later()
    batch = house.batch((f"{run}/2-3", None))
    assert smoke_in_g(house, batch) == 2_550


def smoke_in_g(house, batch: str) -> int:
    ref = by_code(house.desk.records, batch).id
    return facts.batches(house.desk.records, [ref])[ref].in_g


@pytest.mark.parametrize(
    ("act", "error", "says"),
    [
        (lambda house, run: pack.add_packs(house.desk, run, 2), CallError, "weighed one by one: 0 weights for 2 packs"),
        (lambda house, run: pack.add_packs(house.desk, run, 3, weights_g=[900, 950]), CallError, "2 weights for 3"),
        (lambda house, run: pack.add_packs(house.desk, run, 0, weights_g=[900, 0]), CallError, "cannot be 0 g"),
        (lambda house, run: pack.add_packs(house.desk, run, 0, weights_g=[900, 901]), Refused, "1 g too much"),
        (lambda house, run: pack.add_packs(house.desk, run, 0), CallError, "0 packs cannot be made"),
        (lambda house, _: pack.add_packs(house.desk, house.packed_run(2), 0, weights_g=[300]), CallError, "weighs 300 g"),
        (
            lambda house, _: set_up.add_product(
                house.desk, ProductFacts("9520000000103", "Sides", "hot smoked", 900, 60, catch_weight=True)
            ),
            CallError,
            "begins with 9",
        ),
    ],
)  # fmt: skip
def test_what_is_refused(house, act: Callable[..., object], error: type[LotwakeError], says: str) -> None:
    """Weights are asked for just where packs are weighed, for each pack, above nothing, and within the fish there is."""
    run = house.weighed_run(1_100, 1_250)
    more = house.released((house.landing(1_800), 1_800))
    pack.fill_run(house.desk, run, more, 1_800)
    before = seen(house, run)
    with pytest.raises(error) as refused:
        act(house, run)
    assert says in str(refused.value)
    assert seen(house, run) == before


def test_a_weight_is_corrected_with_both_readable(house) -> None:
    """A misread weight is put right by an entry that says why; the grams follow, and the rules are asked again."""
    run = house.weighed_run(1_100, 1_250)
    made = correct.correct(house.desk, f"{run}/2", "weight", "1.15 kg", "misread")
    assert (made.was, made.now, seen(house, run).packs_g, seen(house, run).left_g) == (1_250, 1_150, 2_250, 100)
    with pytest.raises(Refused, match="200 g more than it had"):
        correct.correct(house.desk, f"{run}/2", "weight", "1450 g", "misread again")
    with pytest.raises(CallError, match="cannot be 0 g"):
        correct.correct(house.desk, f"{run}/2", "weight", "0 g", "gone")
    with pytest.raises(CallError, match="best-before of pack"):
        correct.correct(house.desk, f"{run}/2", "best-before", "24 Dec", "later")
    fixed = house.packed_run(2)
    with pytest.raises(CallError, match="weighed one by one"):
        correct.correct(house.desk, f"{fixed}/2", "weight", "290 g", "light")
    assert verify(house.desk.records).whole


@pytest.mark.parametrize("end", ["VOID", "REWORK"])
def test_the_weight_of_what_is_no_pack_any_more_stays(house, end: str) -> None:
    """The weight of a void or reworked pack is not corrected: other grams rest on it."""
    run = house.weighed_run(1_100, 1_250)
    house.later()
    if end == "VOID":
        pack.end_packs(house.desk, f"{run}/2", end, "smeared")
    else:
        smoke.add_inputs(house.desk, house.batch((house.landing(500), 500)), [smoke.Input(f"{run}/2")])
    with pytest.raises(LotwakeError):
        correct.correct(house.desk, f"{run}/2", "weight", "1 kg", "misread")


def test_a_product_becomes_one_that_is_weighed(house) -> None:
    """The flag is corrected where the GTIN allows it; a run keeps what it was begun as."""
    early = house.weighed_run(1_100)
    desk = house.desk
    correct.correct_party(desk, "product", SIDE, "catch-weight", "no", "all cut to 1.2 kg")
    assert seen(house, early).catch_weight
    batch = house.released((house.landing(2_400), 2_400))
    late = pack.start_run(desk, SIDE, [(batch, None)], 2).code
    assert (seen(house, late).catch_weight, seen(house, late).packs_g) == (False, 2_400)
    correct.correct_party(desk, "product", SIDE, "catch-weight", "yes", "cut by eye again")
    with pytest.raises(CallError, match="begins with 9"):
        correct.correct_party(desk, "product", "Hot smoked haddock", "catch-weight", "yes", "by eye")
    with pytest.raises(CallError, match="neither yes nor no"):
        correct.correct_party(desk, "product", SIDE, "catch-weight", "perhaps", "by eye")


def test_many_weighed_packs_are_summed_quickly(house) -> None:
    """A thousand weights are one entry, and asking what a part of them weighs does not read the record again."""
    weights = [1_000 + serial % 7 for serial in range(1, 1_001)]
    run = house.weighed_run(*weights)
    found = seen(house, run)
    assert found.packs_g == sum(weights)
    assert all(found.g_of(Serials(at, at + 9)) == sum(weights[at - 1 : at + 9]) for at in range(1, 900, 37))
    assert sys.getsizeof(found.weights) < 20_000
