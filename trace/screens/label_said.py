"""What came of labels that were made: GOOD only when they are out; else what they wait for and how they are seen to."""

from __future__ import annotations

from collections.abc import Sequence

from lotwake.trace.actions.label_jobs import Sent
from lotwake.trace.actions.labels import Printed
from lotwake.trace.records.stock import PRINTED, WAITING
from lotwake.trace.screens.result import Result


def made_result(made: str, printed: Sequence[Printed], undo: str, then: str = "") -> Result:
    """``made`` says what was made, ``undo`` and ``then`` what may follow when its labels are out."""
    late = next((each.sent for each in printed if each.sent.state != PRINTED), None)
    if late is not None:
        return late_result(made, late)
    return Result.good(made, "   ".join(filter(None, (undo, found_words(printed), then))))


def late_result(made: str, sent: Sent) -> Result:
    """Labels that were made and have not come out for certain."""
    why = sent.reason.rstrip(".") or "nobody knows whether they came out"
    if sent.state == WAITING:
        return Result.check(f"{made}; labels not printed: {why}", f"/labels: send job {sent.job}, or give it up")
    return Result.check(f"{made}: {why}", f"look at the printer; then /labels, job {sent.job}: came out or not")


def done_word(printed: Sequence[Printed]) -> str:
    """``printed`` when all of it came out, else ``made``."""
    return "printed" if all(each.sent.state == PRINTED for each in printed) else "made"


def found_words(printed: Sequence[Printed]) -> str:
    """How much was found about these labels that does not keep them from printing."""
    count = max((len(each.findings) for each in printed), default=0)
    return f"F4: {count} note{'' if count == 1 else 's'}" if count else ""
