"""Trace anything the house knows, back to its boats or forward to its buyers."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import nullcontext
from dataclasses import dataclass, field, replace

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.ranges import common
from lotwake.trace.lineage import trace as lineage
from lotwake.trace.lineage.answer import answer, answer_both
from lotwake.trace.lineage.balance import WHOLE, Balance, Masses, balance
from lotwake.trace.lineage.chain import Chain, Direction
from lotwake.trace.lineage.trace import WIDEST
from lotwake.trace.records import facts
from lotwake.trace.records.database import Interrupted, Records
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.lying import by_place
from lotwake.trace.records.pack_places import places_of


def trace(desk: Desk, text: str, direction: Direction, contact: bool = False, most: int | None = None) -> Chain:
    """The chain of what this text names; ``contact`` adds shared contact, marked and counted nowhere. A lot of which more
    than ``most`` batches and runs came is counted instead of listed."""
    start = find_one(desk.records, text, desk.settings.separator)
    return lineage.trace(desk.records, start, direction, contact, most)


def here_by_place(records: Records, forward: Chain) -> dict[str, int]:
    """The packs of a forward chain that are in the house, by the name of their place, the most first.

    An empty name: nobody said where they lie. Empty when none is here, or when there is too much to list.
    """
    where = forward.whereabouts
    if where is None or not where.in_house or forward.left_out:
        return {}
    start = forward.start
    asked = {} if start.kind in WHOLE else lineage.packs_in(records, start)
    runs = asked or {node.id for node in forward.of_kind(Kind.RUN) if not node.contact}
    found = by_place(
        replace(item, packs=packs)
        for item in places_of(records, runs).packs
        for packs in common([item.packs], asked.get(item.run, []) if asked else [item.packs])
    )
    others = where.in_house - sum(found.values())  # packs made again of what was reworked
    return {**found, "": found.get("", 0) + others} if others > 0 else found


def spoken(desk: Desk, chain: Chain) -> str:
    """The sentences to say about a chain on the phone, and which batches in it were released in spite of a limit."""
    return " ".join([answer(chain, desk.zone), *(item.said for item in in_spite_of(desk.records, [chain]))])


@dataclass(frozen=True)
class InSpite:
    """A batch that was released by a qualified person's name and reason although limits were not met."""

    code: str
    by_name: str
    reason: str
    limits: str

    @property
    def said(self) -> str:
        short = " and ".join(f"{key} {verdict}" for key, verdict in _SPITE.findall(self.limits)) or self.limits
        return f"Batch {show_code(self.code)} was released in the name of {self.by_name} in spite of {short}."


_SPITE = re.compile(r"(?:^|; )([\w-]+): (NOT MET|NO EVIDENCE)")
"""Each limit in what a release was in spite of, without what was found."""


def in_spite_of(records: Records, chains: Iterable[Chain]) -> list[InSpite]:
    """The batches of these chains, shared contact left out, that were released in spite of a limit."""
    chains = list(chains)
    there = {node.id for chain in chains for node in chain.of_kind(Kind.BATCH) if not node.contact}
    rows = records.rows(
        "SELECT b.id, b.code, COALESCE(r.by_name, ''), r.note, r.in_spite_of FROM batch_release r"
        " JOIN batch b ON b.id = r.batch WHERE r.in_spite_of IS NOT NULL ORDER BY b.id"
    )
    for chain in chains:
        if chain.left_out:
            there |= lineage.came_of(records, chain.start, [batch for batch, *_ in rows])
    return [InSpite(*row) for batch, *row in rows if batch in there]


@dataclass(frozen=True)
class Chains:
    """A thing with what it was made from and what came of it."""

    start: Thing
    back: Chain
    forward: Chain

    @property
    def problems(self) -> tuple[str, ...]:
        """Gaps and wrong orders in either chain, each once."""
        return tuple(dict.fromkeys((*self.back.problems, *self.forward.problems)))


@dataclass(frozen=True)
class Traced(Chains):
    """A thing with both its chains, what they weigh, and what to say about it.

    ``also``: the buyers of other packs of the same runs, when the trace is about single packs. ``here``: packs in the
    house by the name of their place.
    """

    balance: Balance
    sentences: tuple[str, ...]
    also: tuple[str, ...] = ()
    here: Mapping[str, int] = field(default_factory=dict)


def first_of_wide(desk: Desk, start: Thing, most: int = WIDEST) -> Chains | None:
    """The first rows of a lot that went into more than ``most`` batches and runs, at once: somebody looks at them while the
    rest is counted. None for anything else."""
    with desk.records.snapshot():
        forward = lineage.first_of_wide(desk.records, start, most)
        if forward is None:
            return None
        return Chains(start, lineage.trace(desk.records, start, Direction.BACK), forward)


def _never() -> bool:
    return False


class Stopped(Refused):
    """The person stopped it; nothing was changed."""


def trace_both(
    desk: Desk, start: Thing, contact: bool = False, stopped: Callable[[], bool] = _never, most: int | None = WIDEST
) -> Traced:
    """Both chains of a thing in one state of the record; a lot of which more than ``most`` batches and runs came is counted
    instead of listed.

    ``stopped`` breaks it off, in the middle of a question as well; Stopped is raised then.
    """

    def go_on() -> None:
        if stopped():
            raise Interrupted

    records = desk.records
    watched = nullcontext() if stopped is _never else records.stoppable(stopped)
    try:
        with watched, records.snapshot():
            go_on()
            back = lineage.trace(records, start, Direction.BACK, contact)
            go_on()
            forward = lineage.trace(records, start, Direction.FORWARD, contact, most)
            go_on()
            weighed = balance(back, forward, _masses(records, (back, forward)))
            go_on()
            also = _also(desk, start, back, forward)
            named = [item.said for item in in_spite_of(records, (back, forward))]
            here = here_by_place(records, forward)
    except Interrupted:
        raise Stopped("The trace was stopped.", "Scan or type it again to look it up.") from None
    return Traced(start, back, forward, weighed, (*answer_both(back, forward, desk.zone), *named), also, here)


def _masses(records: Records, chains: Iterable[Chain]) -> Masses:
    ids: dict[Kind, set[int]] = {kind: set() for kind in Kind}
    for chain in chains:
        for node in chain.nodes:
            ids[node.kind].add(node.id)
    return Masses(
        facts.lots(records, ids[Kind.LOT]),
        facts.batches(records, ids[Kind.BATCH]),
        facts.runs(records, ids[Kind.RUN]),
        facts.units(records, ids[Kind.CASE]),
    )


def _also(desk: Desk, start: Thing, back: Chain, forward: Chain) -> tuple[str, ...]:
    """Whoever else has packs of the run of a single pack."""
    if start.kind is not Kind.PACK:
        return ()
    run = next(node.thing for node in back.nodes if node.kind is Kind.RUN and node.id == start.id)
    others = lineage.trace(desk.records, run, Direction.FORWARD)
    own = {receiver.buyer for receiver in forward.receivers}
    return tuple(receiver.buyer for receiver in others.receivers if receiver.packs and receiver.buyer not in own)
