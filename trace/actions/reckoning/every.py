"""All calculations, in the order they are listed."""

from __future__ import annotations

from lotwake.trace.actions.reckoning import brine, codes, heat, label
from lotwake.trace.actions.reckoning.answer import Calculation

CALCULATIONS: tuple[Calculation, ...] = (
    *brine.CALCULATIONS,
    *heat.CALCULATIONS,
    *label.CALCULATIONS,
    *codes.CALCULATIONS,
)
