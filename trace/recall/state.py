"""Everything about a recall or drill at one moment: what the page, the shell and the report show. Frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from lotwake.trace.base.ranges import counted
from lotwake.trace.lineage.balance import Balance
from lotwake.trace.recall.drill import Clock, TimedStep, enough_accounted, percent
from lotwake.trace.recall.notices import Call
from lotwake.trace.recall.reconcile import Reconciled
from lotwake.trace.recall.replies import State, Tally
from lotwake.trace.recall.scope import Reach, ScopePart
from lotwake.trace.records.entries.recall import DRILL
from lotwake.trace.records.facts import RunSeen
from lotwake.trace.records.pack_places import PackPlace
from lotwake.trace.records.recalls import CaseSeen, CheckSeen, NoticeSeen, ReplySeen, ScopeSeen, SuspectSeen


@dataclass(frozen=True)
class Unpacked:
    """Fish (or material) of the scope in the house that is in no pack yet: ``g`` grams of a lot, batch or run.

    ``where``: the name of the place it lies in, empty when nobody said.
    """

    kind: str
    code: str
    name: str
    g: int
    is_fish: bool = True
    where: str = ""


@dataclass(frozen=True)
class TracedBack:
    """A fish lot behind the packs of the scope: ``g`` grams of it in them if everything in a batch is well mixed."""

    code: str
    english: str
    sender: str
    mark: str
    their_code: str
    landed_on: str
    area: str
    g: int


@dataclass(frozen=True)
class Weighed:
    """The mass balance of one suspect, from the boats to the buyers."""

    code: str
    kind: str
    balance: Balance


@dataclass(frozen=True)
class Resolved:
    """What the suspects reach in the record as it is now."""

    reach: Reach
    parts: tuple[ScopePart, ...]
    unpacked: tuple[Unpacked, ...]

    @property
    def packs(self) -> int:
        return sum(part.packs.count for part in self.parts)

    @property
    def fish_g(self) -> int:
        """Grams of fish that are not packed yet."""
        return sum(item.g for item in self.unpacked if item.is_fish)


@dataclass(frozen=True)
class RecallState:
    """A case with its clock, its scope as it was last kept, where every pack of it is, and what to do next.

    ``placed``: every pack of the scope in its one place. ``grown``: packs that the suspects reach now and the kept scope
    does not have. ``held``: codes a recall holds.
    """

    case: CaseSeen
    zone: ZoneInfo
    clock: Clock
    suspects: tuple[SuspectSeen, ...]
    scopes: tuple[ScopeSeen, ...]
    found: Reconciled
    placed: tuple[PackPlace, ...]
    runs: Mapping[int, RunSeen]
    calls: tuple[Call, ...]
    unpacked: tuple[Unpacked, ...]
    traced_back: tuple[TracedBack, ...]
    weighed: tuple[Weighed, ...]
    notices: tuple[NoticeSeen, ...]
    replies: tuple[ReplySeen, ...]
    checks: tuple[CheckSeen, ...]
    held: tuple[str, ...]
    grown: int
    gaps: tuple[str, ...]
    next_step: str
    steps: tuple[TimedStep, ...]

    @property
    def practice(self) -> bool:
        return self.case.kind == DRILL

    @property
    def word(self) -> str:
        """OPEN, PAUSED or FINISHED."""
        return "FINISHED" if self.case.ended else "PAUSED" if self.clock.paused else "OPEN"

    @property
    def total(self) -> Tally:
        return self.found.total

    @property
    def total_g(self) -> int:
        """Grams in the packs of the scope."""
        return sum(self.runs[run].g_of(*packs) for run, packs in self.found.packs_of.items())

    def part_g(self, run: int, part: str) -> int | None:
        """Grams of the packs of a run in one part of its tally; None when it is not known which weighed packs those are."""
        count, packs = getattr(self.found.by_run[run], part), self.found.packs_in.get((run, part), ())
        return self.runs[run].g_of(*packs) if counted(packs) == count else self.runs[run].g_of_any(count)

    @property
    def accounted_percent(self) -> float:
        return percent(self.total.accounted, self.total.made)

    @property
    def confirmed_percent(self) -> float:
        return percent(self.total.confirmed, self.total.made)

    @property
    def enough(self) -> bool:
        """Whether as many packs are accounted for as the target asks."""
        return enough_accounted(self.total, self.case.least_percent)

    @property
    def answered(self) -> int:
        """Buyers whose answer is in."""
        return sum(call.state in (State.ANSWERED, State.SHORT) for call in self.calls)
