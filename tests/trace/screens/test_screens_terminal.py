"""Real bytes through a pseudo-terminal: nothing lost, doubled, mixed up or out of order; a clean end.

``LOTWAKE_SCANS=10000`` makes the long run before an upgrade of Textual.
"""

from __future__ import annotations

import json
import os
import random
import re
import signal
import time
from pathlib import Path

import pytest
from screens_terminal import Terminal, terminal

SCANS = int(os.environ.get("LOTWAKE_SCANS", "300"))
pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are POSIX")
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ0123456789"


def act(chance: random.Random, number: int) -> tuple[str, list[str]]:
    """Bytes of one act and what the page is to hear of it."""
    kind = chance.choices(("scan", "count", "line", "void", "finder", "pages"), (70, 8, 8, 6, 4, 4))[0]
    word = "".join(chance.choices(LETTERS, k=chance.randint(1, 9))) + "X"
    match kind:
        case "scan":
            # The demonstration GTIN prefix 952 (GS1); batch and serial are invented; GS between, as on a label.
            text = f"]C10109521234543213{chance.choice(['10', '21'])}{number:05}{word}\x1d17311224"
            return f"{text}\r", [f"scan {text}"]
        case "count":
            count = chance.randint(1, 999)
            return f"{count}\r", [f"count {count}"]
        case "line":
            return f"{word}\r", [f"line {word}"]
        case "void":
            return "\x1b[19~", ["void"]
        case "finder":
            return "\x1bORvoid\r", ["void"]
        case _:
            return "/entry\rKV\x1b[20~table\r-\r", ["void"]


@pytest.mark.parametrize("pause_s", [0.0, 0.001], ids=["dumped at once", "1 ms between acts"])
def test_scans_and_typing_keep_their_order(tmp_path: Path, pause_s: float) -> None:
    """Hundreds of scans mixed with lines, function keys, finder and page changes: every one once, in order."""
    chance, expected = random.Random(20311124), list[str]()
    with terminal(tmp_path) as shown:
        for number in range(SCANS):
            sent, heard = act(chance, number)
            shown.write(sent.encode())
            expected += heard
            time.sleep(pause_s)
        shown.write(b"]C1LASTONE\r")
        shown.wait_for("LASTONE", within_s=30 + SCANS / 20)
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
        assert shown.heard() == [*expected, "scan ]C1LASTONE"]


def test_order_while_the_program_stands_still(tmp_path: Path) -> None:
    """Keys and half a scan that arrive while a handler blocks the program are taken whole and in order after it."""
    with terminal(tmp_path) as shown:
        shown.write(b"stall\r12\r]C1AB")
        time.sleep(0.3)
        shown.write(b"CD\r/entry\rkv\r12\t34\x1b[20~table\r7\r]C1LASTONE\r")
        shown.wait_for("LASTONE")
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
        assert shown.heard() == ["line stall", "count 12", "scan ]C1ABCD", "count 7", "scan ]C1LASTONE"]
        assert json.loads((shown.drafts / "entry.json").read_text()) == {"boat": "KV1", "mass": "12", "remark": "34"}


@pytest.mark.parametrize("before", ["]", "]C1", "]C1ABCD"])
def test_a_stall_never_breaks_a_scan(tmp_path: Path, before: str) -> None:
    """However long the whole program is stopped inside a scan, what waits in the terminal belongs to that scan."""
    with terminal(tmp_path) as shown:
        shown.write(before.encode())
        time.sleep(0.1)  # so that it is read before the stop
        os.kill(shown.process.pid, signal.SIGSTOP)
        shown.write(b"EFGH\r7\r")
        time.sleep(1.3)
        os.kill(shown.process.pid, signal.SIGCONT)
        shown.wait_for("heard count 7")
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
        assert shown.heard() == [f"scan {before}EFGH", "count 7"]


def test_a_scan_that_stops_is_told(tmp_path: Path) -> None:
    """When nothing follows for longer than a second, the scan is named as broken and the next key is a person's."""
    with terminal(tmp_path) as shown:
        shown.write(b"]C1AB")
        shown.wait_for("A scan was not used")
        time.sleep(0.6)
        shown.write(b"7\r")
        shown.wait_for("heard count 7")
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
        assert shown.heard() == ["count 7"]


def test_what_is_typed_while_the_program_starts_is_taken(tmp_path: Path) -> None:
    """Scans and lines that arrive before the first frame are there, in order, once the program runs."""
    made, sent = Terminal(tmp_path), list[str]()
    while b"NOW" not in made.output:
        made.write(f"]C1{len(sent)}\r{len(sent)}\r".encode())
        sent += [f"scan ]C1{len(sent)}", f"count {len(sent)}"]
        time.sleep(0.02)
        made.read()
    made.write(b"]C1LASTONE\r")
    made.wait_for("LASTONE")
    made.process.send_signal(signal.SIGTERM)
    assert made.ended() == 0
    os.close(made.master)
    assert made.heard() == [*sent, "scan ]C1LASTONE"]


@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_signals_end_the_program_cleanly(tmp_path: Path, name: str) -> None:
    """The terminal is given back as it was, the draft is on disk, and nothing is said that is no sentence."""
    with terminal(tmp_path) as shown:
        shown.write(b"/entry\rKV\r12,5")
        shown.wait_for("12500 g")
        shown.process.send_signal(getattr(signal, name))
        assert shown.ended() == 0
        assert b"\x1b[?1049l" in shown.output
        assert b"Traceback" not in shown.output
        assert "1 draft is kept." in re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", shown.output.decode(errors="replace"))
        assert json.loads((shown.drafts / "entry.json").read_text())["mass"] == "12,5"


def test_draft_survives_a_kill(tmp_path: Path) -> None:
    """A second after the last key even ``kill -9`` loses nothing that was typed."""
    with terminal(tmp_path) as shown:
        shown.write(b"/entry\rKV\r12,5")
        shown.wait_for("12500 g")
        time.sleep(1)
        shown.process.kill()
        shown.ended()
        assert json.loads((shown.drafts / "entry.json").read_text()) == {"boat": "KV1", "mass": "12,5", "remark": ""}


def test_lost_terminal_ends_the_program(tmp_path: Path) -> None:
    """When the terminal goes without a signal, the program ends by itself instead of spinning."""
    with terminal(tmp_path, has_control=False) as shown:
        shown.write(b"24\r")
        shown.wait_for("heard count 24")
        os.close(shown.master)
        shown.process.wait(timeout=15)
        assert shown.heard() == ["count 24"]
