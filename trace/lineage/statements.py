"""The trace statements: everything a thing was made from, everything that came of it. One recursive question each.

Every hop goes from what is reached so far into a link table by its key or its covering index, so a trace grows with what is
affected. The order of the join is fixed: by CROSS JOIN on SQLite, which keeps it as written, by LATERAL with OFFSET 0 on
PostgreSQL, which cannot flatten it. The recursion uses UNION and carries no depth, path or mass, so it ends even on a cycle;
units carry the instant until which (or from which on) the goods were in them, which has few values for each unit.
Each answer row is ``(tag, a, b, c, d, e, f)``, unique; the tags and their columns are listed with each question.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from lotwake.trace.records.find import Kind, Thing

OPEN = "9"
"""Stands for the end of what has not ended: later than every stored instant."""


@dataclass(frozen=True)
class Statement:
    """SQL with ``?`` marks and its values."""

    sql: str
    values: tuple[int | str, ...]


class Hop(NamedTuple):
    """One step: what is taken from which tables, and how they hang on what is reached so far."""

    columns: str
    tables: str
    where: str


TRUE_USE = "COALESCE(u.g, 1) > 0"  # NULL is a material that was not weighed; 0 was corrected away
HELD = "(c.until IS NULL OR c.until > c.since)"  # a content that lasted no time was entered in error
_UNTIL = f"COALESCE(c.until, '{OPEN}')"
_ITS_DISPATCH = "LEFT JOIN dispatch d ON d.id = l.dispatch"  # LEFT: goods whose dispatch is gone are a gap to report
_LEFT_AT = "COALESCE(d.at, '')"

_PARENTS = Hop("f.parent", "flow f", "f.child = up.id AND f.g > 0")
_CHILDREN = Hop("f.child", "flow f", "f.parent = down.id AND f.g > 0")
_MET_BEFORE = Hop(
    "o.batch", "contact_batch m CROSS JOIN contact_batch o",
    "m.batch = up.id AND o.contact = m.contact AND o.turn <= m.turn",
)  # fmt: skip
_MET_AFTER = Hop(
    "o.batch", "contact_batch m CROSS JOIN contact_batch o",
    "m.batch = down.id AND o.contact = m.contact AND o.turn >= m.turn",
)  # fmt: skip
_USES_OF_LOT = f"SELECT u.work FROM lot_use u WHERE u.lot = ? AND {TRUE_USE}"
_BACK_PARTS = (
    Hop("'use', u.lot, u.work, u.g, u.entry, '', ''", "lot_use u", f"u.work = up.id AND {TRUE_USE}"),
    Hop("'flow', f.parent, f.child, f.g, f.entry, '', ''", "flow f", "f.child = up.id AND f.g > 0"),
)
_FISH_PARTS = (
    Hop("'use', u.lot, u.work, u.g, u.entry, '', ''", "lot_use u CROSS JOIN lot l",
         f"u.work = up.id AND {TRUE_USE} AND l.id = u.lot AND l.kind <> 'material'"),
    _BACK_PARTS[1],
)  # fmt: skip
_INSIDE_SEEDS = {
    Kind.CASE: "SELECT CAST(? AS BIGINT), CAST('' AS TEXT)",
    Kind.PALLET: "SELECT CAST(? AS BIGINT), CAST('' AS TEXT)",
    Kind.DISPATCH: f"SELECT l.unit, {_LEFT_AT} FROM dispatch_line l {_ITS_DISPATCH} WHERE l.dispatch = ?",
    Kind.RETURN: f"SELECT l.unit, {_LEFT_AT} FROM return_line l {_ITS_DISPATCH} WHERE l.goods_return = ?",
}
"""The units of a thing, each with the instant from which on its content counts: always, or when the goods left."""
_IN_IT = "(c.until IS NULL OR c.until > inside.since)"
_CHILD_UNITS = Hop(
    "c.child, CASE WHEN c.since > inside.since THEN c.since ELSE inside.since END", "unit_content c",
    f"c.parent = inside.id AND {HELD} AND {_IN_IT}",
)  # fmt: skip
_RUNS_INSIDE = Hop("c.run", "content c", f"c.unit = inside.id AND {HELD} AND {_IN_IT}")
_LOOSE_RUNS = {
    Kind.DISPATCH: " UNION SELECT p.run FROM dispatch_packs p WHERE p.dispatch = ?",
    Kind.RETURN: " UNION SELECT p.run FROM return_packs p WHERE p.goods_return = ?",
}
_CONTENT_PART = Hop(f"'content', c.run, c.unit, c.first, c.last, c.since, {_UNTIL}", "content c", _RUNS_INSIDE.where)
_STAND_PART = Hop(f"'stand', c.child, c.parent, 0, 0, c.since, {_UNTIL}", "unit_content c", _CHILD_UNITS.where)
_GOODS_PARTS = {
    Kind.DISPATCH: (
        f"SELECT 'line', l.unit, l.dispatch, l.top, 0, {_LEFT_AT}, '' FROM dispatch_line l {_ITS_DISPATCH}"
        " WHERE l.dispatch = ?",
        "SELECT 'loose', p.run, p.dispatch, p.first, p.last, '', '' FROM dispatch_packs p WHERE p.dispatch = ?",
    ),
    Kind.RETURN: (
        f"SELECT 'line', l.unit, l.dispatch, s.top, 0, {_LEFT_AT}, '' FROM return_line l CROSS JOIN dispatch_line s"
        f" {_ITS_DISPATCH} WHERE l.goods_return = ? AND s.unit = l.unit AND s.dispatch = l.dispatch",
        # A pallet and a case that stood on it once may come back together from two dispatches.
        f"SELECT 'stand', c.child, c.parent, 0, 0, c.since, {_UNTIL} FROM return_line l {_ITS_DISPATCH}"
        " CROSS JOIN unit_content c CROSS JOIN return_line o WHERE l.goods_return = ? AND c.child = l.unit"
        f" AND {HELD} AND {_UNTIL} > {_LEFT_AT} AND o.unit = c.parent AND o.goods_return = l.goods_return",
        "SELECT 'back', l.unit, l.goods_return, l.dispatch, 0, '', '' FROM return_line l WHERE l.goods_return = ?",
        "SELECT 'loose', p.run, p.dispatch, p.first, p.last, '', '' FROM return_packs p WHERE p.goods_return = ?",
        "SELECT 'looseback', p.run, p.goods_return, p.first, p.last, CAST(p.dispatch AS TEXT), '' FROM return_packs p"
        " WHERE p.goods_return = ?",
    ),
}


@dataclass(frozen=True)
class Asking:
    """Writes the trace statements for one kind of database: ``lateral`` where the join order is fixed by LATERAL."""

    lateral: bool = False

    def backward(self, start: Thing, contact: bool) -> Statement:
        """Everything a batch, run, pack, case, pallet, dispatch or return was made from.

        Tags: ``work`` (id); ``use`` (lot, work, g, entry); ``flow`` (parent, child, g, entry); ``contact`` (this batch, the
        earlier one, its number; kind, name); and those of ``contents``.
        """
        seeds = "SELECT CAST(? AS BIGINT)"
        inside, values = self._inside(start)
        if inside:
            seeds = self.hopping("inside", " UNION ", [_RUNS_INSIDE]) + _LOOSE_RUNS.get(start.kind, "")
        hops = [_PARENTS, _MET_BEFORE] if contact else [_PARENTS]
        sql = f"WITH RECURSIVE {inside}up (id) AS ({seeds} UNION {self.hopping('up', ' UNION ', hops)}) "
        sql += _works("up") + self._parts("up", _BACK_PARTS) + (self._met("up", "<=") if contact else "")
        more, more_values = self._inside_parts(start) if inside else ("", ())
        return Statement(sql + more, (start.id,) * seeds.count("?") + values + more_values)

    def contents(self, start: Thing) -> Statement:
        """The packs in a case, pallet, dispatch or return.

        Tags: ``content`` (run, unit, first, last; since, until); ``stand`` (child, parent; since, until); ``line`` (unit,
        dispatch, top; at); ``loose`` (run, dispatch, first, last); ``back`` (unit, return, dispatch); ``looseback`` (run,
        return, first, last; dispatch). ``until`` is OPEN for what is still in it.
        """
        inside, values = self._inside(start)
        more, more_values = self._inside_parts(start)
        return Statement(f"WITH RECURSIVE {inside[:-2]} " + more.removeprefix(" UNION ALL "), values + more_values)

    def upstream(self, count: int) -> str:
        """The flows and the uses of fish above ``count`` batches or runs. Tags as in ``backward``."""
        climb = self.hopping("up", " UNION ", [_PARENTS])
        sql = f"WITH RECURSIVE {_given(count)}up (id) AS (SELECT id FROM given UNION {climb}) "
        return sql + _works("up") + self._parts("up", _FISH_PARTS)

    def forward(self, lot: int | None, works: Sequence[int], contact: bool) -> Statement:
        """Everything that came of a lot, or of these batches and runs.

        Tags as in ``backward``, with ``end`` (run, rework batch or 0, first, last; kind) and ``made`` (run, 0, first,
        last); ``contact`` names this batch and the later one.
        """
        given, seeds = _given(len(works)), "SELECT id FROM given"
        if lot is not None:
            given, seeds = "", _USES_OF_LOT
        hops = [_CHILDREN, _MET_AFTER] if contact else [_CHILDREN]
        sql = f"WITH RECURSIVE {given}down (id) AS ({seeds} UNION {self.hopping('down', ' UNION ', hops)}), "
        sql += self._stack("down") + _works("down") + self._goods("down")
        sql += self._parts("down", [_CHILDREN._replace(columns="'flow', f.parent, f.child, f.g, f.entry, '', ''")])
        sql += self._met("down", ">=") if contact else ""
        if lot is None:
            return Statement(sql, tuple(works))
        sql += f" UNION ALL SELECT 'use', u.lot, u.work, u.g, u.entry, '', '' FROM lot_use u WHERE u.lot = ? AND {TRUE_USE}"
        return Statement(sql, (lot, lot))

    def reached(self) -> str:
        """The CTE ``reach`` of all batches and runs that came of a lot, which is its one value; walked once, however often
        it is used."""
        down = f"{_USES_OF_LOT} UNION {self.hopping('down', ' UNION ', [_CHILDREN])}"
        return f"WITH RECURSIVE down (id) AS ({down}), reach (id) AS MATERIALIZED (SELECT id FROM down)"

    def forward_packs(self, count: int) -> str:
        """Where the packs of ``count`` ranges (run, first, last) went. Tags as in ``forward``, without ``flow``."""
        given = ", ".join(["(CAST(? AS BIGINT), CAST(? AS BIGINT), CAST(? AS BIGINT))"] * count)
        sql = f"WITH RECURSIVE part (id, first, last) AS (VALUES {given}), " + self._stack("part")
        return sql + _works("part") + self._goods("part")

    def _inside(self, start: Thing) -> tuple[str, tuple[int, ...]]:
        """The CTE of the units in a thing; a dispatch and a return name all of theirs, none has to be followed."""
        if start.kind not in _INSIDE_SEEDS:
            return "", ()
        sql = _INSIDE_SEEDS[start.kind]
        if start.kind in (Kind.CASE, Kind.PALLET):
            sql += f" UNION {self.hopping('inside', ' UNION ', [_CHILD_UNITS])}"
        return f"inside (id, since) AS ({sql}), ", (start.id,)

    def _inside_parts(self, start: Thing) -> tuple[str, tuple[int, ...]]:
        own = _GOODS_PARTS.get(start.kind, ())
        parts = [_CONTENT_PART] if start.kind is Kind.RETURN else [_CONTENT_PART, _STAND_PART]
        sql = self._parts("inside", parts) + "".join(f" UNION ALL {part}" for part in own)
        return sql, (start.id,) * len(own)

    def _stack(self, runs: str) -> str:
        """The CTE of the units the packs of these runs were in, each with the instant until which they were."""
        seed = Hop(f"c.unit, {_UNTIL}", "content c", f"c.run = {runs}.id AND {HELD}{_overlap(runs, 'c')}")
        up = Hop(
            f"c.parent, CASE WHEN stack.until < {_UNTIL} THEN stack.until ELSE {_UNTIL} END", "unit_content c",
            f"c.child = stack.id AND {HELD} AND stack.until > c.since",
        )  # fmt: skip
        return f"stack (id, until) AS ({self.hopping(runs, ' UNION ', [seed])} UNION {self.hopping('stack', ' UNION ', [up])}) "

    def _goods(self, runs: str) -> str:
        packs = f"p.run = {runs}.id{_overlap(runs, 'p')}"
        in_case = f"c.run = {runs}.id AND {HELD}{_overlap(runs, 'c')}"
        on_board = f"l.unit = stack.id AND stack.until > {_LEFT_AT}"
        return self._parts(
            runs,
            [
                Hop(f"'content', c.run, c.unit, c.first, c.last, c.since, {_UNTIL}", "content c", in_case),
                Hop("'loose', p.run, p.dispatch, p.first, p.last, '', ''", "dispatch_packs p", packs),
                Hop("'looseback', p.run, p.goods_return, p.first, p.last, CAST(p.dispatch AS TEXT), ''",
                     "return_packs p", packs),
                Hop("'end', p.run, COALESCE(p.batch, 0), p.first, p.last, p.kind, ''", "pack_end p",
                     f"{packs} AND p.last IS NOT NULL"),
                Hop("'made', p.run, 0, p.first, p.last, '', ''", "pack_range p", packs),
            ],
        ) + self._parts(
            "stack",
            [
                Hop(f"'stand', c.child, c.parent, 0, 0, c.since, {_UNTIL}", "unit_content c",
                     f"c.child = stack.id AND {HELD} AND stack.until > c.since"),
                Hop(f"'line', l.unit, l.dispatch, l.top, 0, {_LEFT_AT}, ''", f"dispatch_line l {_ITS_DISPATCH}", on_board),
                Hop("'back', l.unit, l.goods_return, l.dispatch, 0, '', ''", f"return_line l {_ITS_DISPATCH}", on_board),
            ],
        )  # fmt: skip

    def _met(self, reach: str, order: str) -> str:
        hop = Hop(
            "'contact', m.batch, o.batch, m.contact, 0, k.kind, k.name",
            "contact_batch m CROSS JOIN contact_batch o CROSS JOIN contact k",
            f"m.batch = {reach}.id AND o.contact = m.contact AND o.batch <> m.batch AND o.turn {order} m.turn"
            " AND k.id = m.contact",
        )
        return self._parts(reach, [hop])

    def _parts(self, start: str, hops: Sequence[Hop]) -> str:
        return "".join(f" UNION ALL {self.hopping(start, '', [hop])}" for hop in hops)

    def hopping(self, start: str, glue: str, hops: Sequence[Hop]) -> str:
        """These hops from ``start``, written so that the database takes them in this order."""
        if self.lateral:  # PostgreSQL also refuses a second recursive term, so all hops stand in one
            inner = " UNION ALL ".join(f"SELECT {hop.columns} FROM {hop.tables} WHERE {hop.where}" for hop in hops)
            return f"SELECT hop.* FROM {start} CROSS JOIN LATERAL ({inner} OFFSET 0) hop"
        return glue.join(f"SELECT {hop.columns} FROM {start} CROSS JOIN {hop.tables} WHERE {hop.where}" for hop in hops)


def _given(count: int) -> str:
    """A CTE of ids; on its own, since rows of VALUES in a compound count against SQLite's limit of 500 terms."""
    return f"given (id) AS (VALUES {', '.join(['(CAST(? AS BIGINT))'] * count)}), "


def _works(reach: str) -> str:
    return f"SELECT 'work' AS tag, {reach}.id AS a, 0 AS b, 0 AS c, 0 AS d, '' AS e, '' AS f FROM {reach}"


def _overlap(runs: str, table: str) -> str:
    """Restricts a hop from given packs to rows with one of them; whole runs need no such condition."""
    return f" AND {table}.first <= part.last AND {table}.last >= part.first" if runs == "part" else ""
