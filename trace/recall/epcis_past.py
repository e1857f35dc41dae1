"""The extract as it was before a correction, so that an event can be told as it was told then.

A correction names the row by its key and keeps what the field said. Undone are those that an event can show: of lots,
batches, runs and dispatches, and of the amounts that went into or were lost from a batch or run.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby
from typing import Any

from lotwake.trace.recall.extract import Extract, Undone
from lotwake.trace.records.facts import LotSeen

Subject = tuple[str, int]
"""What an event tells of: ``lot``, ``work`` or ``dispatch``, and its key in the record."""

_LOT_COUNTS = ("g", "core_c100")
_LOT_TEXTS = (
    "item", "presentation", "method", "their_code", "caught_from", "caught_to", "landed_on", "received", "document", "note",
)  # fmt: skip
_AMOUNTS = ("lot_use", "flow", "loss")


def corrections(found: Extract) -> Iterator[tuple[Undone, ...]]:
    """The corrections that touch the extract, the latest first; those of one entry together."""
    ours = [each for each in found.undone if subject_of(found, each) is not None]
    for _, group in groupby(reversed(ours), lambda each: each.entry):
        yield tuple(group)


def subject_of(found: Extract, undone: Undone) -> Subject | None:
    """The thing whose event a correction changes; None when it changes none here."""
    key = tuple(map(int, undone.ref.split("/"))) if undone.ref.replace("/", "").isdecimal() else ()
    match undone.subject:
        case "lot" if key[0] in found.lots:
            return "lot", key[0]
        case "batch" | "run" if key[0] in found.batches or key[0] in found.runs:
            return "work", key[0]
        case "lot_use" if key in found.uses:
            return "work", key[1]
        case "flow" if key in found.flows:
            return "work", key[1]
        case "loss" if key[0] in found.losses:
            return "work", found.losses[key[0]][0]
        case "dispatch" if key[0] in found.dispatches:
            return "dispatch", key[0]
    return None


def before(found: Extract, undone: Undone) -> Extract:
    """The extract before this correction."""
    key = tuple(map(int, undone.ref.split("/")))
    if undone.subject in _AMOUNTS:
        return _amount_before(found, undone, key)
    if undone.subject == "lot":
        return _lot_before(found, undone, key[0])
    was = undone.was or ""
    match undone.subject, undone.field:
        case "batch", "started":
            return replace(found, batches={**found.batches, key[0]: replace(found.batches[key[0]], started=was)})
        case "run", "best_before":
            return replace(found, runs={**found.runs, key[0]: replace(found.runs[key[0]], best_before=was)})
        case "dispatch", "document":
            return replace(
                found, dispatches={**found.dispatches, key[0]: replace(found.dispatches[key[0]], document=was)}
            )
    return found  # no event shows any other field of these


def _amount_before(found: Extract, undone: Undone, key: tuple[int, ...]) -> Extract:
    if undone.field != "g":
        return found
    was = None if undone.was is None else int(undone.was)
    if undone.subject == "lot_use":
        return replace(found, uses={**found.uses, (key[0], key[1], key[2]): was})
    if undone.subject == "flow":
        return replace(found, flows={**found.flows, (key[0], key[1], key[2]): was or 0})
    work, _ = found.losses[key[0]]
    return replace(found, losses={**found.losses, key[0]: (work, was or 0)})


def _lot_before(found: Extract, undone: Undone, lot: int) -> Extract:
    if undone.field in ("source", "supplier"):
        ref = f"{undone.field}:{undone.was}"
        return replace(found, sender_of={**found.sender_of, lot: ref}) if ref in found.parties else found
    changed = replace(found.lots[lot], **_lot_fields(found, found.lots[lot], undone))
    return replace(found, lots={**found.lots, lot: changed})


def _lot_fields(found: Extract, lot: LotSeen, undone: Undone) -> dict[str, Any]:
    was = undone.was
    if undone.field in _LOT_COUNTS:
        return {undone.field: None if was is None else int(was)}
    if undone.field in _LOT_TEXTS:
        return {undone.field: was if undone.field.startswith("caught") else was or ""}
    if undone.field == "species":
        species = found.species.get(was or "")
        return {"species": was, "english": species.english if species else "",
                "scientific": species.scientific if species else ""}  # fmt: skip
    if undone.field == "area":
        return {"area": was, "area_name": found.areas.get(was or "", "")}
    gear = found.gear.get(was or "")
    return {"gear": was, "gear_name": gear.name if gear else ""} if undone.field == "gear" else {"note": lot.note}
