"""A real IPP printer on the loopback address: ippeveprinter of CUPS, with a message bus and mDNS of its own.

Started by the test and stopped by it; skipped with the reason where a program is missing (Debian: cups-ipp-utils,
avahi-daemon, dbus) or does not start.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import pytest

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.spec import LabelSpec
from lotwake.labels.layout.stock import SHEET_A4_3X7
from lotwake.labels.printing.ipp import Media
from lotwake.labels.printing.spool import Spool, State
from lotwake.labels.printing.targets import Job, NotDelivered, ToPrinter

PROGRAMS = ("ippeveprinter", "avahi-daemon", "dbus-daemon")
MISSING = [name for name in PROGRAMS if shutil.which(name, path=os.environ["PATH"] + ":/usr/sbin") is None]
pytestmark = pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)}")
A4 = Media(210, 297)
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
def printer(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """The address of a running printer and the folder where it keeps what it got."""
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


def _sheet(pack_spec: LabelSpec, out: Path) -> Path:
    spec = replace(pack_spec, pack_face_cm2=70, cook="", origin_lines=(), producer_name="Skarvholm")
    pack_label_pdf(spec, [None] * 21, SHEET_A4_3X7, DOTS_203, out)
    return out


def _deliver_when_free(target: ToPrinter, job: Job) -> None:
    """Send past the spool; this printer prints one job at a time and refuses others meanwhile."""
    for _ in range(100):
        try:
            return target.deliver(job)
        except NotDelivered:
            time.sleep(0.1)
    pytest.fail("the printer was busy for 10 s")


def test_printer_gets_every_byte_once(pack_spec: LabelSpec, tmp_path: Path, printer: tuple[str, Path]) -> None:
    """The PDF arrives byte for byte, the printer knows the job by its name, and a retry sends nothing."""
    uri, kept = printer
    job = Job("run-7-print-1", _sheet(pack_spec, tmp_path / "sheet.pdf"), A4)
    target, spool = ToPrinter(uri, 20), Spool(tmp_path / "spool")
    assert target.has(job) is False
    assert spool.send(job, target).state is State.SENT
    assert target.has(job) is True
    assert spool.send(job, target).again
    (got,) = kept.glob("*.pdf")
    assert got.read_bytes() == job.pdf.read_bytes()


def test_break_after_sending_is_found_out_by_asking(
    pack_spec: LabelSpec, tmp_path: Path, printer: tuple[str, Path]
) -> None:
    """When the program died between sending and noting it, the next try finds the job at the printer."""
    uri, kept = printer
    job = Job("run-8-print-1", _sheet(pack_spec, tmp_path / "sheet.pdf"), A4)
    target, spool = ToPrinter(uri, 20), Spool(tmp_path / "spool", lambda: 10.0**10)
    _deliver_when_free(target, job)
    before = sorted(kept.glob("*.pdf"))
    (tmp_path / "spool").mkdir()
    (tmp_path / "spool" / f"{job.name}.sending").write_text(target.shown)
    outcome = spool.send(job, target)
    assert (outcome.state, outcome.again) == (State.SENT, True)
    assert sorted(kept.glob("*.pdf")) == before


def test_size_the_printer_does_not_have_waits(pack_spec: LabelSpec, tmp_path: Path, printer: tuple[str, Path]) -> None:
    """A printer without that size of label refuses, and the job waits with what it said."""
    job = Job("run-9-print-1", _sheet(pack_spec, tmp_path / "sheet.pdf"), Media(58, 40))
    outcome = Spool(tmp_path / "spool").send(job, ToPrinter(printer[0], 20))
    assert outcome.state is State.WAITING
    assert "media" in outcome.reason
