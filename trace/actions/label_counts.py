"""Labels of a run counted at its end: what was spoiled, and whether labels and packs agree."""

from __future__ import annotations

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.records.entries import packs
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.label_balance import LabelBalance, label_balance


def waste_labels(desk: Desk, run: str, count: int, reason: str) -> Thing:
    """Labels that were spoiled in this run and belong to no pack, with the reason."""
    thing = thing_of(desk.records, run, [Kind.RUN], "spoiled labels")
    with desk.entry("waste labels", why=reason) as entry:
        packs.waste_labels(entry, thing.id, count, reason, desk.now)
    return thing


def reconcile(desk: Desk, run: str) -> tuple[Thing, LabelBalance]:
    """The labels of a run held against its packs."""
    thing = thing_of(desk.records, run, [Kind.RUN], "this count")
    return thing, label_balance(desk.records, thing.id)
