"""Batches: what goes in, steps, readings, losses, contact, and the release for packing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from lotwake.trace.base.codes import CodeKind, make_code, show_code
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.entries.house import SMOKING_KINDS
from lotwake.trace.records.entries.lots import LOSS_KINDS
from lotwake.trace.records.entries.packs import end_packs
from lotwake.trace.records.entries.people import must_lead
from lotwake.trace.records.entries.rules import (
    must_be_free,
    must_be_there,
    must_follow,
    must_not_circle,
    must_say,
    must_weigh,
    one_of,
)
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.pack_mass import packs_g
from lotwake.trace.records.stock import MATERIAL, REWORK, batch_left_g, lot_left_g, run_left_g

READING_KINDS = {
    "core": "c100", "air": "c100", "brine": "c100", "room": "c100", "brine strength": "deg100", "weight": "g",
    "salt": "pct100", "moisture": "pct100", "nitrite": "ppm", "water activity": "aw10000",
}  # fmt: skip
"""What is read and the unit it is stored in: hundredths of a degree Celsius, of a brine degree or of a per cent; grams;
parts per million; ten-thousandths of water activity."""
CONTACT_KINDS = ("brine", "load", "table")


@dataclass(frozen=True)
class BatchFacts:
    """A smokehouse load: ``product``, ``equipment`` and ``process`` (the version it is made under) are ids."""

    smoking: str
    started: datetime
    product: int | None = None
    equipment: int | None = None
    note: str = ""
    process: int | None = None


def start_batch(entry: Entry, facts: BatchFacts, code_day: date) -> tuple[int, str]:
    """Begin a batch; its id and new code are given back."""
    one_of("The kind of smoking", facts.smoking, SMOKING_KINDS)
    batch = entry.add("work", kind="batch")
    code = make_code(CodeKind.BATCH, code_day, entry.take(f"batch:{code_day:%y%j}"))
    row = {**vars(facts), "started": instant_text(facts.started)}
    entry.add("batch", id=batch, code=code, **row)
    return batch, code


def use_lot(entry: Entry, batch: int, lot: int, g: int | None) -> None:
    """Grams of a lot go into a batch. A material may go in unweighed (``g`` None)."""
    code, started = _batch(entry, batch)
    lot_row = entry.records.one("SELECT code, kind, received FROM lot WHERE id = ?", lot)
    assert lot_row is not None
    lot_code, kind, received = lot_row
    must_follow(entry, f"Batch {show_code(code)}", started, f"the receiving of lot {show_code(lot_code)}", received)
    must_be_free(entry, [batch], [lot])
    if kind != MATERIAL or g is not None:
        must_weigh("An input", g or 0)
        must_be_there(f"Lot {show_code(lot_code)}", lot_left_g(entry.records, lot), g or 0)
    entry.add_amount("lot_use", g, lot=lot, work=batch)


def blend_batch(entry: Entry, parent: int, child: int, g: int) -> None:
    """Grams of one batch go on into another."""
    parent_code, parent_started = _batch(entry, parent)
    child_code, child_started = _batch(entry, child)
    must_weigh("An input", g)
    must_follow(
        entry, f"Batch {show_code(child_code)}", child_started, f"batch {show_code(parent_code)}", parent_started
    )
    must_not_circle(entry, parent, child, parent_code, child_code)
    must_be_free(entry, [parent, child])
    must_be_there(f"Batch {show_code(parent_code)}", batch_left_g(entry.records, parent), g)
    entry.add_amount("flow", g, parent=parent, child=child)


def rework_packs(entry: Entry, run: int, packs: Serials, child: int, reason: str, at: datetime) -> int:
    """Packs of a run are opened and go into a batch; their grams are given back."""
    run_row = entry.records.one("SELECT code, packed FROM run WHERE id = ?", run)
    assert run_row is not None
    run_code, packed = run_row
    child_code, child_started = _batch(entry, child)
    must_follow(entry, f"Batch {show_code(child_code)}", child_started, f"run {show_code(run_code)}", packed)
    must_not_circle(entry, run, child, run_code, child_code)
    must_be_free(entry, [run, child])
    end_packs(entry, run, packs, REWORK, reason, at, batch=child)
    g = packs_g(entry.records, run, [packs])
    entry.add_amount("flow", g, parent=run, child=child)
    return g


def take_step(
    entry: Entry, batch: int, name: str, started: datetime, ended: datetime | None, equipment: int | None, note: str
) -> int:
    """A step done on a batch, with its start and, once it is over, its end."""
    code, batch_started = _batch(entry, batch)
    start = instant_text(started)
    must_follow(entry, f"The step {name}", start, f"the start of batch {show_code(code)}", batch_started)
    if ended is not None:
        must_follow(entry, f"The end of {name}", instant_text(ended), "its start", start)
    return entry.add(
        "step", batch=batch, name=must_say("The step", name), started=start,
        ended=None if ended is None else instant_text(ended), equipment=equipment, note=note,
    )  # fmt: skip


def end_step(entry: Entry, batch: int, name: str, ended: datetime) -> None:
    """The running step of this name on a batch is over; the journal keeps that it was open until now."""
    code, _ = _batch(entry, batch)
    row = entry.records.one(
        "SELECT id, started FROM step WHERE batch = ? AND name = ? AND ended IS NULL ORDER BY id DESC", batch, name
    )
    if row is None:
        raise Refused(f"Batch {show_code(code)} has no running step {name!r}.", "Start it first, or check its name.")
    step, started = row
    must_follow(entry, f"The end of {name}", instant_text(ended), "its start", started)
    entry.change("step", {"id": step}, "ended", instant_text(ended))


def take_reading(
    entry: Entry, batch: int, kind: str, value: int, at: datetime, probe: str = "", instrument: int | None = None
) -> int:
    """A measurement on a batch; ``value`` in the unit that READING_KINDS names for its kind.

    ``probe`` tells series apart: the probe, the sample, or of a weight the step it was taken after. ``instrument`` is the
    piece of equipment it was read from.
    """
    one_of("The kind of reading", kind, tuple(READING_KINDS))
    code, started = _batch(entry, batch)
    must_follow(entry, "A reading", instant_text(at), f"the start of batch {show_code(code)}", started)
    unit = READING_KINDS[kind]
    return entry.add(
        "reading",
        batch=batch,
        kind=kind,
        probe=probe,
        at=instant_text(at),
        value=value,
        unit=unit,
        equipment=instrument,
    )


def lose_from_work(entry: Entry, work: int, kind: str, g: int, at: datetime, note: str) -> None:
    """Name grams lost in a batch or run: trim, drip, drying, samples, waste."""
    one_of("The kind of loss", kind, LOSS_KINDS)
    must_weigh("A loss", g)
    row = entry.records.one(
        "SELECT w.kind, COALESCE(b.code, r.code), COALESCE(b.started, r.packed) FROM work w"
        " LEFT JOIN batch b ON b.id = w.id LEFT JOIN run r ON r.id = w.id WHERE w.id = ?",
        work,
    )
    assert row is not None
    word, code, began = row
    must_follow(entry, "A loss", instant_text(at), f"the start of {word} {show_code(code)}", began)
    left = batch_left_g(entry.records, work) if word == "batch" else run_left_g(entry.records, work)
    must_be_there(f"{word.capitalize()} {show_code(code)}", left, g)
    entry.add("loss", work=work, kind=kind, g=g, at=instant_text(at), note=note)


def note_contact(entry: Entry, kind: str, name: str, batches: list[int]) -> int:
    """Batches that met without mixing mass, in order: a reused brine reaches only later ones, a load or table all."""
    one_of("The kind of contact", kind, CONTACT_KINDS)
    if len(set(batches)) < 2 or len(set(batches)) < len(batches):
        raise Refused("Contact is between two or more different batches.", "Name each batch once.")
    contact = entry.add("contact", kind=kind, name=must_say("What they shared", name))
    for turn, batch in enumerate(batches):
        entry.add("contact_batch", contact=contact, batch=batch, turn=turn if kind == "brine" else 0)
    return contact


def release_batch(entry: Entry, batch: int, at: datetime, note: str, by_name: str = "", in_spite_of: str = "") -> None:
    """The signature that a batch may be packed. Refused while it or anything in it is on hold, or when nothing is in it.

    ``in_spite_of`` names limits that were not met; such a release carries ``by_name``, the qualified person, and a reason.
    """
    must_lead(entry, "release a batch")
    if in_spite_of:
        must_say("The name of the qualified person", by_name)
        must_say("The reason", note)
    code, started = _batch(entry, batch)
    must_follow(entry, "The release", instant_text(at), f"the start of batch {show_code(code)}", started)
    must_be_free(entry, [batch])
    if entry.records.value("SELECT 1 FROM batch_release WHERE batch = ?", batch):
        raise Refused(f"Batch {show_code(code)} is released already.", "Nothing to do.")
    if batch_left_g(entry.records, batch) <= 0:
        raise Refused(f"Batch {show_code(code)} has no fish in it.", "Enter what went in first.")
    entry.add(
        "batch_release", batch=batch, at=instant_text(at), note=note, by_name=by_name or None,
        in_spite_of=in_spite_of or None,
    )  # fmt: skip


def _batch(entry: Entry, batch: int) -> tuple[str, str]:
    row = entry.records.one("SELECT code, started FROM batch WHERE id = ?", batch)
    assert row is not None, "the caller looked the batch up"
    return row[0], row[1]
