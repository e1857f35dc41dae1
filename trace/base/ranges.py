"""Serial numbers as ranges: packs are counted in the thousands and written down as (first, last), both included."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Serials:
    """A run of consecutive serial numbers, both ends included."""

    first: int
    last: int

    @property
    def count(self) -> int:
        return self.last - self.first + 1

    def __str__(self) -> str:
        return f"{self.first:04d}" if self.first == self.last else f"{self.first:04d}-{self.last:04d}"


def merged(ranges: Iterable[Serials]) -> list[Serials]:
    """The same serials in order, with ranges that touch or overlap joined."""
    joined: list[Serials] = []
    for item in sorted(ranges):
        if joined and item.first <= joined[-1].last + 1:
            joined[-1] = Serials(joined[-1].first, max(joined[-1].last, item.last))
        else:
            joined.append(item)
    return joined


def without(ranges: Iterable[Serials], taken: Iterable[Serials]) -> list[Serials]:
    """What is left of ``ranges`` once ``taken`` is out."""
    gone, place = merged(taken), 0
    left: list[Serials] = []
    for item in merged(ranges):
        first = item.first
        while place < len(gone) and gone[place].last < first:
            place += 1
        ahead = place
        while ahead < len(gone) and gone[ahead].first <= item.last:
            if first < gone[ahead].first:
                left.append(Serials(first, gone[ahead].first - 1))
            first = gone[ahead].last + 1
            ahead += 1
        if first <= item.last:
            left.append(Serials(first, item.last))
    return left


def common(ranges: Iterable[Serials], others: Iterable[Serials]) -> list[Serials]:
    """The serials in both."""
    every = merged(ranges)
    return without(every, without(every, others))


def counted(ranges: Iterable[Serials]) -> int:
    """How many serials there are in all."""
    return sum(item.count for item in ranges)


def in_words(ranges: Iterable[Serials]) -> str:
    """``0001-0120, 0131`` for people."""
    return ", ".join(map(str, merged(ranges))) or "none"
