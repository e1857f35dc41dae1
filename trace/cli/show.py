"""Things of the house as answers: stable keys for machines, short sentences for people.

Every thing has the keys ``kind``, ``code`` (bare digits), ``shown`` (as people read it), ``status`` and ``facts``; masses
are whole grams, moments ISO 8601 in UTC, days ISO 8601.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any
from zoneinfo import ZoneInfo

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.look import Seen
from lotwake.trace.actions.readings import show_reading
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.ranges import Serials
from lotwake.trace.base.units import show_mass
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.lines import fact_line, local
from lotwake.trace.cli.rows import aligned
from lotwake.trace.records.facts import BatchSeen, RunSeen
from lotwake.trace.records.find import Thing
from lotwake.trace.records.history import Corrected, HoldSeen, Line
from lotwake.trace.records.seen import Facts, Part, ReadingSeen, StepSeen, facts_of, status_of

_SAID_ABOVE = frozenset({"id", "buyer_id", "code", "status"})


def thing_data(thing: Thing, status: str, facts: Facts) -> dict[str, Any]:
    """The keys every thing has."""
    said = {name: value for name, value in asdict(facts).items() if name not in _SAID_ABOVE}
    if isinstance(facts, BatchSeen | RunSeen):
        said["left_g"] = facts.left_g
    serial = {} if thing.serial is None else {"serial": thing.serial}
    return {
        "kind": str(thing.kind),
        "code": thing.code,
        **serial,
        "shown": thing.shown,
        "status": status,
        "facts": said,
    }


def seen_data(seen: Seen) -> dict[str, Any]:
    """Everything about a thing: also ``contents``, ``steps``, ``readings``, ``holds``, ``corrections``, ``history``,
    ``where``."""
    return {
        **thing_data(seen.thing, seen.status, seen.facts),
        "contents": [part_data(part) for part in seen.contents],
        "steps": [asdict(step) for step in seen.steps],
        "readings": [asdict(reading) for reading in seen.readings],
        "holds": [asdict(hold) for hold in seen.holds],
        "corrections": [asdict(correction) for correction in seen.corrections],
        "history": [asdict(line) for line in seen.history],
        "where": seen.where,
    }


def part_data(part: Part) -> dict[str, Any]:
    """Something inside another thing; only the keys that apply."""
    said = {name: value for name, value in asdict(part).items() if value is not None}
    return {**said, "shown": show_code(part.code)}


def seen_lines(seen: Seen, zone: ZoneInfo) -> Iterator[str]:
    """Everything about a thing, for people."""
    yield f"{str(seen.thing.kind).capitalize()} {seen.thing.shown}   {seen.status}".rstrip()
    yield f"  {fact_line(seen.facts, zone)}."
    if seen.where:
        yield f"  Lies in {seen.where}."
    groups = {
        "Made of or holding": [_part(part) for part in seen.contents],
        "Steps": [_step(step, zone) for step in seen.steps],
        "Readings": [_reading(reading, zone) for reading in seen.readings],
        "Holds": [_hold(hold, zone) for hold in seen.holds],
        "Corrections": [_correction(correction, zone) for correction in seen.corrections],
    }
    for title, lines in groups.items():
        if lines:
            yield f"  {title}"
            yield from (f"    {line}" for line in lines)
    yield "  Entries"
    yield from (f"    {line}" for line in journal_lines(seen.history, zone))


def journal_lines(lines: Sequence[Line], zone: ZoneInfo) -> Iterator[str]:
    """Journal lines as rows."""
    return aligned(
        (">entry", "happened", "by", "what", "why"),
        [(str(line.entry), local(line.happened, zone), line.who, line.act, line.why) for line in lines],
    )


def _part(part: Part) -> str:
    packs = "" if part.first is None or part.last is None else f" packs {Serials(part.first, part.last)}"
    weight = "" if part.g is None else f", {show_mass(part.g)}"
    return f"{part.kind} {show_code(part.code)}{packs}{weight}"


def _step(step: StepSeen, zone: ZoneInfo) -> str:
    end = "still running" if step.ended is None else f"to {local(step.ended, zone)}"
    return f"{step.name}, {local(step.started, zone)} {end}" + "".join(
        f", {x}" for x in (step.equipment, step.note) if x
    )


def _reading(reading: ReadingSeen, zone: ZoneInfo) -> str:
    probe = f", probe {reading.probe}" if reading.probe else ""
    value = show_reading(reading.value, reading.unit)
    return f"no. {reading.number}: {reading.kind} {value} at {local(reading.at, zone)}{probe}"


def _hold(hold: HoldSeen, zone: ZoneInfo) -> str:
    word = "rejected" if hold.kind == "REJECT" else "held"
    line = f"{word} {local(hold.at, zone)} by {hold.who}: {hold.reason}"
    if hold.released is None:
        return line
    return f"{line}; released {local(hold.released, zone)} by {hold.released_by}: {hold.released_why}"


def _correction(made: Corrected, zone: ZoneInfo) -> str:
    was, now = (_value(made, text) for text in (made.was, made.now))
    return f"{made.what} {made.field}: {was} became {now}, {local(made.at, zone)} by {made.who}: {made.why}"


def _value(made: Corrected, text: str | None) -> str:
    if text is None:
        return "nothing"
    return show_mass(int(text)) if made.field == "g" else text or "nothing"


def give_thing(shell: Shell, desk: Desk, thing: Thing, what_was_done: str) -> None:
    """The answer of a command that made or changed one thing: the thing, or a sentence about it."""
    data, line = _told(desk, thing, what_was_done)
    shell.give(data, line)


def give_things(shell: Shell, desk: Desk, things: Sequence[Thing], what_was_done: str) -> None:
    """The answer of a command that may make several things: ``{"things": [...]}``, or a sentence about each."""
    told = [_told(desk, thing, what_was_done) for thing in things]
    shell.give({"things": [data for data, _ in told]}, [line for _, line in told])


def _told(desk: Desk, thing: Thing, what_was_done: str) -> tuple[dict[str, Any], str]:
    facts = facts_of(desk.records, thing)
    data = thing_data(thing, status_of(desk.records, thing, facts), facts)
    return data, f"{what_was_done} {thing.kind} {thing.shown}: {fact_line(facts, desk.zone)}."
