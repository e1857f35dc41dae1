"""Opening a record: made new, brought up to date after a copy, or refused with a sentence and left as it was."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from lotwake.trace.actions.desk import open_desk, set_up_house
from lotwake.trace.base.errors import CallError, LotwakeError, MachineFailed, NotFound, Refused
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.records import database, verify
from lotwake.trace.records.database import copy_file, create_records, open_records, schema_as_shipped, schema_of
from lotwake.trace.records.entries.house import SiteFacts
from lotwake.trace.records.verify import verify as walk

SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")
COLOUR = """
def up(migrator, db):
    db.execute_sql("ALTER TABLE lot ADD COLUMN colour TEXT")
"""
BROKEN = """
def up(migrator, db):
    db.execute_sql("ALTER TABLE lot ADD COLUMN colour TEXT")
    db.execute_sql("ALTER TABLE songs ADD COLUMN colour TEXT")
"""


@pytest.fixture
def places(lived_in: Path, tmp_path: Path) -> Places:
    shutil.copytree(lived_in, tmp_path / "house")
    return places_at(tmp_path / "house")


def with_migration(monkeypatch: pytest.MonkeyPatch, folder: Path, text: str) -> Path:
    """A program that knows one more migration than the record."""
    newer = folder / "migrations"
    shutil.copytree(database.MIGRATIONS, newer, ignore=shutil.ignore_patterns("__pycache__"))
    (newer / "0999_colour.py").write_text(text)
    monkeypatch.setattr(database, "MIGRATIONS", newer)
    monkeypatch.setattr(verify, "MIGRATIONS", newer)
    return newer


def tell(path: Path, sql: str, *values: object) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as other:
        rows = other.execute(sql, values).fetchall()
        other.commit()
    return rows


def test_a_fresh_record_is_as_the_migrations_make_it(tmp_path: Path) -> None:
    """Every table of a new file has the columns and keys the entries write by; only the unjournalled lack ``entry``."""
    records = create_records(tmp_path / "deep" / "records.db")
    assert schema_of(records.database) == schema_as_shipped()
    tables = {name for kind, name, _ in schema_of(records.database) if kind == "table"}
    assert tables - set(records.columns) == {"journal", "counter", "schema_migration"}
    for table, columns in records.columns.items():
        info = tell(tmp_path / "deep" / "records.db", f"PRAGMA table_info({table})")
        assert columns == tuple(row[1] for row in info)
        assert records.keys[table] == tuple(row[1] for row in sorted(info, key=lambda row: row[5]) if row[5])
        assert "entry" in columns
    for pragma, wanted in (("foreign_keys", 1), ("journal_mode", "wal"), ("synchronous", 2)):
        assert records.value(f"PRAGMA {pragma}") == wanted
    assert walk(records).whole
    records.close()


def test_links_restrict_and_never_cascade(tmp_path: Path) -> None:
    """No link of the schema deletes or empties what hangs on a row that goes away."""
    records = create_records(tmp_path / "records.db")
    for table in records.columns:
        for row in tell(tmp_path / "records.db", f"PRAGMA foreign_key_list({table})"):
            assert row[5:7] == ("NO ACTION", "NO ACTION"), (table, row)
    records.close()


def test_a_house_is_not_set_up_twice(places: Places) -> None:
    """A record that is there is not written over."""
    before = places.records.read_bytes()
    with pytest.raises(Refused, match=r"There is a record at .* already"):
        set_up_house(places, SITE, "SK", "Signe Kvist")
    assert places.records.read_bytes() == before


@pytest.mark.parametrize(
    ("changes", "initials", "says"),
    [
        ({"zone": "Mars/Base"}, "SK", "no time zone called"),
        ({"company_prefix": "95x"}, "SK", "not 4 to 12 digits"),
        ({"country": "Norway"}, "SK", "not a two-letter code"),
        ({"name": " "}, "SK", "name of the house is missing"),
        ({}, "S K", "not 1 to 4 letters"),
        ({}, "", "Initials is missing"),
    ],
)
def test_a_set_up_that_is_refused_leaves_no_file(
    tmp_path: Path, changes: dict[str, str], initials: str, says: str
) -> None:
    """A house with a wrong particular is not begun, and can be set up right afterwards."""
    places = places_at(tmp_path / "house")
    with pytest.raises(CallError) as refused:
        set_up_house(places, SiteFacts(**{**vars(SITE), **changes}), initials, "Signe Kvist")
    assert says in str(refused.value)
    assert not list(tmp_path.rglob("*.db*"))
    set_up_house(places, SITE, "SK", "Signe Kvist").close()


def test_a_newer_record_is_refused(places: Places) -> None:
    """A record with a migration this program does not know is refused by name and not touched."""
    tell(places.records, "INSERT INTO schema_migration (name, applied) VALUES ('0777_later', '2030-01-01')")
    before = places.records.read_bytes()
    with pytest.raises(Refused, match=r"written by a newer Lotwake \(it knows 0777_later\).*nothing was changed"):
        open_records(places.records, places.backups)
    assert places.records.read_bytes() == before
    assert not places.backups.exists()


def test_an_older_record_is_copied_before_it_changes(
    places: Places, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A waiting migration runs after the record was copied; the copy is as it was, the record whole and up to date."""
    with_migration(monkeypatch, tmp_path, COLOUR)
    desk = open_desk(places, "SK")
    assert "colour" in desk.records.columns["lot"]
    assert walk(desk.records).whole
    with desk.entry("something") as entry:
        entry.add("supplier", name="New", address="", phone="")
    assert walk(desk.records).whole
    assert desk.records.value("SELECT COUNT(*) FROM counter WHERE name = 'schema:0999_colour'") == 1
    desk.close()
    (copy,) = places.backups.iterdir()
    assert copy.name == "before-0999_colour.db"
    assert "colour" not in {row[1] for row in tell(copy, "PRAGMA table_info(lot)")}
    assert tell(copy, "SELECT COUNT(*) FROM lot") == [(3,)]


