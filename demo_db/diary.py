"""The season as a list of things to do at given moments, done in order of time by a clock that is set to each."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from itertools import count
from zoneinfo import ZoneInfo

from lotwake.trace.base.clock import SetClock

SATURDAY = 5


class Diary:
    """What is still to come. What is done may put more in, as long as it lies ahead."""

    def __init__(self, clock: SetClock, zone: ZoneInfo) -> None:
        self.clock = clock
        self.zone = zone
        self._ahead: list[tuple[datetime, int, Callable[[], None]]] = []
        self._turn = count()

    def put(self, moment: datetime, act: Callable[[], None]) -> None:
        """Do ``act`` at ``moment``; things of one moment are done in the order they were put in."""
        if moment < self.clock.at:
            raise ValueError(f"{moment} lies behind {self.clock.at}")
        heapq.heappush(self._ahead, (moment, next(self._turn), act))

    def work_until(self, end: datetime) -> None:
        """Do everything up to ``end`` and leave the clock there; what lies beyond stays undone."""
        while self._ahead and self._ahead[0][0] <= end:
            self.clock.at, _, act = heapq.heappop(self._ahead)
            act()
        self.clock.at = end

    def moment(self, day: date, clock_time: str) -> datetime:
        """``07:00`` of a day at the house."""
        return datetime.combine(day, time.fromisoformat(clock_time), tzinfo=self.zone)


def workdays(first: date, last: date) -> list[date]:
    """Mondays to Fridays, both ends included."""
    days = (first + timedelta(days=number) for number in range((last - first).days + 1))
    return [day for day in days if day.weekday() < SATURDAY]


def next_workday(day: date) -> date:
    """The next Monday to Friday after a day."""
    return workdays(day + timedelta(days=1), day + timedelta(days=4))[0]
