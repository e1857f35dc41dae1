"""Backups: a copy that was checked, and a way back that loses nothing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest


def _elsewhere(house: Any, folder: Path) -> Any:
    other = type(house)(folder, house._capture)
    other.clock = house.clock
    return other


def test_a_backup_is_the_whole_record(stocked: Any, tmp_path: Path) -> None:
    """A backup restored into an empty folder holds the same journal, and codes are found there."""
    house, file = stocked.house, tmp_path / "b.db"
    made = house.data("back-up", str(file))
    assert (made["whole"], made["lines"], made["last_hash"]) == (True, *house.journal_end())
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith("b.db")] == ["b.db"]
    other = _elsewhere(house, tmp_path / "other")
    done = other.data("restore", str(file))
    assert (done["entry"], done["last_hash"], done["set_aside"]) == (*house.journal_end(), None)
    assert other.data("find", f"{stocked.run}/1")["things"][0]["status"] == "IN HOUSE"
    assert other.journal_end() == house.journal_end()


def test_restoring_refuses_to_lose_newer_entries(stocked: Any, tmp_path: Path) -> None:
    """With one entry more in the house the backup is refused with 3, and the entry is still there."""
    house, file = stocked.house, tmp_path / "b.db"
    house.data("back-up", str(file))
    house.data("hold", stocked.lot, "--why", "smell")
    before = house.journal_end()
    said = house.call("restore", str(file))
    assert (said.code, said.out) == (3, "")
    assert "has 1 entry more than the backup" in said.err
    assert house.journal_end() == before


def test_restoring_refuses_another_history(stocked: Any, tmp_path: Path) -> None:
    """A longer record that went another way is refused too: neither is a continuation of the other."""
    house, file = stocked.house, tmp_path / "b.db"
    house.data("back-up", str(file))
    other = _elsewhere(house, tmp_path / "other")
    other.data("restore", str(file))
    for name in ("Borealis", "Cygnus"):
        other.data("set-up", "boat", name)
    other.data("back-up", str(tmp_path / "longer.db"))
    house.data("hold", stocked.lot, "--why", "smell")
    before = house.journal_end()
    said = house.call("restore", str(tmp_path / "longer.db"))
    assert said.code == 3
    assert "other entries than the backup" in said.err
    assert house.journal_end() == before


def test_a_newer_backup_is_taken_and_the_older_record_kept(stocked: Any, tmp_path: Path) -> None:
    """A backup that continues the record in place replaces it, and what stood there is in the backups folder."""
    house, first = stocked.house, tmp_path / "first.db"
    house.data("back-up", str(first))
    other = _elsewhere(house, tmp_path / "other")
    other.data("restore", str(first))
    old_end = other.journal_end()
    house.data("hold", stocked.lot, "--why", "smell")
    house.data("back-up", str(tmp_path / "second.db"))
    done = other.data("restore", str(tmp_path / "second.db"))
    assert other.journal_end() == house.journal_end()
    with closing(sqlite3.connect(done["set_aside"])) as aside:
        assert aside.execute("SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1").fetchone() == old_end


def test_a_damaged_record_is_set_aside(stocked: Any, tmp_path: Path) -> None:
    """A record file that cannot be read any more is kept as it is and the backup put in its place."""
    house, file = stocked.house, tmp_path / "b.db"
    house.data("back-up", str(file))
    end = house.journal_end()
    record = house.folder / "records.db"
    record.write_bytes(b"not a database any more" * 100)
    said = house.call("list", "lots")
    assert (said.code, said.out) == (6, "")
    assert "damaged" in said.err
    done = house.data("restore", str(file))
    assert Path(done["set_aside"]).read_bytes().startswith(b"not a database")
    assert house.journal_end() == end


@pytest.mark.parametrize("spoiled", ["changed", "foreign", "not a database"])
def test_a_bad_backup_is_not_put_in_place(stocked: Any, tmp_path: Path, spoiled: str) -> None:
    """A backup somebody changed, another program's database and a text file are each refused; the record stays."""
    house, file = stocked.house, tmp_path / "b.db"
    if spoiled == "not a database":
        file.write_text("hello\n" * 500)
    else:
        if spoiled == "changed":
            house.data("back-up", str(file))
        statement = "UPDATE lot SET g = 1" if spoiled == "changed" else "CREATE TABLE cats (name TEXT)"
        with closing(sqlite3.connect(file)) as connection:
            connection.execute(statement)
            connection.commit()
    before = house.journal_end()
    said = house.call("restore", str(file))
    assert (said.code, said.out) == ({"changed": 5}.get(spoiled, 6), "")
    assert house.journal_end() == before
    assert not list(house.folder.glob("restoring-*"))
    assert file.exists()


def test_a_changed_record_is_found_by_verify_and_by_back_up(stocked: Any, tmp_path: Path) -> None:
    """A weight changed behind the program's back makes verify and back-up end with 5 and name the row."""
    house = stocked.house
    with closing(sqlite3.connect(house.folder / "records.db")) as connection:
        connection.execute("UPDATE lot SET g = 42000")
        connection.commit()
    for words in (("verify",), ("back-up", str(tmp_path / "b.db"))):
        said = house.call(*words)
        assert said.code == 5
        assert "g was entered as 41000" in said.out


def test_restoring_while_another_station_reads(stocked: Any, tmp_path: Path) -> None:
    """A restore changes the record under an open connection as one step, and that connection sees the new one."""
    house, file = stocked.house, tmp_path / "b.db"
    other = _elsewhere(house, tmp_path / "other")
    house.data("back-up", str(file))
    other.data("restore", str(file))
    house.data("set-up", "boat", "Borealis")
    house.data("back-up", str(tmp_path / "c.db"))
    with closing(sqlite3.connect(other.folder / "records.db")) as station:
        assert station.execute("SELECT COUNT(*) FROM source").fetchone() == (1,)
        other.data("restore", str(tmp_path / "c.db"))
        assert station.execute("SELECT COUNT(*) FROM source").fetchone() == (2,)
