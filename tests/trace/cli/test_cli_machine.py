"""When the machine fails: full or read-only disks, newer files, closed pipes, faults of our own. Nothing is half-written."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.actions import hold as hold_action
from lotwake.trace.records import database

HOLD = ("hold", "--why", "smell")
NOBODY = 65534
"""The user id of nobody on Debian (base-passwd); a superuser ignores file modes."""


@contextmanager
def _as_mere_user(folder: Path) -> Iterator[None]:
    """File modes count for a superuser's tests as well, who works as nobody meanwhile."""
    if os.geteuid() != 0:
        yield
        return
    for path in (folder, *folder.rglob("*")):
        os.chown(path, NOBODY, NOBODY)
    os.seteuid(NOBODY)
    try:
        if not os.access(database.MIGRATIONS, os.R_OK, effective_ids=True):
            pytest.skip("this checkout can be read by its owner only, so nobody else can run it")
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def apart(stocked: Any) -> Iterator[Any]:
    """The stocked house in a folder that any user may reach."""
    folder = Path(tempfile.mkdtemp(prefix="lotwake-test-"))
    folder.chmod(0o755)
    house = stocked.house
    house.folder = shutil.move(house.folder, folder / "house")
    yield stocked
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o755)
    shutil.rmtree(folder)


@pytest.mark.parametrize("part", ["file", "folder"])
def test_a_read_only_record_is_not_half_written(apart: Any, part: str) -> None:
    """On a record or folder that may only be read, an entry is refused with 6 in a sentence, and the record is whole."""
    house = apart.house
    before = house.journal_end()
    target = house.folder / "records.db" if part == "file" else house.folder
    house.bare("hold", "--help")  # imported now: Python's own files may be closed to nobody
    target.chmod(0o444 if part == "file" else 0o555)
    with _as_mere_user(house.folder):
        said = house.call(*HOLD, apart.lot)
    target.chmod(0o755)
    assert (said.code, said.out) == (6, "")
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    assert house.journal_end() == before


def test_a_read_only_file_can_still_be_read(apart: Any) -> None:
    """A trace answers the same on a record file that may not be written."""
    house = apart.house
    writable = house.data("trace", "back", apart.run)
    (house.folder / "records.db").chmod(0o444)
    with _as_mere_user(house.folder):
        assert house.data("trace", "back", apart.run) == writable


