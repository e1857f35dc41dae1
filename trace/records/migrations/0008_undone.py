"""An end of packs that was a mistake can be taken back, and the same packs end again.

``pack_end`` is keyed by its entry too, and an end that was taken back has no ``last``: it covers no packs. What ``last`` said
is in ``correction``.
"""

from __future__ import annotations

from typing import Any

ENTRY = "entry BIGINT NOT NULL REFERENCES journal (seq)"

CHANGES = f"""
CREATE TABLE pack_end_now (run BIGINT NOT NULL REFERENCES run (id), first BIGINT NOT NULL, {ENTRY}, last BIGINT,
  kind TEXT NOT NULL, batch BIGINT REFERENCES batch (id), reason TEXT NOT NULL, at TEXT NOT NULL,
  PRIMARY KEY (run, first, entry)) WITHOUT ROWID;
INSERT INTO pack_end_now (run, first, entry, last, kind, batch, reason, at)
  SELECT run, first, entry, last, kind, batch, reason, at FROM pack_end;
DROP TABLE pack_end;
ALTER TABLE pack_end_now RENAME TO pack_end;
CREATE INDEX pack_end_by_batch ON pack_end (batch, run);
"""


def up(migrator: Any, db: Any) -> None:
    tail = " WITHOUT ROWID" if type(db).__name__.startswith("Sqlite") else ""
    for statement in CHANGES.replace(" WITHOUT ROWID", tail).split(";"):
        if statement.strip():
            db.execute_sql(statement)
