"""What a role of the database server may do with the record: the boundary that a station cannot step over."""

from __future__ import annotations

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.records.database import Records

STATION, READER = "station", "reader"
KINDS = (STATION, READER)
_RIGHTS = {STATION: "SELECT, INSERT, UPDATE", READER: "SELECT"}
"""An entry finishes its own journal line and corrects fields, so a station updates; nothing is ever deleted."""


def statements(role: str, kind: str, database: str) -> list[str]:
    """SQL that takes everything from a role and then gives it what its kind needs, for later tables too."""
    name, rights = _quoted(role), _RIGHTS[kind]
    return [
        f"GRANT CONNECT ON DATABASE {_quoted(database)} TO {name}",
        f"REVOKE ALL ON SCHEMA public FROM {name}",
        f"GRANT USAGE ON SCHEMA public TO {name}",
        f"REVOKE ALL ON ALL TABLES IN SCHEMA public FROM {name}",
        f"GRANT {rights} ON ALL TABLES IN SCHEMA public TO {name}",
        f"ALTER DEFAULT PRIVILEGES IN SCHEMA public REVOKE ALL ON TABLES FROM {name}",
        f"ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT {rights} ON TABLES TO {name}",
        f"REVOKE INSERT, UPDATE ON schema_migration FROM {name}",
    ]


def grant(records: Records, role: str, kind: str) -> list[str]:
    """Give a role of the server what a station or a reader needs, all or nothing; the statements are given back.

    CallError where the record is a file; NotFound when the server has no such role.
    """
    if records.on_sqlite:
        raise CallError(
            "The record of this house is a file: who may write it is decided by the rights on its folder.",
            "Roles are for a record on a PostgreSQL server.",
        )
    if records.value("SELECT 1 FROM pg_roles WHERE rolname = ?", role) is None:
        raise NotFound(
            f"The server has no role {role}.", f"Whoever looks after the server makes it: CREATE ROLE {role} LOGIN."
        )
    done = statements(role, kind, str(records.value("SELECT current_database()")))
    with records.transaction():
        for statement in done:
            records.run(statement)
    return done


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
