"""The demo season for every test that wants a lived-in house, built once and copied for tests that write; a real printer.

The program is imported only when asked for, so that tests of the pure rooms load nothing of the record.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from lotwake.demo_db.builder import Built

sys.path.insert(0, str(Path(__file__).parent))  # what several rooms of tests share lies beside this file


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The demo season, to be read only: ``places`` and the ``landmarks`` of its story."""
    from lotwake.demo_db.builder import build

    return build(tmp_path_factory.mktemp("season") / "house")


@pytest.fixture
def season_copy(season: Built, tmp_path: Path) -> Built:
    """A copy of the demo season that a test may write to."""
    from lotwake.demo_db.builder import Built
    from lotwake.trace.base.places import places_at

    folder = tmp_path / "house"
    shutil.copytree(season.places.folder, folder)
    return Built(places_at(folder), season.landmarks)


PROGRAMS = ("ippeveprinter", "avahi-daemon", "dbus-daemon")
AVAHI = """[server]
host-name=labeltest
use-ipv6=no
allow-interfaces=lo
[wide-area]
enable-wide-area=no
"""


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def _start(stack: ExitStack, command: list[str], folder: Path, environment: dict[str, str]) -> subprocess.Popen[bytes]:
    log = stack.enter_context((folder / f"{command[0]}.log").open("wb"))
    path = environment["PATH"] + ":/usr/sbin"
    program = shutil.which(command[0], path=path) or command[0]
    process = subprocess.Popen([program, *command[1:]], stdout=log, stderr=log, env=environment)
    stack.callback(process.wait)
    stack.callback(process.terminate)
    return process


def _wait_for_port(port: int, process: subprocess.Popen[bytes], folder: Path) -> None:
    for _ in range(100):
        if process.poll() is not None:
            pytest.skip(f"ippeveprinter does not start here: {(folder / 'ippeveprinter.log').read_text()[-200:]}")
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    pytest.skip("ippeveprinter did not open its port within 10 s")


@pytest.fixture(scope="module")
def ipp_printer(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """The address of a running ippeveprinter of CUPS and the folder where it keeps what it got.

    It is started with a message bus and mDNS of its own and stopped again; skipped with the reason where a program is
    missing (Debian: cups-ipp-utils, avahi-daemon, dbus) or does not start.
    """
    if missing := [name for name in PROGRAMS if shutil.which(name, path=os.environ["PATH"] + ":/usr/sbin") is None]:
        pytest.skip(f"not installed: {', '.join(missing)}")
    folder = tmp_path_factory.mktemp("printer")
    (folder / "avahi.conf").write_text(AVAHI)
    bus = f"unix:path={folder / 'bus'}"
    environment = {**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": bus}
    port = _free_port()
    with ExitStack() as stack:
        _start(stack, ["dbus-daemon", "--session", "--nofork", f"--address={bus}"], folder, environment)
        time.sleep(0.5)
        avahi = ["avahi-daemon", "--no-drop-root", "--no-chroot", "--no-rlimits", "-f", str(folder / "avahi.conf")]
        _start(stack, avahi, folder, environment)
        time.sleep(1.0)
        # A command that does nothing ends a job at once; without one the printer takes ten seconds over it.
        kept = ["-d", str(folder), "-k", "-f", "application/pdf", "-c", shutil.which("true") or "/bin/true"]
        command = ["ippeveprinter", "-p", str(port), "-n", "localhost", *kept, "Label test"]
        process = _start(stack, command, folder, environment)
        _wait_for_port(port, process, folder)
        yield f"ipp://localhost:{port}/ipp/print", folder
