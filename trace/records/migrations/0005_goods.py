"""What goods weigh and what is said about them: packs weighed one by one, nutrition, and how a lot came in.

Columns that are added to a table may be NULL, since the entries that wrote its older rows do not speak of them.
"""

from __future__ import annotations

from typing import Any

ENTRY = "entry BIGINT NOT NULL REFERENCES journal (seq)"

CHANGES = f"""
ALTER TABLE product ADD COLUMN catch_weight INTEGER;
ALTER TABLE product ADD COLUMN nutrition TEXT;
ALTER TABLE run ADD COLUMN catch_weight INTEGER;
CREATE TABLE pack_weight (run BIGINT NOT NULL REFERENCES run (id), serial BIGINT NOT NULL, net_g BIGINT NOT NULL, {ENTRY},
  PRIMARY KEY (run, serial)) WITHOUT ROWID;
ALTER TABLE lot ADD COLUMN received_as TEXT;
ALTER TABLE lot ADD COLUMN trip TEXT;
ALTER TABLE lot ADD COLUMN undersize_g BIGINT;
"""


def up(migrator: Any, db: Any) -> None:
    tail = " WITHOUT ROWID" if type(db).__name__.startswith("Sqlite") else ""
    for statement in CHANGES.replace(" WITHOUT ROWID", tail).split(";"):
        if statement.strip():
            db.execute_sql(statement)
