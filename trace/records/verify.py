"""Walking the journal: is the chain whole, and do the tables say exactly what the entries wrote?"""

from __future__ import annotations

import heapq
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.records.database import MIGRATIONS, Records, schema_as_shipped, schema_of
from lotwake.trace.records.journal import FIRST_HASH, Row, fingerprint, line_hash, schema_mark
from lotwake.trace.records.shape import shape_as_shipped, shape_on_server

MOST_PROBLEMS = 100


@dataclass(frozen=True)
class Problem:
    """Something in the record that no entry made: ``place`` names the journal line or the table and row."""

    place: str
    sentence: str


@dataclass(frozen=True)
class Verdict:
    """What a walk found: lines and rows looked at, the last hash, and the problems, the first broken link first."""

    lines: int
    rows: int
    last_hash: str
    problems: tuple[Problem, ...]

    @property
    def whole(self) -> bool:
        return not self.problems


def verify(records: Records) -> Verdict:
    """Check the chain and every row of every table against it, in one pass over each; memory does not grow with them."""
    problems: list[Problem] = []
    rows = lines = 0
    last_hash = FIRST_HASH
    try:
        with records.snapshot():
            changes, counters, lines, last_hash = _walk_chain(records, problems)
            rows = _walk_tables(records, changes, lines, problems)
            _check_counters(records, counters, problems)
            _check_schema(records, counters, problems)
    except LotwakeError as damage:
        problems.append(Problem("file", damage.sentence))
    return Verdict(lines, rows, last_hash, tuple(problems[:MOST_PROBLEMS]))


LEAST_SIGNS = 12


def against_paper(records: Records, seq: int, printed: str) -> tuple[Problem, ...]:
    """Whether this line still has the hash that a printed page gives, or begins with it. CallError for what is no hash."""
    bare = "".join(printed.split()).lower()
    if len(bare) < LEAST_SIGNS or set(bare) - set("0123456789abcdef"):
        raise CallError(f"{printed!r} is no hash.", f"Type its first {LEAST_SIGNS} signs or more, as they are printed.")
    stands = records.value("SELECT hash FROM journal WHERE seq = ?", seq)
    if stands is None:
        return (Problem(f"journal {seq}", f"Journal line {seq} was printed with the hash {bare} and is not there."),)
    if str(stands).startswith(bare):
        return ()
    sentence = (
        f"Journal line {seq} was printed with the hash {bare} and has {stands}: what comes up to it was rewritten."
    )
    return (Problem(f"journal {seq}", sentence),)


Changes = dict[tuple[str, str], dict[str, Any]]
"""Corrected fields: (table, key as text) to field to the value it has now."""


def _walk_chain(records: Records, problems: list[Problem]) -> tuple[Changes, dict[str, int], int, str]:
    changes: Changes = {}
    counters: dict[str, int] = {}
    previous, expected = FIRST_HASH, 1
    for *line, stored in records.stream(
        "SELECT seq, at, happened, zone, who, act, why, corrects, body, hash FROM journal ORDER BY seq"
    ):
        seq = line[0]
        if seq != expected:
            problems.append(Problem(f"journal {expected}", f"Journal line {expected} is missing; the next is {seq}."))
        if not _fits(previous, tuple(line), stored):
            problems.append(
                Problem(f"journal {seq}", f"Journal line {seq} ({line[5]}, {line[1]}) does not fit its hash.")
            )
        previous, expected = str(stored), (seq if isinstance(seq, int) else expected) + 1
        body = str(line[8])
        if '"set":' in body or '"next":' in body:
            done = _read_body(body)
            for table, key, field, now in done.changed:
                changes.setdefault((table, _key_text(key)), {})[field] = now
            counters.update(done.counted)
    return changes, counters, expected - 1, previous


def _fits(previous: str, line: tuple[Any, ...], stored: Any) -> bool:
    try:
        return bool(line_hash(previous, line) == stored)
    except (TypeError, ValueError):  # something stands there that no entry can write
        return False


@dataclass(frozen=True)
class _Body:
    """What a journal line did: rows by table; (table, key, field, value) of what it set; counters it moved."""

    rows: dict[str, list[Row]]
    changed: list[tuple[str, Row, str, Any]]
    counted: dict[str, int]


def _read_body(text: str) -> _Body:
    """The body of a line. One that cannot be read did nothing: its hash does not fit either, which has been said."""
    try:
        done = json.loads(text)
        return _Body(
            {str(table): [dict(row) for row in rows] for table, rows in done.get("rows", {}).items()},
            [(str(table), dict(key), str(field), now) for table, key, field, _was, now in done.get("set", ())],
            dict(done.get("next", {})),
        )
    except (ValueError, TypeError, AttributeError, RecursionError):
        return _Body({}, [], {})


def _key_text(key: Row) -> str:
    return json.dumps(key, sort_keys=True)


