"""A trace as rows: what went into the thing, the thing itself, what came of it; and what each row is joined to. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.trace import Chains, Traced
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.typed import bare
from lotwake.trace.lineage.answer import ENDED
from lotwake.trace.lineage.balance import Balance
from lotwake.trace.lineage.chain import Key, Link, LinkKind, Node
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.screens.said import kg, short_moment
from lotwake.trace.screens.text import fitted
from lotwake.trace.screens.widgets import Row

FROM, WITH, HERE, TO, MET, IN = "from", "with", "HERE", "to", "met", "in"
"""How a row stands to the thing: fish from, material with, itself, went to, only met, still in our house."""
UP, DOWN = "^", "v"
_LATER = {Kind.BATCH: 0, Kind.RUN: 0, Kind.DISPATCH: 1, Kind.RETURN: 2, Kind.PALLET: 4, Kind.CASE: 5}
_HOUSE_ROW = 3
STAGES = 5
_THEN = " >"
_TONNE_G = 1_000_000


@dataclass(frozen=True)
class Line:
    """A row before it is drawn. ``key`` None is a row that is no thing (what is in the house)."""

    role: str
    key: Key | None
    thing: Thing | None
    what: str
    code: str
    at: str
    g: int | None
    packs: int | None
    state: str


@dataclass
class TraceRows:
    """The rows of a trace, drawn a window at a time. ``up`` and ``down``: what the marked row came from and went to."""

    desk: Desk
    lines: Sequence[Line]
    parents: Mapping[Key, Sequence[Key]]
    children: Mapping[Key, Sequence[Key]]
    up: frozenset[Key] = frozenset()
    down: frozenset[Key] = frozenset()

    def __len__(self) -> int:
        return len(self.lines)

    def window(self, first: int, count: int) -> list[Row]:
        """These rows as they are drawn now."""
        return [self._row(first + number, line) for number, line in enumerate(self.lines[first : first + count])]

    def _row(self, place: int, line: Line) -> Row:
        sign = UP if line.key in self.up else DOWN if line.key in self.down else ""
        when = short_moment(self.desk, line.at) if line.at else "now"
        grams = "" if line.g is None else kg(line.g)
        packs = "" if line.packs is None else f"{line.packs:,}"
        return Row(str(place), (sign, line.role, line.what, line.code, when, grams, packs, line.state))

    def light_up(self, place: int) -> None:
        """Mark what is upstream and downstream of a row."""
        key = self.lines[place].key if 0 <= place < len(self.lines) else None
        self.up = reached(key, self.parents)
        self.down = reached(key, self.children)

    @property
    def here(self) -> int:
        """The place of the thing itself."""
        return next((place for place, line in enumerate(self.lines) if line.role == HERE), 0)

    def holding(self, text: str, after: int) -> int | None:
        """The next row with this text in any of its columns, from the one after ``after`` on and round."""
        wanted = bare(text)
        order = [*range(after + 1, len(self.lines)), *range(after + 1)]
        return next((place for place in order if wanted in self._searched(place)), None)

    def _searched(self, place: int) -> str:
        line = self.lines[place]
        return bare(f"{line.role} {line.what} {line.code} {line.state} {line.code.replace('-', '')}")


def reached(start: Key | None, hops: Mapping[Key, Sequence[Key]]) -> frozenset[Key]:
    """Everything that hops lead to from ``start``, itself not included."""
    if start is None:
        return frozenset()
    found: set[Key] = set()
    waiting = [start]
    while waiting:
        for following in hops.get(waiting.pop(), ()):
            if following not in found and following != start:
                found.add(following)
                waiting.append(following)
    return frozenset(found)


def trace_rows(desk: Desk, traced: Chains) -> TraceRows:
    """The rows of a trace: materials, what went in by time, HERE, batches and runs, buyers, the house, pallets, cases."""
    here = _here(traced)
    back = {node.key: node for node in traced.back.nodes if node.key != here.key}
    forward = {node.key: node for node in traced.forward.nodes if node.key != here.key and node.key not in back}
    used_g = _used_g(traced)
    before = sorted((_line(node, _back_role(node, traced), used_g, traced) for node in back.values()), key=_before)
    after = [_line(node, MET if node.contact else TO, used_g, traced) for node in forward.values()]
    after = sorted([*after, *_buyer_lines(traced), *_house_lines(traced)], key=_after)
    lines = [*before, _line(here, HERE, used_g, traced), *after]
    parents, children = _hops(traced)
    return TraceRows(desk, lines, parents, children)


def _here(traced: Chains) -> Node:
    start = traced.start
    key = (start.kind, start.id)
    nodes = (*traced.forward.nodes, *traced.back.nodes)  # forward knows where a pack is
    return next(node for node in nodes if node.key == key)


def _back_role(node: Node, traced: Chains) -> str:
    if node.contact:
        return MET
    fish = {origin.lot for origin in traced.back.origins}
    return WITH if node.kind is Kind.LOT and node.id not in fish else FROM


def _used_g(traced: Chains) -> dict[Key, int]:
    """Grams of each lot that went into this chain."""
    used: dict[Key, int] = defaultdict(int)
    for link in traced.back.links:
        if link.kind is LinkKind.USED and not link.contact:
            used[link.parent] += link.g or 0
    return used


def _line(node: Node, role: str, used_g: Mapping[Key, int], traced: Chains) -> Line:
    lot = node.kind is Kind.LOT
    g = used_g[node.key] if lot and node.key in used_g and role in (FROM, WITH) else node.g
    thing = traced.start if role == HERE else node.thing
    contact = role == MET
    return Line(
        role=role,
        key=node.key,
        thing=thing,
        what=_what(node, role),
        code=thing.shown if role == HERE else show_code(node.code),
        at=node.at,
        g=None if contact else g,
        packs=None if contact else node.packs,
        state="CONTACT" if contact else node.status,
    )


def _what(node: Node, role: str) -> str:
    match node.kind:
        case Kind.LOT:
            item, _, sender = node.name.partition(", ")
            return item if role == WITH else f"{sender}, {item}"
        case Kind.CASE | Kind.PALLET:
            return f"{node.kind} ...{node.code[-6:]}"
        case Kind.BATCH:
            return f"batch {show_code(node.code)}"
        case Kind.RUN:
            return f"run {show_code(node.code)}"
        case _:
            return node.name


def _before(line: Line) -> tuple[int, str, str]:
    kind = line.key[0] if line.key else Kind.LOT
    place = 0 if line.role == WITH else 2 if kind in (Kind.CASE, Kind.PALLET, Kind.DISPATCH) else 1
    return place, line.at, line.code


def _after(line: Line) -> tuple[int, str, str]:
    return (_HOUSE_ROW if line.key is None else _LATER.get(line.key[0], 0)), line.at, line.code


def _buyer_lines(traced: Chains) -> list[Line]:
    """The buyers of a lot that went into too much to list: its dispatches are not among the nodes."""
    if traced.forward.tally is None:
        return []
    return [
        Line(TO, None, None, each.buyer, "", each.days[-1], each.g, each.packs, "SENT" if each.packs else "RETURNED")
        for each in traced.forward.receivers
    ]


def _house_lines(traced: Chains) -> list[Line]:
    """What is in the house, by place; of what is too much to list, how much in all."""
    here: Mapping[str, int] = traced.here if isinstance(traced, Traced) else {}
    where = traced.forward.whereabouts
    if traced.forward.tally is not None and where is not None and where.in_house:
        here = {"": where.in_house}
    return [
        Line(IN, None, None, f"our house, {name}" if name else "our house", "", "", None, packs, "IN HOUSE")
        for name, packs in here.items()
    ]


def _hops(traced: Chains) -> tuple[Mapping[Key, Sequence[Key]], Mapping[Key, Sequence[Key]]]:
    """Parents and children of every key by the links of both chains; a single pack hangs where its run does."""
    parents: dict[Key, list[Key]] = defaultdict(list)
    children: dict[Key, list[Key]] = defaultdict(list)
    start = traced.start
    for link in {(link.parent, link.child): link for link in _all_links(traced)}.values():
        if link.parent == link.child:
            continue
        parent = link.parent
        if start.kind is Kind.PACK and parent == (Kind.RUN, start.id) and link.child[0] is not Kind.PACK:
            parent = (Kind.PACK, start.id)
        parents[link.child].append(parent)
        children[parent].append(link.child)
    return parents, children


def _all_links(traced: Chains) -> tuple[Link, ...]:
    return (*traced.back.links, *traced.forward.links)


# The balance strip


def balance_lines(weighed: Balance, width: int) -> list[str]:
    """Boats > batches > packs > cases > buyers: counts, kilograms, and under each what was lost, left over, went apart into
    batches outside this trace, or was added by fish from outside it."""
    fish, goods = weighed.fish, weighed.goods
    stages = [
        (f"BOATS {weighed.boats}", weighed.boats_g, _masses(stored=weighed.stored_g, loss=weighed.lot_lost_g)),
        (f"BATCHES {fish.batches}", fish.in_g, _masses(loss=fish.lost_g, left=fish.left_g, apart=fish.elsewhere_g,
                                                        added=-fish.other_g, rework=-fish.rework_g)),
        (f"PACKS {fish.packs:,}", fish.packs_g, _counts(("void", goods.void), ("asked for", goods.here or 0))),
        (f"CASES {goods.cases:,}", goods.cased_g, _counts(("packs", goods.cased))),
        (f"BUYERS {goods.buyers}", goods.sold_g,
         _counts(("packs", goods.sold), ("in house", goods.in_house), *((ENDED[kind], n) for kind, n in goods.ended))),
    ]  # fmt: skip
    cell = (width - len(_THEN) * (STAGES - 1)) // STAGES
    depth = min(3, max(len(notes) for _, _, notes in stages))
    rows = [[title for title, _, _ in stages], [f"{_strip_kg(g)} kg" for _, g, _ in stages]]
    rows += [[notes[number] if number < len(notes) else "" for _, _, notes in stages] for number in range(depth)]
    between = [" " * len(_THEN), _THEN, *[" " * len(_THEN)] * depth]
    return [gap.join(fitted(text, cell, right=True) for text in row) for gap, row in zip(between, rows, strict=True)]


def _masses(**grams: int) -> list[str]:
    """``-39.510 loss``; what is negative here came in and is added."""
    return [f"{'-' if g > 0 else '+'}{_strip_kg(abs(g))} {word}" for word, g in grams.items() if g]


def _strip_kg(g: int) -> str:
    """Kilograms as in the rows, but a tonne and more with one decimal: the strip is narrow."""
    return kg(g) if g < _TONNE_G else f"{g / 1000:,.1f}"


def _counts(*counted: tuple[str, int]) -> list[str]:
    return [f"{count:,} {word.removesuffix('s') if count == 1 else word}" for word, count in counted if count]