def test_a_full_disk_loses_nothing(stocked: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the record file cannot grow, entries end with 6 and a sentence, and are there whole or not at all."""
    house = stocked.house
    with closing(sqlite3.connect(house.folder / "records.db")) as connection:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
    monkeypatch.setitem(database.PRAGMAS, "max_page_count", pages)
    for turn in range(200):
        before = house.journal_end()
        said = house.call("set-up", "boat", f"Boat {turn} {'x' * 300}")
        if said.code:
            break
    assert (said.code, said.out) == (6, "")
    assert "The disk is full. Nothing of this entry was kept" in said.err
    assert house.journal_end() == before
    monkeypatch.undo()
    assert house.call("set-up", "boat", "Borealis").code == 0


def test_a_file_size_limit_loses_nothing(stocked: Any) -> None:
    """When the system refuses a write in the middle of an entry, the entry is not there and the record is whole."""
    house = stocked.house
    before = house.journal_end()
    size = (house.folder / "records.db").stat().st_size
    script = (
        "import resource, sys\n"
        "from lotwake.trace.cli.main import main\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192))\n"
        "sys.exit(main(sys.argv[1:]))"
    )
    call = [sys.executable, "-c", script, "--at", str(house.folder), "--as", "SK", *HOLD, stocked.lot]
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (6, "")
    assert "Nothing of this entry was kept" in done.stderr
    assert (house.folder / "records.db").stat().st_size == size
    assert house.journal_end() == before


def test_a_newer_record_is_left_alone(stocked: Any) -> None:
    """A record with a schema version this program does not know is refused with 3 and stays byte for byte as it is."""
    house = stocked.house
    record = house.folder / "records.db"
    with closing(sqlite3.connect(record)) as connection:
        connection.execute(
            "INSERT INTO schema_migration (name, applied) SELECT '9999_later', MAX(applied) FROM schema_migration"
        )
        connection.commit()
    before = record.read_bytes()
    for words in ((*HOLD, stocked.lot), ("list", "lots"), ("verify",)):
        said = house.call(*words)
        assert (said.code, said.out) == (3, "")
        assert "newer Lotwake" in said.err
    assert record.read_bytes() == before


def test_another_station_that_keeps_the_record_busy(stocked: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another station holds the write lock too long, the entry ends with 6 and can be entered again."""
    house = stocked.house
    monkeypatch.setattr(database, "BUSY_WAIT_S", 0.1)
    with closing(sqlite3.connect(house.folder / "records.db", isolation_level=None)) as station:
        station.execute("BEGIN IMMEDIATE")
        said = house.call(*HOLD, stocked.lot)
        assert said.code == 6
        assert "kept the record busy" in said.err
        station.execute("ROLLBACK")
    assert house.call(*HOLD, stocked.lot).code == 0


def _failing_with(fault: BaseException) -> Any:
    def fail(*_args: Any, **_kwargs: Any) -> Any:
        raise fault

    return fail


FAULTS = [
    (KeyboardInterrupt(), "Stopped by the keyboard"),
    (PermissionError(13, "Permission denied", "/somewhere"), "Permission denied (/somewhere)"),
    (OSError(28, "No space left on device"), "No space left on device"),
    (BrokenPipeError(), "its reader closed"),
]


@pytest.mark.parametrize(("fault", "sentence"), FAULTS, ids=lambda value: type(value).__name__)
def test_machine_faults_are_sentences(
    stocked: Any, monkeypatch: pytest.MonkeyPatch, fault: BaseException, sentence: str
) -> None:
    """An interrupt or a refusal of the system ends with 6 and one sentence, and the record stays whole."""
    before = stocked.house.journal_end()
    monkeypatch.setattr(hold_action.holds, "put_on_hold", _failing_with(fault))
    said = stocked.house.call(*HOLD, stocked.lot)
    assert (said.code, said.out) == (6, "")
    assert sentence in said.err
    assert said.err.count("\n") == 1
    assert stocked.house.journal_end() == before


def test_a_fault_of_ours_is_written_down(stocked: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """An unforeseen error ends with 6 and a sentence naming the file that has the traceback; nothing is half-written."""
    house = stocked.house
    before = house.journal_end()
    monkeypatch.setattr(hold_action.holds, "put_on_hold", _failing_with(ZeroDivisionError("inside")))
    said = house.call(*HOLD, stocked.lot)
    log = house.folder / "faults.log"
    assert (said.code, said.out) == (6, "")
    assert str(log) in said.err
    assert "Traceback" not in said.err
    assert "ZeroDivisionError: inside" in log.read_text()
    assert log.read_text().startswith("2026-11-25T09:00:00Z\nTraceback")
    assert house.journal_end() == before


def test_a_fault_without_a_house_goes_to_the_temporary_folder(
    shell: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Where there is no folder to write into, the details go to the temporary folder, and none is made."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr("lotwake.trace.cli.locate.aligned", _failing_with(ZeroDivisionError("inside")))
    said = shell.call("locate")
    assert said.code == 6
    assert str(tmp_path / "lotwake-faults.log") in said.err
    assert not shell.folder.exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_an_answer_that_cannot_be_written_is_no_success(stocked: Any) -> None:
    """When stdout is a full disk the exit code is 6 and stderr has one sentence."""
    script = "import sys; from lotwake.trace.cli.main import main; sys.exit(main(sys.argv[1:]))"
    call = [sys.executable, "-c", script, "--at", str(stocked.house.folder), "list", "lots"]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(call, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 6
    assert done.stderr.count("\n") == 1
    assert "No space left" in done.stderr


def test_a_reader_that_closes_early_causes_no_traceback(stocked: Any) -> None:
    """``lotwake list gear | head`` ends with 6 and one sentence when the pipe closes before the answer is out."""
    script = "import sys; from lotwake.trace.cli.main import main; sys.exit(main(sys.argv[1:]))"
    call = [sys.executable, "-c", script, "--at", str(stocked.house.folder), "list", "gear", "--most", "500"]
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run(call, stdout=write_end, stderr=subprocess.PIPE, text=True, check=False)
    os.close(write_end)
    assert done.returncode == 6
    assert done.stderr.count("\n") == 1
    assert "its reader closed" in done.stderr


def test_a_name_the_terminal_cannot_show_is_escaped(stocked: Any) -> None:
    """On a terminal that knows ASCII only the answer is given all the same, with the letters it lacks written out."""
    script = "import sys; from lotwake.trace.cli.main import main; sys.exit(main(sys.argv[1:]))"
    call = [sys.executable, "-c", script, "--at", str(stocked.house.folder), "--as", "SK", "set-up", "boat", "Łódź"]
    ascii_only = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = subprocess.run(call, capture_output=True, text=True, check=False, env=ascii_only)
    assert (done.returncode, done.stdout, done.stderr) == (0, "Added the boat \\u0141\\xf3d\\u017a.\n", "")
    assert stocked.house.data("list", "boats", "--holding", "łódź")["rows"][0]["name"] == "Łódź"
