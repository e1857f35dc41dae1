"""Prints that stand in the way of another: one that came out asks for a reason, one that is still open is seen to first.

Otherwise the same label could come out twice: once again, and once when the job that waited is sent.
"""

from __future__ import annotations

from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.ranges import Serials, common, in_words
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.packing import PrintSeen, open_prints, prints_of
from lotwake.trace.records.stock import FAILED, WAITING


def printed_before(desk: Desk, thing: Thing, reason: str) -> bool:
    """Whether the label of this case or the card of this batch came out before.

    Refused while a print of it is open, and when it came out and no reason is given to print it again.
    """
    refuse_while_open(desk, thing)
    if not any(seen.state != FAILED for seen in prints_of(desk.records, thing)):
        return False
    if not reason:
        what = "its card" if thing.kind is Kind.BATCH else "its label"
        raise Refused(
            f"{str(thing.kind).capitalize()} {thing.shown} has {what} already.", "Say why it is printed again."
        )
    return True


def refuse_while_open(desk: Desk, thing: Thing, serials: Serials | None = None) -> None:
    """Refused while a print of this thing, or of some of these packs, waits or is not known to have come out."""
    for seen in open_prints(desk.records):
        if seen.thing == thing and (serials is None or seen.packs is None or common([seen.packs], [serials])):
            raise Refused(f"{_what(seen)} {_how(seen)} (job {seen.job}).", _todo(seen))


def _what(seen: PrintSeen) -> str:
    if seen.packs is not None:
        return f"Labels {in_words([seen.packs])} of run {seen.thing.shown}"
    return f"The {'card' if seen.thing.kind is Kind.BATCH else 'label'} of {seen.thing.kind} {seen.thing.shown}"


def _how(seen: PrintSeen) -> str:
    return "waits for the printer" if seen.state == WAITING else "was sent, and nobody knows what came out"


def _todo(seen: PrintSeen) -> str:
    if seen.state == WAITING:
        return f"Send it: lotwake label send {seen.job}, or elsewhere with --to; or give it up: label settle {seen.job} not."
    return f"Look at the printer, then say: lotwake label settle {seen.job} came-out, or not."
