"""What the batch page shows, as rows of text: batches to choose from, steps, what went in and was lost, readings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.look import Seen, look
from lotwake.trace.actions.readings import show_reading
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import instant_of, instant_text
from lotwake.trace.base.units import show_mass
from lotwake.trace.records import lists
from lotwake.trace.records.entries.house import SMOKING_KINDS
from lotwake.trace.records.facts import BatchSeen, lots
from lotwake.trace.records.find import Kind, Thing, by_code
from lotwake.trace.records.seen import LossSeen, Part, StepSeen, losses_of
from lotwake.trace.screens.said import kg, short_moment
from lotwake.trace.screens.widgets import Row

_LATELY = timedelta(days=30)
_MOST = 60
_MOST_READINGS = 200
_DECIMALS = 3
NEW, NO_KILN = "new", ""


@dataclass(frozen=True)
class Plan:
    """A batch that is about to begin: it is written down with the first thing that goes in."""

    smoking: str
    product: str = ""
    kiln: str = ""

    @property
    def said(self) -> str:
        """``Hot smoked haddock, hot smoked, Kiln 1``."""
        return ", ".join(filter(None, (self.product, self.smoking, self.kiln)))


@dataclass(frozen=True)
class BatchShown:
    """A batch as the page shows it."""

    seen: Seen
    batch: BatchSeen
    losses: tuple[LossSeen, ...]

    @property
    def running(self) -> StepSeen | None:
        """The step that runs, the last begun if there are several."""
        return next((step for step in reversed(self.seen.steps) if step.ended is None), None)

    @property
    def newest_reading(self) -> int:
        """The number of the reading that was written last."""
        return max(item.number for item in self.seen.readings)


def shown(desk: Desk, thing: Thing) -> BatchShown:
    """Everything the page needs about one batch."""
    seen = look(desk.records, thing)
    assert isinstance(seen.facts, BatchSeen)
    return BatchShown(seen, seen.facts, tuple(losses_of(desk.records, thing.id)))


def open_batches(desk: Desk) -> list[Row]:
    """Batches of the last weeks with fish in them, numbered; 0 is a new one."""
    since = instant_text(desk.now - _LATELY)
    found = lists.things(desk.records, Kind.BATCH, lists.Wanted(since=since), _MOST)
    rows = [Row(NEW, ("0", "a new batch", "", ""))]
    for item in found:
        assert isinstance(item.facts, BatchSeen)
        batch = item.facts
        if batch.left_g > 0 or item.status == "RUNNING":
            what = f"{item.thing.shown}  {batch.product or batch.smoking}"
            rows.append(Row(batch.code, (str(len(rows)), what, item.status, _column_kg(batch.left_g))))
    return rows


def products(desk: Desk) -> list[tuple[Plan, Row]]:
    """What a new batch may become, numbered: a product, or only a kind of smoking."""
    plans = [Plan(item.smoking, item.name) for item in lists.products(desk.records)]
    plans += [Plan(kind) for kind in SMOKING_KINDS]
    return [
        (plan, Row(str(at), (str(at), plan.product or f"{plan.smoking}, product not said", plan.smoking, "")))
        for at, plan in enumerate(plans, 1)
    ]


def kilns(desk: Desk) -> list[Row]:
    """The smokehouses, numbered; 0 says nothing about it."""
    names = [item.name for item in lists.equipment(desk.records) if item.kind == "smokehouse"]
    return [
        Row(NO_KILN, ("0", "not said", "", "")),
        *(Row(name, (str(at), name, "smokehouse", "")) for at, name in enumerate(names, 1)),
    ]


def head_lines(desk: Desk, item: BatchShown) -> tuple[str, str]:
    """Code, state and what it is; then the balance and when it began."""
    batch = item.batch
    held = [hold.reason for hold in item.seen.holds if not hold.released]
    state = f"{item.seen.status}: {held[-1]}" if held else item.seen.status
    what = ", ".join(filter(None, (batch.product or batch.smoking, batch.equipment)))
    balance = "   ".join(
        f"{word} {show_mass(g)}"
        for word, g in (("in", batch.in_g), ("lost", batch.lost_g), ("out", batch.passed_on_g), ("left", batch.left_g))
    )
    begun = f"begun {short_moment(desk, batch.started)}"
    return f"{show_code(batch.code)}  {state}   {what}", f"{balance}   {begun}"


def step_rows(desk: Desk, steps: Sequence[StepSeen]) -> list[Row]:
    """Name, begin, end and minutes, without a plan; what runs says so."""
    return [_step_row(desk, step) for step in steps]


def _step_row(desk: Desk, step: StepSeen) -> Row:
    end = instant_of(step.ended) if step.ended else desk.now
    minutes = int((end - instant_of(step.started)).total_seconds() // 60)
    cells = (
        step.name,
        short_moment(desk, step.started),
        short_moment(desk, step.ended) if step.ended else "",
        str(minutes),
        "",
        "",
        "" if step.ended else "RUNNING",
    )
    return Row(str(step.number), cells)


def input_rows(desk: Desk, item: BatchShown) -> list[Row]:
    """What went in with kilograms, then what was lost."""
    parts = [Row(f"in-{part.code}-{part.first}", (_part(desk, part), _part_kg(part))) for part in item.seen.contents]
    return [
        *parts,
        *(Row(f"lost-{loss.number}", (f"lost: {loss.kind}", f"-{_column_kg(loss.g)}")) for loss in item.losses),
    ]


def _part(desk: Desk, part: Part) -> str:
    if part.kind == "lot":
        ref = by_code(desk.records, part.code).id
        lot = lots(desk.records, [ref])[ref]
        return f"{show_code(part.code)} {lot.name} {lot.sender}"
    packs = f" packs {part.first}-{part.last}" if part.first is not None else ""
    return f"{show_code(part.code)} {part.kind}{packs}"


def _part_kg(part: Part) -> str:
    return "" if part.g is None else _column_kg(part.g)


def reading_rows(desk: Desk, seen: Seen) -> Iterator[Row]:
    """The last readings, the newest first; the others are shown with the batch itself."""
    for item in reversed(seen.readings[-_MOST_READINGS:]):
        what = f"{item.kind} {item.probe}".rstrip()
        yield Row(str(item.number), (short_moment(desk, item.at), what, show_reading(item.value, item.unit)))


def _column_kg(grams: int) -> str:
    """Kilograms with their point under that of the others, in a column that is set to the right."""
    shown = kg(grams)
    return shown + " " * (_DECIMALS - len(shown.partition(".")[2]))
