"""The whole record copied row by row from one database into another: a file, or a server."""

from __future__ import annotations

from graphlib import TopologicalSorter
from itertools import islice
from pathlib import Path

from playhouse.migrations import Runner

from lotwake.trace.base.errors import NeedsAttention
from lotwake.trace.records.database import (
    MANY,
    MIGRATIONS,
    Records,
    copy_file,
    create_records,
    in_peewee_errors,
    in_plain_words,
)
from lotwake.trace.records.drivers import peewee
from lotwake.trace.records.journal import Head, head


def copy_into_file(records: Records, target: Path) -> None:
    """Copy a record as it stands at one moment into a new file, while others may write."""
    if records.file is not None:
        copy_file(records.file, target)
        return
    applied = [row.name for row in Runner(records.database, str(MIGRATIONS)).status() if row.applied]
    copy = create_records(target, upto=applied[-1])
    try:
        copy_rows(records, copy)
        copy.run("PRAGMA journal_mode = delete")  # one file, nothing beside it
    finally:
        copy.close()


def copy_rows(source: Records, target: Records) -> Head:
    """Copy every row into an empty record with the same schema; all or nothing. Where the journal ends is given back.

    NeedsAttention when the journal arrives with another last hash than it left with.
    """
    try:
        with source.snapshot(), target.transaction():
            target.run("DELETE FROM schema_migration")
            for table in _referred_first(target.database):
                _copy_table(source, target, table)
            left, arrived = head(source), head(target)
    except peewee.PeeweeException as error:
        raise in_plain_words(error) from error
    if left != arrived:
        raise NeedsAttention("The copy ends with another entry than the record.", "Nothing was changed; try again.")
    return arrived


def _referred_first(database: peewee.Database) -> list[str]:
    """The tables, each after those its rows refer to."""
    referred = {
        table: {key.dest_table for key in database.get_foreign_keys(table)} - {table}
        for table in sorted(database.get_tables())
    }
    return list(TopologicalSorter(referred).static_order())


def _copy_table(source: Records, target: Records, table: str) -> None:
    columns = [column.name for column in target.database.get_columns(table)]
    order = ", ".join(target.database.get_primary_keys(table))
    rows = source.stream(f"SELECT {', '.join(columns)} FROM {table} ORDER BY {order}")
    marks = ", ".join(["?" if target.on_sqlite else "%s"] * len(columns))
    cursor = target.database.cursor()
    while some := list(islice(rows, MANY)):
        with in_peewee_errors:
            cursor.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})", some)
    if not target.on_sqlite and "id" in columns:
        _count_on(target, table)


def _count_on(server: Records, table: str) -> None:
    """A server numbers new rows by itself: it has to go on behind those that brought their number."""
    counts = server.value("SELECT pg_get_serial_sequence(?, 'id')", table)
    if counts is not None:
        server.run(f"SELECT setval('{counts}', COALESCE(MAX(id), 0) + 1, false) FROM {table}")
