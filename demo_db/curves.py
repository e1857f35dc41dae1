"""Temperatures that look like a smokehouse: a core that follows the air with a lag (Newton's law, minute by minute)."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

EVAPORATION_C = 3.0
"""How much a wet surface stays below hot air; common practice, a demonstration value."""
WARM_AIR_C = 30


def follow(start_c: float, air_c: Sequence[float], lag_min: float) -> list[float]:
    """The core each minute, from ``start_c`` on, one more value than there are minutes of air."""
    core = [start_c]
    for air in air_c:
        pull = air - EVAPORATION_C if air > WARM_AIR_C else air
        core.append(core[-1] + (pull - core[-1]) / lag_min)
    return core


def set_points(points_c: Sequence[int], minutes: int) -> list[float]:
    """Set points in equal parts over so many minutes; no set point is a room at 12 C."""
    points = points_c or (12,)
    return [float(points[minute * len(points) // minutes]) for minute in range(minutes)]


def centi(value_c: float) -> int:
    """Hundredths of a degree, read to a tenth as a hand thermometer shows it."""
    return round(value_c * 10) * 10


def about(random: Random, value: float, spread: float) -> float:
    """A value with an even spread to both sides."""
    return value + (2 * random.random() - 1) * spread
