"""Recalls and drills as they were written down: the case, its suspects, scopes, answers, checks and end."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from lotwake.trace.base.codes import show_code, tidy
from lotwake.trace.base.errors import NotFound
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.database import Records
from lotwake.trace.records.facts import CHUNK
from lotwake.trace.records.find import Thing


@dataclass(frozen=True)
class CaseSeen:
    """A recall or drill. ``at``: when the lot was named; ``ended``: when it was signed, or None. Stored instants."""

    id: int
    code: str
    kind: str
    began_with: str
    reason: str
    hazard_class: str
    depth: str
    contact: bool
    goal_min: int
    least_percent: int
    seed: int | None
    at: str
    by: str
    ended: str | None
    signed: str
    actions: str
    found: str

    @property
    def shown(self) -> str:
        return show_code(self.code)


@dataclass(frozen=True)
class SuspectSeen:
    """A lot, or a batch or run (``work``), or packs of a run; ``code`` of the thing for people."""

    lot: int | None
    work: int | None
    work_kind: str
    packs: Serials | None
    taken_out: bool
    code: str
    why: str
    at: str
    by: str


@dataclass(frozen=True)
class ScopeSeen:
    """The scope as it was kept at one moment; ``parts``: run, packs, and whether contact alone leads to them."""

    id: int
    why: str
    packs: int
    g: int
    at: str
    by: str
    parts: tuple[tuple[int, Serials, bool], ...]


@dataclass(frozen=True)
class NoticeSeen:
    """A buyer that was told."""

    buyer: int
    how: str
    packs: int
    at: str
    by: str


@dataclass(frozen=True)
class ReplySeen:
    """An answer, as ``entries.recall.ReplyFacts`` wrote it, with its sub-buyers (name, telephone, packs)."""

    id: int
    buyer: int | None
    run: int | None
    reached: bool
    person: str
    stock: int | None
    sold: int | None
    returned: int | None
    destroyed: int | None
    note: str
    at: str
    by: str
    subs: tuple[tuple[str, str, int], ...] = ()


@dataclass(frozen=True)
class SubBuyerSeen:
    """Somebody a buyer passed packs on to (``reply`` names them), with their last answer; ``at`` empty while there is none."""

    reply: int
    id: int
    name: str
    phone: str
    packs: int
    reached: bool
    stock: int | None
    sold: int | None
    returned: int | None
    destroyed: int | None
    note: str
    at: str


@dataclass(frozen=True)
class CheckSeen:
    """A buyer drawn for an effectiveness check; ``result`` empty until it was made."""

    id: int
    buyer: int
    level: str
    seed: int
    at: str
    result: str
    note: str


@dataclass(frozen=True)
class PauseSeen:
    """A pause of the clock; ``until`` None while it lasts."""

    why: str
    at: str
    until: str | None


@dataclass(frozen=True)
class BuyerSeen:
    """A buyer with everything needed to reach them."""

    id: int
    name: str
    phone: str
    email: str
    address: str


_WHO = "(SELECT COALESCE(o.initials, '') FROM journal j LEFT JOIN operator o ON o.id = j.who WHERE j.seq = x.entry)"
_CASE = f"""SELECT x.id, x.code, x.kind, x.began_with, x.reason, x.hazard_class, x.depth, x.contact, x.goal_min,
  x.least_percent, x.seed, x.at, {_WHO}, e.at, COALESCE(e.signed, ''), COALESCE(e.actions, ''), COALESCE(e.found, '')
  FROM recall x LEFT JOIN recall_end e ON e.recall = x.id"""


def cases(records: Records, kind: str) -> list[CaseSeen]:
    """Every drill or every recall, the newest first."""
    return [_case(row) for row in records.rows(f"{_CASE} WHERE x.kind = ? ORDER BY x.at DESC, x.id DESC", kind)]


@dataclass(frozen=True)
class AnswerSeen:
    """An origin answer that was given: to whom, by whom, when, what was withheld, and every word."""

    asker: str
    withheld: str
    said: str
    at: str
    by: str


def answers_about(records: Records, thing: Thing) -> list[AnswerSeen]:
    """The origin answers given about this thing, the newest first."""
    sql = f"SELECT x.asker, x.withheld, x.said, x.at, {_WHO} FROM origin_answer x WHERE x.kind = ? AND x.ref = ?"
    serial = "" if thing.serial is None else " AND x.serial = ?"
    values = (str(thing.kind), thing.id, *([] if thing.serial is None else [thing.serial]))
    return [AnswerSeen(*row) for row in records.rows(f"{sql}{serial} ORDER BY x.id DESC", *values)]


def open_case(records: Records) -> CaseSeen | None:
    """What is under way: a recall before a drill, the newest first."""
    rows = records.rows(f"{_CASE} WHERE e.recall IS NULL ORDER BY x.kind = 'recall' DESC, x.at DESC, x.id DESC LIMIT 1")
    return next((_case(row) for row in rows), None)


def case_coded(records: Records, code: str) -> CaseSeen | None:
    """The recall or drill with this code, or None."""
    row = records.one(f"{_CASE} WHERE x.code = ?", tidy(code))
    return None if row is None else _case(row)


def case_named(records: Records, kind: str, text: str) -> CaseSeen:
    """The drill or recall with this code; an empty text names the one that is open, else the last one."""
    known = cases(records, kind)
    if not text.strip():
        chosen = next((case for case in known if case.ended is None), next(iter(known), None))
    else:
        chosen = next((case for case in known if case.code == tidy(text)), None)
    if chosen is None:
        shown = ", ".join(case.shown for case in known[:3])
        hint = f"The last ones: {shown}." if known else f"Begin one: lotwake {kind} begin CODE."
        what = f"There is no {kind} {show_code(text)!r}." if text.strip() else f"There is no {kind} yet."
        raise NotFound(what, hint)
    return chosen


def case_of(records: Records, case: int) -> CaseSeen:
    """The case of this id."""
    row = records.one(f"{_CASE} WHERE x.id = ?", case)
    assert row is not None, "the caller has it from the record"
    return _case(row)


def _case(row: tuple[Any, ...]) -> CaseSeen:
    return replace(CaseSeen(*row), contact=bool(row[7]))


def suspects_of(records: Records, case: int) -> list[SuspectSeen]:
    """What is suspected or taken out now; of two rows about the same thing the later holds."""
    rows = records.rows(
        f"""SELECT x.lot, x.work, COALESCE(w.kind, ''), x.first, x.last, x.taken_out, COALESCE(l.code, b.code, r.code), x.why,
        x.at, {_WHO} FROM recall_suspect x LEFT JOIN lot l ON l.id = x.lot LEFT JOIN work w ON w.id = x.work
        LEFT JOIN batch b ON b.id = x.work LEFT JOIN run r ON r.id = x.work WHERE x.recall = ? ORDER BY x.id""",
        case,
    )
    last: dict[tuple[object, ...], SuspectSeen] = {}
    for lot, work, kind, first, end, out, code, why, at, by in rows:
        packs = None if first is None else Serials(first, end)
        last[lot, work, first, end] = SuspectSeen(lot, work, kind, packs, bool(out), code, why, at, by)
    return list(last.values())


def scopes_of(records: Records, case: int) -> list[ScopeSeen]:
    """Every scope that was kept, in order; the last one holds."""
    parts: dict[int, list[tuple[int, Serials, bool]]] = defaultdict(list)
    for scope, run, first, last, contact in records.rows(
        "SELECT p.scope, p.run, p.first, p.last, p.contact FROM recall_scope_packs p JOIN recall_scope s ON s.id = p.scope"
        " WHERE s.recall = ? ORDER BY p.scope, p.run, p.first",
        case,
    ):
        parts[scope].append((run, Serials(first, last), bool(contact)))
    rows = records.rows(
        f"SELECT x.id, x.why, x.packs, x.g, x.at, {_WHO} FROM recall_scope x WHERE x.recall = ? ORDER BY x.id", case
    )
    return [ScopeSeen(ref, why, packs, g, at, by, tuple(parts[ref])) for ref, why, packs, g, at, by in rows]


def notices_of(records: Records, case: int) -> list[NoticeSeen]:
    """Everyone who was told, in order."""
    sql = f"SELECT x.buyer, x.how, x.packs, x.at, {_WHO} FROM recall_notice x WHERE x.recall = ? ORDER BY x.id"
    return [NoticeSeen(*row) for row in records.rows(sql, case)]


def replies_of(records: Records, case: int) -> list[ReplySeen]:
    """Every answer, in the order they came."""
    subs: dict[int, list[tuple[str, str, int]]] = defaultdict(list)
    for reply, name, phone, packs in records.rows(
        "SELECT s.reply, s.name, s.phone, s.packs FROM recall_sub_buyer s JOIN recall_reply r ON r.id = s.reply"
        " WHERE r.recall = ? ORDER BY s.id",
        case,
    ):
        subs[reply].append((name, phone, packs))
    rows = records.rows(
        f"SELECT x.id, x.buyer, x.run, x.reached, x.person, x.stock, x.sold, x.returned, x.destroyed, x.note, x.at, {_WHO}"
        " FROM recall_reply x WHERE x.recall = ? ORDER BY x.id",
        case,
    )
    return [replace(ReplySeen(*row), reached=bool(row[3]), subs=tuple(subs[row[0]])) for row in rows]


def sub_buyers_of(records: Records, case: int) -> list[SubBuyerSeen]:
    """Everybody a buyer passed packs on to, in the order they were named."""
    rows = records.rows(
        """SELECT s.reply, s.id, s.name, s.phone, s.packs, COALESCE(a.reached, 0), a.stock, a.sold, a.returned, a.destroyed,
        COALESCE(a.note, ''), COALESCE(a.at, '') FROM recall_sub_buyer s JOIN recall_reply r ON r.id = s.reply
        LEFT JOIN recall_sub_reply a ON a.id = (SELECT MAX(id) FROM recall_sub_reply WHERE sub = s.id)
        WHERE r.recall = ? ORDER BY s.id""",
        case,
    )
    return [replace(SubBuyerSeen(*row), reached=bool(row[5])) for row in rows]


def checks_of(records: Records, case: int) -> list[CheckSeen]:
    """The buyers drawn for effectiveness checks, with the last result at each."""
    sql = """SELECT x.id, x.buyer, x.level, x.seed, x.at, COALESCE(r.result, ''), COALESCE(r.note, '') FROM recall_check x
      LEFT JOIN recall_check_result r ON r.id = (SELECT MAX(id) FROM recall_check_result WHERE made = x.id)
      WHERE x.recall = ? ORDER BY x.id"""
    return [CheckSeen(*row) for row in records.rows(sql, case)]


def pauses_of(records: Records, case: int) -> list[PauseSeen]:
    """The pauses of the clock, in order."""
    return [
        PauseSeen(*row)
        for row in records.rows("SELECT why, at, until FROM recall_pause WHERE recall = ? ORDER BY id", case)
    ]


def holds_for(records: Records, case: int) -> list[str]:
    """The codes of what this recall put on hold and nobody has released since."""
    rows = records.rows(
        "SELECT COALESCE(l.code, b.code, r.code) FROM recall_hold x JOIN hold h ON h.id = x.hold"
        " LEFT JOIN lot l ON l.id = h.lot LEFT JOIN batch b ON b.id = h.work LEFT JOIN run r ON r.id = h.work"
        " WHERE x.recall = ? AND NOT EXISTS (SELECT 1 FROM hold_release q WHERE q.hold = h.id) ORDER BY h.id",
        case,
    )
    return [code for (code,) in rows]


def buyers(records: Records, ids: Iterable[int]) -> dict[int, BuyerSeen]:
    """The buyers with these ids."""
    sql = "SELECT id, name, phone, email, address FROM buyer WHERE id IN ({marks})"
    return {row[0]: BuyerSeen(*row) for row in _chunked(records, sql, ids)}


def how_eaten(records: Records, runs: Iterable[int]) -> dict[int, tuple[str, str]]:
    """By run, how its product is eaten (``house.SERVINGS``, or empty) and the cooking words on its label."""
    sql = """SELECT r.id, COALESCE(p.serving, ''), p.cook FROM run r JOIN product p ON p.id = r.product
      WHERE r.id IN ({marks})"""
    return {run: (serving, cook) for run, serving, cook in _chunked(records, sql, runs)}


def packagings_of(records: Records, runs: Iterable[int]) -> set[str]:
    """The kinds of packaging these runs are in."""
    sql = "SELECT DISTINCT p.packaging FROM run r JOIN product p ON p.id = r.product WHERE r.id IN ({marks})"
    return {packaging for (packaging,) in _chunked(records, sql, runs)}


def _chunked(records: Records, sql: str, ids: Iterable[int]) -> Iterator[tuple[Any, ...]]:
    wanted = sorted(set(ids))
    for start in range(0, len(wanted), CHUNK):
        part = wanted[start : start + CHUNK]
        yield from records.rows(sql.format(marks=", ".join("?" * len(part))), *part)
