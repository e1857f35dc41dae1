"""Targets without a printer: a file, a watched folder, and the program ``lp``."""

from __future__ import annotations

import http.server
import os
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from lotwake.labels.errors import WrongData
from lotwake.labels.printing.ipp import Media
from lotwake.labels.printing.targets import Job, NotDelivered, PerhapsDelivered, ToFile, ToFolder, ToPrinter, ToQueue

LP = """#!{python}
import pathlib, sys
pathlib.Path({log!r}).write_text("\\n".join(sys.argv[1:]))
sys.stderr.write({says!r})
sys.exit({code})
"""


@pytest.fixture
def job(tmp_path: Path) -> Job:
    (tmp_path / "out.pdf").write_bytes(b"%PDF-labels")
    return Job("run-7", tmp_path / "out.pdf", Media(100, 60), copies=2)


def _fake_lp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, says: str = "", code: int = 0) -> Path:
    programs, log = tmp_path / "bin", tmp_path / "lp.log"
    programs.mkdir()
    program = programs / "lp"
    program.write_text(LP.format(python=sys.executable, log=str(log), says=says, code=code))
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(programs) + os.pathsep + os.environ["PATH"])
    return log


def test_file_and_folder_get_the_same_bytes(tmp_path: Path, job: Job) -> None:
    """A file is the PDF; a watched folder gets each copy under a name of its own, and both know what they have."""
    ToFile(tmp_path / "labels.pdf").deliver(job)
    assert (tmp_path / "labels.pdf").read_bytes() == job.pdf.read_bytes()
    assert ToFile(tmp_path / "labels.pdf").has(job)
    folder = tmp_path / "watched"
    folder.mkdir()
    assert ToFolder(folder).has(job) is None
    ToFolder(folder).deliver(job)
    assert sorted(path.name for path in folder.iterdir()) == ["run-7-1.pdf", "run-7-2.pdf"]
    assert ToFolder(folder).has(job)


def test_folder_that_is_away_is_said(tmp_path: Path, job: Job) -> None:
    """A folder that is not there is a job that did not arrive."""
    with pytest.raises(NotDelivered, match="cannot be written"):
        ToFolder(tmp_path / "away").deliver(job)


def test_lp_is_told_queue_size_copies_and_no_scaling(tmp_path: Path, job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """The call names everything that keeps the labels at their size."""
    log = _fake_lp(tmp_path, monkeypatch)
    ToQueue("labels").deliver(job)
    options = ["-d", "labels", "-t", "run-7", "-n", "2", "-o", "media=Custom.100x60mm", "-o", "print-scaling=none"]
    assert log.read_text().splitlines() == [*options, "--", str(job.pdf)]


def test_lp_that_refuses_is_quoted(tmp_path: Path, job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """What lp says is the reason."""
    _fake_lp(tmp_path, monkeypatch, "lp: the queue does not exist", 1)
    with pytest.raises(NotDelivered, match="the queue does not exist"):
        ToQueue("labels").deliver(job)


def test_lp_that_is_not_installed_is_said(tmp_path: Path, job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the program the reason names what brings it."""
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(NotDelivered, match="lp is not installed; CUPS"):
        ToQueue("labels").deliver(job)


class _Silent(http.server.BaseHTTPRequestHandler):
    """Takes the job and hangs up without an answer, or answers what the server was told to."""

    answer: bytes | None = None

    def do_POST(self) -> None:
        self.rfile.read(int(self.headers["Content-Length"]))
        if self.answer is not None:
            self.send_response(200)
            self.send_header("Content-Length", str(len(self.answer)))
            self.end_headers()
            self.wfile.write(self.answer)

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture
def silent_uri() -> Iterator[str]:
    server = http.server.HTTPServer(("127.0.0.1", 0), _Silent)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"ipp://127.0.0.1:{server.server_port}/ipp/print"
    server.shutdown()
    thread.join()
    server.server_close()


def test_printer_that_hangs_up_may_have_the_job(silent_uri: str, job: Job) -> None:
    """A connection that breaks after the job was sent is not taken for a job that did not arrive."""
    with pytest.raises(PerhapsDelivered, match="did not answer"):
        ToPrinter(silent_uri, 5).deliver(job)
    with pytest.raises(NotDelivered, match="cannot be reached"):
        ToPrinter(silent_uri, 5).has(job)


@pytest.mark.parametrize("answer", [b"hm", b"\x02\x00\x05\x06\x00\x00\x00\x01\x03"], ids=["no IPP", "not accepting"])
def test_printer_that_answers_no_is_a_refusal(
    silent_uri: str, job: Job, monkeypatch: pytest.MonkeyPatch, answer: bytes
) -> None:
    """An error status, or an answer that is no IPP, leaves the job waiting."""
    monkeypatch.setattr(_Silent, "answer", answer)
    with pytest.raises(NotDelivered, match="refused"):
        ToPrinter(silent_uri, 5).deliver(job)


def test_address_that_is_none_is_said(job: Job) -> None:
    """An address of another kind is refused with the form it should have."""
    with pytest.raises(WrongData, match="no printer address"):
        ToPrinter("http://printer.local").deliver(job)


def test_printer_that_is_away_did_not_get_it(job: Job) -> None:
    """No connection means for certain that nothing was sent."""
    with pytest.raises(NotDelivered, match="cannot be reached"):
        ToPrinter("ipp://127.0.0.1:1/ipp/print", 2).deliver(job)
