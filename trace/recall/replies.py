"""What buyers answered, and what that says about the packs they were sent. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from enum import StrEnum


@dataclass(frozen=True)
class Reply:
    """One answer of a buyer, or a count in the house (``buyer`` None); packs, as they stood at the stored instant ``at``.

    ``run`` None: about all packs of the scope that were sent to the buyer. The four figures are None when only the call was
    made. What a later answer says replaces what an earlier one said.
    """

    buyer: int | None
    run: int | None
    reached: bool
    at: str
    person: str = ""
    stock: int | None = None
    sold: int | None = None
    returned: int | None = None
    destroyed: int | None = None
    note: str = ""
    id: int = 0

    @property
    def has_figures(self) -> bool:
        return any(figure is not None for figure in self.figures)

    @property
    def figures(self) -> tuple[int | None, int | None, int | None, int | None]:
        """Stock, sold on, given back, destroyed."""
        return self.stock, self.sold, self.returned, self.destroyed

    @property
    def told(self) -> int:
        """How many packs the answer speaks of."""
        return sum(figure or 0 for figure in self.figures)


@dataclass(frozen=True)
class Tally:
    """Packs by where they are; every pack is counted once, so the parts sum to ``made``.

    ``waiting``: with buyers who have not answered; ``stock``, ``sold_on``, ``coming_back``, ``destroyed_there``: with buyers,
    as they answered; ``not_by_lot``: answered for or counted, but
    not lot by lot; ``lost``: the record says so; ``unaccounted``: nobody can say.
    """

    in_house: int = 0
    returned: int = 0
    waiting: int = 0
    stock: int = 0
    sold_on: int = 0
    coming_back: int = 0
    destroyed_there: int = 0
    not_by_lot: int = 0
    destroyed: int = 0
    sampled: int = 0
    reworked: int = 0
    lost: int = 0
    unaccounted: int = 0

    def __add__(self, other: Tally) -> Tally:
        return Tally(*(getattr(self, part.name) + getattr(other, part.name) for part in fields(Tally)))

    @property
    def made(self) -> int:
        """All of them."""
        return sum(getattr(self, part.name) for part in fields(Tally))

    @property
    def accounted(self) -> int:
        """Packs whose place is known: in the house, with a known buyer, or gone in a known way."""
        return self.made - self.unaccounted - self.lost

    @property
    def only(self) -> str:
        """The one part that they are all in; empty when they are in several, or there are none."""
        used = [part.name for part in fields(Tally) if getattr(self, part.name)]
        return used[0] if len(used) == 1 else ""

    @property
    def confirmed(self) -> int:
        """The same without those whose buyer has not answered yet."""
        return self.accounted - self.waiting


PARTS = {
    "in_house": "in the house",
    "returned": "came back, in the house",
    "waiting": "with buyers, not answered",
    "stock": "in stock at buyers",
    "sold_on": "sold on by buyers",
    "coming_back": "on the way back",
    "destroyed_there": "destroyed by buyers",
    "not_by_lot": "known in all, not by lot",
    "destroyed": "destroyed here",
    "sampled": "taken as samples",
    "reworked": "taken back for rework",
    "lost": "LOST, said so by somebody",
    "unaccounted": "NOT FOUND",
}
"""The parts of a tally in words, in the order people read them."""


class State(StrEnum):
    """How far it is with a buyer."""

    TO_TELL = "TO TELL"
    WAITING = "WAITING"
    NOT_REACHED = "NOT REACHED"
    ASK_AGAIN = "ASK AGAIN"
    ANSWERED = "ANSWERED"
    SHORT = "SHORT"


@dataclass(frozen=True)
class Settled:
    """What the answers of one buyer make of the packs they hold, in all and by run."""

    total: Tally
    by_run: Mapping[int, Tally]
    state: State
    last: Reply | None


def settle(held: Mapping[int, int], replies: Sequence[Reply], came_since: Mapping[str, Counter[int]]) -> Settled:
    """Settle ``held`` packs by run with a buyer's replies, in the order they came.

    ``came_since``: for the instant of each reply, packs by run that came back after it. An answer that speaks of more than
    the buyer now holds is out of date (the scope was narrowed since): ASK AGAIN.
    """
    last = replies[-1] if replies else None
    holding = sum(held.values())
    answers = in_force(replies)
    if not answers:
        state = State.TO_TELL if last is None else State.WAITING if last.reached else State.NOT_REACHED
        return Settled(Tally(waiting=holding), _waiting(held), state, last)
    whole = answers.get(None)
    if whole is not None:
        total = _one(holding, whole, came_since[whole.at].total())
        by_run = {} if total is None else _spread(held, total)
    else:
        parts = {
            run: _one(packs, answers.get(run), _came(answers.get(run), run, came_since)) for run, packs in held.items()
        }
        by_run = {run: part for run, part in parts.items() if part is not None}
        total = sum(by_run.values(), Tally()) if len(by_run) == len(parts) else None
    if total is None:
        return Settled(Tally(waiting=holding), _waiting(held), State.ASK_AGAIN, last)
    state = State.WAITING if total.waiting else State.SHORT if total.unaccounted else State.ANSWERED
    return Settled(total, by_run, state, last)


def in_force(replies: Iterable[Reply]) -> dict[int | None, Reply]:
    """The answers in force: the last one about everything, or the last ones by run after it."""
    answers: dict[int | None, Reply] = {}
    for reply in replies:
        if reply.has_figures:
            if reply.run is None:
                answers.clear()
            answers.pop(None, None)
            answers[reply.run] = reply
    return answers


def _waiting(held: Mapping[int, int]) -> dict[int, Tally]:
    return {run: Tally(waiting=packs) for run, packs in held.items()}


def _came(reply: Reply | None, run: int, came_since: Mapping[str, Counter[int]]) -> int:
    return came_since[reply.at][run] if reply else 0


def _one(held: int, reply: Reply | None, came: int) -> Tally | None:
    """One answer against the packs it is about; ``came`` packs arrived after it, first of those it said are coming."""
    if reply is None:
        return Tally(waiting=held)
    stock, sold, returned, destroyed = (figure or 0 for figure in reply.figures)
    more = max(0, came - returned)
    stock, sold = max(0, stock - more), max(0, sold - max(0, more - stock))
    part = Tally(stock=stock, sold_on=sold, coming_back=max(0, returned - came), destroyed_there=destroyed)
    return replace(part, unaccounted=held - part.made) if part.made <= held else None


def _spread(held: Mapping[int, int], total: Tally) -> dict[int, Tally]:
    """By run only as far as it follows: one run, or all packs in the same state."""
    if len(held) == 1:
        return dict.fromkeys(held, total)
    kinds = [part.name for part in fields(Tally) if getattr(total, part.name)]
    if len(kinds) == 1:
        return {run: replace(Tally(), **{kinds[0]: packs}) for run, packs in held.items()}
    return {run: Tally(not_by_lot=packs) for run, packs in held.items()}
