"""What the trace page says, as plain text: the answer, the entries behind it, the rows for a file."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.evidence import Evidence
from lotwake.trace.actions.trace import Traced
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import show_moment
from lotwake.trace.lineage.chain import Node
from lotwake.trace.records.find import Kind
from lotwake.trace.screens.said import short_moment
from lotwake.trace.screens.trace_rows import TraceRows
from lotwake.trace.screens.widgets import Row

COMPLETE = "Nothing is missing in this chain."
_MOST_EVIDENCE = 200
_ANSWER = "ANSWER  "
_MORE = " ... F4 all of it"


def sentences(traced: Traced) -> list[str]:
    """What to say on the phone, one sentence after the other."""
    more = [f"Other packs of the same run went to {', '.join(traced.also)}."] if traced.also else []
    return [*traced.sentences, *more]


def answer_lines(traced: Traced, width: int, most: int) -> list[str]:
    """The answer cut to the lines under the chain; what the head says already is left out."""
    said = traced.sentences if traced.start.kind in (Kind.PACK, Kind.RUN) else traced.sentences[1:]
    room = width - len(_ANSWER)
    parts = wrap(" ".join(said), room)
    if len(parts) > most:
        parts = [*parts[: most - 1], f"{parts[most - 1][: room - len(_MORE)].rstrip()}{_MORE}"]
    return [f"{_ANSWER if number == 0 else ' ' * len(_ANSWER)}{part}" for number, part in enumerate(parts)]


def to_be_shown(traced: Traced) -> list[Node]:
    """The things whose entries answer the question: fish, not materials; all of them, up to a number."""
    fish = {origin.lot for origin in traced.back.origins}
    nodes = {
        node.key: node
        for chain in (traced.back, traced.forward)
        for node in chain.nodes
        if not node.contact and (node.kind is not Kind.LOT or node.id in fish)
    }
    boxed = (Kind.CASE, Kind.PALLET)
    return sorted(nodes.values(), key=lambda node: (node.kind in boxed, node.at))[:_MOST_EVIDENCE]


def _short_code(code: str) -> str:
    """A code for a narrow column; of an SSCC its end, which tells our own apart."""
    return f"...{code[-9:]}" if len(code) == 18 else show_code(code)


def row_texts(rows: TraceRows) -> list[str]:
    """All rows of a trace as aligned text."""
    return [
        f"{cells[1]:<5} {cells[2]:<34} {cells[3]:<20} {cells[4]:<17} {cells[5]:>9} {cells[6]:>7}  {cells[7]}"
        for cells in (row.cells for row in rows.window(0, len(rows)))
    ]


def evidence_rows(desk: Desk, found: Sequence[Evidence]) -> list[Row]:
    """The entries behind a chain, as rows; their key is the code."""
    return [
        Row(
            item.node.code,
            (item.what, _short_code(item.node.code), short_moment(desk, item.at), item.who, item.says),
        )
        for item in found
    ]


def answer_text(desk: Desk, traced: Traced, evidence: Sequence[Evidence]) -> list[str]:
    """The answer with the entries behind it, for a file."""
    head = f"{traced.start.kind.capitalize()} {traced.start.shown}"
    stood = f"As the record stood on {show_moment(desk.now, desk.zone)}."
    known = [f"Not known: {problem}" for problem in traced.problems] or [COMPLETE]
    shown = [
        f"{cells[0]:<16} {item.node.code:<20} {cells[2]:<18} {cells[3]:<5} {cells[4]}"
        for item, cells in zip(evidence, (row.cells for row in evidence_rows(desk, evidence)), strict=True)
    ]
    return [head, stood, "", *sentences(traced), "", *known, "", "How we know:", *shown]
