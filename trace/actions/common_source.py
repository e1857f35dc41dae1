"""Ask what complaint packs have in common."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import packs_of
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import instant_of
from lotwake.trace.recall.common_source import CommonSource, Factor, FactorKind, Made, common_source, counted_by_run
from lotwake.trace.records.find import pack_of
from lotwake.trace.records.suspicions import Carried, production

AROUND_DAYS = 60
"""Production this long before and after the complaint packs is what they are compared with. Our own choice."""

Pack = tuple[int, int]
"""A run's id and a serial."""


def complaint_packs(desk: Desk, codes: Sequence[str]) -> list[Pack]:
    """The packs that these codes name: ``RUN/24``, ``RUN/1-24`` or scanned labels."""
    found: list[Pack] = []
    for code in codes:
        packs = packs_of(desk.records, code)
        if packs is None:
            raise CallError(f"{code!r} names no pack.", "Give run and serial, such as 326-329-004-03/24.")
        run, serials = packs
        for serial in range(serials.first, serials.last + 1):
            found.append((pack_of(desk.records, run, serial).id, serial))
    return found


def common_source_of(
    desk: Desk, packs: Sequence[Pack], since: datetime | None = None, until: datetime | None = None
) -> CommonSource:
    """What these packs share, against all packs made from ``since`` to ``until`` (60 days around them by default)."""
    if not packs:
        raise CallError("There are no complaint packs.", "Scan their labels, or type RUN/SERIAL.")
    marks = ", ".join("?" * len({run for run, _ in packs}))
    first, last = desk.records.one(
        f"SELECT MIN(packed), MAX(packed) FROM run WHERE id IN ({marks})", *sorted({run for run, _ in packs})
    ) or ("", "")
    begin = since or instant_of(first) - timedelta(days=AROUND_DAYS)
    end = until or instant_of(last) + timedelta(days=AROUND_DAYS)
    with desk.records.snapshot():
        made = production(desk.records, begin, end, desk.zone)
    every = frozenset[Carried]().union(*(item.carried for item in made))
    factors = {each: Factor(FactorKind(each.what), each.ref, each.name) for each in every}
    runs = [Made(item.run, item.packs, frozenset(factors[each] for each in item.carried)) for item in made]
    return common_source(runs, counted_by_run(packs))