def test_a_migration_that_fails_changes_nothing(
    places: Places, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """When a migration breaks off, the record is as before and opens again once the migration is mended."""
    newer = with_migration(monkeypatch, tmp_path, BROKEN)
    for _ in range(2):
        with pytest.raises(MachineFailed, match="no such table"):
            open_records(places.records, places.backups)
        assert "colour" not in {row[1] for row in tell(places.records, "PRAGMA table_info(lot)")}
    (newer / "0999_colour.py").write_text(COLOUR)
    records = open_records(places.records, places.backups)
    assert walk(records).whole
    records.close()


def test_a_migration_without_room_for_the_copy_is_not_run(
    places: Places, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Where the copy cannot be made, the record is left as it was."""
    with_migration(monkeypatch, tmp_path, COLOUR)
    places.backups.write_text("a file where the folder should be")
    with pytest.raises(MachineFailed, match="cannot be made"):
        open_records(places.records, places.backups)
    assert "colour" not in {row[1] for row in tell(places.records, "PRAGMA table_info(lot)")}


def make_text(path: Path) -> None:
    path.write_text("not a database, but long enough to be read as one\n" * 100)


def make_other(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE songs (name TEXT)")
        other.commit()


def make_torn(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE songs (name TEXT)")
        other.executemany("INSERT INTO songs VALUES (?)", [("x" * 500,)] * 500)
        other.commit()
    whole = path.read_bytes()
    path.write_bytes(whole[:20_000])


@pytest.mark.parametrize(
    ("make", "error", "says"),
    [
        (lambda _: None, NotFound, "There is no house at"),
        (lambda path: path.touch(), MachineFailed, "not a record of Lotwake"),
        (make_text, MachineFailed, "damaged or is not a record"),
        (make_other, MachineFailed, "not a record of Lotwake"),
        (make_torn, MachineFailed, "damaged"),
        (lambda path: path.mkdir(), MachineFailed, "cannot be opened"),
    ],
    ids=["missing", "empty", "text", "other database", "torn", "folder"],
)
def test_what_is_no_record_is_refused(tmp_path: Path, make, error: type[LotwakeError], says: str) -> None:
    """Anything but a record is refused with what it is, and is not changed."""
    path = tmp_path / "records.db"
    make(path)
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(error) as refused:
        open_records(path, tmp_path / "backups")
    assert says in refused.value.sentence
    assert refused.value.hint
    assert (path.read_bytes() if path.is_file() else None) == before


def damage(path: Path, name: str) -> None:
    """Write rubbish over the first page of a table or index."""
    page = int(str(tell(path, "SELECT rootpage FROM sqlite_master WHERE name = ?", name)[0][0]))
    size = int(str(tell(path, "PRAGMA page_size")[0][0]))
    with path.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xde\xad" * (size // 2))


def test_a_damaged_page_is_a_sentence_wherever_it_is_met(places: Places) -> None:
    """A page overwritten with rubbish is reported by the walk, and asking for it is no fault of the program."""
    damage(places.records, "species")
    records = open_records(places.records, places.backups)
    with pytest.raises(MachineFailed, match="damaged"):
        records.rows("SELECT * FROM species")
    assert any(problem.place == "file" for problem in walk(records).problems)
    records.close()


def test_a_damaged_index_is_found(places: Places) -> None:
    """A page that no question of the walk touches is looked at too."""
    damage(places.records, "loss_by_lot")
    records = open_records(places.records, places.backups)
    assert [problem.place for problem in walk(records).problems][:1] == ["file"]
    records.close()


@contextmanager
def as_somebody_else() -> Iterator[None]:
    """Without the rights of root, which no file refuses anything."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(65_534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="rights are those of POSIX")
@pytest.mark.parametrize(("rights", "file_rights"), [(0o555, 0o444), (0o755, 0o444), (0o000, 0o444)])
def test_a_folder_that_may_not_be_written_says_so(lived_in: Path, rights: int, file_rights: int) -> None:
    """A read-only or closed folder or file is a failure of the machine in a sentence: to write, set up or copy."""
    with tempfile.TemporaryDirectory() as top:
        os.chmod(top, 0o755)
        folder = Path(top) / "house"
        shutil.copytree(lived_in, folder)
        for path in folder.iterdir():
            path.chmod(file_rights)
        folder.chmod(rights)
        places = places_at(folder)
        try:
            with as_somebody_else():
                for act in (
                    lambda: _write(places),
                    lambda: set_up_house(places_at(folder / "new"), SITE, "SK", "Signe Kvist"),
                    lambda: copy_file(lived_in / "records.db", folder / "new" / "copy.db"),
                ):
                    with pytest.raises(MachineFailed) as failed:
                        act()
                    assert failed.value.hint
        finally:
            folder.chmod(0o755)


def _write(places: Places) -> None:
    desk = open_desk(places, "SK")
    try:
        with desk.entry("something") as entry:
            entry.add("supplier", name="New", address="", phone="")
    finally:
        desk.close()


def test_a_copy_is_the_record_at_one_moment(places: Places, tmp_path: Path) -> None:
    """A copy taken while the record is open holds everything confirmed, also what is not in the main file yet."""
    desk = open_desk(places, "SK")
    with desk.entry("something") as entry:
        entry.add("supplier", name="New", address="", phone="")
    copy_file(places.records, tmp_path / "copies" / "copy.db")
    copy = open_records(tmp_path / "copies" / "copy.db", tmp_path)
    assert walk(copy).last_hash == walk(desk.records).last_hash
    assert walk(copy).whole
    copy.close()
    desk.close()


@pytest.mark.parametrize("who", ["SK", "sk", " SK ", "code", "shown"])
def test_operators_are_known_by_initials_or_code(places: Places, who: str) -> None:
    """Who is at work is said by initials in any case, or by the code on their card, with or without dashes."""
    code = str(tell(places.records, "SELECT code FROM operator")[0][0])
    said = {"code": code, "shown": f"{code[:3]}-{code[3:6]}-{code[6:-2]}-{code[-2:]}"}.get(who, who)
    desk = open_desk(places, said)
    assert desk.operator is not None
    assert desk.operator.name == "Signe Kvist"
    with pytest.raises(NotFound, match=r"Nobody here has the initials 'XX'\. There are: LB, RI, SK"):
        desk.taken_by("XX")
    desk.close()
