"""A hold binds everything downstream that is still in the house; release needs a name and a reason; rejection is final."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from lotwake.trace.actions import hold, pack, receive, ship, smoke
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.records import facts
from lotwake.trace.records.entries import packs
from lotwake.trace.records.find import by_code


class Chain:
    """Everything made from one landing before it was held: batch, blend, rework, runs, case, pallet, loose packs."""

    def __init__(self, house) -> None:
        self.house, self.desk = house, house.desk
        self.lot = house.landing(60_000)
        self.other = house.landing(60_000, "Brisling")
        self.first = house.released((self.lot, 20_000))
        self.blend = house.batch((self.other, 10_000), (self.first, 2_000))
        self.run = house.run((self.first, 15_000), count=40)
        self.rework = house.batch((self.other, 10_000), (f"{self.run}/40", None))
        self.case = house.case(f"{self.run}/1-12")
        self.clean = house.batch((self.other, 5_000))
        house.later()


@pytest.fixture
def chain(house) -> Chain:
    return Chain(house)


MOVES: dict[str, Callable[[Chain], object]] = {
    "start a batch": lambda c: c.house.batch((c.lot, 1_000)),
    "add to a batch": lambda c: smoke.add_inputs(c.desk, c.clean, [smoke.Input(c.lot, 1_000)]),
    "blend": lambda c: smoke.add_inputs(c.desk, c.clean, [smoke.Input(c.blend, 1_000)]),
    "rework": lambda c: c.house.batch((f"{c.run}/39", None)),
    "release the blend": lambda c: smoke.release_batch(c.desk, c.blend),
    "release the rework": lambda c: smoke.release_batch(c.desk, c.rework),
    "start a run": lambda c: c.house.run((c.first, 300)),
    "fill a run": lambda c: pack.fill_run(c.desk, c.run, c.first, 300),
    "add packs": lambda c: pack.add_packs(c.desk, c.run, 1),
    "close a case": lambda c: c.house.case(f"{c.run}/13-24"),
    "case up": lambda c: ship.case_up(c.desk, c.run),
    "build a pallet": lambda c: ship.build_pallet(c.desk, [c.case]),
    "send a case": lambda c: c.house.send(c.case),
    "send packs": lambda c: c.house.send(f"{c.run}/30"),
    "print": lambda c: print_labels(c, packs.FIRST),
    "print again": lambda c: print_labels(c, packs.REPRINT),
}


def print_labels(chain: Chain, kind: str) -> int:
    with chain.desk.entry("print") as entry:
        run = by_code(chain.desk.records, chain.run).id
        return packs.print_labels(entry, run, packs.Serials(1, 2), kind, "smeared", "test", chain.desk.now)


@pytest.mark.parametrize("where", ["lot", "first"])
@pytest.mark.parametrize("move", MOVES)
def test_held_fish_does_not_move(chain: Chain, where: str, move: str) -> None:
    """A hold on a landing or on the first batch stops every move of what was made from it, before and after the hold."""
    held = getattr(chain, where)
    if where == "first" and move in ("start a batch", "add to a batch"):
        pytest.skip("the landing itself is free")
    hold.hold(chain.desk, held, "smell of oil")
    entries = chain.desk.records.value("SELECT COUNT(*) FROM journal")
    with pytest.raises(Refused, match=r"is on hold: smell of oil\. Nothing made from it may move"):
        MOVES[move](chain)
    assert chain.desk.records.value("SELECT COUNT(*) FROM journal") == entries


@pytest.mark.parametrize("move", MOVES)
def test_a_release_lets_go(chain: Chain, move: str) -> None:
    """Once released by name and with a reason, everything moves again."""
    hold.hold(chain.desk, chain.lot, "smell of oil")
    chain.house.later()
    hold.release(chain.desk, chain.lot, "Signe Kvist", "it was the box")
    MOVES[move](chain)


def test_other_fish_moves_on(chain: Chain) -> None:
    """A hold reaches downstream only: the other landing, and the lot behind a held batch, are free."""
    hold.hold(chain.desk, chain.blend, "under-salted")
    chain.house.batch((chain.lot, 1_000), (chain.other, 1_000))
    chain.house.send(chain.case)
    with pytest.raises(Refused, match="under-salted"):
        smoke.release_batch(chain.desk, chain.blend)


def test_a_held_run_takes_nothing_in(chain: Chain) -> None:
    """A run on hold gets neither fish nor bags."""
    bags = chain.house.material()
    fresh = chain.house.released((chain.other, 5_000))
    run = chain.house.run((fresh, 1_000))
    hold.hold(chain.desk, run, "wrong label")
    with pytest.raises(Refused, match="wrong label"):
        pack.fill_run(chain.desk, run, fresh, 500)
    with pytest.raises(Refused, match="wrong label"), chain.desk.entry("bags") as entry:
        packs.use_material(entry, by_code(chain.desk.records, run).id, by_code(chain.desk.records, bags).id, None)


def test_a_held_material_holds_its_packs(chain: Chain) -> None:
    """A bag lot on hold stops what was packed in it."""
    bags = chain.house.material()
    fresh = chain.house.released((chain.other, 5_000))
    run = pack.start_run(chain.desk, "Hot smoked haddock", [(fresh, None)], 5, materials=[(bags, None)]).code
    hold.hold(chain.desk, bags, "seams open")
    with pytest.raises(Refused, match="seams open"):
        chain.house.send(f"{run}/1")


def test_a_rejection_is_final(chain: Chain) -> None:
    """Rejected fish never moves, is not released, says so even beside an older hold, and can only be named as waste."""
    hold.hold(chain.desk, chain.lot, "smell of oil")
    hold.hold(chain.desk, chain.lot, "oil found", reject=True)
    with pytest.raises(
        Refused, match=r"is rejected: oil found\. Nothing made from it may move; name its grams as waste"
    ):
        chain.house.send(chain.case)
    with pytest.raises(Refused, match="was rejected; that is final"):
        hold.release(chain.desk, chain.lot, "Signe Kvist", "no reason")
    assert facts.lots(chain.desk.records, [1])[1].status == "REJECTED"
    receive.lose_from_lot(chain.desk, chain.lot, "waste", 40_000)
    pack.end_packs(chain.desk, f"{chain.run}/13-39", "DESTROYED", "oil")


def test_what_is_away_comes_back_under_a_hold(chain: Chain) -> None:
    """Goods that were sent before the hold can be taken back, and then do not leave again."""
    chain.house.send(chain.case)
    hold.hold(chain.desk, chain.lot, "smell of oil")
    chain.house.later()
    ship.take_back(chain.desk, "Quay Deli", [chain.case], "recalled")
    with pytest.raises(Refused, match="smell of oil"):
        chain.house.send(chain.case)


def test_a_hold_says_why_and_a_release_who(chain: Chain) -> None:
    """A hold without a reason and a release without a name or reason are refused; so is a release of what is not held."""
    with pytest.raises(CallError, match="reason is missing"):
        hold.hold(chain.desk, chain.lot, " ")
    with pytest.raises(Refused, match="not on hold itself"):
        hold.release(chain.desk, chain.first, "Signe Kvist", "fine")
    hold.hold(chain.desk, chain.lot, "smell")
    for name, reason in (("", "fine"), ("Signe Kvist", "  ")):
        with pytest.raises(CallError, match="missing"):
            hold.release(chain.desk, chain.lot, name, reason)
    with pytest.raises(CallError, match="needs a lot or batch or run"):
        hold.hold(chain.desk, chain.case, "smell")


def test_a_hold_lies_in_the_time_of_its_thing(chain: Chain) -> None:
    """A hold may be written down later than it was put, but not before the thing was there, nor released before it."""
    since = chain.house.ago(0.5)
    hold.hold(chain.desk, chain.lot, "smell", at=since)
    with pytest.raises(Refused, match="would come before the hold"):
        hold.release(chain.desk, chain.lot, "Signe Kvist", "fine", at=since - timedelta(minutes=1))
    for code in (chain.lot, chain.first, chain.run):
        with pytest.raises(Refused, match=r"The hold at .* would come before"):
            hold.hold(chain.desk, code, "smell", at=chain.house.ago(3))


def test_two_holds_are_both_released(chain: Chain) -> None:
    """A release ends every hold on that lot, and none elsewhere."""
    hold.hold(chain.desk, chain.lot, "smell")
    hold.hold(chain.desk, chain.lot, "colour")
    hold.hold(chain.desk, chain.first, "salt")
    hold.release(chain.desk, chain.lot, "Signe Kvist", "fine")
    assert chain.desk.records.value("SELECT COUNT(*) FROM hold_release") == 2
    with pytest.raises(Refused, match="salt"):
        chain.house.send(chain.case)
