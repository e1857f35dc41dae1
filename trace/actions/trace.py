"""Trace anything the house knows, back to its boats or forward to its buyers."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import nullcontext
from dataclasses import dataclass

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.errors import Refused
from lotwake.trace.lineage import trace as lineage
from lotwake.trace.lineage.answer import answer, answer_both
from lotwake.trace.lineage.balance import Balance, Masses, balance
from lotwake.trace.lineage.chain import Chain, Direction
from lotwake.trace.lineage.trace import WIDEST
from lotwake.trace.records import facts
from lotwake.trace.records.database import Interrupted, Records
from lotwake.trace.records.find import Kind, Thing


def trace(desk: Desk, text: str, direction: Direction, contact: bool = False, most: int | None = None) -> Chain:
    """The chain of what this text names; ``contact`` adds shared contact, marked and counted nowhere. A lot of which more
    than ``most`` batches and runs came is counted instead of listed."""
    start = find_one(desk.records, text, desk.settings.separator)
    return lineage.trace(desk.records, start, direction, contact, most)


def spoken(desk: Desk, chain: Chain) -> str:
    """The sentences to say about a chain on the phone."""
    return answer(chain, desk.zone)


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

    ``also``: the buyers of other packs of the same runs, when the trace is about single packs.
    """

    balance: Balance
    sentences: tuple[str, ...]
    also: tuple[str, ...] = ()


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
    except Interrupted:
        raise Stopped("The trace was stopped.", "Scan or type it again to look it up.") from None
    return Traced(start, back, forward, weighed, tuple(answer_both(back, forward, desk.zone)), also)


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
