"""A record of every released schema is brought to the present one with nothing lost.

``tests/fixtures/schema-NNNN.sql`` is the dump of a record in which everything happened once, as that version wrote it.
The present schema has its dump too, made with the migration that brought it.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from lotwake.trace.base.places import places_at
from lotwake.trace.records.database import MIGRATIONS, open_records
from lotwake.trace.records.rights import LEAD, rights_of
from lotwake.trace.records.verify import verify

FIXTURES = Path(__file__).parents[2] / "fixtures"
DUMPS = sorted(FIXTURES.glob("schema-*.sql"))


@pytest.mark.parametrize("dump", DUMPS, ids=lambda dump: dump.stem)
def test_an_older_record_is_brought_up_to_date(dump: Path, tmp_path: Path) -> None:
    """Opened by this program, the record is whole, has every line it had, and no migration waits."""
    places = places_at(tmp_path)
    with closing(sqlite3.connect(places.records)) as file:
        file.executescript(dump.read_text(encoding="utf-8"))
        seq, last = file.execute("SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1").fetchone()
    records = open_records(places.records, places.backups)
    verdict = verify(records)
    applied = {name for (name,) in records.rows("SELECT name FROM schema_migration")}
    first = rights_of(records, 1)
    records.close()
    assert first is not None
    assert (first.role, first.pin) == (LEAD, None)
    assert verdict.problems == ()
    assert (verdict.lines, verdict.last_hash) == (seq, last)
    assert applied == {path.stem for path in MIGRATIONS.glob("[0-9]*.py")}
    assert len(list(tmp_path.glob("backups/before-*.db"))) == (len(applied) > int(dump.stem[-4:]))


def test_the_present_schema_has_its_dump(lived_in: Path) -> None:
    """The first schema and the present one have a dump; LOTWAKE_WRITE_DUMPS=1 writes that of the present one."""
    present = max(path.stem[:4] for path in MIGRATIONS.glob("[0-9]*.py"))
    if os.environ.get("LOTWAKE_WRITE_DUMPS"):
        with closing(sqlite3.connect(places_at(lived_in).records)) as file:
            (FIXTURES / f"schema-{present}.sql").write_text("\n".join(file.iterdump()) + "\n", encoding="utf-8")
    assert {"0001", present} <= {dump.stem[-4:] for dump in FIXTURES.glob("schema-*.sql")}
