"""``verify`` finds and names any change made behind the program's back, in every table, row and column."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import time
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lotwake.trace.base.places import places_at
from lotwake.trace.records.database import Records, open_records
from lotwake.trace.records.entries import lots
from lotwake.trace.records.find import everything
from lotwake.trace.records.journal import FIRST_HASH, Said, entry, line_hash
from lotwake.trace.records.verify import Verdict, verify

NEW = 1_000_003
MOST_ROWS = 4


class Intruder:
    """Somebody with another program and the record file, and a copy to put things back."""

    def __init__(self, folder: Path) -> None:
        path = places_at(folder).records
        self.records = open_records(path, folder / "backups")
        self.other = sqlite3.connect(path, isolation_level=None)
        self.tables = [
            name
            for (name,) in self.other.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
            if not name.startswith("sqlite_")
        ]
        self.rows = {table: self.other.execute(f"SELECT * FROM {table}").fetchall() for table in self.tables}
        self.columns = {
            table: [row[1] for row in self.other.execute(f"PRAGMA table_info({table})")] for table in self.tables
        }

    def put_back(self, table: str) -> None:
        marks = ", ".join("?" * len(self.columns[table]))
        self.other.execute("BEGIN")
        self.other.execute(f"DELETE FROM {table}")
        self.other.executemany(f"INSERT INTO {table} VALUES ({marks})", self.rows[table])
        self.other.execute("COMMIT")

    def where(self, table: str, row: tuple[Any, ...]) -> tuple[str, list[Any]]:
        return " AND ".join(f"{name} IS ?" for name in self.columns[table]), list(row)

    def close(self) -> None:
        self.other.close()
        self.records.close()


@pytest.fixture(scope="module")
def intruder(lived_in: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Intruder]:
    folder = tmp_path_factory.mktemp("intruder") / "house"
    shutil.copytree(lived_in, folder)
    made = Intruder(folder)
    yield made
    made.close()


def named(verdict: Verdict, table: str) -> bool:
    return any(problem.place.split()[0] == table for problem in verdict.problems)


def other_value(value: Any) -> Any:
    return NEW if value is None else value + NEW if isinstance(value, int) else f"{value}x"


def sample(rows: list[Any]) -> list[Any]:
    return rows if len(rows) <= MOST_ROWS else [*rows[: MOST_ROWS - 1], rows[-1]]


def test_no_table_is_empty_and_all_is_whole(intruder: Intruder) -> None:
    """The house that is tampered with has a row in every table of the schema, and is whole before."""
    assert [table for table in intruder.tables if not intruder.rows[table]] == []
    verdict = verify(intruder.records)
    assert verdict.whole
    assert verdict.lines == len(intruder.rows["journal"])
    unjournalled = {"journal", "counter", "schema_migration"}
    assert verdict.rows == sum(len(rows) for table, rows in intruder.rows.items() if table not in unjournalled)


def test_every_column_of_every_table_is_watched(intruder: Intruder) -> None:
    """A changed value is found and its table named: every column, in the first rows and the last of each table."""
    missed = []
    for table in intruder.tables:
        for row in sample(intruder.rows[table]):
            where, values = intruder.where(table, row)
            for column, value in zip(intruder.columns[table], row, strict=True):
                intruder.other.execute(f"UPDATE {table} SET {column} = ? WHERE {where}", [other_value(value), *values])
                if not named(verify(intruder.records), table):
                    missed.append((table, column, value))
                intruder.put_back(table)
    assert missed == []
    assert verify(intruder.records).whole


def test_every_removed_row_is_missed(intruder: Intruder) -> None:
    """A row that was taken out is found and its table named, in every table."""
    for table in intruder.tables:
        for row in sample(intruder.rows[table]):
            where, values = intruder.where(table, row)
            assert intruder.other.execute(f"DELETE FROM {table} WHERE {where}", values).rowcount == 1
            assert named(verify(intruder.records), table), (table, row)
            intruder.put_back(table)


def test_every_added_row_is_found(intruder: Intruder) -> None:
    """A row that no entry wrote is found and its table named, with a known entry's number or without."""
    for table in intruder.tables:
        row = intruder.rows[table][-1]
        for changed in ([other_value(value) for value in row], keep_entry(intruder, table, row)):
            marks = ", ".join("?" * len(changed))
            intruder.other.execute(f"INSERT INTO {table} VALUES ({marks})", changed)
            assert named(verify(intruder.records), table), (table, changed)
            intruder.put_back(table)


