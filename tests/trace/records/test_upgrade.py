"""A record of every released schema is brought to the present one with nothing lost.

``tests/fixtures/schema-NNNN.sql`` is the dump of a record in which everything happened once, as that version wrote it.
A new migration comes with a dump made before it.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from lotwake.trace.base.places import places_at
from lotwake.trace.records.database import MIGRATIONS, open_records
from lotwake.trace.records.verify import verify

DUMPS = sorted((Path(__file__).parents[2] / "fixtures").glob("schema-*.sql"))


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
    records.close()
    assert verdict.problems == ()
    assert (verdict.lines, verdict.last_hash) == (seq, last)
    assert applied == {path.stem for path in MIGRATIONS.glob("[0-9]*.py")}
    assert len(list(tmp_path.glob("backups/before-*.db"))) == (len(applied) > int(dump.stem[-4:]))


def test_every_schema_has_its_dump() -> None:
    """For each migration there is a dump of the record it made."""
    assert [dump.stem[-4:] for dump in DUMPS] == sorted(path.stem[:4] for path in MIGRATIONS.glob("[0-9]*.py"))
