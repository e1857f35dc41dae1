"""Goods that leave to a buyer, and goods that come back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lotwake.trace.base.codes import CodeKind, make_code, show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.ranges import Serials, common, counted, in_words, without
from lotwake.trace.records.entries.packs import must_be_loose_by
from lotwake.trace.records.entries.rules import must_be_free, must_be_serials, must_follow, must_say
from lotwake.trace.records.entries.units import leave_pallet_behind, must_be_settled_by, runs_in, sscc_text
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import packs_away, unit_dispatch, unit_parent, units_within

Packs = tuple[int, Serials]
"""Loose packs: the run's id and the serials."""


@dataclass(frozen=True)
class DispatchFacts:
    """Goods leaving to one buyer on one document."""

    buyer: int
    document: str
    at: datetime
    carrier: str = ""


def send(
    entry: Entry, facts: DispatchFacts, units: Sequence[int], packs: Sequence[Packs], code_day: date
) -> tuple[int, str]:
    """Send cases, pallets and loose packs; the dispatch's id and code are given back."""
    if not units and not packs:
        raise CallError("A dispatch needs goods.", "Scan the cases that leave.")
    at = instant_text(facts.at)
    if entry.anything_held():
        must_be_free(entry, sorted({*runs_in(entry, units), *(run for run, _ in packs)}))
    code = make_code(CodeKind.DISPATCH, code_day, entry.take(f"dispatch:{code_day:%y%j}"))
    dispatch = entry.add(
        "dispatch", code=code, buyer=facts.buyer, document=facts.document.strip() or code, carrier=facts.carrier, at=at
    )
    for unit in units:
        _send_unit(entry, dispatch, unit, at)
    for run, serials in packs:
        must_be_loose_by(entry, run, serials, "The dispatch", at)
        entry.add("dispatch_packs", run=run, first=serials.first, last=serials.last, dispatch=dispatch)
    return dispatch, code


def _send_unit(entry: Entry, dispatch: int, unit: int, at: str) -> None:
    shown = sscc_text(unit)
    if unit_parent(entry.records, unit) is not None:
        raise Refused(f"{shown} stands on a pallet.", "Send the pallet, or take it off first.")
    for inside in units_within(entry.records, unit):
        if unit_dispatch(entry.records, inside) is not None:
            raise Refused(f"{sscc_text(inside)} is not in the house.", "It was sent already.")
        must_be_settled_by(entry, inside, "The dispatch", at)
        entry.add("dispatch_line", unit=inside, dispatch=dispatch, top=int(inside == unit))
    if not runs_in(entry, [unit]):
        raise Refused(f"{shown} is empty.", "Send what the packs are in.")


@dataclass(frozen=True)
class ReturnFacts:
    """Goods coming back from a buyer, and why."""

    buyer: int
    reason: str
    at: datetime
    document: str = ""


def take_back(
    entry: Entry, facts: ReturnFacts, units: Sequence[int], packs: Sequence[Packs], code_day: date
) -> tuple[int, str]:
    """Take goods back into the house; the return's id and code are given back. What came back may be sent again."""
    if not units and not packs:
        raise CallError("A return needs goods.", "Scan what came back.")
    at = instant_text(facts.at)
    code = make_code(CodeKind.RETURN, code_day, entry.take(f"return:{code_day:%y%j}"))
    made = entry.add(
        "goods_return", code=code, buyer=facts.buyer, document=facts.document, at=at,
        reason=must_say("The reason for the return", facts.reason),
    )  # fmt: skip
    for unit in units:
        _take_unit_back(entry, facts, made, unit)
    for run, serials in packs:
        _take_packs_back(entry, facts, made, run, serials)
    return made, code


def _take_unit_back(entry: Entry, facts: ReturnFacts, made: int, unit: int) -> None:
    dispatch = unit_dispatch(entry.records, unit)
    if dispatch is None:
        raise Refused(f"{sscc_text(unit)} is in the house.", "Only what was sent can come back.")
    _must_be_theirs(entry, facts, dispatch, sscc_text(unit))
    leave_pallet_behind(entry, unit, facts.at)
    for inside in units_within(entry.records, unit):
        entry.add("return_line", unit=inside, goods_return=made, dispatch=dispatch)


def _take_packs_back(entry: Entry, facts: ReturnFacts, made: int, run: int, serials: Serials) -> None:
    """Loose packs come back from the dispatch they left on."""
    must_be_serials(serials)
    code = entry.records.value("SELECT code FROM run WHERE id = ?", run)
    left = [serials]
    for dispatch, away in packs_away(entry.records, run):
        for part in common(left, away):
            _must_be_theirs(entry, facts, dispatch, f"Packs {part} of run {show_code(code)}")
            entry.add(
                "return_packs", run=run, first=part.first, last=part.last, goods_return=made, dispatch=dispatch
            )  # fmt: skip
        left = without(left, away)
    if counted(left):
        raise Refused(
            f"Packs {in_words(left)} of run {show_code(code)} were not sent loose, or are back already.",
            "Packs sent in a case come back with their case.",
        )


def _must_be_theirs(entry: Entry, facts: ReturnFacts, dispatch: int, what: str) -> None:
    buyer, name, sent = entry.records.one(
        "SELECT d.buyer, b.name, d.at FROM dispatch d JOIN buyer b ON b.id = d.buyer WHERE d.id = ?", dispatch
    ) or (0, "", "")
    if buyer != facts.buyer:
        raise Refused(f"{what} was sent to {name}.", "Take it back from that buyer.")
    must_follow(entry, "The return", instant_text(facts.at), "the dispatch", sent)
