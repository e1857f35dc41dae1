"""Pack: a run of one product from released batches, its packs, and packs that are void or gone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.judge import must_carry_claims
from lotwake.trace.actions.refs import packs_of, product_id, thing_of
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.entries import ends, packs
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import batch_left_g


def start_run(
    desk: Desk,
    product: str,
    sources: Sequence[tuple[str, int | None]],
    count: int = 0,
    packed: datetime | None = None,
    best_before: date | None = None,
    materials: Sequence[tuple[str, int | None]] = (),
    weights_g: Sequence[int] = (),
) -> Thing:
    """Begin a run from batches with grams (None takes all that is left) and make ``count`` packs at once, or one pack for
    each of ``weights_g`` where they are weighed one by one.

    Best before is the packing day and the product's life unless a day is given.
    """
    moment = packed or desk.now
    with desk.entry("start run", moment) as entry:
        made = new_run(desk, entry, product, moment, best_before)
        for text, g in sources:
            batch = thing_of(desk.records, text, [Kind.BATCH], "a pack run")
            pour(desk, entry, batch.id, made.id, batch_left_g(desk.records, batch.id) if g is None else g)
        for text, g in materials:
            packs.use_material(entry, made.id, thing_of(desk.records, text, [Kind.LOT], "a pack run").id, g)
        if count or weights_g:
            packs.add_packs(entry, made.id, count or len(weights_g), moment, weights_g)
    return made


def new_run(desk: Desk, entry: Entry, product: str, packed: datetime, best_before: date | None = None) -> Thing:
    """Begin a run with nothing in it yet, in an entry that goes on to fill it."""
    ref = product_id(desk.records, product)
    row = desk.records.one("SELECT net_g, life_days, catch_weight FROM product WHERE id = ?", ref)
    net_g, life_days, catch_weight = row or (0, 0, None)
    packed_on = desk.day(packed)
    facts = packs.RunFacts(
        product=ref,
        packed=packed,
        packed_on=packed_on,
        best_before=best_before or packed_on + timedelta(days=life_days),
        net_g=net_g,
        catch_weight=bool(catch_weight),
    )
    run, code = packs.start_run(entry, facts)
    return Thing(Kind.RUN, run, code)


def pour(desk: Desk, entry: Entry, batch: int, run: int, g: int) -> None:
    """Grams of a batch go into a run, if the batch carries what the product promises: packaging, keeping, serving."""
    packs.fill_run(entry, batch, run, g)
    product = desk.records.value("SELECT product FROM run WHERE id = ?", run)
    must_carry_claims(desk, product, [batch])


def fill_run(desk: Desk, run: str, batch: str, g: int | None, at: datetime | None = None) -> Thing:
    """More of a released batch goes into a run."""
    thing = thing_of(desk.records, run, [Kind.RUN], "this")
    more = thing_of(desk.records, batch, [Kind.BATCH], "a pack run")
    with desk.entry("add to run", at) as entry:
        pour(desk, entry, more.id, thing.id, batch_left_g(desk.records, more.id) if g is None else g)
    return thing


def add_packs(desk: Desk, run: str, count: int, at: datetime | None = None, weights_g: Sequence[int] = ()) -> Serials:
    """More packs of a run, or one for each of ``weights_g``; their serials are given back."""
    thing = thing_of(desk.records, run, [Kind.RUN], "this")
    with desk.entry("add packs", at) as entry:
        return packs.add_packs(entry, thing.id, count or len(weights_g), at or desk.now, weights_g)


def _named_packs(desk: Desk, text: str) -> tuple[Thing, Serials]:
    found = packs_of(desk.records, text)
    if found is None:
        raise CallError(f"{text!r} names no packs.", "Write the run and the serials, such as 326-329-014-09/1-24.")
    return found


def end_packs(desk: Desk, text: str, kind: str, reason: str, at: datetime | None = None) -> tuple[Thing, Serials]:
    """Packs ``RUN/1-24`` are VOID, DESTROYED, a SAMPLE or LOST."""
    run, serials = _named_packs(desk, text)
    with desk.entry(f"{kind.lower()} packs", at, reason) as entry:
        packs.end_packs(entry, run.id, serials, kind, reason, at or desk.now)
    return run, serials


def undo_end(desk: Desk, text: str, why: str) -> tuple[Thing, Serials, list[str]]:
    """Packs ``RUN/1-24`` that were VOID, DESTROYED, a SAMPLE, LOST or taken for REWORK by mistake are in the house again.

    Run, serials, and as what they had ended. What somebody else entered is a lead's to undo.
    """
    run, serials = _named_packs(desk, text)
    return run, serials, undo_ends(desk, run, [serials], why)


def undo_ends(desk: Desk, run: Thing, parts: Sequence[Serials], why: str) -> list[str]:
    """The same for several parts of a run in one entry: all of them or none."""
    who = desk.operator
    others = who and any(ends.ended_by_others(desk.records, run.id, part, who.id) for part in parts)
    with (desk.as_lead(ends.LEADS_ACT) if others else desk).entry("undo end of packs", why=why) as entry:
        kinds = [kind for part in parts for kind in ends.undo_ends(entry, run.id, part, why)]
    return list(dict.fromkeys(kinds))
