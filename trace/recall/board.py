"""A recall or drill as a board: how much is where, and one row for each place or buyer with the next thing to do. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from datetime import datetime, timedelta
from enum import StrEnum

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import instant_of
from lotwake.trace.recall.drill import RING_AGAIN_MIN
from lotwake.trace.recall.notices import NO_PHONE, Call
from lotwake.trace.recall.reconcile import InHouse
from lotwake.trace.recall.replies import PARTS, State, Tally
from lotwake.trace.recall.state import RecallState

GROUPS = (
    ("NOT FOUND", ("unaccounted", "lost")),
    ("WAITING", ("waiting",)),
    ("IN HOUSE", ("in_house", "returned")),
    ("ANSWERED", ("stock", "sold_on", "coming_back", "destroyed_there", "not_by_lot")),
    ("GONE HERE", ("destroyed", "sampled", "reworked")),
)
"""The parts of a tally as a person looks for them: what is open first."""


class About(StrEnum):
    """What a row of the board is about."""

    BUYER = "buyer"
    SUB = "sub"
    HOUSE = "house"
    UNPACKED = "unpacked"
    GONE = "gone"
    MISSING = "missing"


@dataclass(frozen=True)
class Line:
    """One row. ``key`` names what it is about within its kind: a buyer's id, a code, the part of a tally."""

    about: About
    key: str
    state: str
    who: str
    what: str
    packs: int | None
    g: int | None
    next: str


@dataclass(frozen=True)
class Amount:
    """Packs of the scope in one group, and their grams (None where they are not known lot by lot)."""

    word: str
    packs: int
    g: int | None
    percent: int


def amounts(state: RecallState) -> list[Amount]:
    """Where it all is, what is open first; the packs sum to those that were made."""
    made = max(1, state.total.made)
    return [
        Amount(word, packs, _grams(state, parts, packs), round(100 * packs / made))
        for word, parts in GROUPS
        for packs in [sum(getattr(state.total, part) for part in parts)]
    ]


def _grams(state: RecallState, parts: Iterable[str], packs: int) -> int | None:
    by_run = state.found.by_run
    if sum(getattr(tally, part) for tally in by_run.values() for part in parts) == packs:
        grams = [state.part_g(run, part) for run in by_run for part in parts]
        return None if None in grams else sum(g or 0 for g in grams)
    alike = {seen.g_of_any(packs) for seen in state.runs.values()}
    return alike.pop() if len(alike) == 1 else None


def board(state: RecallState) -> list[Line]:
    """Every row: gaps, then whom to ring, the house, fish that is not packed, and what is settled."""
    buyers = [line for call in state.calls for line in (_buyer(state, call), *_subs(state, call))]
    open_, settled = [line for line in buyers if line.next != DONE], [line for line in buyers if line.next == DONE]
    short = [line for line in open_ if line.state == State.SHORT]
    return [
        *_missing(state),
        *short,
        *(line for line in open_ if line.state != State.SHORT),
        *_house(state),
        *_unpacked(state),
        *settled,
        *_gone(state),
    ]


DONE = "done"
_NO_NUMBER = NO_PHONE.partition(": ")[2]
_RING = ("ring now", "RING AGAIN NOW", _NO_NUMBER, "ask again: scope changed")


def _buyer(state: RecallState, call: Call) -> Line:
    settled = next(at.settled for at in state.found.buyers if at.buyer == call.buyer)
    lots = [state.runs[run].code for at in state.found.buyers if at.buyer == call.buyer for run in at.held]
    what = f"{len(lots)} lots" if len(lots) > 1 else f"lot {show_code(lots[0])}"
    next_act = _next_call(state, call, settled.total)
    return Line(About.BUYER, str(call.buyer), call.state, call.name, what, call.packs, call.g, next_act)


def _next_call(state: RecallState, call: Call, total: Tally) -> str:
    """What is to be done about one buyer."""
    match call.state:
        case State.TO_TELL:
            return "ring now" if call.phone.strip() else _NO_NUMBER
        case State.ASK_AGAIN:
            return "ask again: scope changed"
        case State.NOT_REACHED | State.WAITING:
            again = instant_of(call.asked) + timedelta(minutes=RING_AGAIN_MIN)
            return "RING AGAIN NOW" if state.clock.now >= again else f"ring at {_clock_time(state, again)}"
        case State.SHORT:
            return f"look for {total.unaccounted}"
    if state.practice:
        return DONE
    if total.coming_back:
        return f"take back {total.coming_back}"
    return f"{total.stock}: back or destroy" if total.stock else DONE


