"""Random work in a house, beside a model of it in plain Python: grams and packs agree, and nothing goes below zero."""

from __future__ import annotations

import shutil
import tempfile
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from lotwake.trace.actions import correct, hold, pack, receive, set_up, ship, smoke
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records import facts
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import by_code
from lotwake.trace.records.stock import loose_packs, run_packs
from lotwake.trace.records.verify import verify

NET_G = 300
WEIGHED = ProductFacts("99520000000045", "Hot smoked haddock side", "hot smoked", 1200, 60, "HAD", catch_weight=True)
WEIGHTS = st.lists(st.integers(-1, 2_000), max_size=6)
PICK = st.integers(0, 30)
GRAMS = st.one_of(st.integers(1, 12_000), st.sampled_from([0, -5]))


@dataclass
class Lot:
    code: str
    at: int
    g: int
    lost: int = 0


@dataclass
class Work:
    code: str
    is_run: bool
    at: int
    lots: dict[str, int] = field(default_factory=dict)
    parents: dict[str, int] = field(default_factory=dict)
    lost: int = 0
    released: bool = False
    reworked: dict[int, str] = field(default_factory=dict)
    """Serial to the batch it went into."""
    weights: dict[int, int] | None = None
    """Serial to grams, in a run whose packs are weighed one by one."""
    packs: dict[int, str] = field(default_factory=dict)
    """Serial to ``loose``, ``void``, ``gone``, the SSCC of a case, or the code of a dispatch."""

    def g(self, serials: Iterable[int]) -> int:
        """Grams of packs."""
        return sum(NET_G if self.weights is None else self.weights[serial] for serial in serials)


