"""Recall classes, effectiveness check levels and yearly drills: figures of public rules, each with its source.

The targets of a drill are habits of private certification schemes, not law: no public rule read for this program sets a
time for a drill or a percentage to be found.
"""

from __future__ import annotations

import calendar
import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.limits import Standing, published

GOAL_MIN, LEAST_PERCENT, MOST_PERCENT = 240, 98, 100
TARGETS_ARE = "4 h and 98-100 % are habits of private certification schemes, not law; change them as you wish."
DRILL_RULE = "Safe Food for Canadians Regulations s.84: a recall simulation at least once every 12 months"


@dataclass(frozen=True)
class RecallClass:
    """How grave the danger is (21 CFR 7.3(m), from memory)."""

    name: str
    hazard: str


CLASSES = (
    RecallClass("I", "reasonable probability of serious harm or death"),
    RecallClass("II", "temporary or reversible harm, or serious harm remote"),
    RecallClass("III", "harm not likely"),
)
CLASS_SOURCE = f"21 CFR 7.3(m), {Standing.FROM_MEMORY}"


def recall_class(name: str) -> RecallClass:
    """The class of this name; CallError if there is none."""
    for known in CLASSES:
        if known.name == name.strip().upper():
            return known
    raise CallError(f"There is no recall class {name!r}.", "Use I, II or III.")


@dataclass(frozen=True)
class CheckLevel:
    """What part of the consignees an effectiveness check asks: ``share`` None where the rule leaves it open."""

    name: str
    says: str
    share: Fraction | None
    standing: Standing


LEVELS = (
    CheckLevel("A", "100 %", Fraction(1), Standing.COPY),
    CheckLevel("B", "more than 10 %, less than 100 %", None, Standing.COPY),
    CheckLevel("C", "10 %", Fraction(1, 10), Standing.FROM_MEMORY),
    CheckLevel("D", "2 %", Fraction(1, 50), Standing.FROM_MEMORY),
    CheckLevel("E", "none", Fraction(0), Standing.FROM_MEMORY),
)
LEVEL_SOURCE = "21 CFR 7.42(b)(3); A and B read in the FDA Investigations Operations Manual, C to E from memory"


def check_level(name: str) -> CheckLevel:
    """The level of this letter; CallError if there is none."""
    for level in LEVELS:
        if level.name == name.strip().upper():
            return level
    raise CallError(f"There is no check level {name!r}.", "Use A, B, C, D or E.")


def sample_size(level: CheckLevel, consignees: int, percent: int | None = None) -> int:
    """How many consignees to ask, rounded up. ``percent`` is needed for level B, and only there."""
    if level.share is None:
        if percent is None or not 10 < percent < 100:
            raise CallError("Level B asks more than 10 % and less than 100 %.", "Say how many, such as --percent 50.")
        return ceil(Fraction(percent, 100) * consignees)
    if percent is not None:
        raise CallError(f"Level {level.name} asks {level.says}.", "Leave the percentage out.")
    return ceil(level.share * consignees)


def draw_sample(consignees: Sequence[int], size: int, seed: int) -> list[int]:
    """The consignees to ask, drawn without favour; the same seed draws the same."""
    return sorted(random.Random(seed).sample(sorted(consignees), size))


def next_drill_due(last: date) -> date:
    """The day by which the next drill is due: so many months after the last one (see ``DRILL_RULE``)."""
    months = last.month - 1 + int(published("canada_drill").value)
    year, month = last.year + months // 12, months % 12 + 1
    return date(year, month, min(last.day, calendar.monthrange(year, month)[1]))
