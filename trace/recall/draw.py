"""Draw the lot a drill starts from: seeded, and weighted to lots that are recent and went into many runs. Pure."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.trace.base.errors import Refused

HALVED_EVERY_DAYS = 30
"""A lot that came in so many days earlier is drawn half as often; of lots of one age, one in three runs is drawn twice as
often as one in one, and one in seven three times. Our own choice."""


@dataclass(frozen=True)
class Candidate:
    """A lot that could be drawn: ``age_days`` since it came in, ``runs`` that hold some of it."""

    lot: int
    code: str
    name: str
    age_days: int
    runs: int

    @property
    def weight(self) -> float:
        """Drawn the more often, the more runs hold some of it and the younger it is."""
        return math.log2(1 + self.runs) * math.exp2(-self.age_days / HALVED_EVERY_DAYS)


def draw_start(candidates: Sequence[Candidate], seed: int) -> Candidate:
    """One of them; the same record and seed draw the same. Refused when nothing was packed in the last year."""
    fit = sorted((item for item in candidates if item.runs > 0), key=lambda item: item.lot)
    if not fit:
        raise Refused(
            "No lot of the last year is in any pack, so none can be drawn.", "Name a start: drill begin CODE."
        )
    return random.Random(seed).choices(fit, [item.weight for item in fit])[0]
