"""What a line typed into the one input line means. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from lotwake.trace.base.codes import looks_like_code, tidy
from lotwake.trace.screens.command import CARD_MARK, Command

_CARD_AI = "91"
_LONGEST_COUNT = 5  # the shortest GS1 key that is typed has 8 digits, so six digits and more are a code


@dataclass(frozen=True)
class Count:
    """A whole number: how many."""

    number: int


@dataclass(frozen=True)
class Asked:
    """A command and what followed its word."""

    command: Command
    rest: str


@dataclass(frozen=True)
class UnknownWord:
    """A ``/word`` that no command has here."""

    word: str


@dataclass(frozen=True)
class Code:
    """Anything else: a code, a name, a text to look up."""

    text: str


Line = Count | Asked | UnknownWord | Code


def read_line(text: str, commands: Iterable[Command]) -> Line:
    """Tell number, command and code apart. A ``/word`` may be shortened while only one command begins so."""
    stripped = text.strip()
    known = list(commands)
    for command in known:
        if command.answers_to(stripped):
            return Asked(command, "")
    if stripped.startswith("/"):
        return _asked(stripped, known)
    if re.fullmatch(rf"[0-9]{{1,{_LONGEST_COUNT}}}", stripped):
        return Count(int(stripped))
    return Code(stripped)


def _asked(text: str, commands: list[Command]) -> Line:
    word, _, rest = text.partition(" ")
    word = word.lower()
    exact = [command for command in commands if command.word == word]
    near = exact or [command for command in commands if command.word.startswith(word) and len(word) > 1]
    return Asked(near[0], rest.strip()) if len(near) == 1 else UnknownWord(word)


def on_card(data: str) -> str:
    """What stands on a card of ours: AI (91), company internal information, is taken off in front of our own codes."""
    bare = data.removeprefix(_CARD_AI)
    ours = bare.startswith(CARD_MARK) or (looks_like_code(bare) and int(tidy(bare)) % 97 == 1)
    return bare if ours else data


def read_card(data: str) -> str | None:
    """The line that a scanned command card stands for: ``CMDVOID`` is ``/void``, ``CMD24`` is ``24``."""
    found = re.fullmatch(rf"{CARD_MARK}([A-Z0-9]+)", on_card(data))
    if found is None:
        return None
    return found[1] if found[1].isdigit() else f"/{found[1].lower()}"
