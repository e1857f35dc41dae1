"""Random histories of a house, entered through the actions, with an account of every single pack.

The tests compare traces with that account and with graphs made from it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from lineage_account import Account, Edge, Pack, ranges
from lineage_house import BOATS, BUYERS, DEALER, FARM, PRODUCTS, SUPPLIER

from lotwake.trace.actions import correct, pack, receive, ship, smoke
from lotwake.trace.lineage.chain import Key, LinkKind
from lotwake.trace.records.find import Kind, Thing

Step = tuple[str, int, int, int]
"""What is done, and three numbers that choose with what."""


@dataclass
class History(Account):
    """An account that grows step by step, with the record beside it."""

    def take(self, step: Step) -> None:
        """Do one thing, if there is anything to do it with. Time passes before most things, not before all."""
        what, a, b, c = step
        if c % 3 or what in ("open", "take off", "send", "take back"):
            self.house.later()
        getattr(self, "_" + what.replace(" ", "_"))(a, b, c)

    # -- fish and batches

    def _receive(self, a: int, b: int, _c: int) -> None:
        kind = ("landing", "landing", "landing", "farmed", "bought-in", "material")[a % 6]
        sender = {"landing": BOATS[b % len(BOATS)], "farmed": FARM, "bought-in": DEALER, "material": SUPPLIER}[kind]
        g = 5_000 + b % 40_000
        more: dict[str, Any] = {"item": "salt"} if kind == "material" else {"species": "HAD", "their_code": f"T{b}"}
        more |= {"area": "27.4.b"} if kind == "landing" else {}
        lot = receive.receive(self.house.desk, receive.Arrival(kind, sender, g, **more), another=True)
        self._know(lot, g)
        if kind == "material":
            self.materials.add(lot.id)

    def _batch(self, a: int, b: int, c: int) -> None:
        self._smoke(a, b, c, None)

    def _add(self, a: int, b: int, c: int) -> None:
        self._smoke(a, b, c, self._pick(self._batches(), b // 7))

    def _smoke(self, a: int, b: int, c: int, into: Thing | None) -> None:
        """Begin a batch, or add to one: of a lot, of another batch, of packs, of a material; up to three of them."""
        desk, fish = self.house.desk, [self._some_fish(a), self._some_fish(a // 11), self._some_fish(a // 101)]
        inputs = [item for item in fish[: 1 + b % 3] if item and item[0] != into]
        packs = self._some_loose(b, 3) if c % 2 else []
        said = [smoke.Input(thing.code, g) for thing, g in inputs]
        said += [smoke.Input(f"{self._run(run).code}/{part.first}-{part.last}") for run, part in ranges(packs)]
        if not said or not self._may_follow(inputs, packs, into):
            return
        made = smoke.add_inputs(desk, into.code, said) if into else smoke.start_batch(desk, "hot smoked", said)
        if into is None:
            self._know(made, 0)
        for thing, g in inputs:
            self._use(thing, made.id, g)
        for run, serial in packs:
            self.loose[run].discard(serial)
            self.ended[run, serial] = ("REWORK", made.id)
            self._flow((Kind.RUN, run), made, self.net_g[run])

    def _may_follow(self, inputs: list[tuple[Thing, int]], packs: list[Pack], into: Thing | None) -> bool:
        """Not twice more than is left, and nothing that the batch itself is already in."""
        taken: dict[Key, int] = defaultdict(int)
        for thing, g in inputs:
            taken[thing.kind, thing.id] += g
        if any(g > self.left[key] for key, g in taken.items()):
            return False
        begun = {thing.id for thing, _ in inputs if thing.kind is Kind.BATCH} | {run for run, _ in packs}
        # An older batch cannot have what came in later: the record refuses that by time.
        return into is None or (not begun & self._downstream(into.id) and self._none_later(inputs, packs, into))

    def _none_later(self, inputs: list[tuple[Thing, int]], packs: list[Pack], into: Thing) -> bool:
        order = list(self.things)
        place = order.index((Kind.BATCH, into.id))
        return all(order.index((thing.kind, thing.id)) < place for thing, _ in inputs) and all(
            order.index((Kind.RUN, run)) < place for run, _ in packs
        )

    def _release(self, a: int, _b: int, _c: int) -> None:
        open_batches = [thing for thing in self._batches() if self.left[thing.kind, thing.id] > 0]
        batch = self._pick(open_batches, a)
        if batch and self._value("SELECT 1 FROM batch_release WHERE batch = ?", batch.id) is None:
            smoke.release_batch(self.house.desk, batch.code)

    def _lose(self, a: int, b: int, _c: int) -> None:
        batch = self._pick([thing for thing in self._batches() if self.left[thing.kind, thing.id] > 1], a)
        if batch:
            g = 1 + b % (self.left[Kind.BATCH, batch.id] // 2)
            smoke.lose(self.house.desk, batch.code, "drying", g)
            self.left[Kind.BATCH, batch.id] -= g

    def _contact(self, a: int, b: int, c: int) -> None:
        chosen = {thing.id: thing for thing in (self._pick(self._batches(), n) for n in (a, b, c)) if thing}
        if len(chosen) > 1:
            kind = ("brine", "load", "table")[a % 3]
            smoke.note_contact(self.house.desk, kind, f"number {b}", [thing.code for thing in chosen.values()])
            self.met.append((kind, list(chosen)))

    def _correct(self, a: int, _b: int, _c: int) -> None:
        """An input of a batch that nothing was taken from is corrected to none, or to half."""
        can = [(lot, work) for (lot, work), g in self.uses.items() if g and (self.left.get((Kind.BATCH, work), 0) >= g)]
        pair = self._pick([*can, None], a)
        if pair:
            lot, work = pair
            was = self.uses[pair] or 0
            now = was // 2 if a % 2 else 0
            correct.correct_input(
                self.house.desk, self.things[Kind.BATCH, work].code, self.things[Kind.LOT, lot].code, now, "misread"
            )
            self.uses[pair] = now
            self.left[Kind.LOT, lot] += was - now
            if lot not in self.materials:
                self.left[Kind.BATCH, work] -= was - now

    # -- packs and cases

    def _run_packs(self, a: int, b: int, c: int) -> None:
        ready = [
            thing for thing in self._batches() if self.left[Kind.BATCH, thing.id] >= 400 and self._released(thing.id)
        ]
        first, second = self._pick(ready, a), self._pick(ready, b)
        if first is None or second is None:
            return
        product, net_g = list(PRODUCTS.items())[c % 2]
        sources = {thing.id: (thing, self.left[Kind.BATCH, thing.id] // (1 + c % 3)) for thing in (first, second)}
        count = min(sum(g for _, g in sources.values()) // net_g, 1 + b % 12)
        salt = self._pick([self.things[Kind.LOT, lot] for lot in sorted(self.materials)], a) if c % 2 else None
        if not count:
            return
        made = pack.start_run(
            self.house.desk, product, [(thing.code, g) for thing, g in sources.values()], count,
            materials=[(salt.code, None)] if salt else [],
        )  # fmt: skip
        self._know(made, sum(g for _, g in sources.values()) - count * net_g)
        self.net_g[made.id], self.made[made.id] = net_g, set(range(1, count + 1))
        self.loose[made.id] = set(self.made[made.id])
        for thing, g in sources.values():
            self._use(thing, made.id, g)
            self.left[Kind.RUN, made.id] -= g
        if salt:
            self.uses[salt.id, made.id] = None

    def _more_packs(self, a: int, _b: int, _c: int) -> None:
        run = self._pick([self._run(run) for run, g in self.net_g.items() if self.left[Kind.RUN, run] >= g], a)
        if run:
            packs = pack.add_packs(self.house.desk, run.code, 1)
            self.made[run.id].add(packs.first)
            self.loose[run.id].add(packs.first)
            self.left[Kind.RUN, run.id] -= self.net_g[run.id]

    def _end(self, a: int, b: int, _c: int) -> None:
        packs = self._some_loose(b, 2)
        kind = ("DESTROYED", "SAMPLE", "VOID")[a % (2 if self.came_back & set(packs) else 3)]
        for run, part in ranges(packs):
            pack.end_packs(self.house.desk, f"{self._run(run).code}/{part.first}-{part.last}", kind, "as it was")
            for serial in range(part.first, part.last + 1):
                self.loose[run].discard(serial)
                self.ended[run, serial] = (kind, 0)
                self.left[Kind.RUN, run] += self.net_g[run] if kind == "VOID" else 0

    def _case(self, a: int, b: int, _c: int) -> None:
        packs = sorted({*self._some_loose(a, 1 + b % 4), *self._some_loose(b, 1 + a % 4)})
        if packs:
            case = ship.close_case(self.house.desk, self._said(packs))
            self._know(case, 0)
            self.inside[case.id] = set(packs)
            for run, serial in packs:
                self.loose[run].discard(serial)
                self._carry(LinkKind.CASED, (Kind.RUN, run), self._unit_key(case.id), {(run, serial)})
            self.within[self._unit_key(case.id)] = self._cased(case.id)

    def _pallet(self, a: int, b: int, c: int) -> None:
        free = [unit for unit in self._home_units() if unit not in self.stood and self._packs_under(unit)]
        chosen = {self._pick(free, n) for n in (a, b, c)} - {None}
        if chosen:
            units = [unit for unit in chosen if unit is not None]
            pallet = ship.build_pallet(self.house.desk, [self.things[self._unit_key(unit)].code for unit in units])
            self._know(pallet, 0)
            self.inside[pallet.id] = set()
            for unit in units:
                self.stood[unit] = pallet.id
            self.within[self._unit_key(pallet.id)] = self._cased(pallet.id)
            for unit in self._under(pallet.id):
                self._stack(unit)

    def _take_off(self, a: int, _b: int, _c: int) -> None:
        unit = self._pick([unit for unit in self._home_units() if unit in self.stood], a)
        if unit is not None:
            ship.take_off_pallet(self.house.desk, self.things[self._unit_key(unit)].code)
            del self.stood[unit]

    def _open(self, a: int, _b: int, _c: int) -> None:
        unit = self._pick([unit for unit in self._home_units() if self.inside[unit]], a)
        if unit is not None:
            ship.open_case(self.house.desk, self.things[self._unit_key(unit)].code)
            for run, serial in self.inside[unit]:
                self.loose[run].add(serial)
            self.inside[unit] = set()

    # -- on the road

    def _send(self, a: int, b: int, c: int) -> None:
        tops = [unit for unit in self._home_units() if unit not in self.stood and self._packs_under(unit)]
        units = [unit for unit in {self._pick(tops, a), self._pick(tops, b)} if unit is not None]
        packs = self._some_loose(c, c % 4)
        if not units and not packs:
            return
        buyer = BUYERS[a % len(BUYERS)]
        sent = ship.send(
            self.house.desk, buyer, [self.things[self._unit_key(u)].code for u in units] + self._said(packs)
        )
        self._know(sent, 0)
        self.buyer[sent.id] = buyer
        edges: dict[Edge, set[Pack]] = defaultdict(set)
        for unit in units:
            for edge, carried in self._cased(unit).items():
                edges[edge] |= carried
            edges[LinkKind.SENT, self._unit_key(unit), sent_key(sent)] |= self._packs_under(unit)
            for below in self._under(unit):
                self.on[below] = sent.id
                for one in self.inside[below]:
                    self.way_out[one, sent.id] = self._path(below)
                    self.away[one] = sent.id
        for one in packs:
            edges[LinkKind.SENT, (Kind.RUN, one[0]), sent_key(sent)].add(one)
            self.way_out[one, sent.id] = []
            self.away[one] = sent.id
            self.loose[one[0]].discard(one[1])
        for (kind, parent, child), carried in edges.items():
            self._carry(kind, parent, child, carried)
        self.within[sent_key(sent)] = edges

    def _take_back(self, a: int, b: int, c: int) -> None:
        """Some units and some loose packs of one buyer come back: a whole pallet, or a case of it alone."""
        dispatch = self._pick(sorted(set(self.on.values()) | set(self.away.values())), a)
        if dispatch is None:
            return
        theirs = [on for on in self.buyer if self.buyer[on] == self.buyer[dispatch]]
        units = sorted(unit for unit, on in self.on.items() if on in theirs)
        first = self._pick(units, b)
        chosen = [] if first is None else [first]
        second = self._pick([unit for unit in units if not self._related(unit, first)], c)
        chosen += [second] if second is not None and second != first else []
        packs = [one for one, on in sorted(self.away.items()) if on in theirs and not self.way_out[one, on]][: c % 3]
        if not chosen and not packs:
            return
        codes = [self.things[self._unit_key(unit)].code for unit in chosen] + self._said(packs)
        back = ship.take_back(self.house.desk, self.buyer[dispatch], codes, "too many")
        self._know(back, 0)
        edges: dict[Edge, set[Pack]] = defaultdict(set)
        for unit in chosen:
            self.stood.pop(unit, None)
        came = {below for unit in chosen for below in self._under(unit)}
        for below in came:
            for one in self.inside[below]:
                self._came(one, back, came, edges)
            del self.on[below]
        for one in packs:
            self._came(one, back, came, edges)
            self.loose[one[0]].add(one[1])
        self.within[Kind.RETURN, back.id] = edges

    def _came(self, one: Pack, back: Thing, came: set[int], edges: dict[Edge, set[Pack]]) -> None:
        dispatch = self.away.pop(one)
        self.came_back.add(one)
        self._carry(LinkKind.RETURNED, (Kind.DISPATCH, dispatch), (Kind.RETURN, back.id), {one})
        edges[LinkKind.RETURNED, (Kind.DISPATCH, dispatch), (Kind.RETURN, back.id)].add(one)
        before: Key = (Kind.RUN, one[0])
        for unit in self.way_out[one, dispatch]:
            if unit not in came:
                break
            how = LinkKind.CASED if before[0] is Kind.RUN else LinkKind.STACKED
            edges[how, before, self._unit_key(unit)].add(one)
            before = self._unit_key(unit)
        edges[LinkKind.SENT, before, (Kind.DISPATCH, dispatch)].add(one)


def sent_key(sent: Thing) -> Key:
    """The key of a dispatch."""
    return Kind.DISPATCH, sent.id


STEPS = (
    "receive", "receive", "batch", "batch", "batch", "add", "release", "release", "release", "lose", "contact", "correct",
    "run packs", "run packs", "run packs", "more packs", "end", "case", "case", "case", "pallet", "pallet", "take off",
    "open", "send", "send", "send", "take back", "take back",
)  # fmt: skip
