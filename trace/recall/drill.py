"""The clock of a drill or recall, what is still open, what to do next, and how drills compare over the years. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from lotwake.trace.base.moments import instant_of
from lotwake.trace.recall.classes import next_drill_due
from lotwake.trace.recall.notices import Call
from lotwake.trace.recall.reconcile import Reconciled
from lotwake.trace.recall.replies import State, Tally

RING_AGAIN_MIN = 20
"""When somebody who is silent is rung again. Our own choice."""


@dataclass(frozen=True)
class Pause:
    """A time that does not count: ``until`` None while it lasts."""

    since: datetime
    until: datetime | None
    why: str


@dataclass(frozen=True)
class Clock:
    """The clock of a case: it starts when the lot is named, and ``ended`` is None while it runs."""

    begun: datetime
    now: datetime
    ended: datetime | None
    pauses: tuple[Pause, ...]
    goal_min: int

    @property
    def paused(self) -> bool:
        return self.ended is None and any(pause.until is None for pause in self.pauses)

    def used_at(self, moment: datetime) -> timedelta:
        """Time used up to a moment, without the pauses before it."""
        return moment - self.begun - sum((_length(pause, moment) for pause in self.pauses), timedelta())

    @property
    def used(self) -> timedelta:
        return self.used_at(self.ended or self.now)

    @property
    def left(self) -> timedelta:
        """Time to the goal; negative once it is passed."""
        return timedelta(minutes=self.goal_min) - self.used

    @property
    def in_time(self) -> bool:
        return self.left >= timedelta()


def _length(pause: Pause, moment: datetime) -> timedelta:
    return max(timedelta(), min(pause.until or moment, moment) - pause.since)


def clock_text(length: timedelta) -> str:
    """``1:32:29``; ``-0:05:00`` when it is less than nothing."""
    seconds = int(abs(length).total_seconds())
    sign = "-" if length < timedelta() else ""
    return f"{sign}{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


@dataclass(frozen=True)
class TimedStep:
    """Something that was done, when, and the time the clock showed."""

    what: str
    at: datetime
    used: timedelta


def percent(part: int, whole: int) -> float:
    """A percentage with two decimals for people; nothing made is all accounted for."""
    return round(100 * part / whole, 2) if whole else 100.0


def enough_accounted(total: Tally, least_percent: int) -> bool:
    """Whether at least so many per cent of the packs are accounted for, counted without rounding."""
    return 100 * total.accounted >= least_percent * total.made


def gaps(found: Reconciled, calls: Sequence[Call], other: Iterable[str] = ()) -> tuple[str, ...]:
    """What is not known yet, the worst first."""
    said = list(other)
    short = sum(buyer.settled.total.unaccounted for buyer in found.buyers)
    in_house = found.total.unaccounted - short
    if found.total.lost:
        said.append(f"{found.total.lost} packs are lost by the record.")
    if in_house > 0:
        said.append(f"{in_house} packs were not found in the house.")
    said += [
        f"{call.name}: {buyer.settled.total.unaccounted} of {buyer.packs} packs are not accounted for."
        for call in calls for buyer in found.buyers
        if buyer.buyer == call.buyer and buyer.settled.total.unaccounted
    ]  # fmt: skip
    said += [f"{call.name} has no telephone number." for call in calls if not call.phone.strip()]
    silent = [call for call in calls if call.state is not State.ANSWERED and call.state is not State.SHORT]
    if silent:
        packs = sum(call.packs for call in silent)
        said.append(
            f"{len(silent)} {'buyer has' if len(silent) == 1 else 'buyers have'} not answered for {packs} packs."
        )
    return tuple(said)


def next_step(clock: Clock, found: Reconciled, calls: Sequence[Call], papers: bool, zone: ZoneInfo) -> str:
    """The one thing to do next; ``papers``: the notices were made. Times in the time of the house."""
    if clock.ended is not None:
        return "Finished."
    if clock.paused:
        return "Go on: the clock is paused."
    if not papers and calls and all(call.state is State.TO_TELL for call in calls):
        return f"Make the notices and the call sheet, then ring {calls[0].name}, {calls[0].phone_or_warning}."
    return _whom_to_ring(clock, calls, zone) or _what_to_find(found, calls)


def _whom_to_ring(clock: Clock, calls: Sequence[Call], zone: ZoneInfo) -> str:
    """Those never asked first, then those who have been silent long enough; empty when nobody is to be rung now."""
    for call in calls:
        if call.state in (State.TO_TELL, State.ASK_AGAIN):
            return f"Ring {call.name}, {call.phone_or_warning}: {call.packs} packs."
    for call in calls:
        if call.state in (State.NOT_REACHED, State.WAITING) and _due(call, clock.now):
            asked = f"{instant_of(call.asked).astimezone(zone):%H:%M}"
            return f"Ring {call.name} again, {call.phone_or_warning}: {call.packs} packs, asked at {asked}."
    return ""


def _what_to_find(found: Reconciled, calls: Sequence[Call]) -> str:
    if found.in_house and not found.counted:
        return "Count what is in the house and enter it."
    waiting = [call for call in calls if call.state in (State.NOT_REACHED, State.WAITING)]
    if waiting:
        return f"Wait for {waiting[0].name}; ring again {RING_AGAIN_MIN} minutes after the last call."
    if found.total.unaccounted:
        return f"Look for {found.total.unaccounted} packs that nobody can account for, then finish."
    return "Everything is accounted for: finish and sign."


def _due(call: Call, now: datetime) -> bool:
    return now - instant_of(call.asked) >= timedelta(minutes=RING_AGAIN_MIN)


@dataclass(frozen=True)
class Past:
    """A finished drill, for comparison: ``used`` time, ``accounted`` of ``made`` packs, ``gaps`` left."""

    code: str
    began_with: str
    day: date
    used: timedelta
    in_time: bool
    made: int
    accounted: int
    confirmed: int
    buyers: int
    answered: int
    gaps: int
    signed: str


@dataclass(frozen=True)
class Due:
    """When the next drill is due, and whether that day has passed."""

    on: date | None
    overdue: bool
    sentence: str


def due(last: date | None, today: date) -> Due:
    """When the next drill must be held."""
    if last is None:
        return Due(None, True, "No drill has been finished here yet.")
    on = next_drill_due(last)
    return Due(on, on < today, f"The next drill is due by {on.isoformat()}.")
