"""What the recall page says, as plain text and rows: head, amounts, board, figures, steps, past drills."""

from __future__ import annotations

from collections.abc import Sequence

from lotwake.trace.actions.recall_figures import Figure
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import show_day, show_moment
from lotwake.trace.base.units import show_mass
from lotwake.trace.recall.board import Line, amounts, board
from lotwake.trace.recall.drill import Clock, Due, Past, clock_text, percent
from lotwake.trace.recall.replies import PARTS
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.recalls import CaseSeen
from lotwake.trace.screens.said import kg
from lotwake.trace.screens.widgets import Row

_BAR = 40


def head_lines(state: RecallState) -> tuple[str, str]:
    """Which case, and the one thing to do next."""
    case = state.case
    kind = "DRILL (practice)" if state.practice else "RECALL in earnest"
    return f"{kind}   {case.shown}   {state.word}   {case.began_with}", f"NEXT  {state.next_step}"


def clock_lines(clock: Clock) -> tuple[str, str]:
    """The time used, large, and the line under it."""
    goal = clock_text(clock.used + clock.left).removesuffix(":00")
    if clock.ended is not None:
        return clock_text(clock.used), f"goal {goal}: {'met' if clock.in_time else 'NOT met'}"
    if clock.paused:
        return clock_text(clock.used), f"PAUSED, goal {goal}"
    left = clock_text(clock.left) if clock.in_time else f"{clock_text(-clock.left)} over"
    return clock_text(clock.used), f"goal {goal}   {'left ' if clock.in_time else ''}{left}"


def amount_lines(state: RecallState, width: int) -> list[str]:
    """The packs of the scope by where they are, with bars, and the two percentages."""
    total = state.total
    bar = max(4, min(_BAR, width - 44))
    said = [
        f"{item.word:<10} {item.packs:>6,} {kg(item.g) if item.g is not None else '-':>9} kg {item.percent:>4} %  "
        + "#" * round(bar * item.packs / max(1, total.made))
        for item in amounts(state)
    ]
    known = f"{state.accounted_percent:g} % known, target {state.case.least_percent} or more"
    return [
        f"WHERE THE {total.made:,} PACKS, {show_mass(state.total_g)} ARE",
        *said,
        f"{known}; {state.confirmed_percent:g} % confirmed",
    ]


def board_rows(state: RecallState) -> list[Row]:
    """One row for each place or buyer."""
    return [Row(f"{line.about}:{line.key}", _cells(line)) for line in board(state)]


def _cells(line: Line) -> tuple[str, ...]:
    packs = "" if line.packs is None else f"{line.packs:,}"
    return line.state, line.who, line.what, packs, _kg(line.g), line.next


def _kg(grams: int | None) -> str:
    return "" if grams is None else kg(grams)


def gaps_line(state: RecallState) -> str:
    """The gaps in one line, the worst first."""
    if not state.gaps:
        return "NO GAP: everything is accounted for."
    return f"{len(state.gaps)} GAP{'S' if len(state.gaps) > 1 else ''}   {'  '.join(state.gaps)}"


def figure_rows(state: RecallState, figures: Sequence[Figure]) -> list[Row]:
    """Every figure of the reconciliation; each can be opened. Then the mass balance and the lots it is traced back to."""
    rows = [
        Row(f"figure:{at}", (show_code(state.runs[item.run].code), PARTS[item.part], f"{item.packs:,}",
                             _kg(state.part_g(item.run, item.part)), f"{len(item.records)} to open"))
        for at, item in enumerate(figures)
    ]  # fmt: skip
    for run, tally in state.found.by_run.items():
        seen = state.runs[run]
        rows.append(Row(f"code:{seen.code}", (show_code(seen.code), f"made, {seen.product}", f"{tally.made:,}",
                                              kg(seen.g_of(*state.found.packs_of[run])), "open")))  # fmt: skip
    for item in state.weighed:
        said = "BALANCED" if item.balance.balanced else f"gap {show_mass(item.balance.gap_g)}"
        what = f"mass balance of this {item.kind}: {said}"
        rows.append(Row(f"trace:{item.code}", (show_code(item.code), what, "", kg(item.balance.boats_g), "trace")))
    for lot in state.traced_back:
        what = f"{lot.english} of {lot.sender} {lot.mark}, {lot.landed_on}".replace(" ,", ",")
        rows.append(Row(f"code:{lot.code}", (show_code(lot.code), what, "", kg(lot.g), "open")))
    return rows


def record_rows(figure: Figure) -> list[Row]:
    """The records behind one figure."""
    return [
        Row(f"code:{item.opens}", (show_code(item.opens), item.what, f"{item.packs:,}", "",
                                   f"{item.first:04d}-{item.last:04d}"))
        for item in figure.records
    ]  # fmt: skip


def step_rows(state: RecallState) -> list[Row]:
    """What was done, with the time the clock showed; then gaps, suspicions, checks and what is on hold."""
    steps = [(clock_text(step.used), show_moment(step.at, state.zone)[-5:], step.what) for step in state.steps]
    suspects = [
        (
            "out" if item.taken_out else "suspect",
            "",
            f"{show_code(item.code)} {item.packs or ''}: {item.why} ({item.by})",
        )
        for item in state.suspects
    ]
    names = {call.buyer: call.name for call in state.calls}
    checks = [
        (
            f"check {check.level}",
            "",
            f"{names.get(check.buyer, '?')}: {check.result or 'to be made'} {check.note}".rstrip(),
        )
        for check in state.checks
    ]
    subs = [
        ("passed on", "", f"{call.name} to {sub.name}, {sub.phone or 'no telephone number'}: {sub.packs} packs, {sub.said}")
        for call in state.calls for sub in call.subs
    ]  # fmt: skip
    held = [("held", "", show_code(code)) for code in state.held]
    gaps = [("GAP", "", text) for text in state.gaps]
    return [Row(str(at), cells) for at, cells in enumerate([*gaps, *reversed(steps), *checks, *subs, *suspects, *held])]


def case_rows(known: Sequence[CaseSeen], past: Sequence[Past]) -> list[Row]:
    """Every recall and drill, those under way first, with what was found for comparison."""
    found = {item.code: item for item in past}
    order = sorted(known, key=lambda case: case.ended is not None)  # the newest first within each
    return [Row(case.code, _case_cells(case, found.get(case.code))) for case in order]


def _case_cells(case: CaseSeen, past: Past | None) -> tuple[str, ...]:
    if past is None:
        state = "OPEN" if case.ended is None else "FINISHED"
        return case.kind.upper(), case.shown, state, "", "", "", "", case.began_with
    return (
        case.kind.upper(), case.shown, show_day(past.day), clock_text(past.used) + ("" if past.in_time else " LATE"),
        f"{percent(past.accounted, past.made):g} %", f"{past.answered} of {past.buyers}", str(past.gaps), past.began_with,
    )  # fmt: skip


def due_line(due: Due) -> str:
    """When the next drill is due."""
    return f"{'OVERDUE: ' if due.overdue and due.on else ''}{due.sentence}"
