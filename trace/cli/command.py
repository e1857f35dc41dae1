"""What a command is, and what it talks through.

A command is a module with four names: ``NAME``, ``HELP`` (one sentence), ``arguments(parser)`` and
``run(args, shell)``. Only the module of the command that was called is imported, so that a cold start stays short.
"""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from lotwake.trace.base.clock import Clock, SystemClock
from lotwake.trace.base.hidden import made_visible
from lotwake.trace.base.places import Places, places_at

if TYPE_CHECKING:
    from lotwake.trace.actions.desk import Desk, Operator


class Command(Protocol):
    """The shape of a command module."""

    NAME: str
    HELP: str

    def arguments(self, parser: ArgumentParser) -> None: ...

    def run(self, args: Namespace, shell: Shell) -> int | None: ...


def _in_lines(data: Any) -> Iterator[str]:
    """A value as JSON, each key and each item of a list on a line of its own. Python's indenting writer takes ten times as
    long, which a trace with 100,000 links would be waited for."""
    if not isinstance(data, dict) or not data:
        yield _as_json(data) + "\n"
        return
    for number, (key, value) in enumerate(data.items()):
        yield f"{',' if number else '{'}\n {_as_json(key)}: "
        if isinstance(value, list | tuple) and value:
            yield from (f"{',' if place else '['}\n  {_as_json(item)}" for place, item in enumerate(value))
            yield "\n ]"
        else:
            yield _as_json(value)
    yield "\n}\n"


def _as_json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


@dataclass(frozen=True)
class Shell:
    """Where the house is, who is at work, and how answers leave: data on stdout, talk on stderr.

    ``daily``: whether what is written begins the daily backup.
    """

    folder: Path | None
    who: str | None
    as_json: bool
    clock: Clock = field(default_factory=SystemClock)
    pin_file: Path | None = None
    daily: bool = False

    @property
    def places(self) -> Places:
        return places_at(self.folder)

    @contextmanager
    def desk(self) -> Iterator[Desk]:
        """The open house with who is at work in it, closed again afterwards."""
        from lotwake.trace.actions.desk import open_desk  # the database only when a house is opened
        from lotwake.trace.records.journal import head

        desk = open_desk(self.places, self.who, self.clock)
        before = head(desk.records)
        try:
            yield replace(desk, ask_pin=self._ask_pin)
            if self.daily and head(desk.records) != before:
                self._back_up(desk)
        finally:
            desk.close()

    def _back_up(self, desk: Desk) -> None:
        from lotwake.trace.cli.daily import begin_unless_made

        if wrong := begin_unless_made(desk):
            self.say(wrong)

    def _ask_pin(self, operator: Operator) -> str | None:
        from lotwake.trace.cli.secrets import typed_pin

        return typed_pin(f"PIN of {operator.initials}: ", self.pin_file)

    def give(self, data: Any, text: str | Iterable[str]) -> None:
        """Write the answer: one JSON value with ``--json``, else lines for people."""
        if self.as_json:
            for part in _in_lines(data):
                sys.stdout.write(made_visible(part))
            return
        lines = [text] if isinstance(text, str) else text
        for line in lines:
            sys.stdout.write(made_visible(line) + "\n")

    def say(self, sentence: str) -> None:
        """Talk to the person without touching the data on stdout."""
        sys.stderr.write(made_visible(sentence) + "\n")