def keep_entry(intruder: Intruder, table: str, row: tuple[Any, ...]) -> list[Any]:
    return [
        value if name == "entry" else other_value(value)
        for name, value in zip(intruder.columns[table], row, strict=True)
    ]


def test_swapped_rows_are_found(intruder: Intruder) -> None:
    """Two rows that changed places, whole but for their keys, are found and their table named."""
    swapped = 0
    for table in intruder.tables:
        keys = list(intruder.records.keys.get(table, intruder.columns[table][:1]))
        kept = [name for name in intruder.columns[table] if name not in keys]
        rows = intruder.rows[table]
        pair = next(
            ((a, b) for a in rows for b in rows if all(differs(intruder, table, a, b, name) for name in kept[:1])), None
        )
        if pair is None or not kept:
            continue
        intruder.other.execute("BEGIN")
        for mine in pair:
            where, values = intruder.where(table, mine)
            intruder.other.execute(f"DELETE FROM {table} WHERE {where}", values)
        for mine, its in (pair, pair[::-1]):
            new = [m if name in keys else i for name, m, i in zip(intruder.columns[table], mine, its, strict=True)]
            intruder.other.execute(f"INSERT OR IGNORE INTO {table} VALUES ({', '.join('?' * len(new))})", new)
        intruder.other.execute("COMMIT")
        assert named(verify(intruder.records), table), table
        intruder.put_back(table)
        swapped += 1
    assert swapped > 15


def differs(intruder: Intruder, table: str, a: tuple[Any, ...], b: tuple[Any, ...], name: str) -> bool:
    place = intruder.columns[table].index(name)
    return bool(a[place] != b[place])


ODD = st.one_of(
    st.none(), st.integers(-(2**40), 2**40), st.text(max_size=6), st.binary(max_size=4), st.floats(allow_nan=False)
)


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_any_value_anywhere_is_found(intruder: Intruder, data: st.DataObject) -> None:
    """Whatever stands in any cell in place of what was written, of any type, is found and its table named."""
    table = data.draw(st.sampled_from(intruder.tables))
    row = data.draw(st.sampled_from(intruder.rows[table]))
    column = data.draw(st.sampled_from(intruder.columns[table]))
    value = data.draw(ODD)
    where, values = intruder.where(table, row)
    try:
        intruder.other.execute(f"UPDATE {table} SET {column} = ? WHERE {where}", [value, *values])
    except sqlite3.IntegrityError:
        return
    try:
        stored = intruder.other.execute(f"SELECT * FROM {table}").fetchall()
        verdict = verify(intruder.records)
        assert named(verdict, table) == (stored != intruder.rows[table]), (verdict, column, value)
    finally:
        intruder.put_back(table)


def test_a_text_that_is_no_text_is_found(intruder: Intruder) -> None:
    """Bytes that are not UTF-8 are reported as damage, not as a fault of the program."""
    intruder.other.execute("UPDATE lot SET note = CAST(x'ff' AS TEXT) WHERE id = 1")
    assert not verify(intruder.records).whole
    intruder.put_back("lot")


# The journal