def _walk_tables(records: Records, changes: Changes, last_line: int, problems: list[Problem]) -> int:
    """Both sides in the order (entry, table, key): what the journal wrote, and what stands in the tables."""
    written = _written(records)
    standing = heapq.merge(
        *(_standing(records, table, problems) for table in records.columns), key=lambda item: item[0]
    )
    seen = 0
    want, have = next(written, None), next(standing, None)
    while (want or have) and len(problems) < MOST_PROBLEMS:
        if have is None or (want is not None and want[0] < have[0]):
            assert want is not None
            problems.append(Problem(_place(want), f"{_place(want)}, written by entry {want[0][0]}, is gone."))
            want = next(written, None)
        elif want is None or have[0] < want[0]:
            problems.append(_added(have))
            if have[0][0] > last_line:
                last_line = have[0][0]
                problems.append(Problem(f"journal {last_line}", f"Journal line {last_line} is missing; rows name it."))
            have = next(standing, None)
        else:
            seen += 1
            _compare(records, want, have, changes, problems)
            want, have = next(written, None), next(standing, None)
    return seen


_Standing = tuple[tuple[int, str, str], Row]


def _place(item: _Standing) -> str:
    (_, table, key), _ = item
    return f"{table} {key}"


def _added(item: _Standing) -> Problem:
    return Problem(_place(item), f"{_place(item)} was added behind the record's back.")


def _sortable(records: Records, table: str, row: Row) -> str:
    """A row's key as text that sorts the same on every database; zero-padded so that numbers sort as numbers."""
    return "/".join(
        f"{value:020d}" if isinstance(value, int) else str(value)
        for value in (row.get(name) for name in records.keys.get(table, ()) if name != "entry")
    )


def _written(records: Records) -> Iterator[_Standing]:
    for seq, body in records.stream("SELECT seq, body FROM journal ORDER BY seq"):
        rows = _read_body(str(body)).rows if isinstance(seq, int) else {}
        line = [((seq, table, _sortable(records, table, row)), row) for table in rows for row in rows[table]]
        yield from sorted(line, key=lambda item: item[0])


def _standing(records: Records, table: str, problems: list[Problem]) -> Iterator[_Standing]:
    columns = records.columns[table]
    place = columns.index("entry")
    pending: list[_Standing] = []
    for values in records.stream(f"SELECT {', '.join(columns)} FROM {table} ORDER BY entry"):
        row = {name: value for name, value in zip(columns, values, strict=True) if value is not None}
        item = ((values[place], table, _sortable(records, table, row)), row)
        if not isinstance(values[place], int):
            problems.append(_added(item))  # no entry has such a number
            continue
        if pending and pending[0][0][0] != values[place]:
            yield from sorted(pending, key=lambda item: item[0])
            pending = []
        pending.append(item)
    yield from sorted(pending, key=lambda item: item[0])


def _compare(records: Records, want: _Standing, have: _Standing, changes: Changes, problems: list[Problem]) -> None:
    table = want[0][1]
    expected: Row = want[1]
    if changes:
        key = _key_text({name: expected[name] for name in records.keys[table] if name in expected})
        corrected = changes.get((table, key))
        if corrected:
            expected = {name: value for name, value in {**expected, **corrected}.items() if value is not None}
    if expected == have[1]:
        return
    for field in sorted({*expected, *have[1]}):
        said, says = expected.get(field), have[1].get(field)
        if said != says:
            sentence = f"{_place(want)}: {field} was entered as {said!r} (entry {want[0][0]}) and says {says!r}."
            problems.append(Problem(_place(want), sentence))


def _check_counters(records: Records, counters: dict[str, int], problems: list[Problem]) -> None:
    standing = dict(records.rows("SELECT name, next FROM counter"))
    for name in sorted({*counters, *standing}, key=str):
        if counters.get(name) != standing.get(name):
            sentence = (
                f"The counter {name} stands at {standing.get(name)}; the journal left it at {counters.get(name)}."
            )
            problems.append(Problem(f"counter {name}", sentence))


def _check_schema(records: Records, counters: dict[str, int], problems: list[Problem]) -> None:
    shipped = {path.stem for path in MIGRATIONS.glob("[0-9]*.py")}
    applied = {row[1]: row for row in records.rows("SELECT id, name, applied FROM schema_migration")}
    for name in sorted(shipped ^ set(applied), key=str):
        problems.append(Problem(f"schema_migration {name}", f"The list of schema versions is wrong about {name}."))
    for name, row in applied.items():
        noted = counters.get(schema_mark(str(name)))
        if noted is not None and noted != fingerprint(row):
            problems.append(Problem(f"schema_migration {name}", f"The line about schema version {name} was changed."))
    if not records.on_sqlite:
        for kind, name in sorted(shape_on_server(records.database) ^ shape_as_shipped()):
            problems.append(Problem(name, f"The {kind} {name} is not as this program made it."))
    else:
        for kind, name, _ in sorted(schema_of(records.database) ^ schema_as_shipped(), key=str):
            problems.append(Problem(name, f"The {kind} {name} is not as this program made it."))
        for (answer,) in records.rows("PRAGMA quick_check"):
            if answer != "ok":
                problems.append(Problem("file", f"The database file is damaged: {answer}."))
