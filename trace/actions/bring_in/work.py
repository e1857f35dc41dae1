"""Entering lots, batches with what was done on them, pack runs, losses and holds."""

from __future__ import annotations

from datetime import timedelta

from lotwake.trace.actions.bring_in.making import Making
from lotwake.trace.actions.bring_in.rows import Row
from lotwake.trace.actions.refs import area_code, gear_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import instant_of
from lotwake.trace.base.units import parse_mass_g, parse_number, parse_temperature_centi_c
from lotwake.trace.records.entries import batches, holds, lots, packs
from lotwake.trace.records.entries.batches import READING_KINDS, BatchFacts
from lotwake.trace.records.entries.lots import SOURCE_OF, LotFacts
from lotwake.trace.records.entries.packs import RunFacts
from lotwake.trace.records.entries.rules import one_of
from lotwake.trace.records.stock import MATERIAL

HOLDABLE = ("lot", "batch", "run")
_REWORK = "taken back for rework, in the old log book"
_RELEASED = "released in the old log book"
_PACKED = "packed in the old log book"


def lot(making: Making, row: Row) -> None:
    kind, sender, received = row.text("kind"), row.text("sender"), row.moment("received")
    material = kind == MATERIAL
    species, area, gear = row.text("species"), row.text("area"), row.text("gear")
    facts = LotFacts(
        kind=one_of("The kind of lot", kind, lots.LOT_KINDS),
        received=received,
        landed_on=row.day("landed_on") or making.desk.day(received),
        g=row.number("g"),
        source=None if material else making.names.source(SOURCE_OF[kind], sender),
        supplier=making.names.named("supplier", sender) if material else None,
        item=row.text("item"),
        species=making.names.species(species) if species else None,
        presentation=row.text("presentation"),
        area=area_code(making.entry, area) if area else None,
        gear=gear_code(making.records, gear) if gear else None,
        method=row.text("method"),
        their_code=row.text("their_code"),
        caught_from=row.day("caught_from"),
        caught_to=row.day("caught_to"),
        core_c100=row.whole("core_c"),
        document=row.text("document"),
        note=row.text("note"),
        received_as=row.text("received_as"),
        trip=row.text("trip"),
        undersize_g=row.whole("undersize_g"),
    )
    made, _ = lots.receive_lot(making.entry, facts, making.desk.day(received), another=bool(row.text("another")))
    making.names.keep(making.entry, row.text("lot"), "lot", made)


def batch(making: Making, row: Row) -> None:
    product, machine, started = row.text("product"), row.text("equipment"), row.moment("started")
    facts = BatchFacts(
        smoking=row.text("smoking"),
        started=started,
        product=making.names.product(product) if product else None,
        equipment=making.names.named("equipment", machine) if machine else None,
        note=row.text("note"),
    )
    made, _ = batches.start_batch(making.entry, facts, making.desk.day(started))
    making.names.keep(making.entry, row.text("batch"), "batch", made)


def batch_input(making: Making, row: Row) -> None:
    _, into = making.names.thing(row.text("batch"), "batch")
    text, g = row.text("input"), row.whole("g")
    if taken := making.names.packs(text):
        began = making.records.value("SELECT started FROM batch WHERE id = ?", into)
        batches.rework_packs(making.entry, *taken, into, _REWORK, instant_of(began))
        return
    kind, out_of = making.names.thing(text, "lot", "batch", said=row.text("input_kind"))
    if kind == "lot":
        batches.use_lot(making.entry, into, out_of, g)
    else:
        batches.blend_batch(making.entry, out_of, into, row.number("g"))


def batch_release(making: Making, row: Row) -> None:
    _, ref = making.names.thing(row.text("batch"), "batch")
    batches.release_batch(making.entry, ref, row.maybe_moment("released") or row.moment("started"), _RELEASED)


def process_step(making: Making, row: Row) -> None:
    _, ref = making.names.thing(row.text("batch"), "batch")
    machine = row.text("equipment")
    batches.take_step(
        making.entry, ref, row.text("step"), row.moment("started"), row.maybe_moment("ended"),
        making.names.named("equipment", machine) if machine else None, row.text("note"),
    )  # fmt: skip


