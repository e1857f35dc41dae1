"""Turns that goods take seldom, each played out by hand: moved, emptied on the way, come back apart, reworked late."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from lineage_house import SmallHouse

from lotwake.trace.actions import pack, receive, ship, smoke
from lotwake.trace.lineage.chain import Chain, Direction, LinkKind
from lotwake.trace.lineage.trace import trace
from lotwake.trace.records.find import Kind, Thing

BACK, FORWARD = Direction.BACK, Direction.FORWARD


class Floor:
    """A lot, a batch and a run of twenty packs; a minute passes before everything that is done."""

    def __init__(self, house: SmallHouse) -> None:
        self.house, self.desk = house, house.desk
        self.lot = receive.receive(
            self.desk, receive.Arrival("landing", "Aurora", 40_000, species="HAD", area="27.4.b")
        )
        self.batch = self.smoked(smoke.Input(self.lot.code, 9_000))
        self.run = self.packed(self.batch, 20)

    def smoked(self, *inputs: smoke.Input) -> Thing:
        self.house.later()
        batch = smoke.start_batch(self.desk, "hot smoked", inputs)
        smoke.release_batch(self.desk, batch.code)
        return batch

    def packed(self, batch: Thing, count: int) -> Thing:
        self.house.later()
        return pack.start_run(self.desk, "Smoked haddock", [(batch.code, 300 * count)], count)

    def cased(self, *packs: str) -> Thing:
        self.house.later()
        return ship.close_case(self.desk, packs)

    def stacked(self, *units: Thing) -> Thing:
        self.house.later()
        return ship.build_pallet(self.desk, [unit.code for unit in units])

    def sent(self, *goods: str, buyer: str = "Quay Deli") -> Thing:
        self.house.later()
        return ship.send(self.desk, buyer, goods)

    def came(self, *goods: str) -> Thing:
        self.house.later()
        return ship.take_back(self.desk, "Quay Deli", goods, "too many")

    def trace(self, start: Thing, direction: Direction) -> Chain:
        return trace(self.desk.records, start, direction)


@pytest.fixture
def floor(any_house: SmallHouse) -> Iterator[Floor]:
    with any_house.undone():
        yield Floor(any_house)


def links(chain: Chain, kind: LinkKind) -> dict[tuple[int, int], int | None]:
    """Packs by the two ends of each link of a kind."""
    return {(link.parent[1], link.child[1]): link.packs for link in chain.links if link.kind is kind}


def test_a_case_moved_to_another_pallet_leaves_on_that_one(floor: Floor) -> None:
    """Two pallets on one dispatch each carry what stood on them then, also when a case was moved between them before."""
    stays, moves = floor.cased(f"{floor.run.code}/1-3"), floor.cased(f"{floor.run.code}/4-8")
    first = floor.stacked(stays, moves)
    floor.house.later()
    ship.take_off_pallet(floor.desk, moves.code)
    second = floor.stacked(moves)
    sent = floor.sent(first.code, second.code)
    for start, direction in ((floor.lot, FORWARD), (sent, BACK)):
        chain = floor.trace(start, direction)
        assert links(chain, LinkKind.SENT) == {(first.id, sent.id): 3, (second.id, sent.id): 5}
    assert (moves.id, first.id) not in links(floor.trace(sent, BACK), LinkKind.STACKED)
    assert (moves.id, first.id) in links(floor.trace(floor.lot, FORWARD), LinkKind.STACKED)


def test_a_case_emptied_on_its_pallet_is_not_sent(floor: Floor) -> None:
    """Packs taken out of a case before its pallet left are not on the dispatch, and their batch is not behind it."""
    other = floor.packed(floor.smoked(smoke.Input(floor.lot.code, 3_000)), 5)
    goes, emptied = floor.cased(f"{floor.run.code}/1-3"), floor.cased(f"{other.code}/1-4")
    pallet = floor.stacked(goes, emptied)
    floor.house.later()
    ship.open_case(floor.desk, emptied.code)
    sent = floor.sent(pallet.code)
    back = floor.trace(sent, BACK)
    assert {node.id for node in back.of_kind(Kind.RUN, Kind.CASE)} == {floor.run.id, goes.id}
    assert {node.packs for node in back.of_kind(Kind.DISPATCH, Kind.PALLET)} == {3}
    forward = floor.trace(other, FORWARD)
    assert forward.of_kind(Kind.DISPATCH) == ()
    assert forward.whereabouts is not None
    assert (forward.whereabouts.in_house, forward.whereabouts.with_buyers) == (5, 0)
    assert links(floor.trace(pallet, BACK), LinkKind.STACKED) == {(goes.id, pallet.id): 3, (emptied.id, pallet.id): 4}


def test_a_pallet_sent_after_a_case_left_it_is_no_way_of_that_case(floor: Floor) -> None:
    """A dispatch and a return of a pallet are not in the trace of a case that was taken off it before."""
    stays, leaves = floor.cased(f"{floor.run.code}/1-3"), floor.cased(f"{floor.run.code}/4-8")
    pallet = floor.stacked(stays, leaves)
    floor.house.later()
    ship.take_off_pallet(floor.desk, leaves.code)
    floor.sent(pallet.code)
    floor.came(pallet.code)
    chain = floor.trace(leaves, FORWARD)
    assert chain.of_kind(Kind.DISPATCH, Kind.RETURN) == ()
    one = floor.trace(Thing(Kind.PACK, floor.run.id, floor.run.code, 5), FORWARD)
    assert [node.status for node in one.of_kind(Kind.PACK)] == ["IN HOUSE"]


def test_packs_taken_out_before_a_pallet_was_stacked_are_not_on_the_upper_one(floor: Floor) -> None:
    """A pallet put on another one carries up only what was in its cases then."""
    goes, emptied = floor.cased(f"{floor.run.code}/1-3"), floor.cased(f"{floor.run.code}/4-8")
    lower = floor.stacked(goes, emptied)
    floor.house.later()
    ship.open_case(floor.desk, emptied.code)
    upper = floor.stacked(lower)
    floor.sent(upper.code)
    chain = floor.trace(emptied, FORWARD)
    assert {node.id for node in chain.of_kind(Kind.PALLET, Kind.DISPATCH)} == {lower.id}
    assert links(floor.trace(floor.lot, FORWARD), LinkKind.STACKED)[lower.id, upper.id] == 3
    assert {node.id for node in floor.trace(upper, BACK).of_kind(Kind.CASE)} == {goes.id}


def test_a_pallet_that_comes_back_without_its_case(floor: Floor) -> None:
    """A case that came back before its pallet is on its own return only."""
    stays, comes = floor.cased(f"{floor.run.code}/1-3"), floor.cased(f"{floor.run.code}/4-8")
    pallet = floor.stacked(stays, comes)
    sent = floor.sent(pallet.code)
    alone, rest = floor.came(comes.code), floor.came(pallet.code)
    for back, case, packs, left_in in ((alone, comes, 5, comes), (rest, stays, 3, pallet)):
        chain = floor.trace(back, BACK)
        assert {node.id for node in chain.of_kind(Kind.CASE)} == {case.id}
        assert links(chain, LinkKind.SENT) == {(left_in.id, sent.id): packs}
        assert floor.trace(case, FORWARD).of_kind(Kind.RETURN)[0].id == back.id
        assert len(floor.trace(case, FORWARD).of_kind(Kind.RETURN)) == 1


def test_a_pallet_and_its_former_case_come_back_together(floor: Floor) -> None:
    """A case that came back alone and was sent again, and the pallet it once left on, return at once, each on its own way."""
    stays, roams = floor.cased(f"{floor.run.code}/1-3"), floor.cased(f"{floor.run.code}/4-8")
    pallet = floor.stacked(stays, roams)
    first = floor.sent(pallet.code)
    floor.came(roams.code)
    second = floor.sent(roams.code)
    back = floor.came(pallet.code, roams.code)
    chain = floor.trace(back, BACK)
    assert links(chain, LinkKind.RETURNED) == {(first.id, back.id): 3, (second.id, back.id): 5}
    assert links(chain, LinkKind.SENT) == {(pallet.id, first.id): 3, (roams.id, second.id): 5}
    assert links(chain, LinkKind.STACKED) == {(stays.id, pallet.id): 3}
    (receiver,) = floor.trace(floor.lot, FORWARD).receivers
    assert (receiver.packs_sent, receiver.packs_returned, receiver.g) == (13, 13, 0)


def test_late_rework_concerns_all_packs_of_the_batch_it_went_into(floor: Floor) -> None:
    """Packs that came back and went into an older batch concern every pack of that batch, those of the same dispatch too."""
    batch = floor.smoked(smoke.Input(floor.lot.code, 9_000))
    late = floor.packed(batch, 10)
    sent = floor.sent(f"{floor.run.code}/1-2", f"{late.code}/1-3")
    floor.sent(f"{late.code}/4-6", buyer="Hill Kitchen")
    floor.came(f"{floor.run.code}/1-1")
    floor.house.later()
    smoke.add_inputs(floor.desk, batch.code, [smoke.Input(f"{floor.run.code}/1-1")])
    chain = floor.trace(sent, FORWARD)
    assert links(chain, LinkKind.REWORKED) == {(floor.run.id, batch.id): 1}
    assert {receiver.buyer: receiver.packs for receiver in chain.receivers} == {"Quay Deli": 4, "Hill Kitchen": 3}
    assert chain.whereabouts is not None
    assert (chain.whereabouts.made, chain.whereabouts.in_house, chain.whereabouts.ended) == (12, 4, (("REWORK", 1),))


def test_the_same_grams_twice_are_both_counted(floor: Floor) -> None:
    """Two inputs of the same lot and weight into one batch count as two, in the links and in the shares."""
    other = receive.receive(floor.desk, receive.Arrival("landing", "Marit", 9_000, species="HAD", area="27.4.b"))
    batch = floor.smoked(smoke.Input(floor.lot.code, 1_000), smoke.Input(other.code, 2_000))
    smoke.add_inputs(floor.desk, batch.code, [smoke.Input(floor.lot.code, 1_000)])
    chain = floor.trace(batch, BACK)
    assert {origin.lot: (origin.used_g, str(origin.share.mixed)) for origin in chain.origins if origin.share} == {
        floor.lot.id: (2_000, "1/2"),
        other.id: (2_000, "1/2"),
    }
