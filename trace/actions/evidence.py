"""How we know: for each thing in a chain, the entry that stands behind it, when it was made and by whom."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.readings import show_reading
from lotwake.trace.base.units import show_mass
from lotwake.trace.lineage.chain import Node
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind
from lotwake.trace.records.history import Line, history_of

_TELLING = {
    Kind.BATCH: ("release batch", "start batch"),
    Kind.RUN: ("pack and print labels", "print labels", "start run"),
}
"""The acts that say most about a thing, best first; of anything else the first entry is the one."""
_CALLED = {
    "release batch": "batch released",
    "start batch": "batch started",
    "pack and print labels": "labels printed",
    "print labels": "labels printed",
    "start run": "packed",
    "close case": "case closed",
    "case up": "case closed",
    "build pallet": "pallet built",
    "take back": "return",
}


@dataclass(frozen=True)
class Evidence:
    """One entry: what it is, of which thing, when it happened (stored instant), by whom, and what it says."""

    node: Node
    what: str
    at: str
    who: str
    says: str


def evidence_of(desk: Desk, nodes: Iterable[Node]) -> list[Evidence]:
    """The entry behind each of these things, in their order; a single pack has its run's."""
    with desk.records.snapshot():
        return [_evidence(desk.records, node) for node in nodes if node.kind is not Kind.PACK]


def _evidence(records: Records, node: Node) -> Evidence:
    line = _telling(node.kind, history_of(records, node.thing))
    says = _says(records, node)
    if line is None:
        return Evidence(node, f"{node.kind} without an entry", node.at, "", says)
    return Evidence(node, _CALLED.get(line.act, line.act.removeprefix("receive ")), line.happened, line.who, says)


def _telling(kind: Kind, lines: Sequence[Line]) -> Line | None:
    for act in _TELLING.get(kind, ()):
        found = next((line for line in lines if line.act == act), None)
        if found is not None:
            return found
    return lines[0] if lines else None


def _says(records: Records, node: Node) -> str:
    mass = show_mass(node.g or 0)
    match node.kind:
        case Kind.LOT:
            return f"{node.name}, weighed {mass}"
        case Kind.BATCH:
            core = records.value("SELECT MAX(value) FROM reading WHERE batch = ? AND kind = 'core'", node.id)
            return "no core reading" if core is None else f"core up to {show_reading(core, 'c100')}"
        case Kind.RUN:
            return f"{node.packs or 0} packs of {node.name}"
        case Kind.DISPATCH:
            return f"{node.name}, document {records.value('SELECT document FROM dispatch WHERE id = ?', node.id)}"
        case _:
            return f"{node.name}, {mass}" if node.kind is Kind.RETURN else mass