def _subs(state: RecallState, call: Call) -> Iterator[Line]:
    """Those the buyer passed packs on to; in a drill nobody rings them."""
    for sub in call.subs:
        if state.practice:
            next_act = DONE
        elif sub.state in (State.ANSWERED, State.SHORT):
            next_act = DONE if sub.state is State.ANSWERED else f"look for {sub.packs - (sub.told or 0)}"
        else:
            next_act = "ring now" if sub.phone.strip() else _NO_NUMBER
        said = "drill: not rung" if state.practice else sub.said
        yield Line(About.SUB, str(sub.id), "PASSED ON", sub.name, said, sub.packs, None, next_act)


def _clock_time(state: RecallState, moment: datetime) -> str:
    return f"{moment.astimezone(state.zone):%H:%M}"


def first_to_do(state: RecallState) -> int:
    """The place of the row that ``next_step`` is about, as far as a row is: whom to ring, else what to count."""
    rows = board(state)
    for wanted in (_RING, ("count it",)):
        for at, line in enumerate(rows):
            if line.next in wanted:
                return at
    return 0


def reminders(state: RecallState) -> tuple[str, ...]:
    """The names of those who are to be rung again now."""
    return tuple(line.who for line in board(state) if line.next == "RING AGAIN NOW")


def _missing(state: RecallState) -> Iterator[Line]:
    """Packs that were counted for and not found in the house."""
    at_buyers = sum(buyer.settled.total.unaccounted for buyer in state.found.buyers)
    packs = state.total.unaccounted - at_buyers
    if packs > 0:
        g = _grams(state, ["unaccounted"], state.total.unaccounted) if not at_buyers else None
        yield Line(About.MISSING, "house", "NOT FOUND", "in the house", "counted short", packs, g, "look, count again")


def house_by_place(state: RecallState) -> dict[str, list[InHouse]]:
    """What of the scope is in the house, by the name of its place; what nobody put anywhere comes last."""
    by_place: dict[str, list[InHouse]] = {}
    for item in sorted(state.found.in_house, key=lambda item: (not item.where, item.where)):
        by_place.setdefault(item.where, []).append(item)
    return by_place


def _house(state: RecallState) -> Iterator[Line]:
    """One row for each place of the house that holds some of it."""
    for where, items in house_by_place(state).items():
        packs = sum(item.packs.count for item in items)
        g = sum(state.runs[item.run].g_of(item.packs) for item in items)
        next_act = (DONE if state.practice else "keep it held") if state.found.counted else "count it"
        yield Line(About.HOUSE, where, "IN HOUSE", where or NOWHERE, _holders(items), packs, g, next_act)


NOWHERE = "no place named"


def _holders(items: list[InHouse]) -> str:
    cases = len({item.unit for item in items if item.unit is not None})
    loose = sum(item.packs.count for item in items if item.unit is None)
    said = [f"{cases} case{'s' if cases > 1 else ''}"] if cases else []
    return ", ".join([*said, *([f"{loose} loose"] if loose else [])])


def _unpacked(state: RecallState) -> Iterator[Line]:
    for item in state.unpacked:
        held = item.code in state.held or (not state.practice and bool(state.held))
        next_act = "keep it held" if held else "look at it"
        where = item.where or NOWHERE
        what = f"{item.kind} {show_code(item.code)}"
        yield Line(About.UNPACKED, item.code, "NOT PACKED", where, what, None, item.g, next_act)


_GONE_WORDS = {"destroyed": "DESTROYED", "sampled": "SAMPLE", "reworked": "REWORK", "lost": "LOST"}


def _gone(state: RecallState) -> Iterator[Line]:
    for name in (*GROUPS[-1][1], "lost"):
        if packs := getattr(state.total, name):
            g = _grams(state, [name], packs)
            yield Line(About.GONE, name, _GONE_WORDS[name], "no longer here", PARTS[name], packs, g, DONE)


def parts_used(state: RecallState) -> list[str]:
    """The parts of a tally in which anything stands, in the order people read them."""
    return [part.name for part in fields(Tally) if getattr(state.total, part.name)]
