"""What every computed result carries with it: how it was reckoned, from which source, and with what caution."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.errors import CallError

CAUTION = "A calculation, not a release: local codes and a qualified person decide."


class Verdict(StrEnum):
    """What the record shows about one limit."""

    MET = "MET"
    NOT_MET = "NOT MET"
    NO_EVIDENCE = "NO EVIDENCE"


@dataclass(frozen=True)
class Basis:
    """Formula, source and, where the number protects people, one line of caution."""

    formula: str
    source: str
    caution: str = ""


def must_lie(what: str, value: float, low: float, high: float, unit: str) -> float:
    """The value itself; CallError with a sentence when it is not a number between ``low`` and ``high``, both allowed."""
    if not math.isfinite(value) or not low <= value <= high:
        unit = unit and f" {unit}"
        raise CallError(f"{what} of {value:g}{unit} cannot be.", f"It must lie between {low:g} and {high:g}{unit}.")
    return value
