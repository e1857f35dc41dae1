"""What every step of bringing in works with."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from lotwake.trace.actions.bring_in.names import Names
from lotwake.trace.actions.desk import Desk
from lotwake.trace.records.database import Records
from lotwake.trace.records.journal import Entry


@dataclass(frozen=True)
class Making:
    """The entry that is being made, the desk it is made at, and the names of the old book."""

    desk: Desk
    names: Names
    entry: Entry

    @contextmanager
    def part(self) -> Iterator[None]:
        """A part of the entry that stands or falls by itself, and with it what was learnt of names inside."""
        try:
            with self.entry.part():
                yield
        except BaseException:
            self.names.forget()
            raise

    @property
    def records(self) -> Records:
        return self.desk.records
