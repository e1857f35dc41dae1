"""A temperature logger's CSV file: what is understood of it, and its readings if nothing in it is in doubt.

Nothing is guessed that could be wrong unseen: a file with one bad line, a date that can be read two ways, or readings no
fish can have gives a sentence and an option, and no readings at all.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.process.logger_checks import (
    ProbeReadings,
    Problem,
    gap_notes,
    heat_problem,
    leap_of,
    leap_problem,
    newest_last,
    once,
    show_second,
    time_problem,
)
from lotwake.trace.process.logger_columns import find_shape
from lotwake.trace.process.logger_rows import Began, Rows, take
from lotwake.trace.process.logger_shape import Shape, Told
from lotwake.trace.process.logger_text import Lines, decode, lines_of
from lotwake.trace.process.logger_times import read_zone

KINDS = ("core", "air")
"""What the probes of a file can have measured."""
FIRST_ROWS = 5


@dataclass(frozen=True)
class Choices:
    """What is wanted of one file, moments in whole seconds since 1 Jan 1970 UTC.

    ``since_s`` and ``until_s`` bound the part that is read, ``only`` the probes. ``start_s`` is when a logger that counts
    began, ``first_day`` the day of the first reading where there are only times of day. ``fallen`` (keep or cut) and
    ``jump`` (keep) answer what a leap of the core or of the clock asks.
    """

    kind: str = "core"
    since_s: int | None = None
    until_s: int | None = None
    only: tuple[str, ...] = ()
    start_s: int | None = None
    first_day: date | None = None
    fallen: str = ""
    jump: str = ""


@dataclass(frozen=True)
class LoggerReadings:
    """The readings of a file, of one kind, in order of time for each probe."""

    kind: str
    probes: tuple[ProbeReadings, ...]

    @property
    def count(self) -> int:
        return sum(len(probe.at_s) for probe in self.probes)


@dataclass(frozen=True)
class Preview:
    """What was understood of a file; ``shape`` is None if not even that. With ``problems``, nothing of it is read.

    ``notes`` are what should be known: columns left out, gaps, lines that repeat. ``first_rows`` are fields as written.
    """

    shape: Shape | None = None
    first_rows: tuple[tuple[str, ...], ...] = ()
    probes: tuple[ProbeReadings, ...] = ()
    notes: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def count(self) -> int:
        return sum(len(probe.at_s) for probe in self.probes)

    @property
    def first_s(self) -> int | None:
        """The earliest moment of any probe, in seconds since 1970 UTC."""
        return min((min(probe.at_s) for probe in self.probes), default=None)

    @property
    def last_s(self) -> int | None:
        """The latest moment of any probe."""
        return max((max(probe.at_s) for probe in self.probes), default=None)


def look_into(data: bytes, told: Told, choices: Choices, house_zone: ZoneInfo) -> Preview:
    """Everything that is understood of a file, and everything that stops it."""
    try:
        lines = lines_of(decode(data))
        shape = find_shape(lines, told)
    except CallError as wrong:
        return Preview(problems=(Problem(wrong.sentence, wrong.hint),))
    return _Look(lines, shape, choices, house_zone).preview()


def read_logger(data: bytes, told: Told, choices: Choices, house_zone: ZoneInfo) -> tuple[LoggerReadings, Preview]:
    """The readings of a file and what was understood of it; CallError with the first problem, if there is one."""
    preview = look_into(data, told, choices, house_zone)
    if preview.problems:
        first, more = preview.problems[0], len(preview.problems) - 1
        also = f" `lotwake logger look` shows {more} more." if more else ""
        raise CallError(first.sentence, first.hint + also)
    return LoggerReadings(choices.kind, preview.probes), preview


class _Look:
    """One look at a file of known shape: notes and problems gather as it goes."""

    def __init__(self, lines: Lines, shape: Shape, choices: Choices, house_zone: ZoneInfo) -> None:
        self.shape, self.choices, self.house_zone = shape, choices, house_zone
        self.rows = Rows(lines, shape)
        self.notes: list[str] = []
        self.problems: list[Problem] = []

    def preview(self) -> Preview:
        """What there is to see."""
        probes: tuple[ProbeReadings, ...] = ()
        self._note_shape()
        try:
            probes = tuple(self._checked(probe) for probe in self._wanted(self._taken()))
        except (CallError, NotFound) as wrong:
            self.problems.append(Problem(wrong.sentence, wrong.hint))
        first = tuple(tuple(self.rows.row(place)) for place in range(min(FIRST_ROWS, len(self.rows.lines))))
        problems = (*self.rows.problems(), *self.problems)
        return Preview(self.shape, first, probes, tuple(self.notes), problems)

    def _note_shape(self) -> None:
        if not (self.shape.unit_said or self.shape.unit_sure or self.shape.unit_beside is not None):
            self.notes.append("The file does not say its unit; the temperatures are taken as Celsius.")
        if self.shape.left_out:
            self.notes.append(f"Left out: {'; '.join(self.shape.left_out)}.")

    def _taken(self) -> tuple[ProbeReadings, ...]:
        zone = read_zone(self.shape.zone) if self.shape.zone else self.house_zone
        taken = take(self.rows, self.shape, Began(self.choices.start_s, self.choices.first_day), zone)
        self.shape = taken.shape
        return taken.probes

    def _wanted(self, probes: tuple[ProbeReadings, ...]) -> list[ProbeReadings]:
        """The probes and the part of time that were asked for; CallError if nothing is there."""
        names = {probe.name.casefold(): probe for probe in probes}
        unknown = [name for name in self.choices.only if name.casefold() not in names]
        if unknown:
            there = "; ".join(probe.name for probe in probes)
            raise NotFound(f"There is no probe {unknown[0]!r} in the file.", f"There are: {there}.")
        chosen = [names[name.casefold()] for name in self.choices.only] or list(probes)
        parts = [self._part(probe) for probe in chosen]
        empty = "; ".join(probe.name for probe in parts if not probe.at_s)
        if empty and len(empty.split("; ")) < len(parts):
            self.notes.append(f"Without a reading: {empty}.")
        found = [probe for probe in parts if probe.at_s]
        if not found and not self.rows.bad:
            bounded = self.choices.since_s is not None or self.choices.until_s is not None
            raise CallError(
                "There is no reading in that part of the file." if bounded else "The file has no reading.",
                "Look at its times with `lotwake logger look`.",
            )
        return found

    def _part(self, probe: ProbeReadings) -> ProbeReadings:
        since_s, until_s = self.choices.since_s, self.choices.until_s
        if since_s is None and until_s is None:
            return probe
        inside = [
            i for i, at in enumerate(probe.at_s)
            if (since_s is None or at >= since_s) and (until_s is None or at <= until_s)
        ]  # fmt: skip
        return probe.kept(inside)

    def _checked(self, probe: ProbeReadings) -> ProbeReadings:
        """The probe in order of time, with notes and problems about it gathered."""
        turned = newest_last(probe)
        if turned is not probe:
            self.notes.append(f"{probe.name}: the newest reading stands first; they are turned round.")
        known = once(turned)
        if known is not turned:
            self.notes.append(
                f"{probe.name}: {len(turned.at_s) - len(known.at_s)} lines stand twice and are read once."
            )
        wrong = time_problem(known, self.house_zone, self.choices.jump == "keep")
        if wrong is not None:
            self.problems.append(wrong)
            return known
        self.notes += gap_notes(known, self.house_zone)
        return self._believed(known)

    def _believed(self, probe: ProbeReadings) -> ProbeReadings:
        """The probe as far as its temperatures can be those of fish or of a kiln."""
        leap = leap_of(probe) if self.choices.kind == "core" and self.choices.fallen != "keep" else None
        if leap is not None and self.choices.fallen == "cut":
            left_out = len(probe.at_s) - leap.at
            since = show_second(probe.at_s[leap.at], self.house_zone)
            self.notes.append(f"{probe.name}: {left_out} readings from {since} on are left out, as was chosen.")
            probe, leap = probe.first(leap.at), None
        hot = heat_problem(probe, self.choices.kind, self.shape.unit_sure)
        if hot is not None:
            self.problems.append(hot)
        elif leap is not None:
            self.problems.append(leap_problem(probe, leap, self.house_zone))
        return probe
