"""Commands, lines and cards."""

from __future__ import annotations

import re

import pytest

from lotwake.trace.base.errors import CallError
from lotwake.trace.screens.command import HELP, JOBS, SHARED, VOID, Command, bound_keys, key_rows, key_table, shown_key
from lotwake.trace.screens.finder import matching
from lotwake.trace.screens.line import Asked, Code, Count, Line, UnknownWord, read_card, read_line


@pytest.mark.parametrize("command", SHARED, ids=lambda command: command.name)
def test_every_shared_command_is_complete(command: Command) -> None:
    """Each command has a word of small letters, a short label and a sentence of help."""
    assert re.fullmatch(r"[a-z]{3,10}", command.name)
    assert 0 < len(command.label) <= 8
    assert command.help.endswith(".")


def test_fixed_keys_are_f2_to_f9_and_escape() -> None:
    """F2 to F9 are all given, each once, and nothing is bound to a letter, digit or sign."""
    keys = bound_keys(SHARED)
    assert list(keys) == [f"f{n}" for n in range(2, 10)] + ["escape"]


def test_page_words_do_not_change_the_key() -> None:
    """A page changes label and help of a shared command, not its name and key."""
    here = VOID.here("Void last", "Void the last labels.")
    assert (here.name, here.keys, here.words) == (VOID.name, VOID.keys, VOID.words)


def test_house_keys() -> None:
    """The settings move a command to other keys, or take them away."""
    keys = bound_keys(SHARED, {"void": "f10, ctrl+g", "help": ""})
    assert keys["f10"] is VOID
    assert keys["ctrl+g"] is VOID
    assert "f8" not in keys
    assert HELP not in keys.values()


@pytest.mark.parametrize(
    "changes",
    [{"vodi": "f10"}, {"void": "v"}, {"void": "7"}, {"void": "enter"}, {"void": "ctrl+j"}, {"void": "f9"}],
    ids=str,
)
def test_house_keys_that_cannot_be(changes: dict[str, str]) -> None:
    """An unknown command, a key that a scanner types, a key of the forms and a key given twice are refused."""
    with pytest.raises(CallError):
        bound_keys(SHARED, changes)


def test_key_table_has_every_command() -> None:
    """The key table of the manual names each command with its key."""
    table = key_table()
    for command in SHARED:
        line = next(line for line in table.splitlines() if f"`{command.word}" in line)
        assert all(shown_key(key) in line for key in command.keys)
    assert ("F8", "/void REASON -", VOID.help) in key_rows(SHARED)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("24", Count(24)),
        (" 24 ", Count(24)),
        ("123456", Code("123456")),
        ("12,5", Code("12,5")),
        ("-", Asked(VOID, "")),
        ("/void smeared label", Asked(VOID, "smeared label")),
        ("/VOID", Asked(VOID, "")),
        ("/vo", Asked(VOID, "")),
        ("/re", UnknownWord("/re")),
        ("/nothing", UnknownWord("/nothing")),
        ("B25118", Code("B25118")),
        ("?", Asked(HELP, "")),
    ],
)
def test_lines(text: str, meant: Line) -> None:
    """A number is a count, a word with a slash a command, all else a code; an unclear word is not guessed."""
    assert read_line(text, SHARED) == meant


@pytest.mark.parametrize(
    ("data", "line"), [("CMDVOID", "/void"), ("CMD24", "24"), ("CMD", None), ("0195200", None), ("CMD-1", None)]
)
def test_cards(data: str, line: str | None) -> None:
    """A command card gives the line it stands for; other codes are no cards."""
    assert read_card(data) == line


@pytest.mark.parametrize("command", SHARED, ids=lambda command: command.name)
def test_every_command_can_be_a_card(command: Command) -> None:
    """The card of each command is capitals only and gives the command back."""
    assert command.card.isalpha()
    assert command.card.isupper()
    assert read_card(command.card) == command.word


def test_finder_order() -> None:
    """A command whose name begins with what was typed comes before one that only mentions it."""
    assert matching(SHARED, "/jobs")[0] is JOBS
    assert matching(SHARED, "print")[0].name == "reprint"
    assert matching(SHARED, "no such thing") == []
