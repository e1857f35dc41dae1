"""The house while its season is played: the desks, the clock, the dice, the stores, and what is worth remembering."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from random import Random

from lotwake.demo_db.diary import Diary
from lotwake.demo_db.stores import Boxed, ColdStore, Heaps
from lotwake.trace.actions.desk import Desk


@dataclass
class Batch:
    """A batch under way: what it will become and the grams it weighs now; ``awaited``: results it cannot be packed without."""

    code: str
    product: str
    species: str
    g: int
    awaited: bool = False


@dataclass(frozen=True)
class Sent:
    """A dispatch that was made."""

    code: str
    buyer: str
    cases: tuple[Boxed, ...]


@dataclass
class Season:
    """All the state of a build."""

    desk: Desk
    diary: Diary
    random: Random
    ice: Heaps = field(default_factory=Heaps)
    materials: Heaps = field(default_factory=Heaps)
    cold: ColdStore = field(default_factory=ColdStore)
    released: list[Batch] = field(default_factory=list)
    unread: list[tuple[date, str]] = field(default_factory=list)
    """Batches whose record nobody has read through yet: the day of their release, and the code."""
    ends: list[tuple[str, int]] = field(default_factory=list)
    sent: list[Sent] = field(default_factory=list)
    brined: list[tuple[date, str, str]] = field(default_factory=list)
    """Batches that were in a brine, in order: day, species, code."""
    taken: set[tuple[date, str]] = field(default_factory=set)
    """Smokehouses that are spoken for: (day, smokehouse)."""
    landmarks: dict[str, str] = field(default_factory=dict)
    """Things the story tells of, by a short name: codes as the record has them."""
    _desks: dict[str, Desk] = field(default_factory=dict)

    def by(self, initials: str) -> Desk:
        """The desk with this operator at work."""
        if initials not in self._desks:
            self._desks[initials] = self.desk.taken_by(initials)
        return self._desks[initials]

    @property
    def today(self) -> date:
        return self.desk.today

    def thousandths(self, g: int, least: int, most: int) -> int:
        """A share of a mass drawn between two numbers of thousandths, to ten grams, never nothing."""
        return max(10, g * self.random.randint(least, most) // 10_000 * 10)

    def later(self, minutes: int) -> datetime:
        """So many minutes from now."""
        return self.desk.now + timedelta(minutes=minutes)
