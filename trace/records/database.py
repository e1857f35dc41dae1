"""The record of one house: opening it, asking it, and writing to it in one transaction.

peewee carries the connection (one per thread), the transactions, the migrations and the difference between servers;
questions are SQL text with ``?`` for each value, since a trace must fix its own join order.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from functools import cached_property
from itertools import count
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from lotwake.trace.base.errors import CallError, LotwakeError, MachineFailed, NotFound, Refused
from lotwake.trace.records.drivers import peewee
from lotwake.trace.records.turns import TELL_AFTER_S, turn

if TYPE_CHECKING:
    from playhouse.migrations import Runner

MIGRATIONS = Path(__file__).parent / "migrations"
BUSY_WAIT_S = 5.0
_LOCK_SOON = f"""
SAVEPOINT soon; SET LOCAL lock_timeout = '{TELL_AFTER_S * 1000:.0f}ms';
LOCK TABLE journal IN EXCLUSIVE MODE; SET LOCAL lock_timeout = '{BUSY_WAIT_S * 1000:.0f}ms'; RELEASE SAVEPOINT soon"""
"""One message to the server: an entry that need not wait costs no more than before."""
PRAGMAS = {"foreign_keys": 1, "synchronous": "full", "temp_store": "memory", "cache_size": -64_000}
"""``synchronous=FULL`` always: with NORMAL a power cut loses entries that were already confirmed."""

LOOK_S = 0.02
"""How often a question that may be stopped is looked after."""
MANY = 2_000
"""Rows that are carried at once."""

in_peewee_errors = peewee.__exception_wrapper__  # type: ignore[attr-defined]  # it is not declared
"""Whatever the driver of a database raises inside becomes the error peewee has for it."""

UNJOURNALLED = frozenset({"journal", "counter", "schema_migration"})


class Interrupted(Exception):
    """A question was broken off because somebody wanted it."""


class Records:
    """One open record. Questions give plain rows; writing goes through ``transaction`` and the entries."""

    def __init__(self, database: peewee.Database, file: Path | None = None) -> None:
        """``file`` is where the record of an SQLite house lies: stations that write to it queue there."""
        self.database = database
        self.file = file
        self.schema_noted = False
        self.on_wait: Callable[[], None] = lambda: None
        """Called when an entry has to wait for another station long enough for a person to wonder."""
        self.on_sqlite = isinstance(database, peewee.SqliteDatabase)
        self._walks = count(1)
        self._insertions: dict[tuple[str, tuple[str, ...]], tuple[str, bool]] = {}

    @cached_property
    def columns(self) -> dict[str, tuple[str, ...]]:
        """The columns of every table of the record; a table without ``entry`` is none of it, and verify says so."""
        tables = sorted(set(self.database.get_tables()) - UNJOURNALLED)
        named = {table: tuple(column.name for column in self.database.get_columns(table)) for table in tables}
        return {table: columns for table, columns in named.items() if "entry" in columns}

    @cached_property
    def keys(self) -> dict[str, tuple[str, ...]]:
        """The primary key of every table of the record."""
        return {table: tuple(self.database.get_primary_keys(table)) for table in self.columns}

    def run(self, sql: str, *values: Any) -> Any:
        """Execute one statement; the cursor is given back. Failures of the machine become sentences."""
        try:
            if self.on_sqlite:  # the connection itself: an old log book of a million rows asks ten million times
                return self.database.connection().execute(sql, values)
            return self.database.execute_sql(sql.replace("?", "%s"), values)
        except UnicodeEncodeError as error:  # a shell passes on bytes that are no UTF-8 as halves of surrogate pairs
            raise CallError("There is something in what was typed that is no text.", "Type it anew.") from error
        except (peewee.PeeweeException, sqlite3.Error) as error:
            raise in_plain_words(error) from error

    def rows(self, sql: str, *values: Any) -> list[tuple[Any, ...]]:
        """All rows of a question."""
        cursor = self.run(sql, *values)
        try:
            found: list[tuple[Any, ...]] = cursor.fetchall()
        except (peewee.PeeweeException, sqlite3.Error) as error:
            raise in_plain_words(error) from error
        return found

    def stream(self, sql: str, *values: Any) -> Iterator[tuple[Any, ...]]:
        """The rows of a question one by one; a damaged page met on the way becomes a sentence."""
        cursor = self._walking(sql, *values)
        try:
            with in_peewee_errors:
                yield from cursor
        except (peewee.PeeweeException, sqlite3.Error) as error:
            raise in_plain_words(error) from error

    def _walking(self, sql: str, *values: Any) -> Any:
        if self.on_sqlite or not self.database.in_transaction():
            return self.run(sql, *values)
        # The server's plain cursor would bring everything at once; one with a name lives in a transaction only.
        cursor = self.database.connection().cursor(name=f"walk_{next(self._walks)}")
        cursor.itersize = MANY
        with in_peewee_errors:
            return cursor.execute(sql.replace("?", "%s"), values)

    def one(self, sql: str, *values: Any) -> tuple[Any, ...] | None:
        """The first row of a question, or None."""
        cursor = self.run(sql, *values)
        try:
            row: tuple[Any, ...] | None = cursor.fetchone()
        except (peewee.PeeweeException, sqlite3.Error) as error:
            raise in_plain_words(error) from error
        cursor.close()
        return row

    def value(self, sql: str, *values: Any) -> Any:
        """The first value of the first row, or None."""
        row = self.one(sql, *values)
        return None if row is None else row[0]

    def insertion(self, table: str, names: tuple[str, ...]) -> tuple[str, bool]:
        """The statement that adds a row with these columns, and whether it gives a new ``id`` back."""
        known = self._insertions.get((table, names))
        if known is None:
            makes_id = "id" in self.columns[table] and "id" not in names
            marks = ", ".join("?" * len(names))
            sql = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks}){' RETURNING id' if makes_id else ''}"
            known = self._insertions[table, names] = (sql, makes_id)
        return known

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """All or nothing. The outermost one takes the write lock first, so that no other station comes between."""
        outermost = self.database.transaction_depth() == 0
        try:
            with self._turn() if outermost else nullcontext(), self.database.atomic():
                if not self.on_sqlite and outermost:
                    self._lock_on_server()
                yield
        except peewee.PeeweeException as error:
            raise _beneath(error) from error

    def _lock_on_server(self) -> None:
        """Take the write lock of the server; when it does not come soon, tell, and queue for it again."""
        try:
            self.database.execute_sql(_LOCK_SOON)
        except peewee.OperationalError as error:
            if "lock timeout" not in str(error):
                raise
            self.database.execute_sql("ROLLBACK TO SAVEPOINT soon")  # takes the short patience back, too
            self.on_wait()
            self.database.execute_sql("LOCK TABLE journal IN EXCLUSIVE MODE")

    def _turn(self) -> AbstractContextManager[None]:
        return nullcontext() if self.file is None else turn(self.file, BUSY_WAIT_S, self.on_wait)

    @contextmanager
    def savepoint(self) -> Iterator[None]:
        """A part of a transaction that is taken back by itself when it fails; a failed machine ends the whole of it."""
        self.run("SAVEPOINT part")
        try:
            yield
        except MachineFailed:
            raise
        except BaseException:
            self.run("ROLLBACK TO SAVEPOINT part")
            self.run("RELEASE SAVEPOINT part")
            raise
        self.run("RELEASE SAVEPOINT part")

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """One state of the record for several questions, while other stations go on writing."""
        try:
            with self.database.atomic("DEFERRED" if self.on_sqlite else "REPEATABLE READ"):
                yield
        except peewee.PeeweeException as error:
            raise in_plain_words(error) from error

    @contextmanager
    def stoppable(self, stopped: Callable[[], bool]) -> Iterator[None]:
        """Breaks off whatever this thread asks the database as soon as ``stopped`` says so, in the middle of a question.

        Raises Interrupted then. ``stopped`` is asked in a thread of its own.
        """
        connection = self.database.connection()
        break_off = connection.interrupt if self.on_sqlite else connection.cancel
        over = Event()

        def watch() -> None:
            while not over.wait(LOOK_S):
                if stopped():
                    break_off()  # again and again: between two questions there is nothing to break off

        watcher = Thread(target=watch, daemon=True)
        watcher.start()
        try:
            yield
        except MachineFailed as failure:
            if stopped():
                raise Interrupted from failure
            raise
        finally:
            over.set()
            watcher.join()

    def close(self) -> None:
        """Close this thread's connection."""
        self.database.close()


