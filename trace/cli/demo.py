"""Open an invented season to try the program on, or walk the main job in plain text.

The season is built on first use (a few seconds) and kept; what is entered there stays there. In a terminal the program
opens on it. With --tour, or where there is no terminal, the main job is walked in plain text on a fresh copy. With --json,
the tour gives ``folder``, ``steps`` (each ``says``, ``command``, ``output``) and ``whole``.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from datetime import datetime
from importlib import import_module
from itertools import count
from pathlib import Path

from lotwake.trace.base.clock import Clock
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.moments import instant_of, show_moment
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.base.settings import holds_house
from lotwake.trace.cli.command import Shell

NAME = "demo"
HELP = "Open an invented season to try the program on, or walk the main job in plain text."


def arguments(parser: ArgumentParser) -> None:
    """Which way, and where."""
    parser.add_argument("--tour", action="store_true", help="walk the main job in plain text, then stop")
    parser.add_argument(
        "--into", type=Path, metavar="FOLDER", help="where the season is kept (default: beside your house)"
    )


def run(args: Namespace, shell: Shell) -> int:
    """Tour or program."""
    places = places_at(args.into or shell.folder or _beside_the_house())
    if args.tour or not in_a_terminal():
        from lotwake.trace.cli import demo_tour  # with the builder and every command it shows

        return demo_tour.walk(_fresh(places, shell), shell)
    return _open(places, shell)


def in_a_terminal() -> bool:
    """Whether somebody can see the program and type into it."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _beside_the_house() -> Path:
    house = places_at(None).folder
    return house.with_name(f"{house.name}-demo")


def _fresh(places: Places, shell: Shell) -> Places:
    """The folder itself where nothing is in it, else the next one with a number: nothing entered is ever touched."""
    folders = (places.folder if number == 1 else _numbered(places.folder, number) for number in count(1))
    free = next(folder for folder in folders if not folder.exists() or not any(folder.iterdir()))
    if free != places.folder:
        shell.say(f"{places.folder} is in use and stays as it is; the tour takes a fresh season in {free}.")
    return places_at(free)


def _numbered(folder: Path, number: int) -> Path:
    return folder.with_name(f"{folder.name}-{number}")


def _open(places: Places, shell: Shell) -> int:
    from lotwake.demo_db.builder import build, holds_season  # the builder only when it is needed

    if holds_season(places):
        shell.say(f"The demo season in {places.folder}, as it was left.")
    elif holds_house(places):
        raise Refused(
            f"{places.folder} holds a house of your own; nothing was changed.", "Name another folder with --into."
        )
    else:
        shell.say(f"Building the demo season into {places.folder} ...")
        build(places.folder, shell.say)
    clock = _clock_for(places, shell)
    program = import_module("lotwake.trace.screens.program")  # by name: nothing else of the shell may load Textual
    return int(program.run(places, shell.who, clock=clock))


class _GoingOn:
    """A clock that went on from the last entry when the program was opened."""

    def __init__(self, last: datetime, real: Clock) -> None:
        self._last, self._real, self._opened = last, real, real.now()

    def now(self) -> datetime:
        return self._last + (self._real.now() - self._opened)


def _clock_for(places: Places, shell: Shell) -> Clock:
    """The computer's clock, unless the season lies in its future: then a clock that goes on from the last entry."""
    from lotwake.trace.actions.desk import open_desk

    desk = open_desk(places, clock=shell.clock)
    last = instant_of(desk.records.value("SELECT MAX(at) FROM journal"))
    zone = desk.zone
    desk.close()
    if shell.clock.now() >= last:
        return shell.clock
    shell.say(f"The season lies in this computer's future; its clock goes on from {show_moment(last, zone)}.")
    return _GoingOn(last, shell.clock)
