"""A batch under a scheduled process in the small house: brined, smoked under two probes with a gap, cooled, not released."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from screens_house import House

from lotwake.trace.actions import judge, set_up, smoke
from lotwake.trace.process.plan import shipped_plan
from lotwake.trace.records.entries.house import READY, ProductFacts

WELL = [(60, 5500), (70, 6300), (80, 6400), (90, 6500), (100, 6600), (110, 6400), (120, 4000), (140, 2000)]
COOLED = [(160, 1200), (180, 900), (200, 700), (220, 500), (240, 400)]
GAPPED = [(minute, value) for minute, value in WELL if minute not in (80, 90)]
"""Minutes from the start and hundredths of a degree C; between 70 and 100 nothing was read."""
VACUUM = ProductFacts(
    "9520000009090", "Smoked haddock portions", "hot smoked", 300, 60, "HAD", packaging="vacuum", serving=READY
)


def judged_house(house: House, well: bool) -> House:
    """The house with one more batch as ``batch``; ``well`` without the gap, so that the core held
    the limit, and with drying in its window."""
    desk = house.desk()
    judge.adopt(desk, shipped_plan("Hot smoking, simple smokehouse"))
    set_up.add_product(desk, VACUUM)
    start = house.clock.at
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(house.other_lot, 20_500)], VACUUM.name, "Kiln 1")
    house.clock.at += timedelta(hours=6)
    for name, first, last in (("brine", 5, 25), ("surface drying", 25, 58 if well else 50), ("smoking", 58, 170)):
        smoke.take_step(desk, batch.code, name, start + timedelta(minutes=first), start + timedelta(minutes=last))
    for probe, warmer in (("P1", 0), ("P2", 30)):
        readings = [(start + timedelta(minutes=at), c100 + warmer) for at, c100 in (WELL if well else GAPPED) + COOLED]
        smoke.take_readings(desk, batch.code, "core", readings, probe)
    desk.close()
    return replace(house, batch=batch.code)
