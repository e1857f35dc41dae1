"""The report of a drill or recall: result against target, where everything is, who was asked, gaps, actions, sign-off."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import show_moment
from lotwake.trace.base.units import show_mass
from lotwake.trace.recall import paper
from lotwake.trace.recall.board import NOWHERE, house_by_place
from lotwake.trace.recall.classes import DRILL_RULE, LEVEL_SOURCE, MOST_PERCENT, TARGETS_ARE
from lotwake.trace.recall.day_record import printed_hash
from lotwake.trace.recall.drill import clock_text
from lotwake.trace.recall.notices import NO_PHONE, PRACTICE, SubBuyer
from lotwake.trace.recall.replies import PARTS, State, Tally
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.entries.recall import MADE
from lotwake.trace.records.journal import Head


def write_report(state: RecallState, house: str, ends: Head, out: Path) -> None:
    """Write the report; ``ends`` is where the journal stands. MachineFailed when it cannot be written."""
    name = f"{state.case.kind.capitalize()} {state.case.shown}"
    page = [
        paper.title(f"{name}: {state.case.began_with}"), paper.line(_opening(state, house)), paper.gap(),
        *([paper.warning(PRACTICE)] if state.practice else []), *_result(state), *_status_report(state), *_where(state),
        *_buyers(state), *_balance(state), *_traced_back(state), *_timeline(state), *_gaps(state), *_signed(state, ends),
    ]  # fmt: skip
    paper.write(out, name, [page], f"{house}   {name}")


def _opening(state: RecallState, house: str) -> str:
    reason = f" Reason: {state.case.reason}." if not state.practice else ""
    reason += f" Drawn with seed {state.case.seed}." if state.case.seed is not None else ""
    return (
        f"{house}. Begun {show_moment(state.clock.begun, state.zone)} by {state.case.by}; {state.word.lower()}.{reason}"
    )


def _result(state: RecallState) -> list[Any]:
    total, clock = state.total, state.clock
    rows = [
        ("time used", clock_text(clock.used), f"{clock_text(clock.used + clock.left)}", "MET" if clock.in_time else "NOT MET"),
        (
            "accounted for", f"{state.accounted_percent:g} % ({total.accounted} of {total.made} packs)",
            f"{state.case.least_percent}-{MOST_PERCENT} %", "MET" if state.enough else "NOT MET",
        ),
        ("confirmed", f"{state.confirmed_percent:g} % ({total.confirmed} of {total.made} packs)", "-", ""),
    ]  # fmt: skip
    return [
        paper.heading("Result"), paper.table(("", "result", "target", ""), rows, (20, 35, 20, 15), 9.5),
        paper.small(TARGETS_ARE),
        paper.small("Accounted for: in the house, with a known buyer, or gone in a known way. Confirmed: the same without packs"
                    " whose buyer has not answered. Weight lost in smoking is a named loss, not a gap."),
    ]  # fmt: skip


def _status_report(state: RecallState) -> list[Any]:
    """The six lines of a status report."""
    total, calls = state.total, state.calls
    told = {notice.buyer for notice in state.notices if notice.how != MADE} | {
        reply.buyer for reply in state.replies if reply.buyer is not None
    }
    made = [check for check in state.checks if check.result]
    effective = sum(check.result == "effective" for check in made)
    back = total.returned + total.coming_back + total.destroyed + total.destroyed_there
    rows = [
        (
            "1 told",
            f"{len(told)} of {len(calls)} buyers holding packs, by telephone, e-mail or letter; when: see the timeline",
        ),
        ("2 answered", f"{state.answered} buyers; {total.stock} packs still in their stock"),
        ("3 silent", f"{len(calls) - state.answered} buyers"),
        (
            "4 returned or put right",
            f"{back} packs returned, on the way back or destroyed; {total.accounted} accounted for",
        ),
        ("5 effectiveness checks", f"{len(made)} of {len(state.checks)} drawn were made, {effective} effective"),
        ("6 estimated finish", "finished" if state.case.ended else state.next_step),
    ]
    return [
        paper.heading("Status report"), paper.table(("", ""), rows, (22, 78)),
        paper.small(f"The six lines of 21 CFR 7.53 (from memory). Check levels: {LEVEL_SOURCE}."),
    ]  # fmt: skip


def _where(state: RecallState) -> list[Any]:
    total = state.total
    rows = [
        (words, f"{getattr(total, name):,}", f"{100 * getattr(total, name) / max(1, total.made):.1f} %")
        for name, words in PARTS.items()
        if getattr(total, name)
    ]
    rows.append(("made", f"{total.made:,}", show_mass(state.total_g)))
    parts = [paper.heading("Where the packs are"), paper.table(("", ">packs", ">"), rows, (50, 15, 15))]
    parts += [paper.gap(2), _by_run(state)]
    if places := house_by_place(state):
        lying = [(where or NOWHERE, f"{sum(item.packs.count for item in items):,}") for where, items in places.items()]
        said = "as counted" if state.found.counted else "by the record"
        parts += [paper.gap(2), paper.table((f"in the house, {said}", ">packs"), lying, (50, 15))]
    if state.unpacked:
        loose = [(item.kind, show_code(item.code), item.name, show_mass(item.g)) for item in state.unpacked]
        parts += [paper.gap(2), paper.table(("in the house, not packed", "code", "", ">mass"), loose, (20, 20, 40, 12))]
    if state.held:
        parts += [
            paper.line(f"On hold by this recall until released by name: {', '.join(map(show_code, state.held))}.")
        ]
    return parts


def _by_run(state: RecallState) -> Any:
    """One row for each run; only columns in which anything stands."""
    used = [name for name in PARTS if any(getattr(tally, name) for tally in state.found.by_run.values())]
    headings = ("lot", "product", *(f">{PARTS[name]}" for name in used), ">made")
    rows = [
        (show_code(state.runs[run].code), state.runs[run].product, *_figures(tally, used), f"{tally.made}")
        for run, tally in state.found.by_run.items()
    ]
    return paper.table(headings, rows, (16, 22, *[9] * len(used), 8), 7)


def _figures(tally: Tally, names: list[str]) -> Iterator[str]:
    return (str(getattr(tally, name) or "") for name in names)


def _buyers(state: RecallState) -> list[Any]:
    if not state.calls:
        return [paper.heading("Buyers"), paper.line("None of it is with a buyer.")]
    at = {buyer.buyer: buyer.settled for buyer in state.found.buyers}
    rows = []
    for call in state.calls:
        total = at[call.buyer].total
        figures = (total.stock, total.sold_on, total.coming_back, total.destroyed_there, total.unaccounted)
        rows.append((call.name, call.phone_or_warning, call.risk, str(call.packs), call.state, *map(str, figures)))
    headings = (
        "buyer",
        "telephone",
        "risk",
        ">packs",
        "state",
        ">stock",
        ">sold on",
        ">coming back",
        ">destroyed",
        ">not known",
    )
    parts = [paper.heading("Buyers"), paper.table(headings, rows, (22, 17, 15, 8, 12, 8, 8, 9, 12, 9), 7)]
    subs = [
        (call.name, sub.name, sub.phone or NO_PHONE, str(sub.packs), *_answer(state, sub))
        for call in state.calls for sub in call.subs
    ]  # fmt: skip
    if subs:
        passed = ("passed on by", "to", "telephone", ">packs", "state", "answer")
        parts += [paper.gap(2), paper.table(passed, subs, (20, 20, 20, 8, 14, 30), 7)]
    if state.calls and any(call.state is not State.ANSWERED for call in state.calls):
        parts.append(paper.small("Figures of buyers who have not answered stand under: with buyers, not answered."))
    return parts


def _answer(state: RecallState, sub: SubBuyer) -> tuple[str, str]:
    """How far it is with somebody a buyer passed packs on to."""
    return ("-", "not rung in a drill") if state.practice and not sub.at else (str(sub.state), sub.said)


def _balance(state: RecallState) -> list[Any]:
    rows = []
    for item in state.weighed:
        weighed = item.balance
        fish = weighed.fish
        rows.append(
            (f"{item.kind} {show_code(item.code)}", show_mass(weighed.boats_g),
             show_mass(weighed.stored_g + weighed.lot_lost_g),
             show_mass(fish.other_g + fish.rework_g), show_mass(fish.lost_g), show_mass(fish.left_g + fish.elsewhere_g),
             show_mass(fish.packs_g), "BALANCED" if weighed.balanced else f"gap {show_mass(weighed.gap_g)}")
        )  # fmt: skip
    headings = ("from", ">boats", ">not used or lost in store", ">other fish, rework", ">lost in process", ">left, elsewhere",
                ">packs", "")  # fmt: skip
    return [
        paper.heading("Mass balance back to the landing"),
        paper.table(headings, rows, (22, 11, 13, 13, 12, 12, 11, 13), 7.5),
    ]


def _traced_back(state: RecallState) -> list[Any]:
    rows = [
        (show_code(lot.code), lot.english, f"{lot.sender} {lot.mark}".rstrip(), lot.their_code, lot.landed_on, lot.area,
         show_mass(lot.g))
        for lot in state.traced_back
    ]  # fmt: skip
    headings = ("lot", "fish", "from", "their lot", "landed or received", "area", ">in these packs")
    return (
        [paper.heading("Traced back"), paper.table(headings, rows, (17, 15, 24, 13, 14, 10, 13), 7.5)] if rows else []
    )


def _timeline(state: RecallState) -> list[Any]:
    rows = [(clock_text(step.used), show_moment(step.at, state.zone), step.what) for step in state.steps]
    return [paper.heading("Timeline"), paper.table((">clock", "time", "what"), rows, (10, 20, 70))]


def _gaps(state: RecallState) -> list[Any]:
    said = [paper.line(f"- {text}") for text in state.gaps] or [paper.line("None.")]
    parts: list[Any] = [paper.heading("Gaps found"), *said]
    actions = [text for text in state.case.actions.splitlines() if text.strip()]
    return [
        *parts,
        paper.heading("Actions"),
        *([paper.line(f"- {text}") for text in actions] or [paper.line("None written down.")]),
    ]


def _signed(state: RecallState, ends: Head) -> list[Any]:
    when = show_moment(state.clock.ended, state.zone) if state.clock.ended else ""
    name = f"{state.case.signed}, {when}" if state.case.signed else "not signed yet"
    return [
        paper.heading("Signed"),
        paper.line(name),
        paper.gap(8),
        paper.small(DRILL_RULE if state.practice else ""),
        *(paper.small(line) for line in printed_hash(ends.seq, ends.hash)),
    ]