def _beneath(error: Exception) -> LotwakeError:
    """What failed first. On a full disk SQLite ends the transaction by itself; the rollback of what is gone then fails on top
    of it, whether a statement or the commit found the disk full."""
    beneath: BaseException | None = error
    while beneath is not None and "cannot rollback" in str(beneath):
        beneath = beneath.__context__
    if isinstance(beneath, MachineFailed):
        return beneath
    return in_plain_words(beneath if isinstance(beneath, Exception) else error)


def in_plain_words(error: Exception) -> LotwakeError:
    """What a database failure means to the person at the table."""
    text = str(error).lower()
    said = "Nothing of this entry was kept; everything confirmed before is safe in the record."
    if "cannot contain nul" in text:
        return CallError("There is a hidden character in what was typed.", "Type it anew.")
    if any(words in text for words in ("connection", "could not translate host", "terminating")):
        return MachineFailed(
            "The server with the record cannot be reached. Everything confirmed before is safe in the record.",
            "Check that it runs, the network, and database in house.toml; then look with `lotwake journal` whether the"
            " last entry is there before you make it again.",
        )
    if "permission denied" in text:
        return MachineFailed(
            f"The server does not let this user do that. {said}", "Ask whoever looks after the server to allow it."
        )
    if "readonly" in text or "read-only" in text:
        return MachineFailed(
            f"The record can be read but not written. {said}", "Check who owns the folder and the disk."
        )
    if "full" in text or "no space" in text:
        return MachineFailed(f"The disk is full. {said}", "Make room, then enter it again.")
    if any(word in text for word in ("locked", "busy", "lock timeout", "could not serialize")):
        return MachineFailed(f"Another station kept the record busy too long. {said}", "Enter it again.")
    if "malformed" in text or "not a database" in text:
        return MachineFailed(
            "The record file is damaged or is not a record.", "Restore the last backup beside it and verify."
        )
    if "unable to open" in text:
        return MachineFailed("The record file cannot be opened.", "Check that the folder exists and may be written.")
    if isinstance(error, peewee.IntegrityError | sqlite3.IntegrityError):
        return Refused(f"The record refuses this entry: {error}. {said}")
    return MachineFailed(f"The database failed: {error}. {said}")


