"""The account of single packs that a random history keeps beside the record.

It knows nothing of the tables, of ranges or of times: where each pack is, and by which links it went.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from lineage_house import SmallHouse

from lotwake.trace.base.ranges import Serials, merged
from lotwake.trace.lineage.chain import Key, LinkKind
from lotwake.trace.records.find import Kind, Thing

Pack = tuple[int, int]
"""Run and serial."""
Edge = tuple[LinkKind, Key, Key]


def ranges(packs: Sequence[Pack]) -> list[tuple[int, Serials]]:
    """Single packs as ranges of their runs."""
    runs = sorted({run for run, _ in packs})
    return [(run, part) for run in runs for part in merged(Serials(s, s) for of, s in packs if of == run)]


@dataclass
class Account:
    """What was done, and where everything is now.

    ``carried``: by link, the packs that ever went by it; ``within``: for a case, pallet, dispatch or return the links inside
    it; ``way_out``: the units around a pack when it left on a dispatch, from the case outwards.
    """

    house: SmallHouse
    things: dict[Key, Thing] = field(default_factory=dict)
    uses: dict[tuple[int, int], int | None] = field(default_factory=dict)
    flows: dict[tuple[int, int], int] = field(default_factory=dict)
    met: list[tuple[str, list[int]]] = field(default_factory=list)
    left: dict[Key, int] = field(default_factory=dict)
    materials: set[int] = field(default_factory=set)
    net_g: dict[int, int] = field(default_factory=dict)
    loose: dict[int, set[int]] = field(default_factory=dict)
    made: dict[int, set[int]] = field(default_factory=dict)
    ended: dict[Pack, tuple[str, int]] = field(default_factory=dict)
    inside: dict[int, set[Pack]] = field(default_factory=dict)
    stood: dict[int, int] = field(default_factory=dict)
    on: dict[int, int] = field(default_factory=dict)
    away: dict[Pack, int] = field(default_factory=dict)
    buyer: dict[int, str] = field(default_factory=dict)
    carried: dict[Edge, set[Pack]] = field(default_factory=lambda: defaultdict(set))
    within: dict[Key, dict[Edge, set[Pack]]] = field(default_factory=dict)
    way_out: dict[tuple[Pack, int], list[int]] = field(default_factory=dict)
    came_back: set[Pack] = field(default_factory=set)

    def _know(self, thing: Thing, left_g: int) -> None:
        self.things[thing.kind, thing.id] = thing
        self.left[thing.kind, thing.id] = self.left.get((thing.kind, thing.id), 0) + left_g

    def _use(self, thing: Thing, work: int, g: int) -> None:
        child = (Kind.BATCH, work) if (Kind.BATCH, work) in self.things else (Kind.RUN, work)
        if thing.kind is Kind.LOT:
            self.uses[thing.id, work] = (self.uses.get((thing.id, work)) or 0) + g
            self.left[child] += 0 if thing.id in self.materials else g
        else:
            self._flow((thing.kind, thing.id), self.things[child], g)
        self.left[thing.kind, thing.id] -= g

    def _flow(self, parent: Key, child: Thing, g: int) -> None:
        self.flows[parent[1], child.id] = self.flows.get((parent[1], child.id), 0) + g
        self.left[child.kind, child.id] += g

    def _carry(self, kind: LinkKind, parent: Key, child: Key, packs: set[Pack]) -> None:
        self.carried[kind, parent, child] |= packs

    def _stack(self, unit: int) -> None:
        if unit in self.stood and self._packs_under(unit):
            self._carry(
                LinkKind.STACKED, self._unit_key(unit), self._unit_key(self.stood[unit]), self._packs_under(unit)
            )

    def _cased(self, top: int) -> dict[Edge, set[Pack]]:
        """The links from runs up to this unit, as its packs stand now."""
        edges: dict[Edge, set[Pack]] = defaultdict(set)
        for unit in self._under(top):
            for one in self.inside[unit]:
                edges[LinkKind.CASED, (Kind.RUN, one[0]), self._unit_key(unit)].add(one)
            if unit != top and self._packs_under(unit):
                edge = LinkKind.STACKED, self._unit_key(unit), self._unit_key(self.stood[unit])
                edges[edge] |= self._packs_under(unit)
        return edges

    def _path(self, unit: int) -> list[int]:
        path = [unit]
        while path[-1] in self.stood:
            path.append(self.stood[path[-1]])
        return path

    def _under(self, top: int) -> list[int]:
        return [unit for unit in self.inside if top in self._path(unit)]

    def _packs_under(self, top: int) -> set[Pack]:
        return {one for unit in self._under(top) for one in self.inside[unit]}

    def _related(self, unit: int, other: int | None) -> bool:
        return other is not None and (other in self._path(unit) or unit in self._path(other))

    def _home_units(self) -> list[int]:
        return [unit for unit in self.inside if unit not in self.on]

    def _unit_key(self, unit: int) -> Key:
        return (Kind.CASE if (Kind.CASE, unit) in self.things else Kind.PALLET), unit

    def _run(self, run: int) -> Thing:
        return self.things[Kind.RUN, run]

    def _batches(self) -> list[Thing]:
        return [thing for (kind, _), thing in self.things.items() if kind is Kind.BATCH]

    def _downstream(self, work: int) -> set[int]:
        reached, waiting = {work}, [work]
        while waiting:
            here = waiting.pop()
            fresh = {child for (parent, child), g in self.flows.items() if parent == here and g} - reached
            reached |= fresh
            waiting.extend(fresh)
        return reached

    def _released(self, batch: int) -> bool:
        return self._value("SELECT 1 FROM batch_release WHERE batch = ?", batch) is not None

    def _value(self, sql: str, *values: int) -> Any:
        return self.house.desk.records.value(sql, *values)

    def _some_fish(self, number: int) -> tuple[Thing, int] | None:
        having = [self.things[key] for key, g in self.left.items() if g > 10 and key[0] in (Kind.LOT, Kind.BATCH)]
        thing = self._pick(having, number)
        return None if thing is None else (thing, self.left[thing.kind, thing.id] // (2 + number % 5) + 1)

    def _some_loose(self, number: int, count: int) -> list[Pack]:
        runs = [run for run in self.loose if self.loose[run]]
        run = self._pick(runs, number)
        if run is None or not count:
            return []
        serials = sorted(self.loose[run])
        first = number // 13 % len(serials)
        return [(run, serial) for serial in serials[first : first + count]]

    def _said(self, packs: Sequence[Pack]) -> list[str]:
        return [f"{self._run(run).code}/{part.first}-{part.last}" for run, part in ranges(packs)]

    @staticmethod
    def _pick(items: Sequence[Any], number: int) -> Any:
        return items[number % len(items)] if items else None
