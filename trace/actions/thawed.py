"""Is a pack sold thawed? Derived from how its fish came in, what was done to it here, and how the pack is kept."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from lotwake.labels.checks.markets import EU
from lotwake.trace.actions.desk import Desk
from lotwake.trace.records.entries.house import FROZEN
from lotwake.trace.records.entries.lots import FROZEN_FISH, THAWED
from lotwake.trace.records.find import Thing


class Thawed(Enum):
    """When it was frozen; the value is the name of the sentence that says so on a label."""

    FISH = "made_from_frozen"
    SMOKED = "previously_frozen"


def sold_thawed(desk: Desk, run: Thing, keeping: str | None, lots: Sequence[int]) -> Thawed | None:
    """What the label has to say of thawing, or None. A pack that is kept frozen, or of which nobody said how it is kept,
    is not sold thawed.

    For the Union it is not said of fish that was thawed before it was smoked: Reg. (EU) 1379/2013 Art. 35(1) last list,
    point (d). What was frozen after smoking is always said.
    """
    if keeping in (FROZEN, None):
        return None
    if _frozen_after_smoking(desk, run):
        return Thawed.SMOKED
    if desk.settings.market == EU.key:
        return None
    marks = ", ".join("?" * len(lots)) or "NULL"
    came = desk.records.value(
        f"SELECT 1 FROM lot WHERE id IN ({marks}) AND received_as IN (?, ?) LIMIT 1", *lots, FROZEN_FISH, THAWED
    )
    return Thawed.FISH if came else None


def _frozen_after_smoking(desk: Desk, run: Thing) -> bool:
    """Whether a step of freezing began in a batch behind the run after its smoking did."""
    found = desk.records.value(
        "WITH RECURSIVE up (id) AS (SELECT CAST(? AS BIGINT) UNION SELECT f.parent FROM up CROSS JOIN flow f"
        " WHERE f.child = up.id AND f.g > 0) SELECT 1 FROM up CROSS JOIN step f CROSS JOIN step s"
        " WHERE f.batch = up.id AND s.batch = up.id AND lower(f.name) LIKE ? AND lower(s.name) LIKE ?"
        " AND f.started > s.started LIMIT 1",
        run.id, "%freez%", "%smok%",
    )  # fmt: skip
    return found is not None
