"""How each product is made: steps with their times, set points, readings and usual losses.

The steps have the names of the house's scheduled processes (``plans``), and their times lie in the windows there.

Times, temperatures and losses are common practice for small smokehouses (brine 20 min, drying near 50 C for 30-35 min,
smoking 60/70/80 C by the hour, core 62.8 C for 30 min, cooling 57.2 -> 21.1 C in 2 h, then -> 4.4 C in 4 h); they are
demonstration values, not a scheduled process to work by.
"""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.demo_db import scenario
from lotwake.demo_db.arrivals import FLAVOURING, SALT, WOOD
from lotwake.trace.records.entries.house import ProductFacts


@dataclass(frozen=True)
class UsualLoss:
    """A loss named at the end of a step, in thousandths of the fish that went into it."""

    kind: str
    least: int
    most: int


@dataclass(frozen=True)
class PlannedStep:
    """One step: minutes it takes (drawn from the range), minutes of handling before it, air set points in equal parts.

    ``core_every_min`` and ``air_every_min`` are minutes between readings, 0 for none; ``where`` is the kind of equipment.
    """

    name: str
    least_min: int
    most_min: int
    where: str = ""
    wait_min: int = 5
    air_c: tuple[int, ...] = ()
    core_every_min: int = 0
    air_every_min: int = 0
    losses: tuple[UsualLoss, ...] = ()


@dataclass(frozen=True)
class Process:
    """The way to one product: first start on a day, steps, grams of each material per kilogram of fish.

    ``lag_min`` is how sluggishly the core follows the air; ``lab`` says that samples go out for salt and moisture.
    """

    product: ProductFacts
    start: str
    steps: tuple[PlannedStep, ...]
    materials: tuple[tuple[str, int], ...]
    lag_min: int = 44
    lab: bool = False


def _hot(product: ProductFacts, trim: tuple[int, int], drying: tuple[int, int], lag_min: int) -> Process:
    return Process(
        product,
        "07:00",
        (
            PlannedStep("split and bone", 45, 70, "table", losses=(UsualLoss("trim", *trim),)),
            PlannedStep("brine", 20, 20, "brine tank", 10),
            PlannedStep("rinse and drain", 4, 6, "table", losses=(UsualLoss("drip", 8, 15),)),
            PlannedStep("drying", 30, 35, "smokehouse", 10, (50,), air_every_min=15),
            PlannedStep("smoking at 60", 60, 62, "smokehouse", 3, (60,), 10, 30),
            PlannedStep("smoking at 70", 60, 62, "smokehouse", 0, (70,), 10, 30),
            PlannedStep("smoking at 80", 60, 62, "smokehouse", 0, (80,), 10, 30),
            PlannedStep("cooling", 235, 250, "chiller", 4, (1,), 20, 60, losses=(UsualLoss("drying", *drying),)),
        ),
        ((SALT, 60), (WOOD, 35)),
        lag_min,
        product.packaging == "vacuum",
    )


HADDOCK = _hot(scenario.HADDOCK, (330, 370), (150, 180), 46)
MACKEREL = _hot(scenario.MACKEREL, (170, 200), (110, 140), 42)
HERRING = _hot(scenario.HERRING, (200, 230), (130, 165), 38)
SAITHE = _hot(scenario.SAITHE, (320, 360), (150, 180), 47)
TROUT = _hot(scenario.TROUT, (60, 90), (120, 150), 44)
SALMON = Process(
    scenario.SALMON,
    "13:00",
    (
        PlannedStep("trim", 50, 70, "table", losses=(UsualLoss("trim", 50, 70),)),
        PlannedStep("dry salting", 980, 1020, "chiller", 10, (3,), 0, 240, losses=(UsualLoss("drip", 50, 65),)),
        PlannedStep("rinse and drain", 8, 12, "table"),
        PlannedStep("drying", 230, 250, "smokehouse", 10, (23,), 0, 60),
        PlannedStep(
            "cold smoking", 420, 450, "smokehouse", 3, (26, 27), 60, 60, losses=(UsualLoss("drying", 80, 100),)
        ),
        PlannedStep("freezing", 1440, 1470, "freezer", 15, (-22,), 180, 360),
    ),
    ((SALT, 80), (WOOD, 25)),
    60,
    lab=True,
)
COD = Process(
    scenario.COD,
    "10:00",
    (
        PlannedStep("trim", 25, 35, "table", losses=(UsualLoss("trim", 25, 40),)),
        PlannedStep("brine with liquid smoke", 22, 26, "brine tank"),
        PlannedStep("rinse and drain", 4, 6, "table", losses=(UsualLoss("drip", 10, 18),)),
        PlannedStep("surface drying", 30, 35, "smokehouse", 10, (50,), air_every_min=15),
        PlannedStep("cooking", 120, 126, "smokehouse", 3, (75, 80), 10, 30),
        PlannedStep("cooling", 235, 250, "chiller", 4, (1,), 20, 60, losses=(UsualLoss("drying", 120, 150),)),
    ),
    ((SALT, 50), (FLAVOURING, 6)),
    36,
)
FLAKES = Process(
    scenario.FLAKES,
    "07:20",
    (
        PlannedStep("flaking", 30, 45, "table", losses=(UsualLoss("trim", 15, 30),)),
        PlannedStep("heating again", 130, 135, "smokehouse", 5, (75, 80), 10, 30),
        PlannedStep("cooling", 235, 250, "chiller", 4, (1,), 20, 60, losses=(UsualLoss("drying", 40, 60),)),
    ),
    ((WOOD, 10),),
    34,
)

BY_SPECIES = {process.product.species: process for process in (HADDOCK, MACKEREL, HERRING, SAITHE, TROUT, SALMON, COD)}
