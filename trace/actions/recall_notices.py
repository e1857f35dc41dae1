"""The notices to the buyers of a recall or drill, as they are to be printed and sent."""

from __future__ import annotations

from datetime import date

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.recall_scope import last_scope, placed_now
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.moments import instant_of, show_day
from lotwake.trace.recall.notices import Goods, Notice, Party
from lotwake.trace.recall.reconcile import AtBuyer
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records import facts, recalls
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries import recall as entries
from lotwake.trace.records.entries.recall import MADE
from lotwake.trace.records.recalls import CaseSeen, how_eaten


def notices(desk: Desk, state: RecallState) -> list[Notice]:
    """The notice to every buyer, in the order of the call sheet."""
    house = _house(desk.records)
    by = desk.operator.name if desk.operator else ""
    at_buyer = {at.buyer: at for at in state.found.buyers}
    known = recalls.buyers(desk.records, at_buyer)
    goods = {at.buyer: _goods(desk, state, at) for at in state.found.buyers}
    return [
        Notice(
            buyer=Party(known[call.buyer].name, call.phone, call.email, known[call.buyer].address), house=house,
            code=state.case.shown, practice=state.practice, reason=state.case.reason, hazard_class=state.case.hazard_class,
            depth=state.case.depth, goods=goods[call.buyer], by=by, day=show_day(desk.today),
        )
        for call in state.calls
    ]  # fmt: skip


def _house(records: Records) -> Party:
    name, phone, address = records.one("SELECT name, phone, address FROM site ORDER BY id LIMIT 1") or ("", "", "")
    return Party(name, phone, "", address)


def _goods(desk: Desk, state: RecallState, at: AtBuyer) -> tuple[Goods, ...]:
    sent = facts.dispatches(desk.records, at.dispatches)
    eaten = how_eaten(desk.records, at.held)
    placed = placed_now(desk.records, last_scope(state.scopes))
    made = []
    for run, packs in at.held.items():
        seen = state.runs[run]
        on = sorted({item.dispatch for item in placed if item.run == run and item.buyer == at.buyer and item.dispatch})
        made.append(
            Goods(
                product=seen.product, gtin=seen.gtin, pack=seen.pack, g=seen.g_of(*at.packs_of[run]), lot=seen.code,
                packs=packs,
                best_before=show_day(date.fromisoformat(seen.best_before)), documents=tuple(sent[ref].document for ref in on),
                sent=tuple(show_day(desk.day(instant_of(sent[ref].at))) for ref in on), serving=eaten[run][0],
            )
        )  # fmt: skip
    return tuple(made)


def note_papers(desk: Desk, case: CaseSeen, state: RecallState) -> None:
    """Write down that the letters and the call sheet were made."""
    if not state.calls:
        raise Refused("Nothing of this scope is with a buyer.", "There is nobody to tell.")
    with desk.entry(f"{case.kind} notices") as entry:
        for call in state.calls:
            entries.note_notice(entry, case.id, call.buyer, MADE, call.packs)
