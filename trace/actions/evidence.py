"""How we know: for each thing in a chain, the entry that stands behind it, when it was made and by whom."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.readings import show_reading
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.units import show_mass
from lotwake.trace.lineage.chain import Node
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind
from lotwake.trace.records.history import Line, history_of

_ACTS = {
    Kind.BATCH: ("release batch", "start batch"),
    Kind.RUN: ("pack and print labels", "print labels", "start run"),
}
"""The act that says most about a thing, best first; for any other kind its first entry."""
_NAMES = {
    Kind.LOT: "landing note",
    Kind.BATCH: "batch started",
    Kind.RUN: "packed",
    Kind.PACK: "pack",
    Kind.CASE: "case closed",
    Kind.PALLET: "pallet built",
    Kind.DISPATCH: "dispatch",
    Kind.RETURN: "return",
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
    """The entry behind each of these things, in their order."""
    with desk.records.snapshot():
        return [_evidence(desk.records, node) for node in nodes if node.kind is not Kind.PACK]


def _evidence(records: Records, node: Node) -> Evidence:
    line = _telling(node.kind, history_of(records, node.thing))
    what = _NAMES[node.kind] if line is None or node.kind not in _ACTS else _act_name(line.act)
    says = _says(records, node)
    if line is None:
        return Evidence(node, what, node.at, "", says)
    return Evidence(node, what, line.happened, line.who, says)


def _act_name(act: str) -> str:
    return {"release batch": "released", "pack and print labels": "labels printed", "print labels": "labels printed",
            "start run": "packed", "start batch": "batch started"}.get(act, act)  # fmt: skip


def _telling(kind: Kind, lines: Sequence[Line]) -> Line | None:
    for act in _ACTS.get(kind, ()):
        found = [line for line in lines if line.act == act]
        if found:
            return found[0]
    return lines[0] if lines else None


def _says(records: Records, node: Node) -> str:
    if node.kind is Kind.BATCH:
        core = records.value("SELECT MAX(value) FROM reading WHERE batch = ? AND kind = 'core'", node.id)
        return "no core reading" if core is None else f"core up to {show_reading(core, 'c100')}"
    if node.kind is Kind.DISPATCH:
        return f"to {node.name}, document {records.value('SELECT document FROM dispatch WHERE id = ?', node.id)}"
    if node.kind is Kind.RUN:
        return f"{node.packs or 0} packs of {node.name}"
    weight = "" if node.g is None else f"weighed {show_mass(node.g)}"
    return f"{node.name}, {weight}".strip(", ") if node.kind is Kind.LOT else weight.replace("weighed ", "")


def node_shown(node: Node) -> str:
    """The code of a node for people."""
    return show_code(node.code)
