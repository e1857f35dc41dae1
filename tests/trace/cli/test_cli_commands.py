"""The commands as a set: help, names, options that hold everywhere, and a light start."""

from __future__ import annotations

import json
import subprocess
import sys
from argparse import ArgumentParser, _SubParsersAction
from collections.abc import Iterator
from importlib.metadata import version
from typing import Any

import pytest

from lotwake.trace.cli.parser import Parser
from lotwake.trace.cli.registry import COMMANDS, Listed, command_table

NAMES = [command.name for command in COMMANDS]


@pytest.mark.parametrize("command", COMMANDS, ids=NAMES)
def test_a_command_is_what_the_overview_says(command: Listed) -> None:
    """The name and help in the overview are the module's own, and the help is one sentence."""
    module = command.load()
    assert (command.name, command.help) == (module.NAME, module.HELP)
    assert command.help.endswith(".")
    assert command.help[0].isupper()


@pytest.mark.parametrize("command", COMMANDS, ids=NAMES)
def test_every_command_and_word_has_help(command: Listed, shell: Any) -> None:
    """``--help`` works for each command and each word behind it, without a house, and describes all of them."""
    parser = Parser(f"lotwake {command.name}")
    command.load().arguments(parser)
    for words in _with_nouns(parser, (command.name,)):
        said = shell.bare(*words, "--help")
        assert (said.code, said.err) == (0, "")
        assert f"lotwake {' '.join(words)}" in said.out
        assert len(said.out) > 200


def _with_nouns(parser: ArgumentParser, words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    yield words
    for action in parser._actions:
        if isinstance(action, _SubParsersAction):
            described = {choice.dest for choice in action._choices_actions if choice.help}
            assert described == set(action.choices), words
            for name in action.choices:
                yield (*words, name)


def test_the_command_table_is_complete() -> None:
    """The table for the README has every command once, in the order of the overview."""
    assert [name for name, _ in command_table()] == NAMES
    assert len(set(NAMES)) == len(NAMES)


def test_the_overview_names_every_command(shell: Any) -> None:
    """``lotwake --help`` lists all commands with their help and the exit codes."""
    said = shell.bare("--help")
    assert said.code == 0
    for name, text in command_table():
        assert f"  {name} " in said.out
        assert text in said.out
    assert "6 the machine failed" in said.out


def test_version(shell: Any) -> None:
    """--version is that of the installed package, for people and as JSON."""
    assert shell.bare("--version").out == f"lotwake {version('lotwake')}\n"
    assert json.loads(shell.bare("--version", "--json").out) == {"version": version("lotwake")}


@pytest.mark.parametrize("place", ["before", "after", "around"])
def test_options_hold_before_and_after_the_command(house: Any, place: str) -> None:
    """--at, --as and --json mean the same wherever they stand."""
    everywhere = ["--at", str(house.folder), "--as", "SK", "--json"]
    command = ["list", "boats", "--most", "5"]
    words = {
        "before": [*everywhere, *command],
        "after": [*command, *everywhere],
        "around": [*everywhere[:2], *command, *everywhere[2:]],
    }[place]
    said = house.bare(*words)
    assert json.loads(said.out)["rows"][0]["name"] == "Aurora"


def test_what_follows_two_dashes_is_no_option(house: Any) -> None:
    """After ``--`` a text that looks like an option is looked up as it is."""
    said = house.call("find", "--", "--json")
    assert said.code == 4
    assert "'--json'" in said.err


STARTS = [
    (["--version"], ("peewee", "textual", "rich", "reportlab", "barcode", "PIL")),
    (["receive", "landing", "--help"], ("textual", "rich", "reportlab", "barcode", "PIL")),
    (["list", "lots"], ("textual", "rich", "reportlab", "barcode", "PIL")),
    (["trace", "back", "--help"], ("textual", "rich", "reportlab", "barcode", "PIL")),
]


@pytest.mark.parametrize(("words", "heavy"), STARTS, ids=lambda value: " ".join(value))
def test_a_start_loads_only_what_it_needs(house: Any, words: list[str], heavy: tuple[str, ...]) -> None:
    """A fresh process that does one thing has imported no terminal, label or picture library."""
    script = (
        "import sys\nfrom lotwake.trace.cli.main import main\ncode = main(sys.argv[2:])\n"
        "print(code, sorted(set(sys.argv[1].split(',')) & set(sys.modules)), file=sys.stderr)"
    )
    call = [sys.executable, "-c", script, ",".join(heavy), "--at", str(house.folder), *words]
    done = subprocess.run(call, capture_output=True, text=True, check=True)
    assert done.stderr == "0 []\n"


def test_without_a_terminal_the_program_says_so(shell: Any) -> None:
    """``lotwake`` alone, with no terminal behind it, answers with a sentence and 2."""
    said = shell.call()
    assert (said.code, said.out) == (2, "")
    assert "opens in a terminal" in said.err


def test_with_a_terminal_the_program_opens(shell: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """``lotwake`` alone hands the folder, who is at work and the clock to the terminal program and returns its code."""
    opened: list[Any] = []

    class Program:
        @staticmethod
        def run(places: Any, who: str | None, clock: Any = None) -> int:
            opened.append((places.folder, who, clock))
            return 0

    monkeypatch.setitem(sys.modules, "lotwake.trace.screens.program", Program)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    assert shell.call().code == 0
    assert opened == [(shell.folder, "SK", shell.clock)]
