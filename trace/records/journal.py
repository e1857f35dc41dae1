"""The journal: an append-only, hash-chained list of entries, and the entry that is being made.

The journal is the record; the tables are what it says today. One entry is one transaction and one line: who, when it was
entered, when it happened, what was done and why, and every row it wrote, every field it corrected (was and now), every
counter it moved. ``hash`` is SHA-256 over the previous line's hash and the canonical text of this line.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from lotwake.trace.base.clock import Clock
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.hidden import must_be_text
from lotwake.trace.base.moments import instant_text, show_moment, zone_named
from lotwake.trace.records.database import Records
from lotwake.trace.records.rights import READER, rights_of
from lotwake.trace.records.stock import HOLDS, anything_held

FIRST_HASH = "0" * 64
Row = Mapping[str, int | str | None]


def canonical(value: Any) -> str:
    """The one text of a value: JSON with sorted keys and no spaces. Floats do not occur in the record."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def line_hash(previous: str, line: tuple[Any, ...]) -> str:
    """SHA-256 (hex) over the previous hash and the canonical line (seq, at, happened, zone, who, act, why, corrects, body)."""
    return hashlib.sha256(f"{previous}\n{canonical(line)}".encode()).hexdigest()


@dataclass(frozen=True)
class Head:
    """The last line of the journal: its place and its hash."""

    seq: int
    hash: str


def head(records: Records) -> Head:
    """Where the journal stands now."""
    row = records.one("SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1")
    return Head(0, FIRST_HASH) if row is None else Head(*row)


class Entry:
    """An entry while it is being made: the only way a row comes into the record.

    ``at`` is when it is entered and ``happened`` when it happened, as stored instants; ``zone`` the time of the house, for
    sentences. ``corrects`` is the line that a correction names, ``who`` the operator's id, ``proof`` what their right PIN gave.
    """

    def __init__(self, records: Records, seq: int, at: str, said: Said) -> None:
        self.records = records
        self.seq = seq
        self.who = said.who
        self.proof = said.proof
        self.at = at
        self.happened = instant_text(said.happened)
        self.zone = zone_named(said.zone)
        self.corrects: int | None = None
        self.written: dict[str, list[Row]] = {}
        self.changed: list[list[Any]] = []
        self.counted: dict[str, int] = {}
        self._anything_held: bool | None = None

    def anything_held(self) -> bool:
        """Whether any hold or rejection is open. While an entry is made nobody else writes, so it is asked once."""
        if self._anything_held is None:
            self._anything_held = anything_held(self.records)
        return self._anything_held

    def add(self, table: str, **values: int | str | None) -> int:
        """Write one row; its new ``id`` is given back (0 for a table keyed by its links)."""
        row: dict[str, int | str | None] = {**values, "entry": self.seq}
        if table in HOLDS:
            self._anything_held = None
        for name, value in values.items():
            if isinstance(value, str):
                must_be_text(name.replace("_", " "), value)
        sql, makes_id = self.records.insertion(table, tuple(row))
        cursor = self.records.run(sql, *row.values())
        if makes_id:
            row["id"] = cursor.fetchone()[0]
            cursor.close()
        self.written.setdefault(table, []).append({name: value for name, value in row.items() if value is not None})
        return int(row.get("id") or 0)

    def add_amount(self, table: str, g: int | None, **key: int) -> None:
        """Write a link with its grams, or None unweighed; said twice in one entry, the second adds to the first."""
        here = {**key, "entry": self.seq}
        where = " AND ".join(f"{name} = ?" for name in here)
        found = self.records.one(f"SELECT g FROM {table} WHERE {where}", *here.values())
        if found is None:
            self.add(table, **key, g=g)
        elif g is not None:
            self.change(table, here, "g", (found[0] or 0) + g)

    def take(self, counter: str, count: int = 1) -> int:
        """The first of ``count`` numbers that nobody else will ever get, from 1 up."""
        cursor = self.records.run(
            "INSERT INTO counter (name, next) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET next = counter.next + ?"
            " RETURNING next",
            counter, 1 + count, count,
        )  # fmt: skip
        following: int = cursor.fetchone()[0]
        cursor.close()
        self.counted[counter] = following
        return following - count

    def change(self, table: str, key: Mapping[str, int | str], field: str, now: int | str | None) -> int | str | None:
        """Let a field say something else from this entry on. The journal keeps both; what it said is given back."""
        where = " AND ".join(f"{name} = ?" for name in key)
        found = self.records.one(f"SELECT {field} FROM {table} WHERE {where}", *key.values())
        if found is None:
            raise Refused(f"There is no such row in {table}: {dict(key)}.")
        if isinstance(now, str):
            must_be_text(field.replace("_", " "), now)
        was: int | str | None = found[0]
        self.records.run(f"UPDATE {table} SET {field} = ? WHERE {where}", now, *key.values())
        self.changed.append([table, dict(key), field, was, now])
        return was

    @contextmanager
    def part(self) -> Iterator[None]:
        """A part that stands or falls by itself: when it fails, what it wrote is taken back and the entry may go on."""
        before = self.written, self.changed, self.counted
        self.written, self.changed, self.counted = {}, [], {}
        try:
            with self.records.savepoint():
                yield
        except BaseException:
            self.written, self.changed, self.counted = before
            self._anything_held = None
            raise
        written, changed, counted = before
        for table, rows in self.written.items():
            written.setdefault(table, []).extend(rows)
        changed += self.changed
        counted.update(self.counted)
        self.written, self.changed, self.counted = before

    def note(self, counter: str, value: int) -> None:
        """Set a counter that is new to a number that means something else than how many there are."""
        self.records.run("INSERT INTO counter (name, next) VALUES (?, ?)", counter, value)
        self.counted[counter] = value

    def body(self) -> str:
        """Everything this entry did, as canonical text."""
        parts: dict[str, Any] = {"rows": self.written, "set": self.changed, "next": self.counted}
        return canonical({name: part for name, part in parts.items() if part})


