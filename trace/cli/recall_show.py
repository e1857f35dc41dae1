"""A recall or drill as an answer: stable keys for machines, short lines for a stressed person.

Keys: ``kind``, ``code``, ``shown``, ``state`` (OPEN, PAUSED, FINISHED), ``practice``, ``began_with``, ``reason``,
``begun``, ``by``, ``clock`` (``used_s``, ``goal_s``, ``left_s``, ``paused``, ``in_time``), ``accounted_percent``,
``confirmed_percent``, ``least_percent``, ``enough``, ``where`` (packs by place; they sum to ``made``), ``runs`` (the
same for each run), ``buyers``, ``in_house``, ``unpacked``, ``suspects``, ``scopes``, ``balance``, ``traced_back``,
``checks``, ``board``, ``held``, ``gaps``, ``next``, ``steps``, ``signed``, ``actions``. Packs are counted, masses are whole
grams, moments UTC.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from lotwake.trace.actions.recall_figures import Figure
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import instant_text, show_moment
from lotwake.trace.base.units import show_mass
from lotwake.trace.cli.rows import aligned
from lotwake.trace.recall.board import NOWHERE, board, house_by_place
from lotwake.trace.recall.classes import TARGETS_ARE
from lotwake.trace.recall.drill import clock_text
from lotwake.trace.recall.notices import PRACTICE
from lotwake.trace.recall.reconcile import AtBuyer
from lotwake.trace.recall.replies import PARTS, Tally
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.recalls import SuspectSeen


def state_data(state: RecallState) -> dict[str, Any]:
    """Everything about a case."""
    case, clock = state.case, state.clock
    return {
        "kind": case.kind, "code": case.code, "shown": case.shown, "state": state.word, "practice": state.practice,
        "began_with": case.began_with, "reason": case.reason, "hazard_class": case.hazard_class, "depth": case.depth,
        "contact": case.contact, "seed": case.seed, "begun": case.at, "by": case.by, "ended": case.ended,
        "clock": {
            "used_s": int(clock.used.total_seconds()), "goal_s": clock.goal_min * 60,
            "left_s": int(clock.left.total_seconds()), "paused": clock.paused, "in_time": clock.in_time,
        },
        "accounted_percent": state.accounted_percent, "confirmed_percent": state.confirmed_percent,
        "least_percent": case.least_percent, "enough": state.enough,
        "where": {**_tally(state.total), "g": state.total_g},
        "runs": [_run(state, run, tally) for run, tally in state.found.by_run.items()],
        "buyers": _buyers(state), "in_house": _in_house(state), "in_house_counted": state.found.counted,
        "unpacked": [{**asdict(item), "shown": show_code(item.code)} for item in state.unpacked],
        "suspects": [_suspect(item) for item in state.suspects],
        "scopes": [{"at": scope.at, "by": scope.by, "why": scope.why, "packs": scope.packs, "unpacked_g": scope.g}
                   for scope in state.scopes],
        "grown": state.grown,
        "balance": [{"code": item.code, "kind": item.kind, "balanced": item.balance.balanced, **asdict(item.balance)}
                    for item in state.weighed],
        "traced_back": [asdict(lot) for lot in state.traced_back],
        "boats": sorted({lot.sender for lot in state.traced_back if lot.mark}),
        "checks": [asdict(check) for check in state.checks],
        "board": [asdict(line) for line in board(state)],
        "held": list(state.held), "gaps": list(state.gaps), "next": state.next_step,
        "steps": [{"what": step.what, "at": instant_text(step.at), "used_s": int(step.used.total_seconds())}
                  for step in state.steps],
        "signed": case.signed, "actions": case.actions.splitlines(),
    }  # fmt: skip


def _tally(tally: Tally) -> dict[str, int]:
    return {**asdict(tally), "made": tally.made, "accounted": tally.accounted, "confirmed": tally.confirmed}


def _run(state: RecallState, run: int, tally: Tally) -> dict[str, Any]:
    seen = state.runs[run]
    contact = {part for part, _, by_contact in state.scopes[-1].parts if by_contact}
    return {
        "code": seen.code, "shown": show_code(seen.code), "product": seen.product, "gtin": seen.gtin,
        "best_before": seen.best_before, "net_g": seen.net_g,
        "g": seen.g_of(*state.found.packs_of[run]), "catch_weight": seen.catch_weight,
        "contact": run in contact, **_tally(tally),
    }  # fmt: skip


def _buyers(state: RecallState) -> list[dict[str, Any]]:
    at: dict[int, AtBuyer] = {buyer.buyer: buyer for buyer in state.found.buyers}
    return [
        {
            "buyer": call.name, "phone": call.phone, "email": call.email, "packs": call.packs, "g": call.g,
            "risk": call.risk, "state": str(call.state), "asked": call.asked or None,
            "held": {state.runs[run].code: packs for run, packs in at[call.buyer].held.items()},
            **{name: value for name, value in asdict(at[call.buyer].settled.total).items() if name in _AT_BUYERS},
            "sub_buyers": [{**asdict(sub), "state": str(sub.state)} for sub in call.subs],
        }
        for call in state.calls
    ]  # fmt: skip


_AT_BUYERS = ("waiting", "stock", "sold_on", "coming_back", "destroyed_there", "unaccounted")


def _in_house(state: RecallState) -> list[dict[str, Any]]:
    return [
        {
            "run": state.runs[item.run].code, "first": item.packs.first, "last": item.packs.last, "packs": item.packs.count,
            "case": None if item.unit is None else f"{item.unit:018d}",
            "pallet": None if item.pallet is None else f"{item.pallet:018d}", "came_back": item.came_back,
            "where": item.where,
        }
        for item in state.found.in_house
    ]  # fmt: skip


def _suspect(item: SuspectSeen) -> dict[str, Any]:
    packs = {} if item.packs is None else {"first": item.packs.first, "last": item.packs.last}
    kind = "lot" if item.lot is not None else item.work_kind
    return {
        "kind": kind,
        "code": item.code,
        **packs,
        "taken_out": item.taken_out,
        "why": item.why,
        "at": item.at,
        "by": item.by,
    }


def figures_data(state: RecallState, figures: Sequence[Figure]) -> list[dict[str, Any]]:
    """Every figure with the records behind it; ``opens`` is what ``lotwake find`` takes."""
    return [{**asdict(item), "run": state.runs[item.run].code, "words": PARTS[item.part]} for item in figures]


def figure_lines(state: RecallState, figures: Sequence[Figure]) -> Iterator[str]:
    """The same for people."""
    for item in figures:
        yield f"{show_code(state.runs[item.run].code)}  {item.packs:,} packs {PARTS[item.part]}"
        yield from (
            f"    {show_code(record.opens)}  {record.first}-{record.last}  {record.what}" for record in item.records
        )


def state_lines(state: RecallState) -> Iterator[str]:
    """The clock, the next step, where it all is, whom to ring."""
    case, clock = state.case, state.clock
    yield f"{case.kind.upper()} {case.shown}   {state.word}   {case.began_with}"
    if state.practice:
        yield PRACTICE
    used = f"{clock_text(clock.used)} of {clock_text(clock.used + clock.left)}"
    yield f"Clock {used}, begun {show_moment(clock.begun, state.zone)} by {case.by}."
    yield f"NEXT  {state.next_step}"
    yield ""
    total = state.total
    yield (
        f"{total.made:,} packs, {show_mass(state.total_g)}: {state.accounted_percent:g} % accounted for (target"
        f" {case.least_percent} % or more), {state.confirmed_percent:g} % confirmed."
    )
    yield from aligned(
        (">packs", "where"),
        [(f"{getattr(total, name):,}", words) for name, words in PARTS.items() if getattr(total, name)],
    )
    for where, items in house_by_place(state).items():
        yield f"In the house, {where or NOWHERE}: {sum(item.packs.count for item in items)} packs."
    yield from _unpacked_lines(state)
    if state.calls:
        yield ""
        calls = [
            (call.name, call.phone_or_warning, str(call.packs), show_mass(call.g), call.state, call.risk)
            for call in state.calls
        ]
        yield from aligned(("buyer", "telephone", ">packs", ">mass", "state", "risk"), calls)
    yield ""
    yield from (f"GAP   {text}" for text in state.gaps)
    yield f"Targets: {TARGETS_ARE}"
    if case.ended is not None:
        yield f"Signed by {case.signed}, {show_moment(clock.ended or clock.now, state.zone)}."


def _unpacked_lines(state: RecallState) -> Iterator[str]:
    for item in state.unpacked:
        yield f"In the house and not packed: {show_mass(item.g)} of {item.kind} {show_code(item.code)}, {item.name}."
    if state.held:
        yield f"On hold: {', '.join(show_code(code) for code in state.held)}."
