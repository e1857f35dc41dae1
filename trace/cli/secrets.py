"""Where the shell takes a PIN or passphrase from: a file, the environment, the keyboard. Never an argument: others read it."""

from __future__ import annotations

import os
import sys
from getpass import getpass
from pathlib import Path

from lotwake.trace.base.errors import CallError

VARIABLE = "LOTWAKE_PIN"
PASSPHRASE = "LOTWAKE_PASSPHRASE"


def typed_pin(prompt: str, file: Path | None) -> str | None:
    """The PIN that is at hand, asked for where somebody sits at a terminal; None where there is nobody to ask."""
    if file is not None:
        return _read(file)
    if VARIABLE in os.environ:
        return os.environ[VARIABLE].strip()
    return getpass(prompt) if sys.stdin.isatty() else None


def new_pin(initials: str, file: Path | None) -> str:
    """A PIN that is being set: from the file, or typed twice."""
    if file is not None:
        return _read(file)
    if not sys.stdin.isatty():
        raise CallError("There is nobody to type the new PIN.", "Name a file that holds it with --new-pin-file.")
    first = getpass(f"New PIN of {initials}: ")
    if getpass("Once more: ") != first:
        raise CallError("The two differ; the PIN is as it was.", "Try again.")
    return first


def typed_passphrase(file: Path | None, twice: bool = False) -> str | None:
    """What seals a backup: from a file, the environment, or typed; None where there is nobody to ask."""
    if file is not None:
        return _read(file)
    if PASSPHRASE in os.environ:
        return os.environ[PASSPHRASE]
    if not sys.stdin.isatty():
        return None
    first = getpass("Passphrase: ")
    if twice and getpass("Once more: ") != first:
        raise CallError("The two differ; nothing was made.", "Try again.")
    return first


def _read(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8").strip()
    except UnicodeDecodeError:
        raise CallError(f"{file} holds no text.", "Write the PIN or passphrase into it, and nothing else.") from None
