"""How far the readings of an instrument can be trusted, from its checks against a reference before and after them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from lotwake.trace.base.moments import show_day


class Standing(StrEnum):
    """What the checks of an instrument say about a reading; the worst last."""

    IN_ORDER = "IN ORDER"
    OUT_OF_DATE = "OUT OF DATE"
    NEVER_CHECKED = "NEVER CHECKED"
    FAILED = "FAILED"


@dataclass(frozen=True)
class Check:
    """An instrument held against a reference; ``due_on`` is the last day its result counts."""

    at: datetime
    passed: bool
    due_on: date
    found: str


@dataclass(frozen=True)
class Trust:
    """How an instrument stood when something was read from it, and why in words; empty when it was in order."""

    standing: Standing
    why: str = ""


def trust(checks: Sequence[Check], at: datetime, day: date) -> Trust:
    """How an instrument stood at a moment, which was ``day`` at the house. ``checks`` are in order of time.

    The check after a reading counts too: an instrument that fails it may have been wrong ever since the one before
    (common practice: what was measured since the last good check is looked at again).
    """
    before = [check for check in checks if check.at <= at]
    after = [check for check in checks if check.at > at]
    if before and not before[-1].passed:
        return Trust(Standing.FAILED, f"failed its check of {show_day(before[-1].at.date())}: {before[-1].found}")
    if after and not after[0].passed:
        return Trust(Standing.FAILED, f"failed its next check on {show_day(after[0].at.date())}: {after[0].found}")
    if not before:
        return Trust(Standing.NEVER_CHECKED, "had not been checked against a reference")
    if day > before[-1].due_on:
        return Trust(Standing.OUT_OF_DATE, f"was to be checked by {show_day(before[-1].due_on)}")
    return Trust(Standing.IN_ORDER)


def worst(found: Sequence[Trust]) -> Trust:
    """The one of these that trusts the least."""
    return max(found, key=lambda item: list(Standing).index(item.standing))
