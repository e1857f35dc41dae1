"""Copy the record into one file, and put such a copy back without losing anything newer."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from filecmp import cmp
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote

from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.clock import Clock
from lotwake.trace.base.errors import CallError, MachineFailed, NeedsAttention, NotFound, Refused
from lotwake.trace.base.places import Places
from lotwake.trace.base.sealed import is_sealed, seal, unseal
from lotwake.trace.base.settings import read_settings
from lotwake.trace.records.database import Records, copy_file, in_plain_words, open_records
from lotwake.trace.records.journal import Head, head
from lotwake.trace.records.moving import copy_into_file
from lotwake.trace.records.verify import Verdict, verify

DUMP = ".dump"


@dataclass(frozen=True)
class BackUp:
    """A copy that was made and walked: where it is and what the walk found."""

    path: Path
    verdict: Verdict


@dataclass(frozen=True)
class Restored:
    """A backup that was put in place. ``set_aside`` is the file that stood there before, if one did."""

    records: Path
    head: Head
    set_aside: Path | None


def back_up(desk: Desk, target: Path, passphrase: str | None = None) -> BackUp:
    """Copy the record into a new file and verify the copy. The settings and printed files are not in it.

    With a ``passphrase`` the copy is sealed, and read back once. A file that ends in ``.dump`` is made by the server's own
    tool. CallError when the file is there already or its folder is not. A copy of a record that is not whole is kept, and
    says so.
    """
    if target.exists():
        raise CallError(f"There is a file {target} already.", "Choose another name; backups are kept.")
    if not target.parent.is_dir():
        raise CallError(f"There is no folder {target.parent}.", "Make it first, or choose another place.")
    growing = target.with_name(target.name + ".part")
    growing.unlink(missing_ok=True)  # left over from a backup that was cut off
    try:
        verdict = _dumped(desk, growing) if target.suffix == DUMP else _copied(desk, growing)
        if passphrase is not None:
            _seal(growing, passphrase)
        os.replace(growing, target)
    finally:
        for left in list(target.parent.iterdir()):  # with the locks of a copy that came from a server
            if left.name.startswith(growing.name):
                left.unlink()
    return BackUp(target, verdict)


def _copied(desk: Desk, growing: Path) -> Verdict:
    copy_into_file(desk.records, growing)
    with _opened(growing, desk.places.backups) as copy:
        return verify(copy)


def _dumped(desk: Desk, growing: Path) -> Verdict:
    url = desk.settings.database
    if not url:
        raise CallError(f"Only a house on a server is backed up into a {DUMP} file.", "End the name in .db.")
    from lotwake.trace.records import dump

    dump.dump(url, growing)
    return dump.walk(url, growing)


def _seal(growing: Path, passphrase: str) -> None:
    """Put the sealed copy in the place of the plain one, once it was opened again and is the same."""
    sealed, again = (growing.with_name(growing.name + tail) for tail in (".sealing", ".opened"))
    try:
        seal(growing, sealed, passphrase)
        unseal(sealed, again, passphrase)
        if not cmp(growing, again, shallow=False):
            raise MachineFailed("The sealed copy does not say the same as the record.", "Look after the disk.")
        os.replace(sealed, growing)
    finally:
        sealed.unlink(missing_ok=True)
        again.unlink(missing_ok=True)


def restore(
    places: Places, source: Path, clock: Clock, passphrase: Callable[[], str | None] = lambda: None
) -> Restored:
    """Put a backup in place as the record of this house.

    Refused when the record there has entries the backup does not have. What stood there is kept in the backups folder;
    a damaged record is set aside in the same way. NeedsAttention when the backup itself is not whole. ``passphrase`` is
    asked for a sealed one.
    """
    if not source.is_file():
        raise NotFound(f"There is no file {source}.", "Check the name of the backup.")
    if source.suffix == DUMP:
        raise CallError(
            f"{source.name} is a dump of a server's database.",
            f"Bring it into an empty database: pg_restore --no-owner -d postgresql://user@host/name {source.name}",
        )
    if read_settings(places.settings).database:
        raise CallError(
            "The record of this house is on a server; a backup is a file.",
            "Restore it into another folder with --at FOLDER, then `lotwake move-records` it to an empty database.",
        )
    places.folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=places.folder, prefix="restoring-") as workshop:
        trial = Path(workshop) / places.records.name
        if is_sealed(source):
            _unseal(source, trial, passphrase())
        else:
            _copy(source, trial)
        with _opened(trial, Path(workshop)) as copy:  # an older backup is brought up to date here, not in its own file
            _must_be_whole(verify(copy), source)
            newest = head(copy)
            damaged = _is_damaged(places.records)
            if places.records.exists() and not damaged:
                _must_lose_nothing(places, copy)
        aside = _set_aside(places, damaged, clock.now())
        _copy(trial, places.records)
    return Restored(places.records, newest, aside)


def _unseal(source: Path, trial: Path, passphrase: str | None) -> None:
    if passphrase is None:
        raise CallError(
            f"{source.name} is sealed with a passphrase.",
            "Type it when asked, or name a file that holds it: --passphrase-file.",
        )
    unseal(source, trial, passphrase)


def _must_lose_nothing(places: Places, copy: Records) -> None:
    """Refused when the record in place has an entry that ``copy`` has not."""
    with _opened(places.records, places.backups) as current:
        here, there = head(current), head(copy)
        if copy.value("SELECT hash FROM journal WHERE seq = ?", here.seq) == here.hash:
            return
        same_way = current.value("SELECT hash FROM journal WHERE seq = ?", there.seq) == there.hash
    more = here.seq - there.seq
    what = f"{more} {'entry' if more == 1 else 'entries'} more than" if same_way else "other entries than"
    raise Refused(
        f"The record here has {what} the backup; nothing was changed.",
        "To look at the backup, restore it into another folder with --at FOLDER.",
    )


def _is_damaged(path: Path) -> bool:
    """Whether this is a file that SQLite cannot read for what is in it; a busy or foreign one is not damaged."""
    if not path.exists():
        return False
    try:
        with closing(sqlite3.connect(f"file:{quote(str(path))}?mode=ro", uri=True)) as connection:
            connection.execute("SELECT MAX(seq) FROM journal").fetchall()
    except sqlite3.Error as error:
        return error.sqlite_errorname in ("SQLITE_CORRUPT", "SQLITE_NOTADB")
    return False


def _set_aside(places: Places, damaged: bool, at: datetime) -> Path | None:
    if not places.records.exists():
        return None
    aside = _free_name(places.backups, at)
    if not damaged:
        _copy(places.records, aside)
        return aside
    places.backups.mkdir(parents=True, exist_ok=True)
    for tail in ("", "-wal", "-shm"):
        left = places.records.with_name(places.records.name + tail)
        if left.exists():
            os.replace(left, aside.with_name(aside.name + tail))
    return aside


def _free_name(folder: Path, at: datetime) -> Path:
    """A name by the time that no earlier file has: nothing that was set aside is written over."""
    while (name := folder / f"before-restore-{at:%Y%m%dT%H%M%SZ}.db").exists():
        at += timedelta(seconds=1)
    return name


@contextmanager
def _opened(path: Path, backups: Path) -> Iterator[Records]:
    records = open_records(path, backups)
    try:
        yield records
    finally:
        records.close()


def _copy(source: Path, target: Path) -> None:
    try:
        copy_file(source, target)
    except sqlite3.Error as error:
        raise in_plain_words(error) from error


def _must_be_whole(verdict: Verdict, source: Path) -> None:
    if not verdict.whole:
        raise NeedsAttention(
            f"The backup {source} is not whole: {verdict.problems[0].sentence}", "Nothing was changed; try another one."
        )
