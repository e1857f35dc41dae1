"""Can these readings be? Order in time, gaps, Fahrenheit taken for Celsius, and a probe that fell out of the fish.

What cannot be right stops the file, with a sentence and the option that answers it; what only should be known is noted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo

from lotwake.trace.base.moments import show_day
from lotwake.trace.base.units import show_temperature

FAR_JUMP_S = 12 * 3600
"""A pause this long inside the log of one batch is a clock that was set, or a logger that was off."""
HOTTEST_CORE_C, HOTTEST_AIR_C, COLDEST_C = 100.0, 150.0, -40.0
ICED_F_C = (35.0, 50.0)
"""Fish on ice has 1.7 to 10 C, which is 35 to 50 F; read as Celsius it would begin this hot (common practice)."""
FROZEN_C = -10.0
JUMP_C, JUMP_WINDOW_S, FASTEST_C_PER_MIN = 10.0, 60, 5.0
"""A core that changes by more than this within a minute, or faster between two readings, is no longer in the fish
(common practice: the core of a fish of any size moves by one or two degrees a minute)."""
_MOST_GAPS = 5


@dataclass(frozen=True)
class Problem:
    """What stops a file: one sentence, and what to do."""

    sentence: str
    hint: str


@dataclass(frozen=True)
class ProbeReadings:
    """Readings of one probe: ``at_s`` whole seconds since 1 Jan 1970 UTC, ``centi_c`` hundredths of a degree Celsius.

    ``unit`` is the scale they were written in (C or F), ``line`` where each stands in the file.
    """

    name: str
    unit: str
    at_s: Sequence[int]
    centi_c: Sequence[int]
    line: Sequence[int]

    def kept(self, places: Sequence[int]) -> ProbeReadings:
        """Only the readings at these places."""
        at, core, line = ([part[i] for i in places] for part in (self.at_s, self.centi_c, self.line))
        return replace(self, at_s=at, centi_c=core, line=line)

    def first(self, count: int) -> ProbeReadings:
        """Only the first ``count`` readings."""
        return replace(self, at_s=self.at_s[:count], centi_c=self.centi_c[:count], line=self.line[:count])


def show_second(at_s: int, zone: ZoneInfo) -> str:
    """``24 Nov 2026 05:40:10`` in the time of the house."""
    local = datetime.fromtimestamp(at_s, UTC).astimezone(zone)
    return f"{show_day(local.date())} {local:%H:%M:%S}"


def newest_last(probe: ProbeReadings) -> ProbeReadings:
    """The readings turned round if every one is earlier than the one before it, as some loggers write them."""
    if len(probe.at_s) > 1 and all(later < earlier for earlier, later in pairwise(probe.at_s)):
        return probe.kept(range(len(probe.at_s) - 1, -1, -1))
    return probe


def once(probe: ProbeReadings) -> ProbeReadings:
    """Without lines that say again what the line before them said: same time, same temperature."""
    said = list(zip(probe.at_s, probe.centi_c, strict=True))
    if all(before != after for before, after in pairwise(said)):
        return probe
    return probe.kept([i for i in range(len(said)) if i == 0 or said[i] != said[i - 1]])


def time_problem(probe: ProbeReadings, zone: ZoneInfo, jump_is_right: bool) -> Problem | None:
    """The first place where the clock goes back, stands still, or leaps ahead further than a batch may pause."""
    for i, (before, after) in enumerate(pairwise(probe.at_s), 1):
        if before < after <= before + FAR_JUMP_S or (after > before and jump_is_right):
            continue
        where = f"{probe.name}, lines {probe.line[i - 1]} and {probe.line[i]}:"
        then, now = show_second(before, zone), show_second(after, zone)
        if after == before:
            return Problem(
                f"{where} two temperatures at the same time, {then}.",
                "Times are kept to the second. Leave one of the lines out, in a copy of the file.",
            )
        if after < before:
            return Problem(
                f"{where} the clock jumps back from {then} to {now}.",
                "Bring in the part before or after it with --from and --to; if it was the change to winter time, say the "
                "logger's own offset with --zone.",
            )
        hours = round((after - before) / 3600)
        return Problem(
            f"{where} the clock jumps ahead {hours} hours, from {then} to {now}.",
            "If the clock was set, use --from and --to; if the logger was off so long, say --jump keep.",
        )
    return None


def gap_notes(probe: ProbeReadings, zone: ZoneInfo) -> Iterator[str]:
    """Where the readings pause for three times as long as they usually do, or longer."""
    steps = [after - before for before, after in pairwise(probe.at_s)]
    if len(steps) < 2:
        return
    usual = median(steps)
    long = [i for i, step in enumerate(steps) if step >= 3 * usual]
    for i in long[:_MOST_GAPS]:
        pause = f"{steps[i] / 60:.0f} min" if steps[i] >= 120 else f"{steps[i]} s"
        yield f"{probe.name}: no reading for {pause} from {show_second(probe.at_s[i], zone)}; usually every {usual:.0f} s."
    if len(long) > _MOST_GAPS:
        yield f"{probe.name}: {len(long) - _MOST_GAPS} more gaps."


def heat_problem(probe: ProbeReadings, kind: str, unit_sure: bool) -> Problem | None:
    """A temperature that no fish or kiln has, or a beginning that looks like the other scale."""
    most = HOTTEST_CORE_C if kind == "core" else HOTTEST_AIR_C
    low, high = round(100 * COLDEST_C), round(100 * most)
    if min(probe.centi_c) < low or max(probe.centi_c) > high:
        at = next(i for i, centi_c in enumerate(probe.centi_c) if not low <= centi_c <= high)
        return _cannot_be(probe, at, kind)
    begins_c = probe.centi_c[0] / 100
    if kind != "core" or unit_sure:
        return None
    if probe.unit == "C" and ICED_F_C[0] <= begins_c <= ICED_F_C[1]:
        return Problem(
            f"{probe.name} begins at {begins_c:.1f} C; that looks like Fahrenheit: fish on ice has "
            f"{ICED_F_C[0]:.0f} to {ICED_F_C[1]:.0f} F.",
            "Say --unit F, or --unit C if the fish was that warm.",
        )
    if probe.unit == "F" and begins_c < FROZEN_C:
        return Problem(
            f"{probe.name} begins at {begins_c:.1f} C, hard frozen; that looks like Celsius read as Fahrenheit.",
            "Say --unit C, or --unit F if the fish was frozen.",
        )
    return None


def _cannot_be(probe: ProbeReadings, at: int, kind: str) -> Problem:
    centi_c = probe.centi_c[at]
    as_celsius = show_temperature(round((centi_c - 3200) * 5 / 9))
    looks = f"; {centi_c / 100:g} F would be {as_celsius}" if probe.unit == "C" and centi_c > 0 else ""
    return Problem(
        f"{probe.name}, line {probe.line[at]}: {kind} of {show_temperature(centi_c)} cannot be{looks}.",
        "If the logger writes Fahrenheit, say --unit F; if it writes this for a broken probe, add --missing with that text.",
    )


@dataclass(frozen=True)
class Leap:
    """A change no core can make: the place of the first reading out of the fish, and of the one that shows it."""

    at: int
    shown: int


def leap_of(probe: ProbeReadings) -> Leap | None:
    """The first moment the probe left the fish, or was put in; None if it stayed."""
    at_s, centi_c = probe.at_s, probe.centi_c
    back = 0
    for i in range(1, len(at_s)):
        while at_s[back] < at_s[i] - JUMP_WINDOW_S and back < i - 1:
            back += 1
        if abs(centi_c[i] - centi_c[back]) > 100 * max(JUMP_C, FASTEST_C_PER_MIN * (at_s[i] - at_s[back]) / 60):
            return Leap(next(j for j in range(back + 1, i + 1) if _too_fast(probe, j)), i)
    return None


def _too_fast(probe: ProbeReadings, i: int) -> bool:
    seconds = probe.at_s[i] - probe.at_s[i - 1]
    return abs(probe.centi_c[i] - probe.centi_c[i - 1]) > 100 * FASTEST_C_PER_MIN * seconds / 60


def leap_problem(probe: ProbeReadings, leap: Leap, zone: ZoneInfo) -> Problem:
    """The question that a leap asks."""
    before, after = (show_temperature(probe.centi_c[at]) for at in (leap.at - 1, leap.shown))
    when = show_second(probe.at_s[leap.at], zone)
    return Problem(
        f"{probe.name}, line {probe.line[leap.at]}: the core leaps from {before} to {after} at {when}, "
        "as when a probe falls out of the fish or is put in.",
        "Say --fallen cut to leave out this probe from there on, --from if it was put in then, or --fallen keep if the "
        "readings are right.",
    )
