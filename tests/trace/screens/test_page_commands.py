"""Every command of the real program by key, by word, by finder and by card; keys of a house's own; with and without mouse."""

from __future__ import annotations

import re
import signal
from pathlib import Path

import pytest
from screens_house import House, do, dump, said, scan, work
from screens_terminal import terminal
from textual.pilot import Pilot

from lotwake.trace.base.errors import CallError
from lotwake.trace.screens.command import Command
from lotwake.trace.screens.finder import matching
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.line import Asked, read_card, read_line
from lotwake.trace.screens.program import house_app
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.widgets.ledger import Ledger


def test_no_command_depends_on_a_key(house: House) -> None:
    """On each page each command is a typed word, a line of the finder and a card of capitals and digits; none is only a key."""
    desk = house.desk()
    app = house_app(desk)
    lacking: list[tuple[str, str]] = []
    for page in app.pages.values():
        commands = app.commands_for(page)
        assert {command.name for command in commands} >= {*app.pages, "help", "find", "back", "as", "quit"}
        lacking += [(page.NAME, command.name) for command in commands if not _reached(command, commands)]
    desk.close()
    assert not lacking
    assert {command.name for command in app.keys.values()} <= {
        command.name for page in app.pages.values() for command in app.commands_for(page)
    }


def _reached(command: Command, commands: tuple[Command, ...]) -> bool:
    carded = read_card(command.card)
    return (
        read_line(command.word, commands) == Asked(command, "")
        and carded == command.word
        and re.fullmatch("[A-Z0-9]+", command.card) is not None
        and command in matching(commands, command.word)
        and command.help.endswith(".")
    )


@pytest.mark.parametrize(
    "page", ["landing", "batch", "pack", "cases", "dispatch", "returns", "trace", "records", "setup"]
)
def test_pages_by_card_and_by_finder(house: House, page: str) -> None:
    """A page is gone to by scanning its card, and by a part of its name in the finder."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(f"CMD{page.upper()}"))
        assert page == app.page.NAME
        await do(app, scan("CMDSTART"), "/find\r", page, "\r")
        assert page == app.page.NAME

    work(house, script)


def test_keys_of_the_house(house: House) -> None:
    """A key named in house.toml gives the command, help and key bar name it, and the old key no longer does."""
    house.choose('[keys]\njobs = "f10"\nhelp = "f1, f2"\n')

    async def script(app: HouseApp) -> None:
        assert "F10 Jobs" in dump(app)
        await do(app, "f9")
        assert "JOBS  where to?" not in dump(app)
        await do(app, "f10")
        assert "JOBS  where to?" in dump(app)
        await do(app, "escape", "f1")
        assert re.search(r"F1 F2 +/help", dump(app))
        assert "house.toml" in dump(app)

    work(house, script)


@pytest.mark.parametrize(
    ("keys", "named"), [('void = "v"', "'v'"), ('vodi = "f10"', "'vodi'"), ('void = "f9"', "f9")], ids=str
)
def test_keys_that_cannot_be_are_told_at_the_start(house: House, keys: str, named: str) -> None:
    """A letter, an unknown command and a key given twice stop the start with a sentence that names them."""
    house.choose(f"[keys]\n{keys}\n")
    desk = house.desk()
    with pytest.raises(CallError, match=named):
        house_app(desk)
    desk.close()


def test_a_click_takes_a_row(house: House) -> None:
    """With the mouse on, a click on a line of the start page does what Enter on it does."""

    async def script(app: HouseApp) -> None:
        assert await Pilot(app).click(Ledger, offset=(20, 1))
        await do(app)
        assert app.page.NAME == "batch"

    work(house, script)


def test_stop_stays_until_the_next_act(house: House) -> None:
    """A refusal stays on the page until something is done; time and changes of other stations do not take it away."""

    async def script(app: HouseApp) -> None:
        await do(app, "/nothing\r")
        assert said(app)[0] is Verdict.CHECK
        await app.look_for_changes()
        await do(app)
        assert said(app)[0] is Verdict.CHECK
        await do(app, "\r")
        assert said(app)[0] is None

    work(house, script)


TERMS = {
    "true colour": ({}, rb"38;2;", None),
    "256 colours": ({"TERM": "xterm-256color", "COLORTERM": ""}, rb"38;5;", rb"38;2;"),
    "16 colours": ({"TERM": "xterm-16color", "COLORTERM": ""}, rb"\x1b\[[0-9;]*(3|9)[0-7]", rb"38;[25];"),
}


@pytest.mark.parametrize("term", TERMS)
def test_terminals_of_few_colours(tmp_path: Path, house: House, term: str) -> None:
    """The program starts where there are few colours, sends only colours the terminal has, and says every state in words."""
    env, sent, never = TERMS[term]
    with terminal(tmp_path, script="screens_recording.py", arguments=[str(house.places.folder)], env=env) as shown:
        shown.wait_for("IN STORE", since=0)
        shown.write(b"/nothing\r")
        shown.wait_for("CHECK")
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
    assert re.search(sent, shown.output)
    assert never is None or not re.search(never, shown.output)


def test_no_colour_in_a_terminal(tmp_path: Path, house: House) -> None:
    """With NO_COLOR every colour sent is a grey, and with the mouse off the terminal's mouse is left alone."""
    env = {"NO_COLOR": "1"}
    with terminal(tmp_path, script="screens_recording.py", arguments=[str(house.places.folder)], env=env) as shown:
        shown.wait_for("IN STORE", since=0)
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
    colours = re.findall(rb"[34]8;2;(\d+);(\d+);(\d+)", shown.output)
    assert all(len(set(colour)) == 1 for colour in colours)
    assert b"\x1b[?1000h" not in shown.output
