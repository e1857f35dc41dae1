"""Yield of a step against the product's own history: is this batch out of line?

A step's yield is what was weighed after it against what was weighed before: after the last weighed step, or what went in.
"""

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
    by_history: bool = False
    basis: Basis = YIELD_BASIS


WENT_IN = "what went in"
WHOLE = "the whole batch"


@dataclass(frozen=True)
class Weighing:
    """Fish weighed after a step (``WENT_IN``: before the first); ``at_s`` seconds, ``g`` grams. The last of a step counts."""

    step: str
    at_s: float
    g: int


@dataclass(frozen=True)
class StepYield:
    """``in_g`` grams were there after ``of`` (a step or ``WENT_IN``), ``out_g`` after ``step``."""

    step: str
    of: str
    in_g: int
    out_g: int

    @property
    def percent(self) -> float:
        return yield_percent(self.in_g, self.out_g)


def weighing(typed: str, at_s: float, g: int, steps: Sequence[tuple[str, float]]) -> Weighing:
    """A weighing under the step it names, or else the step that was begun last before it; ``steps`` (name, start in s)."""
    begun = [(start_s, name) for name, start_s in steps if start_s < at_s]
    named = next((name for name, _ in steps if name == typed.strip().lower()), None)
    return Weighing(named or (max(begun)[1] if begun else WENT_IN), at_s, g)


def step_yields(went_in_g: int, weighings: Sequence[Weighing]) -> tuple[StepYield, ...]:
    """The yield from each weighed step to the next. What was weighed before the first step replaces ``went_in_g``."""
    last: dict[str, Weighing] = {}
    for item in sorted(weighings, key=lambda each: each.at_s):
        last[item.step] = item
    before, before_g = WENT_IN, last.pop(WENT_IN, Weighing(WENT_IN, 0, went_in_g)).g
    found = []
    for item in sorted(last.values(), key=lambda each: each.at_s):
        if before_g > 0:
            found.append(StepYield(item.step, before, before_g, item.g))
        before, before_g = item.step, item.g
    return tuple(found)


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
    by_history = middle is not None and len(history_percent) >= ENOUGH_BATCHES
    if middle is not None and by_history:
        mad = max(median(abs(earlier - middle) for earlier in history_percent), _LEAST_SPREAD_PERCENT)
        reach = FAR_OUT * mad / 0.6745
        low, high = middle - reach, middle + reach
    elif usual_range is not None:
        low, high = usual_range
    else:
        return YieldFinding(percent, YieldWord.UNKNOWN, None, None, middle, len(history_percent))
    word = YieldWord.LOW if percent < low else YieldWord.HIGH if percent > high else YieldWord.IN_LINE
    return YieldFinding(percent, word, low, high, middle, len(history_percent), by_history)
