"""Pack runs: what goes in, packs made and ended, and every label that was printed for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lotwake.trace.base.codes import CodeKind, make_code, show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.ranges import Serials, counted, in_words, without
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries.rules import (
    must_be_free,
    must_be_serials,
    must_be_there,
    must_follow,
    must_not_circle,
    must_say,
    must_weigh,
    one_of,
)
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import (
    FAILED,
    MATERIAL,
    PENDING,
    PRINTED,
    REWORK,
    VOID,
    WAITING,
    are_loose,
    batch_left_g,
    loose_packs,
    lot_left_g,
    packs_since,
    packs_were_sent,
    run_left_g,
    run_packs,
)

END_KINDS = (VOID, "DESTROYED", "SAMPLE", "LOST", REWORK)
FIRST, REPRINT = "first", "reprint"


@dataclass(frozen=True)
class RunFacts:
    """A pack run: ``product`` id, ``net_g`` grams in each pack, ``packed_on`` and ``best_before`` days at the house.

    With ``catch_weight`` every pack is weighed by itself, and ``net_g`` is what one weighs about.
    """

    product: int
    packed: datetime
    packed_on: date
    best_before: date
    net_g: int
    catch_weight: bool = False


def start_run(entry: Entry, facts: RunFacts) -> tuple[int, str]:
    """Begin a pack run; its id and code (the traceability lot code on the pack, GS1 AI 10) are given back."""
    must_weigh("A pack", facts.net_g)
    if facts.best_before < facts.packed_on:
        raise CallError("Best before lies before packing.", "Check the two days.")
    run = entry.add("work", kind="run")
    code = make_code(CodeKind.RUN, facts.packed_on, entry.take(f"run:{facts.packed_on:%y%j}"))
    row = {
        **vars(facts),
        "packed": instant_text(facts.packed),
        "packed_on": facts.packed_on.isoformat(),
        "best_before": facts.best_before.isoformat(),
        "catch_weight": 1 if facts.catch_weight else None,
    }
    entry.add("run", id=run, code=code, **row)
    return run, code


def fill_run(entry: Entry, batch: int, run: int, g: int) -> None:
    """Grams of a released batch go into a pack run."""
    batch_row = entry.records.one("SELECT code, started, smoking FROM batch WHERE id = ?", batch)
    run_code, packed = _run(entry, run)
    assert batch_row is not None
    batch_code, started, smoking = batch_row
    _must_be_smoked_as_said(entry, run, batch_code, smoking)
    must_weigh("An input", g)
    shown = show_code(batch_code)
    must_follow(entry, f"Run {show_code(run_code)}", packed, f"batch {shown}", started)
    must_not_circle(entry, batch, run, batch_code, run_code)
    released = entry.records.value("SELECT at FROM batch_release WHERE batch = ?", batch)
    if released is None:
        raise Refused(f"Batch {shown} is not released for packing.", "Release it first, by name.")
    must_follow(entry, f"Run {show_code(run_code)}", packed, f"the release of batch {shown}", released)
    must_be_free(entry, [batch, run])
    must_be_there(f"Batch {shown}", batch_left_g(entry.records, batch), g)
    entry.add_amount("flow", g, parent=batch, child=run)


def use_material(entry: Entry, run: int, lot: int, g: int | None) -> None:
    """Bags or other material of a lot used in a run, weighed or not."""
    code, kind, received = entry.records.one("SELECT code, kind, received FROM lot WHERE id = ?", lot) or ("", "", "")
    if kind != MATERIAL:
        raise Refused(f"Lot {show_code(code)} is fish; a run takes fish only from released batches.", "Smoke it first.")
    run_code, packed = _run(entry, run)
    must_follow(entry, f"Run {show_code(run_code)}", packed, f"the receiving of lot {show_code(code)}", received)
    must_be_free(entry, [run], [lot])
    if g is not None:
        must_weigh("An input", g)
        must_be_there(f"Lot {show_code(code)}", lot_left_g(entry.records, lot), g)
    entry.add_amount("lot_use", g, lot=lot, work=run)


def add_packs(entry: Entry, run: int, count: int, at: datetime, weights_g: Sequence[int] = ()) -> Serials:
    """``count`` more packs of a run, with serial numbers nobody else has; ``weights_g`` of each, in a run of catch weight."""
    if count < 1:
        raise CallError(f"{count} packs cannot be made.", "Enter 1 or more.")
    run_code, packed = _run(entry, run)
    new_g = _new_g(entry, run, count, weights_g)
    must_follow(entry, "Packing", instant_text(at), f"the start of run {show_code(run_code)}", packed)
    must_be_free(entry, [run])
    must_be_there(f"Run {show_code(run_code)}", run_left_g(entry.records, run), new_g)
    first = entry.take(f"serial:{run_code}", count)
    packs = Serials(first, first + count - 1)
    entry.add("pack_range", run=run, first=packs.first, last=packs.last, at=instant_text(at))
    for serial, net_g in enumerate(weights_g, packs.first):
        entry.add("pack_weight", run=run, serial=serial, net_g=net_g)
    return packs


def _new_g(entry: Entry, run: int, count: int, weights_g: Sequence[int]) -> int:
    """What so many new packs of a run weigh: a weight for each where they are weighed, none where all weigh the same."""
    net_g, weighed = entry.records.one("SELECT net_g, catch_weight FROM run WHERE id = ?", run) or (0, None)
    if not weighed:
        if weights_g:
            raise CallError(f"Every pack of this run weighs {show_mass(net_g)}.", "Say how many packs; no weights.")
        return int(count * net_g)
    if len(weights_g) != count:
        given = "1 weight" if len(weights_g) == 1 else f"{len(weights_g)} weights"
        raise CallError(
            f"Packs of this run are weighed one by one: {given} for {count} {'pack' if count == 1 else 'packs'}.",
            "Give the net weight of each pack.",
        )
    for weight_g in weights_g:
        must_weigh("A pack", weight_g)
    return sum(weights_g)


def end_packs(
    entry: Entry, run: int, packs: Serials, kind: str, reason: str, at: datetime, batch: int | None = None
) -> None:
    """Packs that are no more: VOID (never a pack), DESTROYED, SAMPLE, LOST, or REWORK into ``batch``.

    Refused unless all of them are loose in the house.
    """
    one_of("The end of a pack", kind, END_KINDS)
    if (kind == REWORK) != (batch is not None):
        raise CallError("Packs taken back for rework go into a batch.", "Enter them as an input of that batch.")
    must_be_loose_by(entry, run, packs, f"The end as {kind}", instant_text(at))
    if kind == VOID and packs_were_sent(entry.records, run, packs):
        raise Refused(f"Packs {packs} were sent once, so they are packs.", "End them as DESTROYED, with the reason.")
    entry.add(
        "pack_end", run=run, first=packs.first, last=packs.last, kind=kind, batch=batch,
        reason=must_say("The reason", reason), at=instant_text(at),
    )  # fmt: skip


def must_be_loose_by(entry: Entry, run: int, packs: Serials, what: str, at: str) -> None:
    """All of these packs are loose in the house, and were so at the stored instant ``at`` of ``what`` happens to them."""
    must_be_loose(entry, run, packs)
    must_follow(
        entry, what, at, f"packs {packs} were made, unpacked or came back", packs_since(entry.records, run, packs)
    )


def must_be_loose(entry: Entry, run: int, packs: Serials) -> None:
    """All of these packs exist, are in the house and in no case."""
    must_be_serials(packs)
    if are_loose(entry.records, run, packs):
        return
    missing = without([packs], loose_packs(entry.records, run))
    if missing:
        code, _ = _run(entry, run)
        unknown = without(missing, run_packs(entry.records, run))
        why = "were never made, or are void" if unknown else "are in a case, sent, or gone already"
        raise Refused(
            f"Packs {in_words(unknown or missing)} of run {show_code(code)} {why}.",
            "Check the serial numbers on the packs.",
        )


def print_labels(entry: Entry, run: int, packs: Serials, kind: str, reason: str, target: str, at: datetime) -> int:
    """A print that is about to be sent: PENDING, with its serials, before a single label comes out."""
    code, _ = _run(entry, run)
    if counted(without([packs], run_packs(entry.records, run))):
        raise Refused(f"Run {show_code(code)} has no packs {packs}.", "Labels are printed for packs that exist.")
    must_be_free(entry, [run])
    return _begin_print(entry, kind, reason, target, at, run=run, first=packs.first, last=packs.last)


def print_unit_label(entry: Entry, unit: int, kind: str, reason: str, target: str, at: datetime) -> int:
    """The label of a case or pallet, about to be printed: PENDING, as for packs."""
    return _begin_print(entry, kind, reason, target, at, unit=unit)


def print_card(entry: Entry, batch: int, kind: str, reason: str, target: str, at: datetime) -> int:
    """The card of a batch and its trays, about to be printed: PENDING, as for packs."""
    return _begin_print(entry, kind, reason, target, at, batch=batch)


def _begin_print(
    entry: Entry, kind: str, reason: str, target: str, at: datetime, **what: int
) -> int:  # fmt: skip
    one_of("The kind of print", kind, (FIRST, REPRINT))
    if kind == REPRINT:
        must_say("The reason for a reprint", reason)
    made = entry.add("label_print", **what, kind=kind, reason=reason, target=target, at=instant_text(at))
    entry.add("label_state", print=made, state=PENDING, note="", at=instant_text(at))
    return made


def label_outcome(entry: Entry, made: int, state: str, note: str, at: datetime) -> None:
    """How it stands with a print: PRINTED or FAILED for good; WAITING when it certainly did not arrive and can be sent
    again; PENDING when nobody knows."""
    one_of("The outcome of a print", state, (PRINTED, FAILED, WAITING, PENDING))
    last = entry.records.value("SELECT state FROM label_state WHERE print = ? ORDER BY id DESC LIMIT 1", made)
    if last in (PRINTED, FAILED):
        raise Refused(f"Print {made} is settled already: {last}.", "Nothing to do.")
    entry.add("label_state", print=made, state=state, note=note, at=instant_text(at))


def waste_labels(entry: Entry, run: int, count: int, reason: str, at: datetime) -> int:
    """Labels of the stock that were spoiled in a run and belong to no pack: a jam, a test, a smeared one."""
    if count < 1:
        raise CallError(f"{count} labels cannot be spoiled.", "Enter 1 or more.")
    said = must_say("The reason", reason)
    return entry.add("label_waste", run=run, count=count, reason=said, at=instant_text(at))


def _must_be_smoked_as_said(entry: Entry, run: int, batch_code: str, smoking: str) -> None:
    product, said = entry.records.one(
        "SELECT p.name, p.smoking FROM run r JOIN product p ON p.id = r.product WHERE r.id = ?", run
    ) or ("", "")
    if said != smoking:
        raise Refused(
            f"{product} is sold as {said}; batch {show_code(batch_code)} was {smoking}.",
            "A label says only what the batch was: pack it as another product.",
        )


def _run(entry: Entry, run: int) -> tuple[str, str]:
    row = entry.records.one("SELECT code, packed FROM run WHERE id = ?", run)
    assert row is not None, "the caller looked the run up"
    return row[0], row[1]
