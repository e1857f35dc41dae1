"""What came of a lot that went into very much: counted by the database in one pass, each table entered by its keys.

The counts are those of the whole chain (``nodes``, ``people``, ``balance``) as long as the record is as its rules want it;
``must_be_whole`` asks for every gap and wrong order that a whole chain would report, so that nothing is passed over.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from lotwake.trace.lineage.chain import Receiver, Tally
from lotwake.trace.lineage.statements import HELD, TRUE_USE, Asking, Hop
from lotwake.trace.records.database import Records
from lotwake.trace.records.facts import CHUNK
from lotwake.trace.records.pack_mass import VOID, span_g

_COUNT = "p.last - p.first + 1"
_IN_CASE = "c.last - c.first + 1"
_SENT_IN_CASE = f"l.unit = c.unit AND {HELD} AND d.id = l.dispatch AND (c.until IS NULL OR c.until > d.at)"
_CAME_BACK = "EXISTS (SELECT 1 FROM return_line b WHERE b.unit = l.unit AND b.dispatch = l.dispatch)"
_FISH = "l.id = u.lot AND l.kind <> 'material'"

_PARTS = {
    "batches": Hop("b.id AS k, 0 AS packs, 0 AS g", "batch b", "b.id = reach.id"),
    "runs": Hop("r.id AS k, 0 AS packs, 0 AS g", "run r", "r.id = reach.id"),
    "fish in": Hop("0 AS k, 0 AS packs, u.g AS g", "lot_use u CROSS JOIN lot l", f"u.work = reach.id AND {_FISH}"),
    "flow in": Hop("0 AS k, 0 AS packs, f.g AS g", "flow f", "f.child = reach.id"),
    "passed on": Hop("0 AS k, 0 AS packs, f.g AS g", "batch b CROSS JOIN flow f", "b.id = reach.id AND f.parent = b.id"),
    "rework": Hop("0 AS k, 0 AS packs, f.g AS g", "run r CROSS JOIN flow f", "r.id = reach.id AND f.parent = r.id"),
    "lost": Hop("0 AS k, 0 AS packs, o.g AS g", "loss o", "o.work = reach.id"),
    "made": Hop(f"0 AS k, {_COUNT} AS packs, {span_g('r', 'p')} AS g", "run r CROSS JOIN pack_range p",
                "r.id = reach.id AND p.run = r.id"),
    "ended": Hop(f"p.kind AS k, {_COUNT} AS packs, {span_g('r', 'p')} AS g", "run r CROSS JOIN pack_end p",
                 "r.id = reach.id AND p.run = r.id AND p.last IS NOT NULL"),
    "cased": Hop(f"c.unit AS k, {_IN_CASE} AS packs, {span_g('r', 'c')} AS g", "run r CROSS JOIN content c",
                 "r.id = reach.id AND c.run = r.id AND c.until IS NULL"),
}  # fmt: skip
_MOVED = (
    Hop(f"l.dispatch AS k, {_IN_CASE} AS packs, CASE WHEN {_CAME_BACK} THEN {_IN_CASE} ELSE 0 END AS back,"
        f" CASE WHEN {_CAME_BACK} THEN 0 ELSE {span_g('r', 'c')} END AS g",
        "run r CROSS JOIN content c CROSS JOIN dispatch_line l CROSS JOIN dispatch d",
        f"r.id = reach.id AND c.run = r.id AND {_SENT_IN_CASE}"),
    Hop(f"p.dispatch AS k, {_COUNT} AS packs, 0 AS back, {span_g('r', 'p')} AS g", "run r CROSS JOIN dispatch_packs p",
        "r.id = reach.id AND p.run = r.id"),
    Hop(f"p.dispatch AS k, 0 AS packs, {_COUNT} AS back, -({span_g('r', 'p')}) AS g", "run r CROSS JOIN return_packs p",
        "r.id = reach.id AND p.run = r.id"),
)  # fmt: skip


def _when(work: str) -> str:
    return f"COALESCE((SELECT t.started FROM batch t WHERE t.id = {work}), (SELECT t.packed FROM run t WHERE t.id = {work}))"


def _packs_of(table: str, more: str = "") -> str:
    return f"COALESCE((SELECT SUM(p.last - p.first + 1) FROM {table} p WHERE p.run = r.id{more}), 0)"


_AWAY_IN_CASES = (
    f"COALESCE((SELECT SUM({_IN_CASE}) FROM content c CROSS JOIN dispatch_line l WHERE c.run = r.id AND l.unit = c.unit"
    f" AND c.until IS NULL AND NOT {_CAME_BACK}), 0)"
)
_NOWHERE = (
    "NOT EXISTS (SELECT 1 FROM batch b WHERE b.id = reach.id) AND NOT EXISTS (SELECT 1 FROM run r CROSS JOIN product y"
)
_ODD = (
    Hop("1", "(SELECT 1) one", f"{_NOWHERE} WHERE r.id = reach.id AND y.id = r.product)"),
    Hop("1", "lot_use u CROSS JOIN lot l", f"u.work = reach.id AND l.id = u.lot AND {TRUE_USE}"
        f" AND l.received > {_when('reach.id')}"),
    Hop("1", "flow f", f"f.parent = reach.id AND f.g > 0 AND {_when('reach.id')} > {_when('f.child')}"),
    Hop("1", "run r CROSS JOIN content c LEFT JOIN unit s ON s.sscc = c.unit LEFT JOIN dispatch_line l ON l.unit = c.unit"
        " LEFT JOIN dispatch d ON d.id = l.dispatch",
        f"r.id = reach.id AND c.run = r.id AND {HELD} AND (s.sscc IS NULL OR s.closed < r.packed OR d.at < s.closed"
        " OR (d.id IS NULL AND l.unit IS NOT NULL))"),
    Hop("1", "content c CROSS JOIN return_line l LEFT JOIN dispatch d ON d.id = l.dispatch LEFT JOIN goods_return g ON g.id ="
        " l.goods_return", "c.run = reach.id AND l.unit = c.unit AND (d.id IS NULL OR g.id IS NULL OR g.at < d.at)"),
    Hop("1", "run r CROSS JOIN dispatch_packs p LEFT JOIN dispatch d ON d.id = p.dispatch",
        "r.id = reach.id AND p.run = r.id AND (d.id IS NULL OR d.at < r.packed)"),
    Hop("1", "return_packs p LEFT JOIN dispatch d ON d.id = p.dispatch LEFT JOIN goods_return g ON g.id = p.goods_return",
        "p.run = reach.id AND (d.id IS NULL OR g.id IS NULL OR g.at < d.at)"),
    # More packs gone than there ever were: ranges that lie over each other, which only a whole chain can tell apart.
    Hop("1", "run r", f"r.id = reach.id AND {_packs_of('pack_range')} < {_packs_of('pack_end')} + {_AWAY_IN_CASES}"
        f" + {_packs_of('dispatch_packs')} - {_packs_of('return_packs')}"),
)  # fmt: skip
_PALLETS = Hop("s.parent", "content c CROSS JOIN unit_content s", "c.run = reach.id AND s.child = c.unit")
_HIGHER_PALLETS = Hop("s.parent", "unit_content s", "s.child = stood.id")
_ODD_PALLETS = (
    Hop("1", "unit_content s LEFT JOIN unit p ON p.sscc = s.parent LEFT JOIN unit c ON c.sscc = s.child",
        "s.parent = pallet.id AND (p.sscc IS NULL OR p.closed < c.closed)"),
    Hop("1", "dispatch_line l LEFT JOIN dispatch d ON d.id = l.dispatch LEFT JOIN unit s ON s.sscc = l.unit",
        "l.unit = pallet.id AND (d.id IS NULL OR d.at < s.closed)"),
    Hop("1", "return_line l LEFT JOIN goods_return g ON g.id = l.goods_return", "l.unit = pallet.id AND g.id IS NULL"),
)  # fmt: skip


class Odd(Exception):
    """There is something in the record that only a whole chain can tell."""


def reaches_more_than(records: Records, asking: Asking, lot: int, most: int) -> bool:
    """Whether more batches and runs than ``most`` came of a lot; no more of them are looked at."""
    found: int = records.value(
        f"{asking.reached()} SELECT COUNT(*) FROM (SELECT id FROM down LIMIT ?) few", lot, most + 1
    )
    return found > most


def came_of_lot(records: Records, asking: Asking, lot: int, works: Sequence[int]) -> set[int]:
    """Which of these batches and runs came of a lot."""
    found: set[int] = set()
    for start in range(0, len(works), CHUNK):
        part = works[start : start + CHUNK]
        marks = ", ".join("?" * len(part))
        found |= {
            work
            for (work,) in records.rows(f"{asking.reached()} SELECT id FROM reach WHERE id IN ({marks})", lot, *part)
        }
    return found


def first_batches(asking: Asking) -> str:
    """The first batches and runs a lot went into, with what was packed of them or blended from them; values: the lot and how
    many, two times. Tags as in ``Asking.forward``."""
    uses = f"SELECT u.work, u.g, u.entry FROM lot_use u WHERE u.lot = ? AND {TRUE_USE} ORDER BY u.work LIMIT ?"
    flows = Hop("'flow', f.parent, f.child, f.g, f.entry, '', ''", "flow f", "f.parent = first.id AND f.g > 0")
    return (
        f"WITH first (id, g, entry) AS ({uses}) SELECT 'use', CAST(? AS BIGINT), id, g, entry, '', '' FROM first"
        f" UNION ALL SELECT 'work', id, 0, 0, 0, '', '' FROM first UNION ALL {asking.hopping('first', '', [flows])}"
    )


def tallied(records: Records, asking: Asking, lot: int) -> Tally:
    """The counts of everything that came of a lot."""
    parts = " UNION ALL ".join(
        f"SELECT '{tag}' AS tag, {'k' if tag == 'ended' else 'NULL'} AS kind, COUNT(DISTINCT k) AS n, SUM(packs) AS packs,"
        f" SUM(g) AS g FROM ({asking.hopping('reach', '', [hop])}) h{' GROUP BY k' if tag == 'ended' else ''}"
        for tag, hop in _PARTS.items()
    )
    rows = records.rows(f"{asking.reached()} {parts}", lot)
    n, packs, g = ({tag: int(row[place] or 0) for tag, *row in rows} for place in (1, 2, 3))
    ended = {str(kind): (int(count), int(grams)) for tag, kind, _, count, grams in rows if tag == "ended"}
    void, void_g = ended.pop(VOID, (0, 0))
    used = records.value(f"SELECT SUM(u.g) FROM lot_use u WHERE u.lot = ? AND {TRUE_USE}", lot)
    return Tally(
        batches=n["batches"],
        runs=n["runs"],
        used_g=int(used or 0),
        fish_in_g=g["fish in"],
        flow_in_g=g["flow in"],
        passed_on_g=g["passed on"],
        rework_g=g["rework"],
        lost_g=g["lost"],
        packs=packs["made"] - void,
        packs_g=g["made"] - void_g,
        void=void,
        ended=tuple(sorted((kind, count) for kind, (count, _) in ended.items())),
        cases=n["cased"],
        cased=packs["cased"],
        cased_g=g["cased"],
    )


def received(records: Records, asking: Asking, lot: int) -> tuple[Receiver, ...]:
    """The buyers of what came of a lot, those who still have most first. Raises Odd when one is not in the record."""
    moved = " UNION ALL ".join(asking.hopping("reach", "", [hop]) for hop in _MOVED)
    grouped = "SELECT k, SUM(packs), SUM(back), SUM(g) FROM ("
    rows = records.stream(
        f"{asking.reached()}, moved (dispatch, packs, back, g) AS ({grouped}{moved}) h GROUP BY k)"
        " SELECT b.id, b.name, b.phone, d.document, d.at, m.packs, m.back, m.g FROM moved m LEFT JOIN dispatch d ON d.id ="
        " m.dispatch LEFT JOIN buyer b ON b.id = d.buyer ORDER BY b.id, d.at, d.id",
        lot,
    )
    return tuple(sorted(_by_buyer(rows), key=lambda receiver: (-receiver.packs, receiver.buyer)))


def _by_buyer(rows: Iterator[tuple[Any, ...]]) -> Iterator[Receiver]:
    buyers: dict[int, tuple[str, str, list[str], list[str], list[int]]] = {}
    for buyer, name, phone, document, at, packs, back, g in rows:
        if buyer is None:
            raise Odd
        _, _, documents, days, sums = buyers.setdefault(buyer, (name, phone, [], [], [0, 0, 0]))
        documents.append(document)
        days.append(at)
        sums[:] = (sums[0] + int(packs), sums[1] + int(back), sums[2] + int(g))
    for name, phone, documents, days, (packs, back, g) in buyers.values():
        yield Receiver(name, phone, tuple(documents), tuple(days), packs, back, g, contact=False)


def must_be_whole(records: Records, asking: Asking, lot: int) -> None:
    """Raises Odd when a whole chain would have a gap or a wrong order to report, or more packs are gone than were made."""
    pallets = asking.hopping("reach", "", [_PALLETS])
    higher = asking.hopping("stood", "", [_HIGHER_PALLETS])
    parts = [asking.hopping("reach", "", [hop]) for hop in _ODD]
    parts += [asking.hopping("pallet", "", [hop]) for hop in _ODD_PALLETS]
    odd = records.value(
        f"{asking.reached()}, stood (id) AS ({pallets} UNION {higher}), pallet (id) AS MATERIALIZED (SELECT id FROM stood)"
        f" SELECT 1 FROM ({' UNION ALL '.join(parts)}) odd LIMIT 1",
        lot,
    )
    if odd is not None:
        raise Odd
