"""A real full disk, a size limit, a file and a folder that may only be read: one sentence, nothing half, nothing lost."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.records.database import open_records
from lotwake.trace.records.verify import verify

pytestmark = pytest.mark.on_file

STATION = """
    import json, resource, sys
    from datetime import UTC, datetime
    from pathlib import Path
    from lotwake.trace.actions import receive
    from lotwake.trace.actions.desk import open_desk
    from lotwake.trace.base.clock import SetClock
    from lotwake.trace.base.errors import LotwakeError
    from lotwake.trace.base.places import places_at
    folder, limit, most = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    made, words = [], ""
    try:
        desk = open_desk(places_at(folder), "SK", SetClock(datetime(2026, 11, 24, 6, tzinfo=UTC)))
        if limit:
            import signal
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            size = (folder / "records.db").stat().st_size + limit
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
        for _ in range(most):
            arrival = receive.Arrival("landing", "Aurora", 1_000, species="HAD", area="27", note="n" * 20_000)
            made.append(receive.receive(desk, arrival, another=True).code)
        desk.close()
    except LotwakeError as error:
        words = f"{type(error).__name__}: {error}"
    print(json.dumps({"made": made, "words": words}))
"""


def _station(folder: Path, limit: int = 0, most: int = 2_000) -> dict[str, Any]:
    """Let a station in a process of its own receive fish until it is refused; what it was confirmed, and its last words."""
    command = [sys.executable, "-c", textwrap.dedent(STATION), str(folder), str(limit), str(most)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=100, check=False)
    assert done.returncode == 0, done.stderr
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer


def _must_hold(folder: Path, codes: list[str]) -> None:
    records = open_records(folder / "records.db", folder / "backups")
    verdict = verify(records)
    assert verdict.whole, verdict.problems
    kept = {code for (code,) in records.rows("SELECT code FROM lot")}
    records.close()
    assert set(codes) <= kept
    assert len(kept) - len(codes) <= 0


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of four megabytes in memory, where mounting is allowed."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(disk)], capture_output=True, text=True, check=False
    )
    if mounted.returncode:
        pytest.skip(f"no small disk can be mounted here: {mounted.stderr.strip()}")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk(template: Path, small_disk: Path) -> None:
    """A station writes until the disk is full: it is told so, has everything it was confirmed, and goes on with room."""
    folder = small_disk / "house"
    shutil.copytree(template, folder)
    filler = small_disk / "filler"
    filler.write_bytes(b"x" * 500_000)
    done = _station(folder)
    assert done["made"]
    assert done["words"].startswith("MachineFailed: The disk is full. Nothing of this entry was kept;"), done["words"]
    filler.unlink()
    _must_hold(folder, done["made"])
    more = _station(folder, most=2)
    _must_hold(folder, done["made"] + more["made"])


def test_a_file_that_may_not_grow(template: Path, tmp_path: Path) -> None:
    """Where the system lets no file grow further (RLIMIT_FSIZE), the same: a sentence, and all that was confirmed."""
    folder = tmp_path / "house"
    shutil.copytree(template, folder)
    done = _station(folder, limit=300_000)
    assert done["made"]
    assert done["words"].startswith("MachineFailed: "), done["words"]
    assert "Nothing of this entry was kept" in done["words"]
    _must_hold(folder, done["made"])


def test_a_disk_that_may_only_be_read(template: Path, small_disk: Path) -> None:
    """On a disk that is mounted to be read only, entries are refused with what to look at."""
    folder = small_disk / "house"
    shutil.copytree(template, folder)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    done = _station(folder, most=1)
    subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)
    assert done["made"] == []
    assert done["words"].startswith("MachineFailed: The record"), done["words"]
    _must_hold(folder, [])


@pytest.mark.skipif(os.geteuid() == 0, reason="root writes to any file; the disk above is for root")
@pytest.mark.parametrize("what", ["file", "folder"])
def test_what_may_only_be_read(template: Path, tmp_path: Path, what: str) -> None:
    """To a user who may not write the file, or the folder, entries are refused with what to look at."""
    folder = tmp_path / "house"
    shutil.copytree(template, folder)
    for path in folder.iterdir():
        path.chmod(0o444)
    folder.chmod(0o555 if what == "folder" else 0o755)
    done = _station(folder, most=1)
    folder.chmod(0o755)
    assert done["made"] == []
    assert done["words"].startswith("MachineFailed: The record"), done["words"]
    _must_hold(folder, [])
