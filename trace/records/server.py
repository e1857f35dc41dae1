"""The record on a PostgreSQL server, through psycopg 3: the same tables, entries and questions as in a file."""

from __future__ import annotations

from typing import Any

import peewee
from playhouse.migrations import Runner

from lotwake.trace.base.errors import Refused
from lotwake.trace.records.database import MIGRATIONS, Records, in_plain_words


class Server(peewee.PostgresqlDatabase):
    """A connection to a server by its URL (``postgresql://user@host:port/name``)."""

    def __init__(self, url: str) -> None:
        # Compiling a trace takes far longer than running it, and a recursive question always looks costly enough to try.
        super().__init__(url, prefer_psycopg3=True, options="-c jit=off")

    def _connect(self) -> Any:
        from psycopg.types.numeric import IntLoader

        connection = super()._connect()  # type: ignore[misc]  # peewee does not declare it
        # The sum of whole numbers is NUMERIC on the server. The record holds whole numbers only, and so do its answers.
        connection.adapters.register_loader("numeric", IntLoader)
        return connection


def create_on_server(url: str) -> Records:
    """Make a new, empty record in an empty database of a server. Refused when there is one already."""
    server = Server(url)
    try:
        if server.get_tables():
            raise Refused(f"The database {server.database} is not empty.", "Open it, or make an empty database.")
        Runner(server, str(MIGRATIONS)).up()
    except peewee.DatabaseError as error:
        server.close()
        raise in_plain_words(error) from error
    except Refused:
        server.close()
        raise
    return Records(server)
