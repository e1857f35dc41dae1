"""Random histories: every pack of a scope is in exactly one place, where it really is, and all sums close.

``Diary`` keeps its own account beside the record, pack by pack; it knows nothing of tables, ranges or statements.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from random import Random
from typing import Any

import pytest

from lotwake.trace.actions import pack, recall, recall_answers, ship, smoke
from lotwake.trace.actions.recall_answers import Answer
from lotwake.trace.base.ranges import Serials
from lotwake.trace.recall.replies import State, Tally
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.pack_places import Place, places_of
from lotwake.trace.records.verify import verify

BUYERS = ("Quay Deli", "Hill Kitchen")
PACK_G = 300
Pack = tuple[str, int]
"""A run's code and a serial."""


@dataclass
class Diary:
    """What was done in a house, told pack by pack. ``made_of``: by batch or run, what went into it."""

    house: Any
    random: Random
    lots: list[str] = field(default_factory=list)
    rests: list[str] = field(default_factory=list)
    runs: list[str] = field(default_factory=list)
    made_of: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    place: dict[Pack, str] = field(default_factory=dict)
    case: dict[Pack, str] = field(default_factory=dict)
    was_away: set[Pack] = field(default_factory=set)

    def loose(self) -> list[Pack]:
        """Packs in the house and in no case."""
        return [one for one, where in self.place.items() if where == "here" and one not in self.case]

    def cases(self, where: str) -> list[str]:
        """Cases whose packs are all there."""
        return sorted({case for one, case in self.case.items() if self.place[one] == where})

    def step(self) -> None:
        """Something happens."""
        self.house.later(1)
        getattr(self, self.random.choice(("produce", "produce", "rework", "box", "box", "unbox", "send", "send_loose",
                                          "take_back", "take_loose_back", "end", "void")))()  # fmt: skip

    def produce(self) -> None:
        """Fish of one or two lots, and perhaps the rest of an older one, is smoked and packed."""
        lots = [self.house.landing(9_000) for _ in range(self.random.randint(1, 2))]
        parts = [(lot, 6_000) for lot in lots]
        if self.rests and self.random.random() < 0.4:
            parts.append((self.rests.pop(self.random.randrange(len(self.rests))), 3_000))
        batch = self.house.batch(*parts)
        self.made_of[batch] |= {lot for lot, _ in parts}
        self.lots += lots
        self.rests += lots
        self._pack(batch)

    def rework(self) -> None:
        """Loose packs go into a new batch."""
        packs = self._some_loose(3)
        if not packs:
            return
        batch = self.house.batch(*((f"{run}/{serial}", None) for run, serial in packs))
        for one in packs:
            self.place[one] = "rework"
            self.made_of[batch].add(one[0])
        self._pack(batch)

    def _pack(self, batch: str) -> None:
        smoke.release_batch(self.house.desk, batch)
        left: int = smoke_left(self.house, batch)
        run = self.house.run((batch, None), count=left // PACK_G)
        self.made_of[run].add(batch)
        self.runs.append(run)
        self.place |= {(run, serial): "here" for serial in range(1, left // PACK_G + 1)}

    def box(self) -> None:
        packs = self._some_loose(6)
        if packs:
            case = self.house.case(*(f"{run}/{serial}" for run, serial in packs))
            self.case |= dict.fromkeys(packs, case)

    def unbox(self) -> None:
        if cases := self.cases("here"):
            case = self.random.choice(cases)
            ship.open_case(self.house.desk, case)
            self.case = {one: into for one, into in self.case.items() if into != case}

    def send(self) -> None:
        if cases := self.cases("here"):
            self._send(self.random.choice(cases))

    def send_loose(self) -> None:
        packs = self._some_loose(4)
        if packs:
            buyer = self.random.choice(BUYERS)
            self.house.send(*(f"{run}/{serial}" for run, serial in packs), buyer=buyer)
            self.place |= dict.fromkeys(packs, buyer)
            self.was_away |= set(packs)

    def _send(self, case: str) -> None:
        buyer = self.random.choice(BUYERS)
        self.house.send(case, buyer=buyer)
        inside = [one for one, into in self.case.items() if into == case]
        self.place |= dict.fromkeys(inside, buyer)
        self.was_away |= set(inside)

    def take_back(self) -> None:
        away = [case for buyer in BUYERS for case in self.cases(buyer)]
        if away:
            case = self.random.choice(away)
            inside = [one for one, into in self.case.items() if into == case]
            ship.take_back(self.house.desk, self.place[inside[0]], [case], "not sold")
            self.place |= dict.fromkeys(inside, "here")

    def take_loose_back(self) -> None:
        away = [one for one, where in self.place.items() if where in BUYERS and one not in self.case]
        if away:
            one = self.random.choice(away)
            ship.take_back(self.house.desk, self.place[one], [f"{one[0]}/{one[1]}"], "crushed")
            self.place[one] = "here"

    def end(self) -> None:
        for run, serial in self._some_loose(2):
            kind = self.random.choice(("DESTROYED", "SAMPLE"))
            pack.end_packs(self.house.desk, f"{run}/{serial}", kind, "chosen")
            self.place[run, serial] = kind

    def void(self) -> None:
        for run, serial in self._some_loose(1):
            if (run, serial) not in self.was_away:
                pack.end_packs(self.house.desk, f"{run}/{serial}", "VOID", "smeared")
                del self.place[run, serial]

    def _some_loose(self, most: int) -> list[Pack]:
        packs = self.loose()
        return sorted(self.random.sample(packs, min(len(packs), self.random.randint(1, most))))

    def reached(self, start: str) -> set[str]:
        """The runs that hold something of ``start``, found by asking each run what it is made of."""

        def holds(thing: str) -> bool:
            return thing == start or any(holds(part) for part in self.made_of.get(thing, ()))

        return {run for run in self.runs if holds(run)}


def smoke_left(house: Any, batch: str) -> int:
    """Grams in a batch, as its inputs sum to."""
    ref = house.desk.records.value("SELECT id FROM batch WHERE code = ?", batch)
    used = house.desk.records.value("SELECT COALESCE(SUM(g), 0) FROM lot_use WHERE work = ?", ref)
    reworked = house.desk.records.value("SELECT COALESCE(SUM(g), 0) FROM flow WHERE child = ?", ref)
    return int(used + reworked)


def lived(house: Any, seed: int, steps: int = 22) -> Diary:
    """A history of so many things."""
    diary = Diary(house, Random(seed))
    for _ in range(steps):
        diary.step()
    return diary


def expected(diary: Diary, runs: set[str]) -> Tally:
    """Where the packs of these runs are by the diary, before anybody answered."""
    where = Counter(place for (run, _), place in diary.place.items() if run in runs)
    back = sum(place == "here" and one in diary.was_away for one, place in diary.place.items() if one[0] in runs)
    return Tally(
        in_house=where["here"] - back, returned=back, waiting=sum(where[buyer] for buyer in BUYERS),
        destroyed=where["DESTROYED"], sampled=where["SAMPLE"], reworked=where["rework"],
    )  # fmt: skip


def must_close(state: RecallState, made: int) -> None:
    """Every sum closes: in all, for each run, and over the buyers."""
    assert state.total.made == made
    assert sum(tally.made for tally in state.found.by_run.values()) == made
    for buyer in state.found.buyers:
        assert buyer.settled.total.made == buyer.packs == sum(tally.made for tally in buyer.settled.by_run.values())
    for run, tally in state.found.by_run.items():
        assert all(part >= 0 for part in vars(tally).values()), (run, tally)
    assert sum(item.packs.count for item in state.found.in_house) + sum(call.packs for call in state.calls) == (
        made - state.total.destroyed - state.total.sampled - state.total.reworked
    )


@pytest.mark.parametrize("seed", range(10))
def test_every_pack_is_in_one_place_and_sums_close(house: Any, seed: int) -> None:
    """The scope of a lot is the packs that hold some of it; each is where the diary has it, and sums close as buyers answer."""
    diary = lived(house, seed)
    random = Random(-seed)
    packed = [lot for lot in diary.lots if diary.reached(lot)]
    for lot in random.sample(packed, min(2, len(packed))):
        runs = diary.reached(lot)
        state = recall.begin(house.desk, "drill", recall.from_codes(house.desk, [lot]), recall.Terms())
        assert {seen.code for seen in state.runs.values()} == runs
        assert state.total == expected(diary, runs)
        must_close(state, sum(run in runs for run, _ in diary.place))
        for call in state.calls:
            house.later(0.1)
            state = answer_somehow(house, random, state, call.name)
            must_close(state, state.total.made)
            assert {c.state for c in state.calls if c.name == call.name} <= {State.ANSWERED, State.SHORT}
        assert state.total.waiting == 0
        assert all(item.balance.balanced for item in state.weighed)
        recall_answers.finish(house.desk, state.case)
    assert verify(house.desk.records).whole


def answer_somehow(house: Any, random: Random, state: RecallState, name: str) -> RecallState:
    """A buyer answers for all packs or fewer, split by chance."""
    packs = next(call.packs for call in state.calls if call.name == name)
    cuts = sorted(random.randint(0, packs) for _ in range(4))
    stock, sold, returned, destroyed = (b - a for a, b in zip((0, *cuts[:-1]), cuts, strict=True))
    return recall_answers.take_reply(
        house.desk, state.case, name, Answer(stock=stock, sold=sold, returned=returned, destroyed=destroyed)
    )


@pytest.mark.parametrize("seed", range(10, 14))
def test_places_name_each_pack_once(house: Any, seed: int) -> None:
    """The places of a run's packs never overlap, cover every pack, and agree with the diary one by one."""
    diary = lived(house, seed, 30)
    ids = dict(house.desk.records.rows("SELECT id, code FROM run"))
    found = places_of(house.desk.records, ids)
    assert found.doubtful == ()
    told: dict[Pack, Place] = {}
    for item in found.packs:
        for serial in _serials(item.packs):
            assert (ids[item.run], serial) not in told
            told[ids[item.run], serial] = item.place
    words = {"here": Place.IN_HOUSE, "rework": Place.REWORK, **dict.fromkeys(BUYERS, Place.SENT)}
    back = {one for one, where in diary.place.items() if where == "here" and one in diary.was_away}
    assert told == {
        one: Place.RETURNED if one in back else words.get(where) or Place(where) for one, where in diary.place.items()
    }


def _serials(packs: Serials) -> range:
    return range(packs.first, packs.last + 1)


def test_goods_that_come_back_are_no_longer_with_the_buyer(house: Any) -> None:
    """What a buyer sent back moves from `on the way back` to the house when it arrives; the sums close before and after."""
    run = house.packed_run(24)
    case = house.case(f"{run}/1-12")
    house.send(case, f"{run}/13-16")
    house.later()
    state = recall.begin(house.desk, "drill", recall.from_codes(house.desk, [run]), recall.Terms())
    state = recall_answers.take_reply(house.desk, state.case, "Quay Deli", Answer(stock=3, sold=1, returned=12))
    assert (state.total.coming_back, state.total.stock, state.total.returned) == (12, 3, 0)
    house.later()
    ship.take_back(house.desk, "Quay Deli", [case], "recalled")
    state = recall_answers.look_at(house.desk, state.case)
    assert (state.total.coming_back, state.total.stock, state.total.sold_on, state.total.returned) == (0, 3, 1, 12)
    must_close(state, 24)
    house.later()
    ship.take_back(house.desk, "Quay Deli", [f"{run}/13-14"], "recalled too")
    state = recall_answers.look_at(house.desk, state.case)
    assert (state.total.stock, state.total.sold_on, state.total.returned) == (1, 1, 14)
    must_close(state, 24)
