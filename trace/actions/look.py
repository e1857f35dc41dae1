"""Look a thing up: everything the record says about it, in one state of the record."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.history import Corrected, HoldSeen, Line, corrections_of, history_of, holds_of
from lotwake.trace.records.lying import where_words
from lotwake.trace.records.seen import (
    Facts,
    Part,
    ReadingSeen,
    StepSeen,
    contents_of,
    facts_of,
    readings_of,
    status_of,
    steps_of,
)


@dataclass(frozen=True)
class Seen:
    """A thing as it stands now. ``status`` counts the holds on what it was made from; ``holds`` are its own; ``where`` it
    lies in the house, in words."""

    thing: Thing
    status: str
    facts: Facts
    contents: tuple[Part, ...]
    steps: tuple[StepSeen, ...]
    readings: tuple[ReadingSeen, ...]
    holds: tuple[HoldSeen, ...]
    corrections: tuple[Corrected, ...]
    history: tuple[Line, ...]
    where: str = ""


def look(records: Records, thing: Thing) -> Seen:
    """Everything written down about this thing."""
    with records.snapshot():
        found = facts_of(records, thing)
        batch = thing.kind is Kind.BATCH
        return Seen(
            thing=thing,
            status=status_of(records, thing, found),
            facts=found,
            contents=tuple(contents_of(records, thing)),
            steps=tuple(steps_of(records, thing.id)) if batch else (),
            readings=tuple(readings_of(records, thing.id)) if batch else (),
            holds=tuple(holds_of(records, thing)),
            corrections=tuple(corrections_of(records, thing)),
            history=tuple(history_of(records, thing)),
            where=where_words(records, thing),
        )