def _sqlite(path: Path, mode: str) -> peewee.SqliteDatabase:
    uri = f"file:{quote(str(path))}?mode={mode}"
    return peewee.SqliteDatabase(uri, uri=True, pragmas=PRAGMAS, timeout=BUSY_WAIT_S, lock_type="IMMEDIATE")


def create_records(path: Path, upto: str | None = None) -> Records:
    """Make a new, empty record file, of the schema version ``upto`` or the newest. Refused when there is one already."""
    if _is_there(path):
        raise Refused(f"There is a record at {path} already.", "Open it, or choose another folder.")
    _make_folder(path.parent)
    from playhouse.migrations import Runner

    database = _sqlite(path, "rwc")
    try:
        database.execute_sql("PRAGMA journal_mode = wal")
        Runner(database, str(MIGRATIONS)).up(upto)
    except peewee.PeeweeException as error:
        database.close()
        raise in_plain_words(error) from error
    return Records(database, path)


def open_records(path: Path, backups: Path) -> Records:
    """Open the record of a house, bringing an older one up to date after copying it to ``backups``.

    Raises NotFound when there is none, Refused when a newer program wrote it, MachineFailed when it cannot be read.
    """
    if not _is_there(path):
        raise NotFound(
            f"There is no house at {path.parent}.", "Set one up with `lotwake set-up house`, or see `lotwake demo`."
        )
    database = _sqlite(path, "rw")
    try:
        if not _is_current(database):
            _bring_up_to_date(database, path, backups)
    except peewee.PeeweeException as error:
        database.close()
        raise in_plain_words(error) from error
    except LotwakeError:
        database.close()
        raise
    return Records(database, path)


def _is_current(database: peewee.Database) -> bool:
    """Whether exactly the migrations of this program were applied; a record in daily use always is."""
    if not database.table_exists("schema_migration"):
        return False
    applied = {name for (name,) in database.execute_sql("SELECT name FROM schema_migration")}
    return applied == {file.stem for file in MIGRATIONS.glob("[0-9]*.py")}


def _bring_up_to_date(database: peewee.Database, path: Path, backups: Path) -> None:
    from playhouse.migrations import Runner  # takes long to load

    runner = Runner(database, str(MIGRATIONS))
    waiting = must_know(runner)
    if not runner.applied():
        raise MachineFailed(f"{path} is a database, but not a record of Lotwake.", "Choose the right folder.")
    copy_file(path, backups / f"before-{waiting[0]}.db")
    runner.up()


def must_know(runner: Runner) -> list[str]:
    """The names of the migrations that a record still waits for; Refused when it had one this program does not know."""
    status = runner.status()
    unknown = [row.name for row in status if row.path is None]
    if unknown:
        raise Refused(
            f"This record was written by a newer Lotwake (it knows {unknown[-1]}).",
            "Bring the program up to date on this machine; nothing was changed.",
        )
    return [row.name for row in status if row.applied is None]


def schema_of(database: peewee.Database) -> set[tuple[str, str, str]]:
    """Every table, index and trigger of an SQLite file: its kind, name and statement."""
    found = database.execute_sql("SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite~_%' ESCAPE '~'")
    return {(kind, name, str(sql)) for kind, name, sql in found.fetchall()}


def schema_as_shipped() -> set[tuple[str, str, str]]:
    """The same of a record that was made just now."""
    from playhouse.migrations import Runner

    database = peewee.SqliteDatabase(":memory:")
    try:
        Runner(database, str(MIGRATIONS)).up()
        return schema_of(database)
    finally:
        database.close()


def copy_file(path: Path, target: Path) -> None:
    """Copy a record file as it stands at one moment (SQLite backup), while others may write."""
    _make_folder(target.parent)
    try:
        with (
            closing(sqlite3.connect(f"file:{quote(str(path))}?mode=ro", uri=True)) as source,
            closing(sqlite3.connect(target)) as copy,
        ):
            source.backup(copy, pages=-1)
    except sqlite3.Error as error:
        raise in_plain_words(error) from error


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError as error:
        raise MachineFailed(f"{path} cannot be looked at: {error.strerror}.", "Check who owns the folder.") from error


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise MachineFailed(
            f"The folder {folder} cannot be made: {error.strerror}.",
            "Check who owns the folder above it, and the disk.",
        ) from error
