"""Corrections: an entry that names a wrong one, says why, and leaves both readable.

The row shows what holds from now on; ``correction`` and the journal keep what it said before. After each correction the
rules of the record are asked again about everything the changed value touches.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_of, show_day, show_moment
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries.house import KEEPINGS, PACKAGINGS, SERVINGS
from lotwake.trace.records.entries.lots import LOSS_KINDS, METHODS, RECEIVED_AS
from lotwake.trace.records.entries.people import must_lead
from lotwake.trace.records.entries.rechecks import CHECKS, Key, day_at_house
from lotwake.trace.records.entries.rules import must_say, must_weigh, one_of
from lotwake.trace.records.journal import Entry

Value = int | str | None

CORRECTABLE: Mapping[str, frozenset[str]] = {
    "lot": frozenset({
        "source", "supplier", "item", "species", "presentation", "area", "gear", "method", "their_code", "caught_from",
        "caught_to", "landed_on", "received", "g", "core_c100", "document", "note", "received_as", "trip", "undersize_g",
    }),
    "batch": frozenset({"product", "equipment", "started", "note"}),
    "run": frozenset({"best_before"}),
    "lot_use": frozenset({"g"}),
    "flow": frozenset({"g"}),
    "loss": frozenset({"g", "kind", "note"}),
    "step": frozenset({"name", "started", "ended", "note"}),
    "reading": frozenset({"value", "at", "probe", "equipment"}),
    "dispatch": frozenset({"document", "carrier"}),
    "source": frozenset({"name", "mark", "flag", "licence", "imo", "address", "phone"}),
    "supplier": frozenset({"name", "address", "phone"}),
    "buyer": frozenset({"name", "phone", "email", "address", "gln"}),
    "product": frozenset({
        "name", "ingredients", "allergens", "storage", "cook", "life_days", "case_packs", "packaging", "plan", "keeping",
        "serving", "catch_weight", "nutrition",
    }),
    "pack_weight": frozenset({"net_g"}),
    "site": frozenset({"name", "address", "phone", "approval", "gln"}),
}  # fmt: skip
"""What may be corrected. Codes, serials, SSCCs and who did what never change."""

_REQUIRED = frozenset({"name", "species", "area", "received", "landed_on", "started", "best_before", "value", "at"})
_MOMENTS = frozenset({"received", "started", "ended", "at"})
_DAYS = frozenset({"landed_on", "caught_from", "caught_to"})
_WORDS: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("lot", "method"): METHODS,
    ("lot", "received_as"): RECEIVED_AS,
    ("loss", "kind"): LOSS_KINDS,
    ("product", "packaging"): PACKAGINGS,
    ("product", "keeping"): KEEPINGS,
    ("product", "serving"): SERVINGS,
}


def correct(entry: Entry, subject: str, key: Key, field: str, now: Value, why: str) -> Value:
    """Correct one field of one row; what it said before is given back. The rules are asked again afterwards."""
    was = _set_right(entry, subject, key, field, now, why)
    if check := CHECKS.get(subject):
        check(entry, key)
    return was


def correct_amount(entry: Entry, table: str, key: Key, now_g: int, why: str) -> None:
    """Correct how much of a lot (``lot_use``) or batch (``flow``) went in, or a named ``loss``; 0 says that none did.

    When it was entered in several parts, the first part takes the whole and the others become 0.
    """
    part = "id" if table == "loss" else "entry"
    where = " AND ".join(f"{name} = ?" for name in key)
    parts = entry.records.rows(f"SELECT {part}, g FROM {table} WHERE {where} ORDER BY {part}", *key.values())
    if not parts:
        raise Refused("That amount was never entered.", "Look at what was entered first.")
    wanted = [now_g] + [0] * (len(parts) - 1)
    keys: list[Key] = [{"id": made} if part == "id" else {**key, "entry": made} for made, _ in parts]
    changes = [(row, new_g) for row, (_, g), new_g in zip(keys, parts, wanted, strict=True) if g != new_g]
    if not changes:
        raise Refused(f"It says {show_mass(now_g)} already.", "Nothing to correct.")
    for row, new_g in changes:
        _set_right(entry, table, row, "g", new_g, why)
    CHECKS[table](entry, keys[0])


def _set_right(entry: Entry, subject: str, key: Key, field: str, now: Value, why: str) -> Value:
    if field not in CORRECTABLE.get(subject, frozenset()):
        allowed = ", ".join(sorted(CORRECTABLE.get(subject, frozenset()))) or "nothing"
        raise CallError(f"The {field} of a {subject} cannot be corrected.", f"What can be: {allowed}.")
    _must_be_possible(entry, subject, field, now)
    _must_be_nobody_elses(entry, subject, key, field, now)
    must_lead(entry, "correct an entry")
    reason = must_say("Why it is corrected", why)
    was = entry.change(subject, key, field, now)
    if was == now:
        raise Refused(f"The {field} says {now} already.", "Nothing to correct.")
    where = " AND ".join(f"{name} = ?" for name in key)
    entry.corrects = entry.records.value(f"SELECT entry FROM {subject} WHERE {where}", *key.values())
    entry.add(
        "correction", subject=subject, ref=_ref(key), field=field, was=_text(was), now=_text(now), why=reason,
        at=entry.happened,
    )  # fmt: skip
    return was


def _must_be_possible(entry: Entry, subject: str, field: str, now: Value) -> None:
    """What a value must be whatever the rest of the record says."""
    if now in (None, "") and (field in _REQUIRED or (subject, field) == ("buyer", "phone")):
        raise CallError(f"The {field} cannot be left empty.", "Say what it should be.")
    if field == "g" and not (isinstance(now, int) and now >= 0):
        raise CallError(f"{now} g cannot be.", "Enter the right weight, or 0 for none.")
    if field == "net_g":
        must_weigh("A pack", now if isinstance(now, int) else 0)
    if words := _WORDS.get((subject, field)):
        one_of(f"The {field}", str(now), words)
    latest = entry.at if field in _MOMENTS else day_at_house(entry, entry.at) if field in _DAYS else None
    if latest is not None and now is not None and str(now) > latest:
        text = str(now)
        day = field in _DAYS
        said = show_day(date.fromisoformat(text)) if day else show_moment(instant_of(text), entry.zone)
        raise Refused(f"{said} is in the future.", "Check the date, the time and the computer's clock.")


def _must_be_nobody_elses(entry: Entry, subject: str, key: Key, field: str, now: Value) -> None:
    if field != "name" or subject not in ("supplier", "buyer", "source"):
        return
    same = " AND (kind, mark) = (SELECT kind, mark FROM source WHERE id = ?)" if subject == "source" else ""
    values = (now, key["id"], key["id"]) if same else (now, key["id"])
    if entry.records.value(f"SELECT 1 FROM {subject} WHERE name = ? AND id <> ?{same}", *values):
        raise Refused(f"There is another {subject} called {now}.", "Choose a name that tells them apart.")


def _ref(key: Key) -> str:
    return "/".join(str(value) for value in key.values())


def _text(value: Value) -> str | None:
    return None if value is None else str(value)
