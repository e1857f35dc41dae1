"""The shape of a record on a server, told so that it can be held against that of a new file: tables, links, indexes."""

from __future__ import annotations

import peewee
from playhouse.migrations import Runner

from lotwake.trace.records.database import MIGRATIONS

Part = tuple[str, str]
"""What it is, and which."""

_FOREIGN = """
SELECT 'trigger', c.relname || '.' || t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
  JOIN pg_namespace n ON n.oid = c.relnamespace WHERE NOT t.tgisinternal AND n.nspname = 'public'
UNION ALL SELECT 'rule', tablename || '.' || rulename FROM pg_rules WHERE schemaname = 'public'
UNION ALL SELECT 'view', viewname FROM pg_views WHERE schemaname = 'public'
UNION ALL SELECT 'check', c.relname || '.' || k.conname FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid
  JOIN pg_namespace n ON n.oid = c.relnamespace WHERE k.contype = 'c' AND n.nspname = 'public'
UNION ALL SELECT 'disabled trigger', c.relname || '.' || t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
  JOIN pg_namespace n ON n.oid = c.relnamespace WHERE t.tgenabled <> 'O' AND n.nspname = 'public'
"""
"""What no record of this program has on a server."""

_ALIKE = {
    "integer": "bigint", "varchar(255)": "text", "character varying": "text", "datetime": "timestamp",
    "timestamp without time zone": "timestamp",
}  # fmt: skip
"""What the two call a column of the same kind."""


def shape_on_server(server: peewee.Database) -> set[Part]:
    """What stands on the server."""
    return _shape(server) | {(kind, name) for kind, name in server.execute_sql(_FOREIGN).fetchall()}


def shape_as_shipped() -> set[Part]:
    """What a record that was made just now has."""
    fresh = peewee.SqliteDatabase(":memory:")
    try:
        Runner(fresh, str(MIGRATIONS)).up()
        return _shape(fresh)
    finally:
        fresh.close()


def _shape(database: peewee.Database) -> set[Part]:
    parts: set[Part] = set()
    for table in database.get_tables():
        keys = tuple(database.get_primary_keys(table))
        parts.add(("key", f"{table} ({', '.join(keys)})"))
        for column in database.get_columns(table):
            kind = _ALIKE.get(column.data_type.lower(), column.data_type.lower())
            empty = " NULL" if column.null and column.name not in keys else ""
            parts.add(("column", f"{table}.{column.name} {kind}{empty}"))
        for index in database.get_indexes(table):
            if not (index.unique and tuple(index.columns) == keys):
                unique = "unique " if index.unique else ""
                parts.add((f"{unique}index", f"{table} ({', '.join(map(str, index.columns))})"))
        for link in database.get_foreign_keys(table):
            parts.add(("link", f"{table}.{link.column} to {link.dest_table}.{link.dest_column}"))
    return parts
