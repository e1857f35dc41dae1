"""The browser view: what it warns of, what it refuses, and that it answers with the program's page."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import time
import urllib.request
from datetime import UTC, datetime
from pathlib import Path

import pytest

from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.cli.main import main
from lotwake.trace.records.entries.house import SiteFacts


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _house(folder: Path) -> Path:
    site = SiteFacts("Skerry Smokehouse", "Quay 1, Skerry", "NO", "9520000", "Europe/Oslo")
    set_up_house(places_at(folder), site, "SK", "Signe Kvist", SetClock(datetime(2026, 11, 24, 5, tzinfo=UTC))).close()
    return folder


@pytest.mark.parametrize(
    ("words", "code", "said"), [(("--port", "70000"), 2, "no port 70000"), ((), 4, "house")], ids=["port", "no house"]
)
def test_refusals(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], code: int, said: str
) -> None:
    """A port that cannot be and a folder without a house are told at the shell, before anything answers."""
    assert main(["--at", str(tmp_path / "none"), "serve", *words]) == code
    assert said in capsys.readouterr().err


def test_without_the_extra(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the extra is not installed, the sentence says how to install it."""
    monkeypatch.setitem(sys.modules, "textual_serve.server", None)
    assert main(["--at", str(_house(tmp_path / "house")), "serve"]) == 2
    assert 'pip install "lotwake[browser]"' in capsys.readouterr().err


def test_answers_on_this_machine_with_a_warning(tmp_path: Path) -> None:
    """The address gives a page that opens the program; the warning about the missing login is printed first."""
    pytest.importorskip("textual_serve", reason="the extra `browser` (textual-serve) is not installed")
    port = _free_port()
    words = ["--at", str(_house(tmp_path / "house")), "--as", "SK", "serve", "--port", str(port)]
    script = "import sys; from lotwake.trace.cli.main import main; sys.exit(main(sys.argv[1:]))"
    with (tmp_path / "said").open("wb") as said:
        server = subprocess.Popen([sys.executable, "-c", script, *words], stdout=said, stderr=said, env={**os.environ})
    try:
        page = _page(f"http://127.0.0.1:{port}/")
    finally:
        server.terminate()
        server.wait(timeout=10)
    assert "Lotwake" in page
    assert re.search(r"ws://127\.0\.0\.1:\d+/ws|data-session-websocket-url", page)
    assert "It has no login" in (tmp_path / "said").read_text(encoding="utf-8")


def _page(address: str) -> str:
    until = time.monotonic() + 20
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except OSError:
            assert time.monotonic() < until, "nothing answers"
            time.sleep(0.2)
