"""The rules every entry answers to, as sentences: enough mass, right order in time, nothing on hold."""

from __future__ import annotations

from collections.abc import Sequence

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_of, show_moment
from lotwake.trace.base.ranges import Serials
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import REJECT, leads_to, open_hold_above


def must_weigh(what: str, g: int) -> None:
    """A mass that is entered is more than nothing."""
    if g <= 0:
        raise CallError(f"{what} cannot be {show_mass(g)}.", "Enter the weight in kilograms, more than zero.")


def must_be_serials(packs: Serials) -> None:
    """Serial numbers begin at 1 and go up."""
    if packs.first < 1 or packs.last < packs.first:
        raise CallError(f"{packs} is no range of serial numbers.", "Give the first and the last, such as 1 to 24.")


def must_be_there(what: str, left_g: int, wanted_g: int) -> None:
    """Mass is conserved: no more leaves than is there."""
    if wanted_g > left_g:
        raise Refused(
            f"{what} has {show_mass(left_g)} left; {show_mass(wanted_g)} is {show_mass(wanted_g - left_g)} too much.",
            "Weigh again, or correct the entry that is wrong.",
        )


def must_follow(entry: Entry, later_what: str, later: str, earlier_what: str, earlier: str) -> None:
    """Time order, both as stored instants; said in the time of the house."""
    if later < earlier:
        said, since = (show_moment(instant_of(text), entry.zone) for text in (later, earlier))
        raise Refused(f"{later_what} at {said} would come before {earlier_what} at {since}.", "Check both times.")


def must_be_free(entry: Entry, works: Sequence[int], lots: Sequence[int] = ()) -> None:
    """Held or rejected fish cannot move on, and neither can anything made from it."""
    found = open_hold_above(entry.records, works, lots) if entry.anything_held() else None
    if found is not None:
        if found.kind == REJECT:
            raise Refused(
                f"{show_code(found.code)} is rejected: {found.reason}.",
                "Nothing made from it may move; name its grams as waste.",
            )
        raise Refused(
            f"{show_code(found.code)} is on hold: {found.reason}.",
            "Nothing made from it may move until somebody releases it by name and with a reason.",
        )


def must_not_circle(entry: Entry, parent: int, child: int, parent_code: str, child_code: str) -> None:
    """Fish never comes back into a batch or run that it was made from."""
    if parent == child or leads_to(entry.records, child, parent):
        raise Refused(
            f"{show_code(child_code)} is already in {show_code(parent_code)}; fish cannot go round in a circle.",
            "Check which batch went into which.",
        )


def must_say(what: str, text: str) -> str:
    """A text that may not be empty, without the blanks around it."""
    bare = text.strip()
    if not bare:
        raise CallError(f"{what} is missing.", "Say it in a few words.")
    return bare


def one_of(what: str, value: str, allowed: Sequence[str]) -> str:
    """A word from a short list."""
    if value not in allowed:
        raise CallError(f"{what} {value!r} is not known.", f"Use one of: {', '.join(allowed)}.")
    return value