def test_removed_and_reordered_lines_are_named(intruder: Intruder) -> None:
    """A line that is gone, wherever it stood, and two lines that changed places are named."""
    lines = len(intruder.rows["journal"])
    for gone in (1, lines // 2, lines):
        intruder.other.execute("DELETE FROM journal WHERE seq = ?", [gone])
        verdict = verify(intruder.records)
        assert not verdict.whole
        if gone < lines:
            assert verdict.problems[0].sentence == f"Journal line {gone} is missing; the next is {gone + 1}."
        intruder.put_back("journal")
    a, b = intruder.rows["journal"][9], intruder.rows["journal"][10]
    intruder.other.execute("DELETE FROM journal WHERE seq IN (10, 11)")
    for seq, row in ((10, b), (11, a)):
        intruder.other.execute(f"INSERT INTO journal VALUES ({', '.join('?' * 10)})", [seq, *row[1:]])
    assert verify(intruder.records).problems[0].place == "journal 10"
    intruder.put_back("journal")


@pytest.mark.parametrize(
    "body",
    [
        "",
        "null",
        "[]",
        "{",
        '{"rows":[]}',
        '{"set":[1],"next":3}',
        '{"set":7}',
        '{"rows":{"lott":[{"id":1}]}}',
        "[" * 5000,
    ],
)
def test_a_body_that_makes_no_sense_is_named(intruder: Intruder, body: str) -> None:
    """Whatever stands in the body of a line, the line is named and the walk goes on."""
    intruder.other.execute("UPDATE journal SET body = ? WHERE seq = 12", [body])
    assert verify(intruder.records).problems[0].place == "journal 12"
    intruder.put_back("journal")


def test_a_forged_chain_does_not_hide_a_forged_row(intruder: Intruder) -> None:
    """Somebody who computes all hashes anew after changing a line is given away by the rows and by the last hash."""
    honest = verify(intruder.records).last_hash
    previous = FIRST_HASH
    for row in intruder.rows["journal"]:
        line = [*row[:8], row[8].replace('"g":10000,', '"g":10001,')]
        previous = line_hash(previous, tuple(line))
        intruder.other.execute("UPDATE journal SET body = ?, hash = ? WHERE seq = ?", [line[8], previous, line[0]])
    verdict = verify(intruder.records)
    assert verdict.last_hash == previous != honest
    assert [problem.place for problem in verdict.problems] == ["lot 00000000000000000001"]
    intruder.put_back("journal")


def test_the_hash_is_sha_256_of_the_line_before_and_this_one(intruder: Intruder) -> None:
    """Every hash can be computed with hashlib alone, as the journal describes it."""
    previous = "0" * 64
    for *line, stored in intruder.rows["journal"]:
        text = json.dumps(line, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        previous = hashlib.sha256(f"{previous}\n{text}".encode()).hexdigest()
        assert previous == stored


# The schema


@pytest.mark.parametrize(
    ("act", "undo", "place"),
    [
        ("CREATE TABLE extra (id INTEGER, entry INTEGER)", "DROP TABLE extra", "extra"),
        ("CREATE TABLE notes (text TEXT)", "DROP TABLE notes", "notes"),
        ("DROP INDEX loss_by_lot", "CREATE INDEX loss_by_lot ON loss (lot, g)", "loss_by_lot"),
        ("CREATE TRIGGER t AFTER INSERT ON lot BEGIN DELETE FROM hold; END", "DROP TRIGGER t", "t"),
        ("ALTER TABLE lot ADD COLUMN colour TEXT", "ALTER TABLE lot DROP COLUMN colour", "lot"),
    ],
)
def test_a_changed_schema_is_named(intruder: Intruder, act: str, undo: str, place: str) -> None:
    """A table, index, trigger or column that this program did not make, or that is gone, is named."""
    intruder.other.execute(act)
    records = Records(intruder.records.database)
    assert named(verify(records), place)
    intruder.other.execute(undo)
    assert verify(intruder.records).whole


def test_statistics_do_not_matter(intruder: Intruder) -> None:
    """What SQLite keeps for itself is no change of the record."""
    intruder.other.execute("ANALYZE")
    assert verify(Records(intruder.records.database)).whole


def test_a_dropped_table_is_named(lived_in: Path, tmp_path: Path) -> None:
    """A whole table that is gone is named, row by row and as a table."""
    shutil.copytree(lived_in, tmp_path / "house")
    intruder = Intruder(tmp_path / "house")
    intruder.other.execute("DROP TABLE hold_release")
    assert named(verify(Records(intruder.records.database)), "hold_release")
    intruder.close()


# Size


@pytest.mark.on_file
def test_twenty_thousand_entries_are_verified_quickly_in_little_memory(house) -> None:
    """A record of 20,000 entries is walked in seconds, and the walk does not keep it in memory."""
    desk = house.desk
    facts = lots.LotFacts("landing", desk.now, desk.today, 1_000, source=1, species="HAD", area="27")
    said = Said("receive landing", 1, desk.now, desk.zone.key)
    with desk.records.transaction():
        for _ in range(20_000):
            with entry(desk.records, desk.clock, said) as making:
                lots.receive_lot(making, facts, desk.today, another=True)
    began = time.perf_counter()
    verdict = verify(desk.records)
    took_s = time.perf_counter() - began
    assert verdict.whole
    assert verdict.lines > 20_000
    assert took_s < 8
    tracemalloc.start()
    verify(desk.records)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 8_000_000
    assert everything(desk.records, "126-328-001-42")
