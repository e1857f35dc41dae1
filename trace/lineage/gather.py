"""The rows of a trace statement, sorted by what they say. Everything else is derived from here."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from lotwake.trace.base.ranges import Serials
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.records.find import Thing

Limits = Mapping[int, Sequence[Serials]]
"""The packs a trace is about, by run: in order, none touching another."""


class Content(NamedTuple):
    """Packs that were in a case (``unit``; 0 for loose ones) until an instant, or OPEN."""

    run: int
    unit: int
    packs: Serials
    until: str


class Stand(NamedTuple):
    """A unit on a pallet from ``since`` until an instant, or OPEN."""

    child: int
    parent: int
    since: str
    until: str


class Line(NamedTuple):
    """How a unit left on a dispatch: as outermost one or in another, and when."""

    top: bool
    at: str


class Loose(NamedTuple):
    """Loose packs sent on a dispatch, or come back from it on ``goods_return`` (0 while away)."""

    run: int
    dispatch: int
    packs: Serials
    goods_return: int = 0


class Ended(NamedTuple):
    """Packs that are no more, and the batch they were reworked in (0 if none)."""

    run: int
    batch: int
    packs: Serials
    kind: str


class Met(NamedTuple):
    """Two batches that shared a brine, a load or a table."""

    batch: int
    other: int
    kind: str
    name: str


@dataclass
class Gathered:
    """What a trace touched. ``by_contact``: batches and runs reached by shared contact only."""

    start: Thing
    direction: Direction
    limits: Limits | None = None
    works: set[int] = field(default_factory=set)
    uses: dict[tuple[int, int], int | None] = field(default_factory=dict)
    flows: dict[tuple[int, int], int] = field(default_factory=dict)
    met: set[Met] = field(default_factory=set)
    contents: list[Content] = field(default_factory=list)
    stands: list[Stand] = field(default_factory=list)
    lines: dict[tuple[int, int], Line] = field(default_factory=dict)
    backs: dict[tuple[int, int], int] = field(default_factory=dict)
    loose: list[Loose] = field(default_factory=list)
    loose_back: list[Loose] = field(default_factory=list)
    ended: list[Ended] = field(default_factory=list)
    made: list[tuple[int, Serials]] = field(default_factory=list)
    by_contact: set[int] = field(default_factory=set)

    def mark_contact(self, by_mass: set[int]) -> None:
        """Say which batches and runs the fish itself reaches; the others are there by contact only."""
        self.by_contact = self.works - by_mass


def gather(
    rows: Iterable[tuple[Any, ...]], start: Thing, direction: Direction, limits: Limits | None = None
) -> Gathered:
    """Sort the rows of a statement. ``limits``: the packs it is about; other packs of their runs are left out."""
    found = Gathered(start, direction, limits)
    for tag, a, b, c, d, e, f in dict.fromkeys(rows):
        match tag:
            case "work":
                found.works.add(a)
            case "use":
                before = found.uses.get((a, b))
                found.uses[a, b] = c if before is None else before + (c or 0)
            case "flow" if a not in (limits or ()):  # what went on of given packs is told by their ends
                found.flows[a, b] = found.flows.get((a, b), 0) + c
            case "contact":
                earlier, later = (b, a) if direction is Direction.BACK else (a, b)
                found.met.add(Met(earlier, later, e, f))
            case "content":
                found.contents += [Content(a, b, part, f) for part in _within(limits, a, c, d)]
            case "stand":
                found.stands.append(Stand(a, b, e, f))
            case "line":
                found.lines[a, b] = Line(bool(c), e)
            case "back":
                found.backs[a, c] = b
            case "loose":
                found.loose += [Loose(a, b, part) for part in _within(limits, a, c, d)]
            case "looseback":
                found.loose_back += [Loose(a, int(e), part, b) for part in _within(limits, a, c, d)]
            case "end":
                found.ended += [Ended(a, b, part, e) for part in _within(limits, a, c, d)]
            case "made":
                found.made += [(a, part) for part in _within(limits, a, c, d)]
    return found


def _within(limits: Limits | None, run: int, first: int, last: int) -> list[Serials]:
    if limits is None or run not in limits:
        return [Serials(first, last)]
    ranges = limits[run]
    place = bisect_left(ranges, first, key=lambda packs: packs.last)
    inside: list[Serials] = []
    while place < len(ranges) and ranges[place].first <= last:
        inside.append(Serials(max(first, ranges[place].first), min(last, ranges[place].last)))
        place += 1
    return inside
