"""What is done with a batch on its page: each act writes it down and says what happened and how it is undone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from lotwake.trace.actions import correct, judge, smoke, yields
from lotwake.trace.actions import hold as holds
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.instruments import trust_now, usual_instrument
from lotwake.trace.actions.pack import undo_end
from lotwake.trace.actions.readings import reading_value, show_reading
from lotwake.trace.actions.refs import instrument_id
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.units import show_mass
from lotwake.trace.process.instruments import Standing, Trust
from lotwake.trace.records.entries.batches import READING_KINDS
from lotwake.trace.records.find import Thing
from lotwake.trace.records.stock import batch_left_g
from lotwake.trace.screens import batch_rows
from lotwake.trace.screens.batch_rows import Plan
from lotwake.trace.screens.batch_words import (
    read_act,
    read_loss,
    read_reading,
    read_release,
    read_step,
    read_weight,
    step_name,
)
from lotwake.trace.screens.said import read_kg, short_moment, split_at
from lotwake.trace.screens.thing_page import reason


@dataclass(frozen=True)
class Undo:
    """How the last act is taken back (with a reason), and how its value is put right; None where that cannot be."""

    what: str
    void: Callable[[Desk, str], object] | None
    fix: Callable[[Desk, str, str], object]


@dataclass(frozen=True)
class Done:
    """What happened, what may come next, and how it is undone."""

    sentence: str
    next_step: str
    undo: Undo | None = None
    look: bool = False
    """Whether something in it is to be looked at."""


def put_in(
    desk: Desk, batch: Thing | None, plan: Plan | None, begun: datetime | None, code: str, g: int | None
) -> tuple[Thing, Done]:
    """Grams of a lot or batch, or packs for rework, go in; a batch that is only planned begins with it."""
    before = _went_in(desk, batch, code)
    item = smoke.Input(code, g)
    if batch is not None:
        smoke.add_inputs(desk, batch.code, [item])
    elif plan is not None:
        batch = smoke.start_batch(desk, plan.smoking, [item], plan.product, plan.kiln, begun)
    else:
        raise CallError("Which batch does it go into?", "Choose the batch first.")
    much = "Some" if g is None else show_mass(g)
    what = code if "/" in code else find_one(desk.records, code).shown
    left = show_mass(batch_left_g(desk.records, batch.id))
    said = f"{much} of {what} is in batch {batch.shown}, {left} in it now."
    if "/" in code:
        return batch, Done(said, "The packs are opened and count as rework. Wrong? F8", _undo_rework(code))
    return batch, Done(said, "Wrong? F8, or /fix KG because WHY", _undo_input(batch.code, code, before))


def _undo_input(batch: str, code: str, before_g: int) -> Undo:
    """Back to what was in before, whatever was put in since the batch began."""
    return Undo(
        "input",
        lambda desk, why: correct.correct_input(desk, batch, code, before_g, why),
        lambda desk, text, why: correct.correct_input(desk, batch, code, before_g + read_kg(text), why),
    )


def _undo_rework(packs: str) -> Undo:
    """The packs are in the house again; how much they are is counted, so it is never put right in kilograms."""

    def fix(_desk: Desk, _text: str, _why: str) -> object:
        raise CallError("What a rework took is counted in packs.", "F8 takes it back; then enter the right packs.")

    return Undo("rework", lambda desk, why: undo_end(desk, packs, why), fix)


def _went_in(desk: Desk, batch: Thing | None, code: str) -> int:
    if batch is None or "/" in code:
        return 0
    wanted = find_one(desk.records, code).code
    return sum(part.g or 0 for part in batch_rows.shown(desk, batch).seen.contents if part.code == wanted)


def step(desk: Desk, batch: Thing, text: str) -> Done:
    """Begin a step, or write down one that is over."""
    planned = judge.planned_steps(desk.records, batch.id)
    item = read_step(desk, text, planned)
    number = smoke.take_step(desk, batch.code, item.name, item.started, item.ended)
    state = "is written down" if item.ended else "runs"
    return Done(
        f"{item.name.capitalize()} {state}, begun {_short(desk, item.started)}.",
        "Wrong? /fix NAME because WHY",
        Undo(
            "step",
            None,
            lambda at, typed, why: correct.correct_part(at, "step", number, "name", step_name(typed, planned), why),
        ),
    )


def end(desk: Desk, batch: Thing, text: str) -> Done:
    """End the step that is named, or the one that runs."""
    said, at = split_at(desk, text)
    running = batch_rows.shown(desk, batch).running
    name = step_name(said, judge.planned_steps(desk.records, batch.id)) if said else running.name if running else ""
    if not name:
        raise CallError("No step runs.", "Begin one with /step NAME.")
    moment = at or desk.now
    smoke.end_step(desk, batch.code, name, moment)
    return Done(f"{name.capitalize()} ended {_short(desk, moment)}.", "/step NAME begins the next.")


def reading(desk: Desk, batch: Thing, kind: str, text: str, instrument: str = "") -> Done:
    """Write down a measurement with the instrument named with it, ``instrument``, or else the usual one for it."""
    item = read_reading(desk, kind, text)
    known = item.instrument or instrument or usual_instrument(desk.records, kind, item.probe)
    smoke.take_readings(desk, batch.code, kind, [(item.at, item.value)], item.probe, known)
    newest = max(batch_rows.shown(desk, batch).seen.readings, key=lambda each: each.number)
    number, shown = newest.number, show_reading(item.value, READING_KINDS[kind])
    by = f" by {newest.instrument}" if newest.instrument else ""
    trust = trust_now(desk.records, newest.instrument, newest.at) if by else Trust(Standing.IN_ORDER)
    doubt = f" It {trust.why}." if trust.why else ""
    return Done(
        f"{kind.capitalize()} {shown} at {_short(desk, item.at)}{by}.{doubt}",
        "Wrong? /fix VALUE because WHY",
        Undo(
            "reading",
            None,
            lambda at, typed, why: correct.correct_reading(at, number, "value", reading_value(kind, typed), why),
        ),
        bool(doubt),
    )


def instrument(desk: Desk, text: str) -> str:
    """The instrument readings are taken with from now on; none clears it."""
    if text.strip().lower() in ("", "none"):
        return ""
    ref = instrument_id(desk.records, text)
    return str(desk.records.value("SELECT name FROM equipment WHERE id = ?", ref))


def weigh(desk: Desk, batch: Thing, text: str) -> Done:
    """Write down the weight after a step, and say the yield it gives."""
    item = read_weight(desk, text, judge.planned_steps(desk.records, batch.id))
    scale = usual_instrument(desk.records, "weight")
    after, found = yields.weigh(desk, batch.code, item.g, item.after, item.at, scale)
    number = batch_rows.shown(desk, batch).newest_reading
    said = f"{show_mass(item.g)} after {after}."
    wrong = Undo(
        "weight",
        None,
        lambda at, typed, why: correct.correct_reading(at, number, "value", read_kg(typed), why),
    )
    if found is None:
        return Done(said, "Wrong? /fix KG because WHY", wrong)
    return Done(f"{said[:-1]}, {found.short}.", "Wrong? /fix KG because WHY", wrong, found.out_of_line)


def loss(desk: Desk, batch: Thing, text: str) -> Done:
    """Name grams that were lost."""
    kind, g, at = read_loss(desk, text)
    smoke.lose(desk, batch.code, kind, g, at)
    number = max(item.number for item in batch_rows.shown(desk, batch).losses)
    left = show_mass(batch_left_g(desk.records, batch.id))
    return Done(
        f"{show_mass(g)} lost in {kind}; {left} is left.",
        "Wrong? F8, or /fix KG because WHY",
        Undo(
            "loss",
            lambda at, why: correct.correct_part(at, "loss", number, "g", 0, why),
            lambda at, typed, why: correct.correct_part(at, "loss", number, "g", read_kg(typed), why),
        ),
    )


def release(desk: Desk, batch: Thing, text: str) -> Done:
    """Sign that it may be packed; in spite of a limit by name and reason. The refusal says what is typed next."""
    by_name, note = read_release(text)
    try:
        smoke.release_batch(desk, batch.code, note=note, by_name=by_name)
    except judge.LimitOpen as refused:
        raise _refused(refused) from None
    said = f"Batch {batch.shown} is released for packing by {by_name or _who(desk)}."
    odd = yields.out_of_line(desk.records, batch.id)
    if odd:
        return Done(
            f"{said} Look first: {odd[0].step.step} {odd[0].short}.", "/hold REASON stops it; F4 shows all.", look=True
        )
    return Done(said, "/pack packs it. /hold REASON stops it.")


def _refused(refused: judge.LimitOpen) -> Refused:
    """Short enough that the next step is seen at 80 columns; F4 tells the limit in full."""
    if refused.found is None:
        return Refused(refused.sentence, "/release by NAME because REASON: a qualified person")
    item = refused.found
    todo = f"/act {item.limit.key} because CAUSE; did ACTION; or mend the record"
    return Refused(f"Not released: {item.limit.key} is {item.verdict}; F4 shows why.", todo)


def act(desk: Desk, batch: Thing, text: str) -> Done:
    """Write down why a limit was not met, and what was done about it."""
    key, cause, action = read_act(text)
    found = judge.note_deviation(desk, batch.code, key, cause, action)
    return Done(
        f"{found.limit.key} {found.verdict}: cause and corrective action are written down.",
        "/release by NAME because REASON, the name of a qualified person; or /hold REASON.",
    )


def review(desk: Desk, batch: Thing, note: str) -> Done:
    """Say that its record was read through and is in order."""
    judge.review(desk, batch.code, note)
    return Done(f"The record of batch {batch.shown} is reviewed by {_who(desk)}.", "It no longer waits for review.")


def hold(desk: Desk, batch: Thing, text: str) -> Done:
    """Put it on hold."""
    holds.hold(desk, batch.code, reason(text, "hold"))
    return Done(f"Batch {batch.shown} is on hold, and all that was made from it.", "/lift REASON lifts it.")


def lift(desk: Desk, batch: Thing, text: str) -> Done:
    """Lift the hold, in the name of who is at work."""
    holds.release(desk, batch.code, _who(desk), reason(text, "lift"))
    return Done(f"The hold on batch {batch.shown} is lifted by {_who(desk)}.", "/hold REASON holds it again.")


def _who(desk: Desk) -> str:
    return desk.operator.name if desk.operator else ""


def _short(desk: Desk, moment: datetime) -> str:
    return short_moment(desk, instant_text(moment))