@dataclass(frozen=True)
class Said:
    """Who says what in an entry: ``who`` is the operator's id, ``happened`` an aware moment, ``why`` may be empty.

    ``proof`` is what a right PIN gave (``entries.people.prove``); it is not written down.
    """

    act: str
    who: int
    happened: datetime
    zone: str
    why: str = ""
    proof: str = ""


def must_be_past(happened: datetime, now: datetime, zone: ZoneInfo) -> None:
    """Nothing is written down before it happened. ``zone`` is the time of the house, for the sentence."""
    if happened > now:
        raise Refused(
            f"{show_moment(happened, zone)} is in the future; it is {show_moment(now, zone)} now.",
            "Check the date, the time and the computer's clock.",
        )


def fingerprint(row: tuple[Any, ...]) -> int:
    """60 bits of the SHA-256 of a row, as a number."""
    return int(hashlib.sha256(canonical([str(value) for value in row]).encode()).hexdigest()[:15], 16)


def schema_mark(migration: str) -> str:
    """The counter that keeps the fingerprint of the row of ``schema_migration`` with this name."""
    return f"schema:{migration}"


def _note_schema(making: Entry) -> None:
    """A migration runs when nobody is at work: the first entry after it notes when it ran, so that verify can tell."""
    records = making.records
    if records.schema_noted:
        return
    noted = dict(records.rows("SELECT name, next FROM counter WHERE name > 'schema:' AND name < 'schema;'"))
    applied = records.rows("SELECT id, name, applied FROM schema_migration")
    for row in applied:
        if schema_mark(row[1]) not in noted:
            making.note(schema_mark(row[1]), fingerprint(row))
    records.schema_noted = len(noted) == len(applied)


def _must_write(records: Records, who: int) -> None:
    rights = rights_of(records, who)
    if rights is not None and rights.role == READER:
        raise Refused(
            f"{rights.initials} has the role reader: looking only, so nothing is written down.",
            "Somebody who works here signs in and does it.",
        )


@contextmanager
def entry(records: Records, clock: Clock, said: Said) -> Iterator[Entry]:
    """One entry, in one transaction: all its rows and its journal line are kept, or nothing is.

    Raises Refused when it is said to have happened later than now, or by somebody who may only look.
    """
    now = clock.now()
    must_be_past(said.happened, now, zone_named(said.zone))
    must_be_text("the reason", said.why)
    with records.transaction():
        _must_write(records, said.who)
        last = head(records)
        making = Entry(records, last.seq + 1, instant_text(now), said)
        line = (making.seq, making.at, making.happened, said.zone, said.who, said.act, said.why)
        # The line comes first, unfinished: rows that refer to a line which is still to come would make the database look
        # for them in every table once it does, and each entry would take longer as the record grows.
        records.run(
            "INSERT INTO journal (seq, at, happened, zone, who, act, why, body, hash) VALUES (?, ?, ?, ?, ?, ?, ?, '', '')",
            *line,
        )
        yield making
        _note_schema(making)
        rest = (making.corrects, making.body())
        records.run(
            "UPDATE journal SET corrects = ?, body = ?, hash = ? WHERE seq = ?",
            *rest, line_hash(last.hash, (*line, *rest)), making.seq,
        )  # fmt: skip
