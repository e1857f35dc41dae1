"""The record on a PostgreSQL server, through psycopg 3: the same tables, entries and questions as in a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from playhouse.migrations import Runner

from lotwake.trace.base.errors import LotwakeError, MachineFailed, NotFound, Refused
from lotwake.trace.records.database import BUSY_WAIT_S, MIGRATIONS, Records, in_plain_words, must_know
from lotwake.trace.records.drivers import load_server_driver, peewee
from lotwake.trace.records.journal import head
from lotwake.trace.records.moving import copy_into_file

OPTIONS = {
    "jit": "off",  # compiling a trace takes far longer than running it, and a recursive question always looks costly
    "lock_timeout": f"{BUSY_WAIT_S * 1000:.0f}ms",
    "synchronous_commit": "on",  # a confirmed entry is on the disk, whatever the server is set to
}

_KEYS = """
SELECT a.attname FROM pg_index i JOIN pg_class c ON c.oid = i.indrelid JOIN pg_namespace n ON n.oid = c.relnamespace
  JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = ANY (i.indkey)
  WHERE n.nspname = %s AND c.relname = %s AND i.indisprimary ORDER BY array_position(i.indkey::int2[], a.attnum)"""
_LINKS = """
SELECT a.attname, f.relname, b.attname FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid
  JOIN pg_namespace n ON n.oid = c.relnamespace JOIN pg_class f ON f.oid = k.confrelid
  JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = k.conkey[1]
  JOIN pg_attribute b ON b.attrelid = f.oid AND b.attnum = k.confkey[1]
  WHERE n.nspname = %s AND c.relname = %s AND k.contype = 'f' ORDER BY 1, 2"""


class Server(peewee.PostgresqlDatabase):
    """A connection to a server by its URL (``postgresql://user@host:port/name``)."""

    def __init__(self, url: str) -> None:
        try:
            load_server_driver()
        except ImportError as error:
            raise MachineFailed(
                "The record of this house is on a PostgreSQL server, and the driver for it is not installed.",
                "Install it with: pip install 'lotwake[postgres]'",
            ) from error
        options = " ".join(f"-c {name}={value}" for name, value in OPTIONS.items())
        super().__init__(url, prefer_psycopg3=True, options=options)

    def _connect(self) -> Any:
        from psycopg.types.numeric import IntLoader

        connection = super()._connect()  # type: ignore[misc]  # peewee does not declare it
        # The sum of whole numbers is NUMERIC on the server. The record holds whole numbers only, and so do its answers.
        connection.adapters.register_loader("numeric", IntLoader)
        return connection

    # The information schema shows keys and links to nobody who may only read; the catalogue does.

    def get_primary_keys(self, table: str, schema: str | None = None) -> list[str]:
        found = self.execute_sql(_KEYS, (schema or "public", table))  # type: ignore[no-untyped-call]
        return [name for (name,) in found.fetchall()]

    def get_foreign_keys(self, table: str, schema: str | None = None) -> list[peewee.ForeignKeyMetadata]:
        found = self.execute_sql(_LINKS, (schema or "public", table))  # type: ignore[no-untyped-call]
        return [peewee.ForeignKeyMetadata(column, to, field, table) for column, to, field in found.fetchall()]

    def cursor(self, named_cursor: Any = None) -> Any:
        if not self.is_closed() and not self.in_transaction() and self.connection().closed:  # type: ignore[no-untyped-call]
            self.close()  # the server ended it; the next question connects anew
        return super().cursor(named_cursor)  # type: ignore[no-untyped-call]


def create_on_server(url: str) -> Records:
    """Make a new, empty record in an empty database of a server. Refused when anything is in it already.

    The empty tables of a set-up that was cut short are taken over.
    """
    server = Server(url)
    try:
        tables = set(server.get_tables())
        if tables and ("journal" not in tables or head(Records(server)).seq):
            raise Refused("The database on the server is not empty.", "Open it, or make an empty database.")
        with server.atomic():
            Runner(server, str(MIGRATIONS)).up()
        return Records(server)
    except peewee.PeeweeException as error:
        server.close()
        raise in_plain_words(error) from error
    except LotwakeError:
        server.close()
        raise


def open_on_server(url: str, backups: Path) -> Records:
    """Open the record on a server, bringing an older one up to date after copying it to a file in ``backups``.

    Raises NotFound when there is none, Refused when a newer program wrote it, MachineFailed when it cannot be reached.
    """
    server = Server(url)
    try:
        runner = Runner(server, str(MIGRATIONS))
        if "journal" not in server.get_tables():
            raise NotFound(
                "There is no house in the database that house.toml names.", "Set one up with `lotwake set-up house`."
            )
        waiting = must_know(runner)
        if waiting:
            copy_into_file(Records(server), backups / f"before-{waiting[0]}.db")
            with server.atomic():
                runner.up()
        return Records(server)
    except peewee.PeeweeException as error:
        server.close()
        raise in_plain_words(error) from error
    except LotwakeError:
        server.close()
        raise
