"""What the page of a batch record says, as rows of cells; how it is laid out is no matter here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime

from lotwake.trace.actions.batch_record import BatchRecord
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import day_of, instant_of, show_day, show_moment
from lotwake.trace.base.units import show_mass, show_temperature
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.plan import PlannedStep
from lotwake.trace.process.steps import StepTiming, StepWord
from lotwake.trace.records.facts import BatchSeen, LotSeen, RunSeen
from lotwake.trace.records.seen import Part, StepSeen
from lotwake.trace.records.stock import MATERIAL

MOST_INPUTS = 12
_NOT_AS_PLANNED = (StepWord.SHORT, StepWord.LONG, StepWord.OVERDUE, StepWord.RUNNING_LONG)


@dataclass(frozen=True)
class Cell:
    """A text in a table; ``bold`` for what is read first."""

    text: str
    bold: bool = False


Row = tuple[Cell, ...]


def state(record: BatchRecord) -> str:
    """The batch's own state, and the verdict on its limits."""
    verdict = "made without a scheduled process" if record.verdict is None else f"limits: {record.verdict.word}"
    return f"{record.facts.status}; {verdict}"


def about(record: BatchRecord) -> list[str]:
    """What it is, under which plan, and where its grams are."""
    batch = record.facts
    what = f"{batch.product} ({batch.smoking})" if batch.product else batch.smoking
    where = f", in {batch.equipment}" if batch.equipment else ""
    losses = ", ".join(f"{loss.kind} {show_mass(loss.g)}" for loss in record.losses)
    return [
        f"{what}{where}, started {show_moment(instant_of(batch.started), record.zone)}.",
        f"Scheduled process: {batch.process or 'none'}.",
        f"{show_mass(batch.in_g)} in; lost {show_mass(batch.lost_g)}" + (f" ({losses})" if losses else "") + "; "
        f"{show_mass(batch.passed_on_g)} packed or passed on; {show_mass(batch.left_g)} left."
        + (f" Note: {batch.note}." if batch.note else ""),
    ]


def inputs(record: BatchRecord) -> list[Row]:
    """Fish with its landing, batches and packs that went in, and the materials last."""
    parts = sorted(record.inputs, key=_is_material)
    rows = [_input(record, part, seen) for part, seen in parts[:MOST_INPUTS]]
    more = [part for part, _ in parts[MOST_INPUTS:]]
    if more:
        codes = ", ".join(show_code(part.code) for part in more)
        rows.append(_plain(f"and {len(more)} more", codes, "", "", "", show_mass(sum(part.g or 0 for part in more))))
    return rows


def _is_material(item: tuple[Part, LotSeen | BatchSeen | RunSeen]) -> bool:
    return isinstance(item[1], LotSeen) and item[1].kind == MATERIAL


def _input(record: BatchRecord, part: Part, seen: LotSeen | BatchSeen | RunSeen) -> Row:
    weight = "" if part.g is None else show_mass(part.g)
    shown = show_code(part.code)
    if isinstance(seen, BatchSeen):
        return _plain(
            shown, f"batch, {seen.product or seen.smoking}", f"begun {_day_of(record, seen.started)}", "", "", weight
        )
    if isinstance(seen, RunSeen):
        packs = f"{shown}/{part.first}-{part.last}"
        return _plain(packs, f"packs of {seen.product}", f"packed {_day_of(record, seen.packed)}", "", "", weight)
    sender = f"{seen.name}, {seen.sender} {seen.mark}".rstrip()
    if seen.kind == MATERIAL:
        return _plain(shown, sender, f"received {_day_of(record, seen.received)}", "", "", weight)
    verb = {"boat": "landed", "farm": "harvested"}.get(seen.sender_kind, "bought in")
    caught = f"caught {_days(seen.caught_from, seen.caught_to)}" if seen.caught_from else ""
    core = "no core read" if seen.core_c100 is None else f"core {show_temperature(seen.core_c100)}"
    area = f", area {seen.area}" if seen.area else ""
    return _plain(
        shown, f"{sender}{area}", f"{verb} {show_day(date.fromisoformat(seen.landed_on))}", caught, core, weight
    )


def _day_of(record: BatchRecord, instant: str) -> str:
    return show_day(day_of(instant_of(instant), record.zone))


def _days(first: str | None, last: str | None) -> str:
    days = dict.fromkeys(f"{date.fromisoformat(day):%d %b}" for day in (first, last) if day)
    return " to ".join(days)


def steps(record: BatchRecord) -> list[Row]:
    """Every planned step with what was done, then those that are not in the plan."""
    done: dict[str, StepSeen] = {step.name.lower(): step for step in record.steps}
    timings = record.verdict.timings if record.verdict else ()
    rows = [_step(record, planned, timing, done.pop(planned.name, None)) for planned, timing in timings]
    return rows + [
        (Cell(step.name), Cell("not in the plan"), Cell(_span(record, step)), Cell(""), Cell(""), Cell(step.equipment))
        for step in done.values()
    ]


def _step(record: BatchRecord, planned: PlannedStep, timing: StepTiming, done: StepSeen | None) -> Row:
    minutes = "" if timing.actual_min is None else f"{timing.actual_min:.0f} min"
    return (
        Cell(planned.name),
        Cell(_window(planned)),
        Cell("" if done is None else _span(record, done)),
        Cell(minutes),
        Cell(str(timing.word), timing.word in _NOT_AS_PLANNED),
        Cell("" if done is None else done.equipment),
    )


