"""Run a batch: what goes in, its steps and readings, its losses, contact with other batches, and its release."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.judge import adopted_named, must_be_releasable, usual_process
from lotwake.trace.actions.refs import instrument_id, named_id, packs_of, product_id, thing_of
from lotwake.trace.base.errors import CallError
from lotwake.trace.records.entries import batches
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry


@dataclass(frozen=True)
class Input:
    """Something that goes into a batch: a lot or batch with grams, or packs for rework as ``RUN/1-24`` without.

    A material lot may go in unweighed: ``g`` None.
    """

    code: str
    g: int | None = None


def start_batch(
    desk: Desk,
    smoking: str,
    inputs: Sequence[Input],
    product: str = "",
    equipment: str = "",
    started: datetime | None = None,
    note: str = "",
    process: str = "",
) -> Thing:
    """Begin a batch with what goes into it, under a scheduled process: the one named, or the usual one for it."""
    moment = started or desk.now
    ref = product_id(desk.records, product) if product else None
    usual = usual_process(desk.records, smoking, ref)
    facts = batches.BatchFacts(
        smoking=smoking,
        started=moment,
        product=ref,
        process=adopted_named(desk.records, process).id if process else usual,
        equipment=named_id(desk.records, "equipment", equipment) if equipment else None,
        note=note,
    )
    with desk.entry("start batch", moment, note) as entry:
        batch, code = batches.start_batch(entry, facts, desk.day(moment))
        for item in inputs:
            _put_in(desk, entry, batch, item, moment)
    return Thing(Kind.BATCH, batch, code)


def add_inputs(desk: Desk, batch: str, inputs: Sequence[Input], at: datetime | None = None) -> Thing:
    """More fish, material or rework goes into a batch that was begun."""
    thing = _batch(desk, batch)
    with desk.entry("add to batch", at) as entry:
        for item in inputs:
            _put_in(desk, entry, thing.id, item, at or desk.now)
    return thing


def _put_in(desk: Desk, entry: Entry, batch: int, item: Input, at: datetime) -> None:
    if packs := packs_of(desk.records, item.code):
        run, serials = packs
        batches.rework_packs(entry, run.id, serials, batch, "taken back for rework", at)
        return
    thing = thing_of(desk.records, item.code, [Kind.LOT, Kind.BATCH], "a batch")
    if thing.kind is Kind.LOT:
        batches.use_lot(entry, batch, thing.id, item.g)
    elif item.g is None:
        raise CallError(f"How much of batch {thing.shown} goes in?", "Give its weight.")
    else:
        batches.blend_batch(entry, thing.id, batch, item.g)


def take_step(
    desk: Desk,
    batch: str,
    name: str,
    started: datetime,
    ended: datetime | None = None,
    equipment: str = "",
    note: str = "",
) -> int:
    """A step done on a batch; its number in the record is given back."""
    thing = _batch(desk, batch)
    machine = named_id(desk.records, "equipment", equipment) if equipment else None
    with desk.entry(f"step {name}", ended or started, note) as entry:
        return batches.take_step(entry, thing.id, name, started, ended, machine, note)


def end_step(desk: Desk, batch: str, name: str, ended: datetime) -> None:
    """The running step of this name is over."""
    thing = _batch(desk, batch)
    with desk.entry(f"end {name}", ended) as entry:
        batches.end_step(entry, thing.id, name, ended)


def take_readings(
    desk: Desk,
    batch: str,
    kind: str,
    values: Sequence[tuple[datetime, int]],
    probe: str = "",
    instrument: str = "",
) -> Thing:
    """Measurements on a batch: moments with values in the unit of their kind (see ``READING_KINDS``).

    ``instrument`` names what they were read from; without it nothing is said about that.
    """
    if not values:
        raise CallError("There is no reading.", "Give at least one time with its value.")
    thing = _batch(desk, batch)
    read_from = instrument_id(desk.records, instrument) if instrument else None
    with desk.entry(f"read {kind}", max(at for at, _ in values)) as entry:
        for at, value in values:
            batches.take_reading(entry, thing.id, kind, value, at, probe, read_from)
    return thing


def lose(desk: Desk, code: str, kind: str, g: int, at: datetime | None = None, note: str = "") -> Thing:
    """Name grams lost in a batch or run."""
    thing = thing_of(desk.records, code, [Kind.BATCH, Kind.RUN], "this loss")
    with desk.entry("name a loss", at, note) as entry:
        batches.lose_from_work(entry, thing.id, kind, g, at or desk.now, note)
    return thing


def note_contact(desk: Desk, kind: str, name: str, codes: Sequence[str], at: datetime | None = None) -> int:
    """Batches that met without mixing mass, in the order they met."""
    ids = [_batch(desk, code).id for code in codes]
    with desk.entry("note contact", at) as entry:
        return batches.note_contact(entry, kind, name, ids)


def release_batch(desk: Desk, batch: str, at: datetime | None = None, note: str = "", by_name: str = "") -> Thing:
    """Sign that a batch may be packed.

    Refused while a limit of its scheduled process is not met, unless cause and corrective action are written down and
    ``by_name`` and ``note`` give the name and reason of a qualified person.
    """
    thing = _batch(desk, batch)
    in_spite_of = must_be_releasable(desk, thing, by_name, note)
    with desk.as_lead("release a batch").entry("release batch", at, note) as entry:
        batches.release_batch(entry, thing.id, at or desk.now, note, by_name, in_spite_of)
    return thing


def _batch(desk: Desk, code: str) -> Thing:
    return thing_of(desk.records, code, [Kind.BATCH], "this")
