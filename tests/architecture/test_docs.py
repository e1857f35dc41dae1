"""The documents say what the program does: tables made from the commands, and commands that exist.

``LOTWAKE_WRITE_DOCS=1 pytest tests/architecture/test_docs.py`` writes the tables anew.
"""

from __future__ import annotations

import os
import re
import shlex
from pathlib import Path

import pytest

from lotwake.trace.cli.registry import COMMANDS, command_table
from lotwake.trace.screens.command import key_table

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"


def _commands() -> str:
    rows = "".join(f"| `{name}` | {text} |\n" for name, text in command_table())
    return "| command | what it does |\n| --- | --- |\n" + rows


@pytest.mark.parametrize(("mark", "table"), [("keys", key_table()), ("commands", _commands())])
def test_tables_are_those_of_the_program(mark: str, table: str) -> None:
    """The key table and the command table of the README are made from the command classes."""
    text = README.read_text(encoding="utf-8")
    found = re.search(rf"<!-- {mark} -->\n(.*)<!-- /{mark} -->", text, re.DOTALL)
    assert found
    if os.environ.get("LOTWAKE_WRITE_DOCS"):
        README.write_text(text.replace(found[0], f"<!-- {mark} -->\n{table}<!-- /{mark} -->"), encoding="utf-8")
        return
    assert found[1] == table


def test_every_call_in_the_readme_can_be_read(capsys: pytest.CaptureFixture[str]) -> None:
    """Each `lotwake ...` line of the README is a call that the argument parser takes."""
    from lotwake.trace.cli.parser import Parser

    text = README.read_text(encoding="utf-8").replace("\\\n", " ")
    calls = re.findall(r"^lotwake (.+)$", text, re.MULTILINE)
    assert len(calls) > 8
    for call in calls:
        words = shlex.split(call.removeprefix("--as SK "))
        command = next(item for item in COMMANDS if item.name == words[0])
        one = Parser(prog=command.name)
        command.load().arguments(one)
        one.parse_args(words[1:])
    assert capsys.readouterr().err == ""


def test_readme_opens_with_the_job() -> None:
    """The README opens with the job in one paragraph."""
    lines = README.read_text(encoding="utf-8").split("\n\n")
    assert lines[0].startswith("# ")
    assert "smokehouse" in lines[1]
