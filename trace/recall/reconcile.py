"""Made = in house + at buyers + returned + destroyed + sold on + unaccounted: for each run and in all. Pure."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from lotwake.trace.base.ranges import Serials, common, counted
from lotwake.trace.recall.replies import Reply, Settled, State, Tally, settle
from lotwake.trace.recall.scope import ScopePart
from lotwake.trace.records.pack_places import HERE, CameBack, PackPlace, Place

_GONE = {Place.DESTROYED: "destroyed", Place.SAMPLE: "sampled", Place.REWORK: "reworked", Place.LOST: "lost"}


@dataclass(frozen=True)
class AtBuyer:
    """The packs of the scope that one buyer holds now: ``packs_of`` each run, their dispatches (ids), what was answered."""

    buyer: int
    packs_of: Mapping[int, tuple[Serials, ...]]
    dispatches: tuple[int, ...]
    last_sent: str
    settled: Settled

    @property
    def held(self) -> Mapping[int, int]:
        """How many packs of each run."""
        return _counts(self.packs_of)

    @property
    def packs(self) -> int:
        return sum(self.held.values())


@dataclass(frozen=True)
class InHouse:
    """Packs of the scope in one place of the house: a case (SSCC), perhaps on a pallet, or loose (``unit`` None).

    ``where``: the name of the freezer or shelf it lies in, empty when nobody said.
    """

    run: int
    packs: Serials
    unit: int | None
    pallet: int | None
    came_back: bool
    where: str = ""


@dataclass(frozen=True)
class Reconciled:
    """Where every pack of a scope is, and which ``packs_of`` each run those are.

    ``packs_in``: the packs of a run in a part of its tally, as far as it follows which ones they are. ``counted``: whether
    what is in the house was counted by somebody.
    """

    total: Tally
    by_run: Mapping[int, Tally]
    packs_of: Mapping[int, tuple[Serials, ...]]
    packs_in: Mapping[tuple[int, str], tuple[Serials, ...]]
    buyers: tuple[AtBuyer, ...]
    in_house: tuple[InHouse, ...]
    counted: bool


def reconcile(
    scope: Sequence[ScopePart], placed: Sequence[PackPlace], came: Sequence[CameBack], replies: Sequence[Reply]
) -> Reconciled:
    """Put the record and the answers together. ``placed``: every pack of the scope in its one place."""
    back = _within(scope, came)
    buyers = tuple(_at_buyer(buyer, placed, back, replies) for buyer in _holders(placed))
    here = tuple(_here(placed))
    house_by_run, house_total, is_counted = _house(here, [reply for reply in replies if reply.buyer is None])
    by_run = dict.fromkeys(sorted({part.run for part in scope}), Tally())
    for run in by_run:
        by_run[run] += house_by_run.get(run, Tally()) + _gone(item for item in placed if item.run == run)
        by_run[run] += sum((buyer.settled.by_run.get(run, Tally()) for buyer in buyers), Tally())
    total = house_total + _gone(placed) + sum((buyer.settled.total for buyer in buyers), Tally())
    packs_of = dict.fromkeys(by_run, ()) | _by_run(placed)
    packs_in = _packs_in(placed, house_by_run, {at.buyer: at.settled.by_run for at in buyers})
    return Reconciled(total, by_run, packs_of, packs_in, buyers, here, is_counted)


def _packs_in(
    placed: Iterable[PackPlace], house: Mapping[int, Tally], buyers: Mapping[int, Mapping[int, Tally]]
) -> dict[tuple[int, str], tuple[Serials, ...]]:
    """Which packs are in which part: those with a buyer while all that this buyer has of the run are in one part; those in
    the house while none of the run is missing there."""
    found: dict[tuple[int, str], list[Serials]] = defaultdict(list)
    for item in placed:
        if item.place is Place.SENT and item.buyer is not None:
            part = buyers[item.buyer].get(item.run, Tally()).only
        elif item.place in HERE:
            own = house.get(item.run, Tally())
            whole = not own.unaccounted and not own.not_by_lot
            part = ("returned" if item.place is Place.RETURNED else "in_house") if whole else own.only
        else:
            part = _GONE[item.place]
        if part:
            found[item.run, part].append(item.packs)
    return {key: tuple(packs) for key, packs in found.items()}


def held_by(buyer: int, placed: Iterable[PackPlace]) -> dict[int, int]:
    """Packs by run that a buyer holds, as far as the record knows."""
    return _counts(_by_run(_sent_to(buyer, placed)))


def _sent_to(buyer: int, placed: Iterable[PackPlace]) -> list[PackPlace]:
    return [item for item in placed if item.place is Place.SENT and item.buyer == buyer]


def _by_run(placed: Iterable[PackPlace]) -> dict[int, tuple[Serials, ...]]:
    packs: dict[int, list[Serials]] = defaultdict(list)
    for item in placed:
        packs[item.run].append(item.packs)
    return {run: tuple(parts) for run, parts in packs.items()}


def _counts(packs_of: Mapping[int, Iterable[Serials]]) -> dict[int, int]:
    return {run: counted(packs) for run, packs in packs_of.items()}


def _holders(placed: Iterable[PackPlace]) -> list[int]:
    return sorted({item.buyer for item in placed if item.place is Place.SENT and item.buyer is not None})


def _at_buyer(buyer: int, placed: Sequence[PackPlace], came: Sequence[CameBack], replies: Sequence[Reply]) -> AtBuyer:
    own = [reply for reply in replies if reply.buyer == buyer]
    since = {reply.at: _came_after(buyer, reply.at, came) for reply in own}
    sent = _sent_to(buyer, placed)
    packs_of = _by_run(sent)
    dispatches = tuple(sorted({item.dispatch for item in sent if item.dispatch is not None}))
    settled = settle(_counts(packs_of), own, since)
    return AtBuyer(buyer, packs_of, dispatches, max(item.since for item in sent), settled)


def _came_after(buyer: int, at: str, came: Iterable[CameBack]) -> Counter[int]:
    packs: Counter[int] = Counter()
    for item in came:
        if item.buyer == buyer and item.at > at:
            packs[item.run] += item.packs.count
    return packs


def _within(scope: Iterable[ScopePart], came: Iterable[CameBack]) -> list[CameBack]:
    wanted: dict[int, list[Serials]] = defaultdict(list)
    for part in scope:
        wanted[part.run].append(part.packs)
    return [replace(item, packs=packs) for item in came for packs in common([item.packs], wanted[item.run])]


def _gone(placed: Iterable[PackPlace]) -> Tally:
    packs: Counter[str] = Counter()
    for item in placed:
        if item.place in _GONE:
            packs[_GONE[item.place]] += item.packs.count
    return Tally(**packs)


def _here(placed: Iterable[PackPlace]) -> Iterable[InHouse]:
    for item in placed:
        if item.place in HERE:
            yield InHouse(item.run, item.packs, item.unit, item.pallet, item.place is Place.RETURNED, item.where)


def _house(here: Sequence[InHouse], counts: Sequence[Reply]) -> tuple[dict[int, Tally], Tally, bool]:
    """What is in the house: as the record has it, or, once somebody counted, as it was found."""
    recorded = {run: _recorded(here, run) for run in sorted({item.run for item in here})}
    total = sum(recorded.values(), Tally())
    found = settle({run: part.made for run, part in recorded.items()}, counts, defaultdict(Counter))
    if found.state not in (State.ANSWERED, State.SHORT, State.WAITING) or not counts:
        return recorded, total, False
    by_run = {run: _as_found(part, found.by_run[run]) for run, part in recorded.items()}
    return by_run, _as_found(total, found.total), found.total.waiting == 0


def _recorded(here: Iterable[InHouse], run: int) -> Tally:
    back = counted(item.packs for item in here if item.run == run and item.came_back)
    return Tally(in_house=counted(item.packs for item in here if item.run == run and not item.came_back), returned=back)


def _as_found(recorded: Tally, found: Tally) -> Tally:
    """Packs that were not found are taken to be missing among those that never left."""
    missing = found.unaccounted
    if found.not_by_lot:
        return Tally(not_by_lot=recorded.made)
    from_store = min(missing, recorded.in_house)
    return Tally(
        in_house=recorded.in_house - from_store,
        returned=recorded.returned - (missing - from_store),
        unaccounted=missing,
    )
