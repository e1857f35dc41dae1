"""Yield of a step against the product's own history: is this batch out of line?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Basis

ENOUGH_BATCHES = 8
"""Fewer batches than this say too little about what is usual (common practice)."""
FAR_OUT = 3.5
_LEAST_SPREAD_PERCENT = 0.5

YIELD_BASIS = Basis(
    "yield % = 100 x g out / g in; out of line when 0.6745 x |yield - median| / MAD > 3.5",
    "Iglewicz and Hoaglin 1993, modified z-score (NIST/SEMATECH e-Handbook 1.3.5.17)",
)


class YieldWord(StrEnum):
    """Where a yield stands."""

    IN_LINE = "IN LINE"
    LOW = "LOW"
    HIGH = "HIGH"
    UNKNOWN = "NOTHING TO COMPARE"


@dataclass(frozen=True)
class YieldFinding:
    """A yield, per cent, with the range that is usual and what that range rests on."""

    yield_percent: float
    word: YieldWord
    low_percent: float | None
    high_percent: float | None
    median_percent: float | None
    batches: int
    basis: Basis = YIELD_BASIS


def yield_percent(in_g: int, out_g: int) -> float:
    """100 x out / in; CallError without input. More out than in is not refused: brine adds weight."""
    if in_g <= 0 or out_g < 0:
        raise CallError(f"A yield of {out_g} g from {in_g} g cannot be.", "Weigh what goes in and what comes out.")
    return 100 * out_g / in_g


def judge_yield(
    in_g: int, out_g: int, history_percent: Sequence[float], usual_range: tuple[float, float] | None = None
) -> YieldFinding:
    """This batch's yield against earlier ones of the same product and step, or a fixed range while they are few.

    The median and the median absolute deviation are not moved by the odd batch that went wrong. When earlier yields
    hardly differ, half a per cent is taken as the spread, or rounding on the scale would count as out of line.
    """
    percent = yield_percent(in_g, out_g)
    middle = median(history_percent) if history_percent else None
    if middle is not None and len(history_percent) >= ENOUGH_BATCHES:
        mad = max(median(abs(earlier - middle) for earlier in history_percent), _LEAST_SPREAD_PERCENT)
        reach = FAR_OUT * mad / 0.6745
        low, high = middle - reach, middle + reach
    elif usual_range is not None:
        low, high = usual_range
    else:
        return YieldFinding(percent, YieldWord.UNKNOWN, None, None, middle, len(history_percent))
    word = YieldWord.LOW if percent < low else YieldWord.HIGH if percent > high else YieldWord.IN_LINE
    return YieldFinding(percent, word, low, high, middle, len(history_percent))