def _window(planned: PlannedStep) -> str:
    least, most = planned.window.least_min, planned.window.most_min
    minutes = {
        (True, True): f"{least:g} to {most:g} min" if least is not None and most is not None else "",
        (True, False): f"{least or 0:g} min or more",
        (False, True): f"{most or 0:g} min at most",
        (False, False): "",
    }[(least is not None, most is not None)]
    low, high = planned.set_low_c, planned.set_high_c
    air = "" if low is None or high is None else f"air {low:g} to {high:g} C"
    return ", ".join(part for part in (minutes, air) if part) or "no window"


def _span(record: BatchRecord, step: StepSeen) -> str:
    """From when to when, with the day where it is not the one said before, at first the day the batch began."""
    said = day_of(instant_of(record.facts.started), record.zone)
    times = []
    for instant in (step.started, step.ended):
        if instant is None:
            times.append("running")
            continue
        here = instant_of(instant).astimezone(record.zone)
        times.append(f"{here:%H:%M}" if here.date() == said else f"{here:%d %b %H:%M}")
        said = here.date()
    return " to ".join(times) if times[-1] != "running" else f"{times[0]}, running"


def limits(record: BatchRecord) -> list[Row]:
    """Each limit with its verdict, what decided, and whose rule it is."""
    if record.verdict is None:
        return [_plain("No scheduled process, so no limit was judged.", "", "", "")]
    rows: list[Row] = []
    for item in record.verdict.findings:
        told = item.limit.packaging in item.limit.says
        only = "" if told else f" (for {item.limit.packaging} packs)"
        at = "" if item.at_s is None else f" ({show_moment(datetime.fromtimestamp(item.at_s, UTC), record.zone)})"
        rows.append(
            (
                Cell(f"{item.limit.says}{only}"),
                Cell(str(item.verdict), item.verdict is not Verdict.MET),
                Cell(f"{item.found}{at}"),
                Cell(item.limit.source),
            )
        )
    return rows


def yields(record: BatchRecord) -> list[Row]:
    """Each yield: from what to what, per cent, how it stands and against what."""
    return [
        (
            Cell(f"{item.step.step} of {item.step.of}"),
            Cell(f"{show_mass(item.step.in_g)} to {show_mass(item.step.out_g)}"),
            Cell(f"{item.finding.yield_percent:.1f} %"),
            Cell(str(item.finding.word), item.out_of_line),
            Cell(item.usual),
        )
        for item in record.yields
    ]


def instruments(record: BatchRecord) -> list[Row]:
    """What was read with which instrument, and how it stood against its checks."""
    rows = [
        (Cell(item.name), Cell(f"{', '.join(item.kinds)}: {item.readings:,} readings"),
         Cell(str(item.trust.standing), item.in_doubt), Cell(item.trust.why))
        for item in record.instruments
    ]  # fmt: skip
    return rows + [
        _plain("Two readings", _twice(record), "", "the colder counts for heat, the warmer for cooling")
    ] * bool(record.evidence.doubled)


def _twice(record: BatchRecord) -> str:
    """Which probes were read more than once at which moment."""
    moments = (datetime.fromtimestamp(at_s, UTC).astimezone(record.zone) for _, at_s in record.evidence.doubled)
    return "; ".join(f"{name} at {at:%H:%M}" for (name, _), at in zip(record.evidence.doubled, moments, strict=True))


def deviations(record: BatchRecord) -> list[Row]:
    """What was not met, why, and what was done about it."""
    return [
        (Cell(item.limit_key, True), Cell(item.found), Cell(f"Cause: {item.cause}"),
         Cell(f"Action: {item.action} ({item.who}, {_moment(record, item.at)})"))
        for item in record.deviations
    ]  # fmt: skip


def signatures(record: BatchRecord) -> list[Row]:
    """Holds, the release, and reviews; where one is missing, that it is."""
    rows: list[Row] = []
    for hold in record.holds:
        word = "rejected" if hold.kind == "REJECT" else "held"
        rows.append((Cell(word, True), Cell(f"{_moment(record, hold.at)}, {hold.who}"), Cell(hold.reason)))
        if hold.released is not None:
            said = f"{hold.released_why} (by {hold.released_by})"
            rows.append((Cell("hold released"), Cell(_moment(record, hold.released)), Cell(said)))
    release = record.release
    if release is None:
        rows.append((Cell("release", True), Cell("not released"), Cell("")))
    else:
        said = f"in spite of {release.in_spite_of}. In the name of {release.by_name}: {release.note}"
        said = said if release.in_spite_of else release.note
        rows.append((Cell("released"), Cell(f"{_moment(record, release.at)}, {release.who}"), Cell(said)))
    for review in record.reviews:
        rows.append((Cell("reviewed"), Cell(f"{_moment(record, review.at)}, {review.who}"), Cell(review.note)))
    return rows if record.reviews else [*rows, (Cell("review", True), Cell("not reviewed"), Cell(""))]


def corrections(record: BatchRecord) -> list[Row]:
    """What was corrected, from what to what, and why."""
    rows = []
    for made in record.corrections:
        what = made.what if made.field == "value" else f"{made.what} {made.field}"
        why = f"{made.why} ({made.who}, {_moment(record, made.at)})"
        rows.append(_plain(what, f"{made.was or 'nothing'} became {made.now or 'nothing'}", why))
    return rows


def _moment(record: BatchRecord, instant: str) -> str:
    return show_moment(instant_of(instant), record.zone)


def _plain(*texts: str) -> Row:
    return tuple(Cell(text) for text in texts)
