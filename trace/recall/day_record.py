"""The record of one day on paper: what was entered, and the hash the journal ended with, so that a later rewrite shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from lotwake.trace.base.moments import instant_of, show_day, show_moment
from lotwake.trace.recall.written import Block, Heading, Lines, Table
from lotwake.trace.records.history import Line

CHECK = "lotwake verify --printed ENTRY HASH"


@dataclass(frozen=True)
class DayFacts:
    """``lines`` are the journal lines entered that day; ``last`` is the newest line up to its end."""

    house: str
    day: date
    lines: tuple[Line, ...]
    last: Line


def day_record(facts: DayFacts, zone: ZoneInfo) -> tuple[Block, ...]:
    """The paper of the day."""
    return (
        Heading(f"Record of {show_day(facts.day)}, {facts.house}", 1),
        Lines((f"{len(facts.lines)} entries were made on this day.",)),
        Table(("entry", "entered", "happened", "who", "what"), tuple(_rows(facts.lines, zone))),
        Heading("Where the journal ended"),
        Lines(printed_hash(facts.last.entry, facts.last.hash)),
        Lines(("Signed: ______________________________", "Read by: _____________________________")),
    )


def printed_hash(entry: int, digest: str) -> tuple[str, ...]:
    """What a page says so that the record can be held against it later."""
    return (
        f"Journal entry {entry}, hash {digest}.",
        f"Kept on paper, this shows whether anything up to here was rewritten later: {CHECK}",
    )


def _rows(lines: Sequence[Line], zone: ZoneInfo) -> list[tuple[str, ...]]:
    return [
        (
            str(line.entry), show_moment(instant_of(line.entered), zone), show_moment(instant_of(line.happened), zone),
            line.who, f"{line.act}: {line.why}" if line.why else line.act,
        )
        for line in lines
    ]  # fmt: skip
