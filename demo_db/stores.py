"""What the builder believes is in the house, so that it knows what to smoke, pack and send next.

The record keeps its own account; if the two disagree, an action refuses and the build stops.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from datetime import datetime

from lotwake.trace.base.ranges import Serials

Portion = tuple[str, int]
"""A lot code and grams."""


@dataclass
class Heap:
    """A lot and the grams of it that are left."""

    code: str
    what: str
    g: int
    since: datetime
    dripped: bool = False


class Heaps:
    """Lots of fish or material; the oldest of a kind is used first."""

    def __init__(self) -> None:
        self.lots: list[Heap] = []

    def kinds(self) -> list[str]:
        """What there is, the oldest first."""
        return list(dict.fromkeys(lot.what for lot in self.lots if lot.g > 0))

    def left_g(self, what: str) -> int:
        """Grams of a kind."""
        return sum(lot.g for lot in self.lots if lot.what == what)

    def take(self, what: str, g: int) -> list[Portion]:
        """So many grams, from as many lots as it needs."""
        portions: list[Portion] = []
        for lot in self.lots:
            part = min(lot.g, g - sum(taken for _, taken in portions)) if lot.what == what else 0
            if part > 0:
                lot.g -= part
                portions.append((lot.code, part))
        if sum(taken for _, taken in portions) != g:
            raise ValueError(f"there are not {g} g of {what}")
        return portions

    def lot(self, code: str) -> Heap:
        """The lot of this code."""
        return next(lot for lot in self.lots if lot.code == code)


@dataclass(frozen=True)
class Boxed:
    """A case in the cold store: its SSCC and what is in it."""

    sscc: str
    product: str


Loose = tuple[str, str, Serials]
"""Packs in no case: product name, run code, serials."""


@dataclass
class ColdStore:
    """Cases by product, oldest first, and loose packs."""

    cases: dict[str, deque[Boxed]] = field(default_factory=dict)
    loose: list[Loose] = field(default_factory=list)

    def put(self, case: Boxed) -> None:
        """A case goes to the back of its row."""
        self.cases.setdefault(case.product, deque()).append(case)

    def take(self, product: str, most: int) -> list[Boxed]:
        """Up to so many cases of a product."""
        row = self.cases.get(product, deque())
        return [row.popleft() for _ in range(min(most, len(row)))]

    def loose_packs(self, product: str) -> int:
        """How many packs of a product are in no case."""
        return sum(part.count for name, _, part in self.loose if name == product)

    def unboxed(self, most: int, product: str = "") -> list[Loose]:
        """Up to so many loose packs, of one product or of any, oldest first."""
        taken: list[Loose] = []
        kept: list[Loose] = []
        for name, run, part in self.loose:
            count = min(part.count, most - sum(got.count for _, _, got in taken)) if product in ("", name) else 0
            if count:
                taken.append((name, run, Serials(part.first, part.first + count - 1)))
            if count < part.count:
                kept.append((name, run, Serials(part.first + count, part.last)))
        self.loose = kept
        return taken
