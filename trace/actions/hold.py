"""Hold, reject and release lots, batches and runs."""

from __future__ import annotations

from datetime import datetime

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.records.entries import holds
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.stock import HOLD, REJECT

HOLDABLE = (Kind.LOT, Kind.BATCH, Kind.RUN)


def hold(desk: Desk, code: str, reason: str, reject: bool = False, at: datetime | None = None) -> Thing:
    """Put a lot, batch or run on hold, or reject it; everything made from it that is still in the house is held too."""
    thing = thing_of(desk.records, code, HOLDABLE, "a hold")
    kind = REJECT if reject else HOLD
    by = desk.as_lead("reject") if reject else desk
    with by.entry("reject" if reject else "hold", at, reason) as entry:
        holds.put_on_hold(entry, kind, *_where(thing), reason, at or desk.now)
    return thing


def release(desk: Desk, code: str, by_name: str, reason: str, at: datetime | None = None) -> Thing:
    """Release a lot, batch or run from hold, by name and with a reason."""
    thing = thing_of(desk.records, code, HOLDABLE, "a release")
    with desk.as_lead("release from hold").entry("release hold", at, reason) as entry:
        holds.release_holds(entry, thing.code, *_where(thing), by_name, reason, at or desk.now)
    return thing


def _where(thing: Thing) -> tuple[int | None, int | None]:
    return (thing.id, None) if thing.kind is Kind.LOT else (None, thing.id)
