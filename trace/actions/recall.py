"""Begin a recall or drill from a suspicion, draw a drill, widen and narrow the scope."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from lotwake.trace.actions.common_source import common_source_of, complaint_packs
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.recall_scope import resolve
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.actions.refs import named_id, packs_of
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_of, show_moment
from lotwake.trace.base.ranges import Serials
from lotwake.trace.lineage.trace import packs_in
from lotwake.trace.recall.classes import GOAL_MIN, LEAST_PERCENT, recall_class
from lotwake.trace.recall.common_source import FactorKind, Finding
from lotwake.trace.recall.draw import Candidate, draw_start
from lotwake.trace.recall.scope import must_not_be_empty
from lotwake.trace.recall.state import RecallState, Resolved
from lotwake.trace.records import suspicions
from lotwake.trace.records.entries import recall as entries
from lotwake.trace.records.entries.recall import DRILL, RECALL, CaseFacts
from lotwake.trace.records.find import Kind
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.recalls import CaseSeen, case_named, case_of, suspects_of
from lotwake.trace.records.stock import INSTRUMENTS

DRAWN_WITHIN_DAYS = 365


@dataclass(frozen=True)
class Suspected:
    """One lot, batch, run, or packs of a run (``kind`` and ``id`` of the thing), and why it is suspected."""

    kind: Kind
    id: int
    why: str
    packs: Serials | None = None


@dataclass(frozen=True)
class Start:
    """What a case begins with: in words, and what that suspects. ``seed``: it was drawn."""

    words: str
    suspected: tuple[Suspected, ...]
    seed: int | None = None


@dataclass(frozen=True)
class Terms:
    """Why, and under which targets. ``at``: when the lot was named, None for now; ``goal_min`` minutes."""

    reason: str = ""
    at: datetime | None = None
    goal_min: int = GOAL_MIN
    least_percent: int = LEAST_PERCENT
    contact: bool = False
    hazard_class: str = ""
    depth: str = "retail"


def from_codes(desk: Desk, codes: Sequence[str], packs_only: bool = False) -> Start:
    """Start from lots, batches, runs, packs (``RUN/1-24``), cases, pallets, dispatches or returns.

    A pack's lot code is its run's, so packs and what holds them bring their whole runs, unless ``packs_only``.
    """
    if not codes:
        raise CallError("There is nothing to start from.", "Scan or type a lot, batch, run, pack, case or dispatch.")
    found = [item for code in codes for item in _suspected(desk, code, packs_only)]
    words = ", ".join(_words(desk, code) for code in codes)
    return Start(words, tuple(dict.fromkeys(found)))


def _words(desk: Desk, code: str) -> str:
    if packs := packs_of(desk.records, code):
        return f"packs {packs[1]} of run {packs[0].shown}"
    thing = find_one(desk.records, code, desk.settings.separator)
    return f"{thing.kind} {thing.shown}"


def _suspected(desk: Desk, code: str, packs_only: bool) -> list[Suspected]:
    if packs := packs_of(desk.records, code):
        run, serials = packs
        return [Suspected(Kind.RUN, run.id, "named at the start", serials if packs_only else None)]
    thing = find_one(desk.records, code, desk.settings.separator)
    if thing.kind in (Kind.LOT, Kind.BATCH, Kind.RUN):
        return [Suspected(thing.kind, thing.id, "named at the start")]
    if thing.kind in (Kind.OPERATOR, Kind.PLACE):
        raise CallError(
            "A person or a place cannot be recalled.", "Start from a lot, batch, run, pack, case or dispatch."
        )
    why = f"in {thing.kind} {thing.shown}"
    inside = packs_in(desk.records, thing)
    if not packs_only:
        return [Suspected(Kind.RUN, run, why) for run in sorted(inside)]
    return [Suspected(Kind.RUN, run, why, packs) for run, ranges in sorted(inside.items()) for packs in ranges]


def from_equipment(desk: Desk, equipment: str, since: datetime, until: datetime) -> Start:
    """Start from a time window on a piece of equipment: every batch that was in or on it."""
    ref = named_id(desk.records, "equipment", equipment)
    span = f"{show_moment(since, desk.zone)} to {show_moment(until, desk.zone)}"
    found = suspicions.batches_at(desk.records, ref, since, until)
    words = f"{equipment} from {span}"
    return Start(words, tuple(Suspected(Kind.BATCH, batch, f"in {words}") for batch in found))


def from_instrument(desk: Desk, instrument: str, since: datetime | None = None, until: datetime | None = None) -> Start:
    """Start from a failed instrument: every batch whose evidence rests on it, since it last passed its check."""
    ref = named_id(desk.records, "equipment", instrument)
    kind = desk.records.value("SELECT kind FROM equipment WHERE id = ?", ref)
    if kind not in INSTRUMENTS:
        raise CallError(f"{instrument} is a {kind}, not an instrument.", "Start from a time window on it instead.")
    last = until or desk.now
    good = since or suspicions.last_good_check(desk.records, ref, last)
    begin = good or instant_of("1970-01-01T00:00:00Z")
    found = suspicions.batches_read_with(desk.records, ref, begin, last)
    words = f"{instrument} failed, " + (f"readings since {show_moment(good, desk.zone)}" if good else "all readings")
    return Start(words, tuple(Suspected(Kind.BATCH, batch, f"read with {instrument}") for batch in found))


_SUSPECT_OF = {
    FactorKind.LOT: Kind.LOT, FactorKind.MATERIAL: Kind.LOT, FactorKind.BATCH: Kind.BATCH, FactorKind.RUN: Kind.RUN,
}  # fmt: skip


def from_complaints(desk: Desk, codes: Sequence[str]) -> Start:
    """Start from complaint packs: their runs, and what they share beyond chance, if anything stands out."""
    packs = complaint_packs(desk, codes)
    found = common_source_of(desk, packs)
    own = [Suspected(Kind.RUN, run, "a complaint pack is of this run") for run in sorted({run for run, _ in packs})]
    shared = [item for finding in found.first for item in _behind(finding)]
    return Start(f"{len(set(packs))} complaint packs", tuple(dict.fromkeys((*own, *shared))))


def _behind(finding: Finding) -> list[Suspected]:
    """The lots and batches of a finding; where it is a brine, a machine, a person or a day, the runs that carry it."""
    names = "; ".join(f"{factor.kind} {factor.name}" for factor in finding.factors[:3])
    why = f"the complaints share beyond chance: {names}"
    direct = [Suspected(_SUSPECT_OF[item.kind], item.ref, why) for item in finding.factors if item.kind in _SUSPECT_OF]
    return direct or [Suspected(Kind.RUN, run, why) for run in finding.runs]


def drawn(desk: Desk, seed: int) -> tuple[Start, list[Candidate]]:
    """Draw what a drill starts from, among the lots of the last year that are in packs; also those it was drawn from."""
    rows = suspicions.lots_in_packs(desk.records, desk.now - timedelta(days=DRAWN_WITHIN_DAYS))
    known = [
        Candidate(lot, code, name, (desk.now - instant_of(received)).days, runs)
        for lot, code, name, received, runs in rows
    ]
    chosen = draw_start(known, seed)
    words = f"lot {show_code(chosen.code)} ({chosen.name}), drawn"
    return Start(words, (Suspected(Kind.LOT, chosen.lot, f"drawn with seed {seed}"),), seed), known


def begin(desk: Desk, kind: str, start: Start, terms: Terms) -> RecallState:
    """Begin a recall or drill. The clock starts when the lot was named. Refused when the scope is empty.

    A recall puts what it suspects on hold, and with it everything made from it that is in the house; a drill only lists it.
    """
    reason = terms.reason.strip() or ("practice" if kind == DRILL else "")
    hazard = recall_class(terms.hazard_class).name if terms.hazard_class else ""
    at = terms.at or desk.clock.now()
    facts = CaseFacts(
        kind,
        start.words,
        reason,
        at,
        terms.goal_min,
        terms.least_percent,
        hazard,
        terms.depth,
        terms.contact,
        start.seed,
    )
    with desk.entry(f"begin {kind}", min(at, desk.now), reason) as entry:
        case, _ = entries.begin_case(entry, facts, desk.day(at))
        _suspect(entry, case, start.suspected)
        found = _keep(entry, case, terms.contact, f"begun with {start.words}")
        if kind == RECALL:
            _hold(entry, case, start.suspected, found, terms.contact)
    return look_at(desk, case_of(desk.records, case))


def _suspect(entry: Entry, case: int, items: Sequence[Suspected], taken_out: bool = False) -> None:
    for item in items:
        lot, work = (item.id, None) if item.kind is Kind.LOT else (None, item.id)
        entries.suspect(entry, case, lot, work, item.packs, item.why, taken_out)


def _keep(entry: Entry, case: int, contact: bool, why: str) -> Resolved:
    found = resolve(entry.records, suspects_of(entry.records, case), contact)
    must_not_be_empty(found.packs, sum(item.g for item in found.unpacked))
    entries.keep_scope(entry, case, why, [(part.run, part.packs, part.contact) for part in found.parts], found.fish_g)
    return found


def _hold(entry: Entry, case: int, items: Sequence[Suspected], found: Resolved, contact: bool) -> None:
    """Hold the suspects; packs by their run. Batches reached by contact alone are held each by itself."""
    for kind, ref in dict.fromkeys((item.kind, item.id) for item in items):
        entries.hold_for(entry, case, *((ref, None) if kind is Kind.LOT else (None, ref)))
    if contact:
        for kind, ref in sorted(found.reach.by_contact):
            if kind is Kind.BATCH:
                entries.hold_for(entry, case, None, ref)


def widen(desk: Desk, case: CaseSeen, codes: Sequence[str], why: str, packs_only: bool = False) -> RecallState:
    """Bring more under suspicion, with the reason; without codes, take in what was made since the scope was kept."""
    added = [] if not codes else [
        Suspected(item.kind, item.id, why, item.packs) for item in from_codes(desk, codes, packs_only).suspected
    ]  # fmt: skip
    with desk.entry(f"widen {case.kind}", why=why) as entry:
        entries.must_be_open(entry, case.id)
        _suspect(entry, case.id, added)
        found = _keep(entry, case.id, case.contact, why)
        if case.kind == RECALL:
            _hold(entry, case.id, added, found, case.contact)
    return look_at(desk, case)


def narrow(desk: Desk, case: CaseSeen, codes: Sequence[str], why: str, packs_only: bool = False) -> RecallState:
    """Take something out of the scope, with the reason. What a recall put on hold stays held until it is released by name.

    Refused when nothing of it was in the scope, or nothing would be left.
    """
    items = from_codes(desk, codes, packs_only).suspected
    with desk.entry(f"narrow {case.kind}", why=why) as entry:
        before = resolve(entry.records, suspects_of(entry.records, case.id), case.contact)
        _suspect(entry, case.id, [Suspected(item.kind, item.id, why, item.packs) for item in items], taken_out=True)
        after = _keep(entry, case.id, case.contact, why)
        if (before.parts, before.unpacked) == (after.parts, after.unpacked):
            raise Refused(
                "Nothing changes: what is taken out is not in the scope, or everything in it comes from elsewhere too.",
                "Look at the scope, and take out what nothing else leads to.",
            )
    return look_at(desk, case)


def named(desk: Desk, kind: str, code: str) -> CaseSeen:
    """The recall or drill with this code, or the open one."""
    return case_named(desk.records, kind, code)
