"""A scratch store on disk that puts the rows of all files in the order of their time, so that memory stays flat.

It is SQLite's own temporary database: private, never seen by anybody else, and gone when it is closed.
"""

from __future__ import annotations

import pickle
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import NamedTuple

from lotwake.trace.actions.bring_in.forms import Value
from lotwake.trace.actions.bring_in.rows import Place, Row
from lotwake.trace.actions.bring_in.sheets import Step
from lotwake.trace.records.database import MANY, in_plain_words

_SCHEMA = """
CREATE TABLE thing (kind TEXT, code TEXT, moment TEXT, file TEXT, line INTEGER, PRIMARY KEY (kind, code)) WITHOUT ROWID;
CREATE TABLE task (moment TEXT, step INTEGER, owner INTEGER, file TEXT, line INTEGER, fields BLOB);
BEGIN;
"""

BATCH_RELEASE, GIVEN_SSCC = "batch release", "sscc"
"""Noted beside lots, batches, runs and the rest: a release under the code of its batch, and every SSCC in the files."""


class Thing(NamedTuple):
    """Something the files name: when it was made (stored UTC text), and the first row that makes it."""

    moment: str
    place: Place


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do with a row. ``owner`` is the line of the first row of the thing it belongs to."""

    step: Step
    owner: int
    row: Row


class Shelf:
    """Rows go in as they are read and come out in the order of moment, step, owner and line."""

    def __init__(self) -> None:
        # An empty name is a temporary database that SQLite moves to disk when it grows.
        self._scratch = sqlite3.connect("", isolation_level=None)
        self._scratch.executescript(_SCHEMA)
        self.tasks = 0
        self._waiting: list[tuple[str, int, int, str, int, bytes]] = []

    def close(self) -> None:
        """Drop everything."""
        self._scratch.close()

    def thing(self, kind: str, code: str) -> Thing | None:
        """What the files say makes this thing."""
        row = self._scratch.execute(
            "SELECT moment, file, line FROM thing WHERE kind = ? AND code = ?", (kind, code)
        ).fetchone()
        return None if row is None else Thing(row[0], Place(row[1], row[2]))

    def name(self, kind: str, code: str, moment: str, place: Place) -> Thing | None:
        """Note a thing; when the files named it before, that is given back instead."""
        done = self._scratch.execute(
            "INSERT INTO thing VALUES (?, ?, ?, ?, ?) ON CONFLICT DO NOTHING", (kind, code, moment, *place)
        )
        return None if done.rowcount else self.thing(kind, code)

    def put(self, moment: str, step: Step, owner: int, row: Row) -> None:
        """Something to do at this moment."""
        bare = {name: _bare(value) for name, value in row.values.items()}
        fields = pickle.dumps(bare, pickle.HIGHEST_PROTOCOL)
        self._waiting.append((moment, int(step), owner, *row.place, fields))
        self.tasks += 1
        if len(self._waiting) == MANY:
            self._write()

    def _write(self) -> None:
        self._scratch.executemany("INSERT INTO task VALUES (?, ?, ?, ?, ?, ?)", self._waiting)
        self._waiting.clear()

    def in_order(self) -> Iterator[Task]:
        """Everything, in order."""
        self._write()
        rows = self._scratch.execute(
            "SELECT step, owner, file, line, fields FROM task ORDER BY moment, step, owner, line"
        )
        for step, owner, file, line, fields in rows:
            values = {name: _in_utc(value) for name, value in pickle.loads(fields).items()}
            yield Task(Step(step), owner, Row(Place(file, line), values))


def _bare(value: Value) -> Value:
    """A moment without its zone: to pack the zone along with each one takes longer than all the rest."""
    return value.astimezone(UTC).replace(tzinfo=None) if isinstance(value, datetime) else value


def _in_utc(value: Value) -> Value:
    return value.replace(tzinfo=UTC) if isinstance(value, datetime) else value


@contextmanager
def open_shelf() -> Iterator[Shelf]:
    """A shelf that is dropped afterwards. A full disk for temporary files becomes a sentence."""
    shelf = Shelf()
    try:
        yield shelf
    except sqlite3.Error as error:
        raise in_plain_words(error) from error
    finally:
        shelf.close()
