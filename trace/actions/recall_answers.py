"""Work on a recall or drill: tell buyers, take their answers, count the house, check, pause, finish."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.recall_scope import last_scope, placed_now
from lotwake.trace.actions.recall_state import finished_on, look_at
from lotwake.trace.actions.refs import named_id, thing_of
from lotwake.trace.base.errors import NotFound, Refused
from lotwake.trace.recall.classes import check_level, draw_sample, sample_size
from lotwake.trace.recall.drill import Due, Past, due
from lotwake.trace.recall.reconcile import held_by
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records import recalls
from lotwake.trace.records.entries import recall as entries
from lotwake.trace.records.entries.recall import DRILL, ReplyFacts
from lotwake.trace.records.find import Kind
from lotwake.trace.records.pack_places import HERE
from lotwake.trace.records.recalls import CaseSeen, cases, scopes_of

HOUSE = "the house"


@dataclass(frozen=True)
class Answer:
    """What a buyer says, in packs of the scope; ``run`` (its code) when it is about one lot only.

    ``subs``: those the buyer passed packs on to, as (name, telephone, packs).
    """

    reached: bool = True
    run: str = ""
    person: str = ""
    stock: int | None = None
    sold: int | None = None
    returned: int | None = None
    destroyed: int | None = None
    note: str = ""
    subs: tuple[tuple[str, str, int], ...] = ()


def told(desk: Desk, case: CaseSeen, buyer: str, how: str) -> RecallState:
    """A buyer was told: by telephone, e-mail, in person."""
    ref, name, held = _held(desk, case, buyer)
    if not sum(held.values()):
        raise _has_nothing(name)
    with desk.entry(f"{case.kind}: {name} told") as entry:
        entries.note_notice(entry, case.id, ref, how, sum(held.values()))
    return look_at(desk, case)


def take_reply(desk: Desk, case: CaseSeen, buyer: str, answer: Answer) -> RecallState:
    """Write a buyer's answer down. Refused when it speaks of more packs than the buyer was sent and has not given back."""
    ref, name, held = _held(desk, case, buyer)
    if not sum(held.values()):
        raise _has_nothing(name)
    run = thing_of(desk.records, answer.run, [Kind.RUN], "an answer by lot").id if answer.run else None
    facts_told = ReplyFacts(
        ref,
        run,
        answer.reached,
        answer.person,
        answer.stock,
        answer.sold,
        answer.returned,
        answer.destroyed,
        answer.note,
    )
    with desk.entry(f"{case.kind}: {name} answered", why=answer.note) as entry:
        now_held = held_by(ref, placed_now(entry.records, last_scope(scopes_of(entry.records, case.id))))
        at_most = sum(now_held.values()) if run is None else now_held.get(run, 0)
        reply = entries.take_reply(entry, case.id, facts_told, at_most, name)
        for sub in answer.subs:
            entries.note_sub_buyer(entry, reply, *sub)
    return look_at(desk, case)


def take_sub_reply(desk: Desk, case: CaseSeen, buyer: str, sub: str, answer: Answer) -> RecallState:
    """What somebody answered that a buyer passed packs on to. Refused when it speaks of more than they were passed."""
    ref = named_id(desk.records, "buyer", buyer)
    state = look_at(desk, case)
    known = [item for call in state.calls if call.buyer == ref for item in call.subs]
    found = next((item for item in known if item.name.casefold() == sub.strip().casefold()), None)
    if found is None:
        names = ", ".join(item.name for item in known) or "nobody"
        raise NotFound(
            f"{buyer} named no {sub.strip()!r}; it named {names}.", "Take the buyer's answer first, with names."
        )
    facts = ReplyFacts(
        None,
        None,
        answer.reached,
        answer.person,
        answer.stock,
        answer.sold,
        answer.returned,
        answer.destroyed,
        answer.note,
    )
    with desk.entry(f"{case.kind}: {found.name} answered", why=answer.note) as entry:
        entries.take_sub_reply(entry, case.id, found.id, facts)
    return look_at(desk, case)


def _held(desk: Desk, case: CaseSeen, buyer: str) -> tuple[int, str, dict[int, int]]:
    ref = named_id(desk.records, "buyer", buyer)
    name = recalls.buyers(desk.records, [ref])[ref].name
    return ref, name, held_by(ref, placed_now(desk.records, last_scope(scopes_of(desk.records, case.id))))


def _has_nothing(name: str) -> Refused:
    return Refused(f"{name} has none of these packs by the record.", "Look at the call sheet for those who have.")