class Smokehouse(RuleBasedStateMachine):
    """Every rule does something on the record and on the model; both must allow it or both refuse it."""

    template: Path

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        house = Path(self.folder.name) / "house"
        shutil.copytree(self.template, house)
        self.clock = SetClock(datetime(2026, 11, 24, 6, tzinfo=UTC))
        self.desk = open_desk(places_at(house), "SK", self.clock)
        set_up.add_product(self.desk, WEIGHED)
        self.tick = 0
        self.lots: dict[str, Lot] = {}
        self.works: dict[str, Work] = {}
        self.holds: set[str] = set()
        self.away: dict[str, str] = {}
        self.sent: dict[str, set[int]] = defaultdict(set)
        """Serials of each run that ever left the house."""

    def teardown(self) -> None:
        assert verify(self.desk.records).whole
        self.desk.close()
        self.folder.cleanup()

    # What the model knows

    def lot_left(self, lot: Lot) -> int:
        return lot.g - lot.lost - sum(work.lots.get(lot.code, 0) for work in self.works.values())

    def left(self, work: Work) -> int:
        came = sum(work.lots.values()) + sum(work.parents.values())
        if work.is_run:
            return came - work.lost - work.g(serial for serial, state in work.packs.items() if state != "void")
        return came - work.lost - sum(other.parents.get(work.code, 0) for other in self.works.values())

    def upstream(self, code: str) -> set[str]:
        seen, ahead = set(), [code]
        while ahead:
            here = ahead.pop()
            if here not in seen:
                seen.add(here)
                if here in self.works:
                    work = self.works[here]
                    ahead += [c for part in (work.lots, work.parents) for c, g in part.items() if g]
        return seen

    def is_free(self, *codes: str) -> bool:
        return not any(self.upstream(code) & self.holds for code in codes)

    def attempt(self, allowed: bool, act: Callable[[], object]) -> object:
        """Do it on the record; it must go through just when the model allows it."""
        self.tick += 1
        self.clock.at += timedelta(minutes=1)
        if allowed:
            return act()
        with pytest.raises((Refused, CallError)):
            act()
        return None

    def pick(self, pool: list, at: int):
        return pool[at % len(pool)] if pool else None

    def batches(self) -> list[Work]:
        return [work for work in self.works.values() if not work.is_run]

    def runs(self) -> list[Work]:
        return [work for work in self.works.values() if work.is_run]

    # What people do

    @initialize()
    def begin(self) -> None:
        """Two landings, three batches of which two are released, two runs and two cases: something to work with."""
        for g in (30_000, 10_000):
            self.land(g)
        for at, g, release in ((0, 12_000, True), (0, 8_000, False), (1, 6_000, True)):
            self.start(at, g, release)
        for at, g, count in ((0, 7_000, 12), (2, None, 10)):
            self.start_run(at, g, count)
        for at, first in ((0, 1), (1, 3)):
            self.close_case(at, first, 3)
        self.send_loose(0, 5, 2)
        self.start(0, 3_000, True)
        self.rework(0, 3, 8, 1)
        self.end(0, 10, 1, "VOID")

    @rule(g=GRAMS)
    def land(self, g: int) -> None:
        arrival = receive.Arrival("landing", "Aurora", g, species="HAD", area="27")
        if done := self.attempt(g > 0, lambda: receive.receive(self.desk, arrival, another=True)):
            self.lots[done.code] = Lot(done.code, self.tick, g)

    @rule(at=PICK, g=GRAMS, release=st.booleans())
    def start(self, at: int, g: int, release: bool) -> None:
        if lot := self.pick(list(self.lots.values()), at):
            allowed = 0 < g <= self.lot_left(lot) and self.is_free(lot.code)
            inputs = [smoke.Input(lot.code, g)]
            if done := self.attempt(allowed, lambda: smoke.start_batch(self.desk, "hot smoked", inputs)):
                self.works[done.code] = Work(done.code, False, self.tick, {lot.code: g})
                if release:
                    self.release(list(self.works).index(done.code))

    @rule(a=PICK, b=PICK, g=GRAMS)
    def blend(self, a: int, b: int, g: int) -> None:
        parent, child = self.pick(self.batches(), a), self.pick(self.batches(), b)
        if parent and child:
            allowed = (
                0 < g <= self.left(parent)
                and parent.at <= child.at
                and child.code not in self.upstream(parent.code)
                and self.is_free(parent.code, child.code)
            )
            inputs = [smoke.Input(parent.code, g)]
            if self.attempt(allowed, lambda: smoke.add_inputs(self.desk, child.code, inputs)):
                child.parents[parent.code] = child.parents.get(parent.code, 0) + g

    @rule(at=PICK)
    def release(self, at: int) -> None:
        if batch := self.pick(self.batches(), at):
            allowed = not batch.released and self.left(batch) > 0 and self.is_free(batch.code)
            if self.attempt(allowed, lambda: smoke.release_batch(self.desk, batch.code)):
                batch.released = True

    @rule(at=PICK, g=st.one_of(st.none(), GRAMS), count=st.integers(-1, 12))
    def start_run(self, at: int, g: int | None, count: int) -> None:
        if batch := self.pick(self.batches(), at):
            g_in = self.left(batch) if g is None else g
            allowed = (
                batch.released
                and 0 < g_in <= self.left(batch)
                and self.is_free(batch.code)
                and 0 <= count * NET_G <= g_in
            )
            done = self.attempt(
                allowed, lambda: pack.start_run(self.desk, "Hot smoked haddock", [(batch.code, g)], count=count)
            )
            if done:
                packs = dict.fromkeys(range(1, count + 1), "loose")
                self.works[done.code] = Work(done.code, True, self.tick, {}, {batch.code: g_in}, packs=packs)

    @rule(at=PICK, g=GRAMS, weights=WEIGHTS)
    def start_weighed_run(self, at: int, g: int, weights: list[int]) -> None:
        if batch := self.pick(self.batches(), at):
            allowed = (
                batch.released
                and 0 < g <= self.left(batch)
                and self.is_free(batch.code)
                and all(weight > 0 for weight in weights)
                and sum(weights) <= g
            )
            done = self.attempt(
                allowed, lambda: pack.start_run(self.desk, WEIGHED.name, [(batch.code, g)], weights_g=weights)
            )
            if done:
                run = Work(done.code, True, self.tick, {}, {batch.code: g}, weights=dict(enumerate(weights, 1)))
                run.packs = dict.fromkeys(range(1, len(weights) + 1), "loose")
                self.works[done.code] = run

    @rule(at=PICK, weights=WEIGHTS)
    def add_weighed_packs(self, at: int, weights: list[int]) -> None:
        if (run := self.pick(self.runs(), at)) and run.weights is not None:
            allowed = bool(weights) and min(weights) > 0 and sum(weights) <= self.left(run) and self.is_free(run.code)
            if made := self.attempt(allowed, lambda: pack.add_packs(self.desk, run.code, 0, weights_g=weights)):
                assert made.first == max(run.packs, default=0) + 1
                run.weights.update(enumerate(weights, made.first))
                run.packs.update(dict.fromkeys(range(made.first, made.last + 1), "loose"))

    @rule(at=PICK, serial=st.integers(1, 6), g=st.integers(-1, 2_000))
    def correct_weight(self, at: int, serial: int, g: int) -> None:
        run = self.pick(self.runs(), at)
        if run and run.weights and run.packs.get(serial) not in (None, "void"):
            was = run.weights[serial]
            reworked = serial in run.reworked
            allowed = g > 0 and g != was and self.left(run) + was - g >= 0 and not reworked
            act = lambda: correct.correct(self.desk, f"{run.code}/{serial}", "weight", f"{g} g", "scale")  # noqa: E731
            if self.attempt(allowed, act):
                run.weights[serial] = g

    @rule(at=PICK, count=st.integers(0, 12))
    def add_packs(self, at: int, count: int) -> None:
        if run := self.pick(self.runs(), at):
            alike = run.weights is None
            allowed = alike and count > 0 and count * NET_G <= self.left(run) and self.is_free(run.code)
            if made := self.attempt(allowed, lambda: pack.add_packs(self.desk, run.code, count)):
                assert made.count == count
                assert made.first == max(run.packs, default=0) + 1
                run.packs.update(dict.fromkeys(range(made.first, made.last + 1), "loose"))

    def serials(self, at: int, first: int, more: int) -> tuple[Work, range, str, bool] | None:
        run = self.pick(self.runs(), at)
        if run is None:
            return None
        wanted = range(first, first + more + 1)
        loose = all(run.packs.get(serial) == "loose" for serial in wanted)
        return run, wanted, f"{run.code}/{wanted[0]}-{wanted[-1]}", loose

    @rule(at=PICK, first=st.integers(1, 12), more=st.integers(0, 5), kind=st.sampled_from(["VOID", "SAMPLE", "REWORK"]))
    def end(self, at: int, first: int, more: int, kind: str) -> None:
        if chosen := self.serials(at, first, more):
            run, wanted, text, loose = chosen
            allowed = loose and kind != "REWORK" and not (kind == "VOID" and self.sent[run.code] & set(wanted))
            if self.attempt(allowed, lambda: pack.end_packs(self.desk, text, kind, "why not")):
                run.packs.update(dict.fromkeys(wanted, "void" if kind == "VOID" else "gone"))

    @rule(at=PICK, b=PICK, first=st.integers(1, 12), more=st.integers(0, 5))
    def rework(self, at: int, b: int, first: int, more: int) -> None:
        batch, chosen = self.pick(self.batches(), b), self.serials(at, first, more)
        if batch and chosen:
            run, wanted, text, loose = chosen
            allowed = (
                loose
                and run.at <= batch.at
                and batch.code not in self.upstream(run.code)
                and self.is_free(run.code, batch.code)
            )
            if self.attempt(allowed, lambda: smoke.add_inputs(self.desk, batch.code, [smoke.Input(text)])):
                run.packs.update(dict.fromkeys(wanted, "gone"))
                batch.parents[run.code] = batch.parents.get(run.code, 0) + run.g(wanted)
                run.reworked.update(dict.fromkeys(wanted, batch.code))

    @rule(at=PICK, more=st.integers(0, 2))
    def undo_end(self, at: int, more: int) -> None:
        ended = [(run, s) for run in self.runs() for s, state in run.packs.items() if state in ("void", "gone")]
        if ended:
            run, first = self.pick(ended, at)
            wanted = range(first, first + more + 1)
            text = f"{run.code}/{wanted[0]}-{wanted[-1]}"
            again = [serial for serial in wanted if run.packs.get(serial) == "void"]
            out: dict[str, list[int]] = defaultdict(list)
            for serial in set(wanted) & set(run.reworked):
                out[run.reworked[serial]].append(serial)
            allowed = (
                all(run.packs.get(serial) in ("void", "gone") for serial in wanted)
                and (not again or run.g(again) <= self.left(run))
                and all(run.g(serials) <= self.left(self.works[code]) for code, serials in out.items())
            )
            if self.attempt(allowed, lambda: pack.undo_end(self.desk, text, "the wrong packs")):
                run.packs.update(dict.fromkeys(wanted, "loose"))
                for code, serials in out.items():
                    self.works[code].parents[run.code] -= run.g(serials)
                    for serial in serials:
                        del run.reworked[serial]

    @rule(at=PICK, first=st.integers(1, 12), more=st.integers(0, 5))
    def close_case(self, at: int, first: int, more: int) -> None:
        if chosen := self.serials(at, first, more):
            run, wanted, text, loose = chosen
            if done := self.attempt(loose and self.is_free(run.code), lambda: ship.close_case(self.desk, [text])):
                run.packs.update(dict.fromkeys(wanted, done.code))

    @rule(at=PICK, first=st.integers(1, 12), more=st.integers(0, 5))
    def send_loose(self, at: int, first: int, more: int) -> None:
        if chosen := self.serials(at, first, more):
            run, wanted, text, loose = chosen
            if done := self.attempt(
                loose and self.is_free(run.code), lambda: ship.send(self.desk, "Quay Deli", [text])
            ):
                run.packs.update(dict.fromkeys(wanted, done.code))
                self.sent[run.code].update(wanted)

    @rule(at=PICK, first=st.integers(1, 12), more=st.integers(0, 5))
    def take_back_loose(self, at: int, first: int, more: int) -> None:
        if chosen := self.serials(at, first, more):
            run, wanted, text, _ = chosen
            sent = all(run.packs.get(serial, "")[:1] == "4" for serial in wanted)
            if self.attempt(sent, lambda: ship.take_back(self.desk, "Quay Deli", [text], "wrong size")):
                run.packs.update(dict.fromkeys(wanted, "loose"))

    def case(self, at: int) -> tuple[str, Work] | None:
        cases = sorted({(s, run.code) for run in self.runs() for s in run.packs.values() if len(s) == 18})
        found = self.pick(cases, at)
        return found and (found[0], self.works[found[1]])

    @rule(at=PICK)
    def open_case(self, at: int) -> None:
        if chosen := self.case(at):
            case, run = chosen
            if self.attempt(case not in self.away, lambda: ship.open_case(self.desk, case)):
                run.packs.update({serial: "loose" for serial, state in run.packs.items() if state == case})

    @rule(at=PICK)
    def send_case(self, at: int) -> None:
        if chosen := self.case(at):
            case, run = chosen
            allowed = case not in self.away and self.is_free(run.code)
            if done := self.attempt(allowed, lambda: ship.send(self.desk, "Hill Kitchen", [case])):
                self.away[case] = done.code
                self.sent[run.code].update(serial for serial, state in run.packs.items() if state == case)

    @rule(at=PICK, buyer=st.sampled_from(["Hill Kitchen", "Quay Deli"]))
    def take_case_back(self, at: int, buyer: str) -> None:
        if chosen := self.case(at):
            case = chosen[0]
            allowed = case in self.away and buyer == "Hill Kitchen"
            if self.attempt(allowed, lambda: ship.take_back(self.desk, buyer, [case], "wrong size")):
                del self.away[case]

    @rule(at=PICK, g=GRAMS)
    def lose(self, at: int, g: int) -> None:
        if work := self.pick(list(self.works.values()), at):
            allowed = 0 < g <= self.left(work)
            if self.attempt(allowed, lambda: smoke.lose(self.desk, work.code, "trim", g)):
                work.lost += g

    @rule(at=PICK, g=GRAMS)
    def lose_from_lot(self, at: int, g: int) -> None:
        if lot := self.pick(list(self.lots.values()), at):
            allowed = 0 < g <= self.lot_left(lot)
            if self.attempt(allowed, lambda: receive.lose_from_lot(self.desk, lot.code, "waste", g)):
                lot.lost += g

    @rule(at=PICK, g=st.integers(0, 12_000))
    def correct_lot(self, at: int, g: int) -> None:
        if lot := self.pick(list(self.lots.values()), at):
            allowed = g != lot.g and self.lot_left(lot) - lot.g + g >= 0
            if self.attempt(allowed, lambda: correct.correct(self.desk, lot.code, "g", f"{g} g", "scale")):
                lot.g = g

    @rule(at=PICK, b=PICK, g=st.integers(0, 12_000))
    def correct_input(self, at: int, b: int, g: int) -> None:
        work = self.pick(list(self.works.values()), at)
        origin = work and self.pick([*work.lots, *(code for code in work.parents if not self.works[code].is_run)], b)
        if origin:
            amounts = work.lots if origin in work.lots else work.parents
            was, amounts[origin] = amounts[origin], g
            left = self.lot_left(self.lots[origin]) if origin in self.lots else self.left(self.works[origin])
            circle = g and origin in self.works and work.code in self.upstream(origin)
            allowed = g != was and left >= 0 and self.left(work) >= 0 and not circle
            if not self.attempt(bool(allowed), lambda: correct.correct_input(self.desk, work.code, origin, g, "scale")):
                amounts[origin] = was

    @rule(at=PICK)
    def put_on_hold(self, at: int) -> None:
        if code := self.pick([*self.lots, *self.works], at):
            self.attempt(True, lambda: hold.hold(self.desk, code, "smell"))
            self.holds.add(code)

    @rule(at=PICK)
    def let_go(self, at: int) -> None:
        if code := self.pick([*self.lots, *self.works], at):
            act = lambda: hold.release(self.desk, code, "Signe Kvist", "looked at")  # noqa: E731
            self.attempt(code in self.holds, act)
            self.holds.discard(code)

    # What must hold

    @invariant()
    def grams_and_packs_agree(self) -> None:
        records = self.desk.records
        ids = {code: by_code(records, code).id for code in (*self.lots, *self.works)}
        lots = facts.lots(records, [ids[code] for code in self.lots])
        batches = facts.batches(records, [ids[work.code] for work in self.batches()])
        runs = facts.runs(records, [ids[work.code] for work in self.runs()])
        for lot in self.lots.values():
            assert lots[ids[lot.code]].left_g == self.lot_left(lot) >= 0
        for work in self.works.values():
            seen = runs[ids[work.code]] if work.is_run else batches[ids[work.code]]
            assert seen.left_g == self.left(work) >= 0
            assert work.code in self.holds or seen.status != "HELD"
            if work.is_run:
                made = {serial for serial, state in work.packs.items() if state != "void"}
                loose = {serial for serial, state in work.packs.items() if state == "loose"}
                assert (seen.packs, seen.packs_g) == (len(made), work.g(made))
                assert _members(run_packs(records, ids[work.code])) == made
                assert _members(loose_packs(records, ids[work.code])) == loose


def _members(ranges: list[Serials]) -> set[int]:
    return {serial for item in ranges for serial in range(item.first, item.last + 1)}


def test_random_work_conserves_mass_and_packs(template: Path) -> None:
    """Whatever people do in whatever order, the record agrees with the model, no mass is below zero, and it stays whole."""
    machine = type("Machine", (Smokehouse,), {"template": template})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=40, stateful_step_count=40, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
