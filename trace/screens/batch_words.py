"""What is typed on the batch page, read: lots with kilograms, steps, readings, losses. Nothing here writes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.readings import reading_value
from lotwake.trace.base.codes import looks_like_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import read_moment
from lotwake.trace.records.entries.batches import READING_KINDS
from lotwake.trace.records.entries.lots import LOSS_KINDS
from lotwake.trace.screens.said import read_kg, split_at

STEPS = (
    "ice rest", "trimming", "splitting", "brining", "dry salting", "rinsing", "drying", "smoking", "cooling", "freezing",
)  # fmt: skip
_STEM = 3  # "brine", "bri" and "brining" are one step
_WEIGHT = re.compile(r"(.+?)\s+(\d[\d.,]*\s*(?:[a-z]+)?)", re.IGNORECASE)
_PROBE = re.compile(r"(.+?)\s+probe\s+(\S+)", re.IGNORECASE)
_ACT = re.compile(r"(\S+)\s+because\s+(.+?)\s*[;,]\s*did\s+(.+)", re.IGNORECASE)
_BY = re.compile(r"by\s+(.+?)\s+because\s+(.+)", re.IGNORECASE)
_TO = re.compile(r"(.+?)\s+to\s+(\d{1,2}:\d{2})", re.IGNORECASE)


@dataclass(frozen=True)
class Step:
    """A step to be written down; ``ended`` None while it runs."""

    name: str
    started: datetime
    ended: datetime | None


@dataclass(frozen=True)
class Reading:
    """A measurement: ``value`` in the unit of its kind."""

    kind: str
    value: int
    at: datetime
    probe: str
    instrument: str = ""


def code_and_kg(text: str) -> tuple[str, int] | None:
    """``126-328-001-55 12,5``: the code and grams; None when this is something else."""
    form = _WEIGHT.fullmatch(text.strip())
    if form is None or not looks_like_code(form[1]):
        return None
    return form[1], read_kg(form[2])


def step_name(text: str, planned: Sequence[str] = ()) -> str:
    """A step by its usual name or the beginning of it, those of the plan first; any other name stands as typed."""
    bare = " ".join(text.lower().split())
    if not bare:
        raise CallError("Which step?", "Type /step and its name: splitting, brining, drying, smoking, cooling.")
    if bare in planned:
        return bare
    for names in (planned, STEPS):
        near = [name for name in names if name[:_STEM] == bare[:_STEM]]
        if len(near) == 1 and " " not in bare:
            return near[0]
    return bare


def read_step(desk: Desk, text: str, planned: Sequence[str] = ()) -> Step:
    """``brining``, ``brining at 05:40`` or ``brining at 05:40 to 06:00``; a planned name may have ``at`` in it."""
    ranged = _TO.fullmatch(text.strip())
    typed = " ".join((ranged[1] if ranged else text).split())
    whole = max((name for name in planned if f"{typed} ".lower().startswith(f"{name} ")), key=len, default="")
    said, started = split_at(desk, typed[len(whole) :])
    name = step_name(f"{whole} {said}", planned)
    ended = read_moment(ranged[2], desk.now, desk.zone) if ranged else None
    return Step(name, started or desk.now, ended)


def read_act(text: str) -> tuple[str, str, str]:
    """``core-heat because the fire went out; did smoke again`` as limit, cause and action."""
    form = _ACT.fullmatch(text.strip())
    if form is None:
        raise CallError(
            "Which limit, why, and what was done?",
            "Type /act LIMIT because CAUSE; did ACTION, as in /act core-heat because the fire went out; did smoke again.",
        )
    return form[1].lower(), form[2], form[3]


def read_release(text: str) -> tuple[str, str]:
    """``by NAME because REASON`` as name and reason; any other text is a note without a name."""
    form = _BY.fullmatch(text.strip())
    if form is None:
        if re.match(r"by\s", f"{text.strip()} ", re.IGNORECASE):
            raise CallError("By whom, and why?", "Type /release by NAME because REASON.")
        return "", text.strip()
    return form[1], form[2]


def read_reading(desk: Desk, kind: str, text: str) -> Reading:
    """``62.8``, ``62.8 at 05:40`` or ``62.8 probe 2 with thermometer 1 at 05:40``, in the usual unit of the kind."""
    said, at = split_at(desk, text)
    said, _, instrument = (part.strip() for part in said.partition(" with "))
    probed = _PROBE.fullmatch(said)
    value = reading_value(kind, probed[1] if probed else said)
    return Reading(kind, value, at or desk.now, probed[2] if probed else "", instrument)


@dataclass(frozen=True)
class Weight:
    """All the fish of a batch, weighed; ``after`` empty for the step that was begun last."""

    g: int
    after: str
    at: datetime | None


def read_weight(desk: Desk, text: str, planned: Sequence[str] = ()) -> Weight:
    """``24.6``, ``24.6 after smoking`` or ``24.6 after smoking at 70 at 05:40``; a planned name may have ``at`` in it."""
    weight, _, rest = (part.strip() for part in text.partition(" after "))
    whole = max((name for name in planned if f"{rest} ".lower().startswith(f"{name} ")), key=len, default="")
    said, at = split_at(desk, rest[len(whole) :] if rest else weight)
    after = whole or (step_name(said, planned) if rest else "")
    return Weight(read_kg(weight if rest else said), after, at)


def reading_kind(text: str) -> tuple[str, str]:
    """``core 62.8`` as kind and the rest; the kind alone leaves nothing."""
    bare = " ".join(text.split())
    for kind in sorted(READING_KINDS, key=len, reverse=True):
        if bare.lower() == kind or bare.lower().startswith(f"{kind} "):
            return kind, bare[len(kind) :].strip()
    raise CallError("What is read?", f"Type /read and one of: {', '.join(READING_KINDS)}; a value may follow.")


def read_loss(desk: Desk, text: str) -> tuple[str, int, datetime]:
    """``drying 3.2`` or ``drying 3.2 at 05:40``: kind, grams, moment."""
    said, at = split_at(desk, text)
    kind, _, weight = said.partition(" ")
    near = [name for name in LOSS_KINDS if kind and name.startswith(kind.lower())]
    if len(near) != 1 or not weight.strip():
        raise CallError("What was lost, and how much?", f"Type /loss, one of {', '.join(LOSS_KINDS)}, and kilograms.")
    return near[0], read_kg(weight), at or desk.now
