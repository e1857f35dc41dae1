"""People from the shell: roles, PINs, and where a PIN may come from."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.on_both

PIN = "270418"
_MAIN = "import sys; from lotwake.trace.cli.main import main; sys.exit(main())"


def _by(house: Any, who: str, *words: str) -> Any:
    return house.bare("--at", str(house.folder), "--as", who, *words)


@pytest.fixture
def people(stocked: Any, tmp_path: Path) -> Any:
    """The stocked house with OD on the line, RI who reads, and SK, a lead with a PIN."""
    house = stocked.house
    (tmp_path / "pin").write_text(f"{PIN}\n", encoding="utf-8")
    house.data("set-up", "operator", "OD", "Odd Dahl")
    house.data("set-up", "operator", "RI", "Rita Innes", "--role", "reader")
    said = house.call("set-up", "pin", "SK", "--new-pin-file", str(tmp_path / "pin"))
    assert said.code == 0, said.err
    assert "There is one lead only" in said.err
    return stocked


def test_a_reader_cannot_write_from_the_shell(people: Any) -> None:
    """Reading answers; writing is refused with 3, and the journal stays as it was."""
    house = people.house
    before = house.journal_end()
    assert _by(house, "RI", "find", people.run).code == 0
    for words in (
        ("receive", "landing", "--boat", "Aurora", "--species", "HAD", "--kg", "41", "--area", "27.4.b", "--gear", "OTB"),
        ("hold", people.lot, "--why", "smell"),
        ("release", people.lot, "--by", "R", "--why", "w"),
        ("set-up", "role", "RI", "lead"),
    ):  # fmt: skip
        said = _by(house, "RI", *words)
        assert (said.code, said.out) == (3, ""), words
        assert "role reader" in said.err
    assert house.journal_end() == before


def test_a_lead_shows_the_pin(people: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A correction wants the PIN: from a file, from the environment; without one it is refused and nothing is asked."""
    house = people.house
    words = ("correct", "party", "buyer", "Quay Deli", "phone")
    said = house.call(*words, "+47 1", "--why", "new")
    assert said.code == 3
    assert "--pin-file FILE or LOTWAKE_PIN" in said.err
    assert house.call(*words, "+47 1", "--why", "new", "--pin-file", str(tmp_path / "pin")).code == 0
    monkeypatch.setenv("LOTWAKE_PIN", PIN)
    assert house.call(*words, "+47 2", "--why", "new").code == 0
    monkeypatch.setenv("LOTWAKE_PIN", "111222")
    said = house.call(*words, "+47 3", "--why", "new")
    assert (said.code, said.err) == (2, "That is not the PIN of SK. Try again.\n")
    assert _by(house, "OD", *words, "+47 4", "--why", "new").code == 3


def test_the_pin_is_typed_unseen(people: Any) -> None:
    """At a terminal the PIN is asked for, and what is typed does not come back."""
    house = people.house
    before = house.journal_end()[0]
    ours, theirs = pty.openpty()
    words = ["correct", "party", "buyer", "Quay Deli", "phone", "+47 9", "--why", "new"]
    call = subprocess.Popen(
        [sys.executable, "-c", _MAIN, "--at", str(house.folder), "--as", "SK", *words],
        stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
        preexec_fn=_own_terminal, env={**os.environ, "TERM": "dumb"},
    )  # fmt: skip
    os.close(theirs)
    shown = b""
    while b"PIN of SK" not in shown:
        shown += os.read(ours, 1000)
    os.write(ours, f"{PIN}\n".encode())
    while True:
        try:
            more = os.read(ours, 1000)
        except OSError:  # the other side closed
            break
        if not more:
            break
        shown += more
    os.close(ours)
    assert call.wait() == 0, shown
    assert PIN.encode() not in shown
    assert b"became +47 9" in shown
    assert house.journal_end()[0] == before + 1


def _own_terminal() -> None:
    import fcntl
    import termios

    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def test_a_pin_is_never_an_argument(people: Any) -> None:
    """There is no option that takes the digits themselves: other users could read them in the list of processes."""
    said = people.house.call("correct", "party", "buyer", "Quay Deli", "phone", "+47 1", "--why", "w", "--pin", PIN)
    assert said.code == 2
    assert people.house.call("set-up", "pin", "SK", PIN).code == 2


def test_roles_change(people: Any, tmp_path: Path) -> None:
    """A lead makes a lead, who then releases; the last lead stays one."""
    house, pin = people.house, ("--pin-file", str(tmp_path / "pin"))
    assert "only lead" in house.call("set-up", "role", "SK", "line", *pin).err
    assert house.data("set-up", "role", "OD", "lead", *pin)["role"] == "lead"
    assert _by(house, "OD", "correct", "party", "buyer", "Quay Deli", "phone", "+47 5", "--why", "new").code == 0
    assert house.data("set-up", "role", "SK", "line", *pin)["role"] == "line"
    assert _by(house, "OD", "set-up", "pin", "SK", "--none").code == 0
    assert {who["initials"]: who["role"] for who in house.data("list", "operators")["rows"]}["SK"] == "line"


def test_an_empty_pin_file_is_no_pin(people: Any, tmp_path: Path) -> None:
    """A file with nothing or with other bytes in it is refused with a sentence."""
    for content in (b"", b"\xff\xfe", b"12"):
        (tmp_path / "bad").write_bytes(content)
        said = people.house.call("set-up", "pin", "OD", "--new-pin-file", str(tmp_path / "bad"))
        assert said.code in (2, 3)
        assert said.err.count("\n") == 1
