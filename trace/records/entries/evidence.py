"""Scheduled processes a house adopts, deviations with their corrective actions, reviews, and calibrations."""

from __future__ import annotations

from datetime import date, datetime

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.records.entries.house import SMOKING_KINDS
from lotwake.trace.records.entries.rules import must_follow, must_say, one_of
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import INSTRUMENTS


def adopt_process(entry: Entry, name: str, smoking: str, text: str) -> int:
    """Adopt a plan as the next version of its name; batches begun before keep the version they were made under.

    ``text`` is the whole plan, checked by the caller. Its number in the record is given back.
    """
    one_of("The kind of smoking", smoking, SMOKING_KINDS)
    known = entry.records.one(
        "SELECT version, text FROM scheduled_process WHERE name = ? ORDER BY version DESC LIMIT 1", name
    )
    if known is not None and known[1] == text:
        raise Refused(f"{name} is adopted in just this form already.", "Change it first, or leave it.")
    version = 1 if known is None else known[0] + 1
    return entry.add("scheduled_process", name=name, version=version, smoking=smoking, text=text)


def note_deviation(entry: Entry, batch: int, limit_key: str, found: str, cause: str, action: str, at: datetime) -> int:
    """A limit that was not met, or has no evidence: why, and what was done about it."""
    code, started = entry.records.one("SELECT code, started FROM batch WHERE id = ?", batch) or ("", "")
    must_follow(entry, "The corrective action", instant_text(at), f"the start of batch {show_code(code)}", started)
    return entry.add(
        "deviation", batch=batch, limit_key=limit_key, found=found, cause=must_say("The cause", cause),
        action=must_say("The corrective action", action), at=instant_text(at),
    )  # fmt: skip


def review_batch(entry: Entry, batch: int, note: str, at: datetime, who: int) -> int:
    """Somebody else than who released it has read through the record of a batch (verification).

    In a house of one person there is nobody else: then ``note`` says why the same person's reading is enough.
    """
    code = entry.records.value("SELECT code FROM batch WHERE id = ?", batch)
    released = entry.records.one(
        "SELECT r.at, j.who FROM batch_release r JOIN journal j ON j.seq = r.entry WHERE r.batch = ?", batch
    )
    if released is None:
        raise Refused(f"Batch {show_code(code)} is not released yet.", "Review it when its record is complete.")
    must_follow(entry, "The review", instant_text(at), f"the release of batch {show_code(code)}", released[0])
    if released[1] == who:
        _must_be_alone(entry, show_code(code), note)
    return entry.add("review", batch=batch, note=note, at=instant_text(at))


def _must_be_alone(entry: Entry, shown: str, note: str) -> None:
    if entry.records.value("SELECT COUNT(*) FROM operator") > 1:
        raise Refused(
            f"You released batch {shown} yourself; somebody else reads its record through.",
            "They type /as and their initials first; in the shell: --as INITIALS.",
        )
    if not note.strip():
        raise CallError(
            f"You released batch {shown} yourself, and nobody else is known to the house.",
            "Say behind it who else looked at it, or why one pair of eyes is enough.",
        )


def calibrate(entry: Entry, equipment: int, found: str, passed: bool, due_on: date, at: datetime) -> int:
    """An instrument was checked against a reference; ``due_on`` is when it must be checked again."""
    name, kind = entry.records.one("SELECT name, kind FROM equipment WHERE id = ?", equipment) or ("", "")
    if kind not in INSTRUMENTS:
        raise Refused(f"{name} is a {kind}, not an instrument.", f"Instruments are: {', '.join(INSTRUMENTS)}.")
    if due_on <= at.date():
        raise Refused("The next check cannot be due before this one.", "Check the two days.")
    return entry.add(
        "calibration", equipment=equipment, found=must_say("What the check found", found), passed=int(passed),
        due_on=due_on.isoformat(), at=instant_text(at),
    )  # fmt: skip
