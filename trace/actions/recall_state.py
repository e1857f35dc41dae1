"""Look at a recall or drill: where every pack of its scope is, what is open, what to do next."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.recall_scope import key_of, last_scope, resolve
from lotwake.trace.actions.trace import trace_both
from lotwake.trace.base.moments import day_of, instant_of
from lotwake.trace.base.ranges import counted, without
from lotwake.trace.lineage.trace import shares_of
from lotwake.trace.recall.drill import Clock, Pause, gaps, next_step
from lotwake.trace.recall.notices import Call, SubBuyer, eaten_as_it_is, in_calling_order, risk_of
from lotwake.trace.recall.reconcile import AtBuyer, Reconciled, reconcile
from lotwake.trace.recall.replies import Reply, State, in_force
from lotwake.trace.recall.scope import ScopePart, placed_in
from lotwake.trace.recall.state import RecallState, Resolved, TracedBack, Weighed
from lotwake.trace.recall.timeline import timeline
from lotwake.trace.records import facts, recalls
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.recall import MADE
from lotwake.trace.records.find import Thing
from lotwake.trace.records.pack_places import places_of
from lotwake.trace.records.recalls import CaseSeen, NoticeSeen, ReplySeen, SubBuyerSeen, SuspectSeen


def look_at(desk: Desk, case: CaseSeen) -> RecallState:
    """The state of a case now, in one state of the record."""
    with desk.records.snapshot():
        return _look_at(desk, case)


def _look_at(desk: Desk, case: CaseSeen) -> RecallState:
    records = desk.records
    suspects, scopes = recalls.suspects_of(records, case.id), recalls.scopes_of(records, case.id)
    notices, replies = recalls.notices_of(records, case.id), recalls.replies_of(records, case.id)
    scope = last_scope(scopes)
    now_reached = resolve(records, suspects, case.contact)
    places = places_of(records, {part.run for part in scope})
    placed = placed_in(scope, places.packs)
    found = reconcile(scope, placed, places.came_back, [_reply(reply) for reply in replies])
    runs = facts.runs(records, {part.run for part in scope})
    calls = _calls(desk, case, found, runs, notices, replies)
    clock = _clock(desk, case)
    grown = _grown(scope, now_reached)
    names = {buyer: seen.name for buyer, seen in recalls.buyers(records, _named(notices, replies)).items()}
    problems = [f"{grown} more packs come from what is suspected than the scope has: widen it."] if grown else []
    problems += [f"The record has {counted(p for _, p in places.doubtful)} packs in two places: verify it."] * bool(
        places.doubtful
    )
    return RecallState(
        case=case, zone=desk.zone, clock=clock, suspects=tuple(suspects), scopes=tuple(scopes), found=found,
        placed=tuple(placed), runs=runs,
        calls=calls, unpacked=now_reached.unpacked, traced_back=_traced_back(records, found, runs),
        weighed=_weighed(desk, suspects), notices=tuple(notices), replies=tuple(replies),
        checks=tuple(recalls.checks_of(records, case.id)), held=tuple(recalls.holds_for(records, case.id)), grown=grown,
        gaps=gaps(found, calls, problems), next_step=next_step(clock, found, calls, bool(notices), desk.zone),
        steps=timeline(clock, case, scopes, notices, replies, names),
    )  # fmt: skip


def _reply(seen: ReplySeen) -> Reply:
    return Reply(
        seen.buyer, seen.run, seen.reached, seen.at, seen.person, seen.stock, seen.sold, seen.returned, seen.destroyed,
        seen.note, seen.id,
    )  # fmt: skip


def _grown(scope: Sequence[ScopePart], reached: Resolved) -> int:
    return sum(
        counted(without([part.packs], [known.packs for known in scope if known.run == part.run]))
        for part in reached.parts
    )


def _clock(desk: Desk, case: CaseSeen) -> Clock:
    pauses = tuple(
        Pause(instant_of(pause.at), None if pause.until is None else instant_of(pause.until), pause.why)
        for pause in recalls.pauses_of(desk.records, case.id)
    )
    ended = None if case.ended is None else instant_of(case.ended)
    return Clock(instant_of(case.at), desk.clock.now(), ended, pauses, case.goal_min)


def _calls(
    desk: Desk,
    case: CaseSeen,
    found: Reconciled,
    runs: dict[int, facts.RunSeen],
    notices: Sequence[NoticeSeen],
    replies: Sequence[ReplySeen],
) -> tuple[Call, ...]:
    known = recalls.buyers(desk.records, (at.buyer for at in found.buyers))
    eaten = recalls.how_eaten(desk.records, runs)
    named = recalls.sub_buyers_of(desk.records, case.id)
    calls = []
    for at in found.buyers:
        buyer = known[at.buyer]
        told = [notice.at for notice in notices if notice.buyer == at.buyer and notice.how != MADE]
        asked = max([*told, *(reply.at for reply in replies if reply.buyer == at.buyer)], default="")
        rank, risk = min(
            risk_of(eaten_as_it_is(*eaten[run]), date.fromisoformat(runs[run].best_before), desk.today)
            for run in at.held
        )
        counted = {
            reply.id for reply in in_force([_reply(seen) for seen in replies if seen.buyer == at.buyer]).values()
        }
        call = Call(
            buyer=at.buyer, name=buyer.name, phone=buyer.phone, email=buyer.email, packs=at.packs, risk=risk,
            g=sum(runs[run].g_of(*packs) for run, packs in at.packs_of.items()), state=_state(at, bool(told)), asked=asked,
            subs=tuple(_sub_buyer(sub) for sub in named if sub.reply in counted),
        )  # fmt: skip
        calls.append((rank, call))
    return in_calling_order(calls)


def _sub_buyer(seen: SubBuyerSeen) -> SubBuyer:
    return SubBuyer(**{name: value for name, value in vars(seen).items() if name != "reply"})


def _state(at: AtBuyer, told: bool) -> State:
    return State.WAITING if told and at.settled.state is State.TO_TELL else at.settled.state


def _traced_back(records: Records, found: Reconciled, runs: dict[int, facts.RunSeen]) -> tuple[TracedBack, ...]:
    grams: dict[int, Fraction] = defaultdict(Fraction)
    for run, shares in shares_of(records, sorted(runs)).items():
        for share in shares:
            grams[share.lot] += share.mixed * runs[run].g_of(*found.packs_of[run])
    lots = facts.lots(records, grams)
    return tuple(
        TracedBack(lot.code, lot.english, lot.sender, lot.mark, lot.their_code, lot.landed_on, lot.area or "",
                   round(grams[lot.id]))
        for lot in sorted(lots.values(), key=lambda lot: (-grams[lot.id], lot.id))
    )  # fmt: skip


def _weighed(desk: Desk, suspects: Iterable[SuspectSeen]) -> tuple[Weighed, ...]:
    return tuple(
        Weighed(item.code, str(kind), trace_both(desk, Thing(kind, ref, item.code)).balance)
        for item in suspects
        if not item.taken_out
        for kind, ref in [key_of(item)]
    )


def _named(notices: Sequence[NoticeSeen], replies: Sequence[ReplySeen]) -> set[int]:
    return {notice.buyer for notice in notices} | {reply.buyer for reply in replies if reply.buyer is not None}


def finished_on(desk: Desk, case: CaseSeen) -> date:
    """The day at the house on which a case was signed, or today."""
    return day_of(desk.now if case.ended is None else instant_of(case.ended), desk.zone)