def count_house(desk: Desk, case: CaseSeen, packs: int, run: str = "", note: str = "") -> RecallState:
    """Packs of the scope that were found in the house, of one run or of all. Refused when more than the record has here."""
    ref = thing_of(desk.records, run, [Kind.RUN], "a count by lot").id if run else None
    with desk.entry(f"{case.kind}: house counted", why=note) as entry:
        placed = placed_now(entry.records, last_scope(scopes_of(entry.records, case.id)))
        here = sum(item.packs.count for item in placed if item.place in HERE and ref in (None, item.run))
        entries.take_reply(entry, case.id, ReplyFacts(None, ref, stock=packs, note=note), here, HOUSE.capitalize())
    return look_at(desk, case)


def count_lots(desk: Desk, case: CaseSeen, found: Mapping[int, int]) -> RecallState:
    """Packs of each run (id) of the scope that were found in the house, counted lot by lot, in one entry."""
    with desk.entry(f"{case.kind}: house counted") as entry:
        placed = placed_now(entry.records, last_scope(scopes_of(entry.records, case.id)))
        for run, packs in found.items():
            here = sum(item.packs.count for item in placed if item.place in HERE and item.run == run)
            entries.take_reply(entry, case.id, ReplyFacts(None, run, stock=packs), here, HOUSE.capitalize())
    return look_at(desk, case)


def draw_checks(desk: Desk, case: CaseSeen, level: str, seed: int, percent: int | None = None) -> RecallState:
    """Draw the buyers that an effectiveness check asks."""
    state = look_at(desk, case)
    chosen = check_level(level)
    size = sample_size(chosen, len(state.calls), percent)
    with desk.entry(f"{case.kind} check drawn") as entry:
        entries.draw_check(
            entry, case.id, draw_sample([call.buyer for call in state.calls], size, seed), chosen.name, seed
        )
    return look_at(desk, case)


def check_result(desk: Desk, case: CaseSeen, buyer: str, result: str, note: str = "") -> RecallState:
    """What the check found at a buyer that was drawn."""
    ref = named_id(desk.records, "buyer", buyer)
    made = [check for check in recalls.checks_of(desk.records, case.id) if check.buyer == ref]
    if not made:
        raise NotFound(f"{buyer} was not drawn for a check.", "Draw one first: check --level A.")
    with desk.entry(f"{case.kind} check") as entry:
        entries.check_result(entry, made[-1].id, result, note)
    return look_at(desk, case)


def pause(desk: Desk, case: CaseSeen, why: str) -> RecallState:
    """Stop the clock."""
    with desk.entry(f"pause {case.kind}", why=why) as entry:
        entries.pause(entry, case.id, why)
    return look_at(desk, case)


def resume(desk: Desk, case: CaseSeen) -> RecallState:
    """Let the clock go on."""
    with desk.entry(f"resume {case.kind}") as entry:
        entries.resume(entry, case.id)
    return look_at(desk, case)


def finish(desk: Desk, case: CaseSeen, signed: str = "", actions: Sequence[str] = ()) -> RecallState:
    """Sign it off, by default with the name of who is at work. What was found is kept as it stands now."""
    state = look_at(desk, case)
    name = signed.strip() or (desk.operator.name if desk.operator else "")
    ended = replace(state.clock, ended=state.clock.now)
    found = {
        "made": state.total.made, "accounted": state.total.accounted, "confirmed": state.total.confirmed,
        "buyers": len(state.calls), "answered": state.answered, "gaps": list(state.gaps),
        "used_s": int(ended.used.total_seconds()), "in_time": ended.in_time, "where": vars(state.total),
    }  # fmt: skip
    with desk.entry(f"finish {case.kind}") as entry:
        entries.end_case(entry, case.id, name, "\n".join(actions), json.dumps(found, sort_keys=True))
    return look_at(desk, recalls.case_of(desk.records, case.id))


def past_drills(desk: Desk) -> list[Past]:
    """Every finished drill as it was found when it was signed, the newest first."""
    return [_past(desk, case) for case in cases(desk.records, DRILL) if case.ended is not None]


def _past(desk: Desk, case: CaseSeen) -> Past:
    found = json.loads(case.found)
    return Past(
        code=case.code, began_with=case.began_with, day=finished_on(desk, case), used=timedelta(seconds=found["used_s"]),
        in_time=found["in_time"], made=found["made"], accounted=found["accounted"], confirmed=found["confirmed"],
        buyers=found["buyers"], answered=found["answered"], gaps=len(found["gaps"]), signed=case.signed,
    )  # fmt: skip


def last_drill(desk: Desk) -> date | None:
    """The day on which the last drill was finished."""
    return max((past.day for past in past_drills(desk)), default=None)


def next_due(desk: Desk) -> Due:
    """When the next drill is due."""
    return due(last_drill(desk), desk.today)