def reading(making: Making, row: Row) -> None:
    _, ref = making.names.thing(row.text("batch"), "batch")
    kind = one_of("The kind of reading", row.text("kind"), tuple(READING_KINDS))
    value = _measured(row.text("value"), READING_KINDS[kind])
    batches.take_reading(making.entry, ref, kind, value, row.moment("at"), row.text("probe"))


def _measured(text: str, unit: str) -> int:
    if unit == "c100":
        return parse_temperature_centi_c(text)
    if unit == "g":
        return parse_mass_g(text, "kg")
    number = parse_number(text)
    if not 0 <= number <= 100 or number * 100 % 1:
        raise CallError(f"{text} is no such reading.", "It lies between 0 and 100 and has two decimals at the most.")
    return int(number * 100)


def run(making: Making, row: Row) -> None:
    ref, packed = making.names.product(row.text("product")), row.moment("packed")
    net_g, life_days, catch_weight = making.records.one(
        "SELECT net_g, life_days, catch_weight FROM product WHERE id = ?", ref
    ) or (0, 0, None)
    packed_on = making.desk.day(packed)
    best_before = row.day("best_before") or packed_on + timedelta(days=life_days)
    made, _ = packs.start_run(making.entry, RunFacts(ref, packed, packed_on, best_before, net_g, bool(catch_weight)))
    making.names.keep(making.entry, row.text("run"), "run", made)


def run_batch(making: Making, row: Row) -> None:
    """The batch named in the row of the run itself."""
    _, into = making.names.thing(row.text("run"), "run")
    _, out_of = making.names.thing(row.text("batch"), "batch")
    net_g: int = making.records.value("SELECT net_g FROM run WHERE id = ?", into)
    packs_g = sum(_weights(row)) or row.number("packs") * net_g
    _fill(making, out_of, row.text("batch"), into, row.number_or("g", packs_g))


def run_input(making: Making, row: Row) -> None:
    _, into = making.names.thing(row.text("run"), "run")
    kind, out_of = making.names.thing(row.text("input"), "batch", "lot", said=row.text("input_kind"))
    if kind == "lot":
        packs.use_material(making.entry, into, out_of, row.whole("g"))
    else:
        _fill(making, out_of, row.text("input"), into, row.number("g"))


def _fill(making: Making, batch: int, code: str, run: int, g: int) -> None:
    """Take fish of a batch. One that was packed was released at the latest then, if nobody wrote down when."""
    released = making.records.value("SELECT 1 FROM batch_release WHERE batch = ?", batch)
    if released is None and making.names.nobody_wrote_the_release(code):
        packed = making.records.value("SELECT packed FROM run WHERE id = ?", run)
        batches.release_batch(making.entry, batch, instant_of(packed), _PACKED)
    packs.fill_run(making.entry, batch, run, g)


def run_packs(making: Making, row: Row) -> None:
    _, ref = making.names.thing(row.text("run"), "run")
    packs.add_packs(making.entry, ref, row.number("packs"), row.moment("packed"), _weights(row))


def _weights(row: Row) -> list[int]:
    return [parse_mass_g(text, "g") for text in row.text("pack_weights").split()]


def loss(making: Making, row: Row) -> None:
    kind, ref = making.names.thing(row.text("of"), *HOLDABLE, said=row.text("of_kind"))
    lose = lots.lose_from_lot if kind == "lot" else batches.lose_from_work
    lose(making.entry, ref, row.text("kind"), row.number("g"), row.moment("at"), row.text("note"))


def hold(making: Making, row: Row) -> None:
    _, at = _held(making, row)
    holds.put_on_hold(making.entry, row.text("kind"), *at, row.text("reason"), row.moment("at"))


def hold_release(making: Making, row: Row) -> None:
    code, at = _held(making, row)
    holds.release_holds(
        making.entry, code, *at, row.text("released_by"), row.text("release_reason"), row.moment("released_at")
    )


def _held(making: Making, row: Row) -> tuple[str, tuple[int | None, int | None]]:
    kind, ref = making.names.thing(row.text("of"), *HOLDABLE, said=row.text("of_kind"))
    return row.text("of"), (ref, None) if kind == "lot" else (None, ref)
