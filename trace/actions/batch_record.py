"""The record of one batch, gathered for one page that can be handed to an inspector."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from lotwake.trace.actions.batch_evidence import evidence_of
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.instruments import InstrumentUsed, instruments_of
from lotwake.trace.actions.judge import verdict_of
from lotwake.trace.actions.readings import show_reading
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.actions.yields import BatchYield, batch_yields
from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.base.units import show_mass
from lotwake.trace.process.verdict import BatchEvidence, BatchVerdict
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.house import SiteFacts
from lotwake.trace.records.facts import BatchSeen, LotSeen, RunSeen
from lotwake.trace.records.find import Kind, Thing, by_code
from lotwake.trace.records.history import Corrected, HoldSeen, corrections_of, holds_of
from lotwake.trace.records.journal import Head, head
from lotwake.trace.records.lists import site
from lotwake.trace.records.seen import LossSeen, Part, StepSeen, contents_of, facts_of, losses_of, steps_of


@dataclass(frozen=True)
class DeviationSeen:
    """A limit that was not met, its cause and corrective action; ``at`` a stored instant, ``who`` a name."""

    limit_key: str
    found: str
    cause: str
    action: str
    at: str
    who: str


@dataclass(frozen=True)
class ReleaseSeen:
    """The signature on a batch; ``by_name`` and ``note`` are the qualified person and their reason, if one was needed."""

    at: str
    who: str
    by_name: str
    note: str
    in_spite_of: str


@dataclass(frozen=True)
class ReviewSeen:
    """Somebody has read through the record."""

    at: str
    who: str
    note: str


@dataclass(frozen=True)
class BatchRecord:
    """Everything the record says about one batch at ``now``, with the verdict on it (None without a scheduled process)."""

    site: SiteFacts
    zone: ZoneInfo
    now: datetime
    batch: Thing
    facts: BatchSeen
    inputs: tuple[tuple[Part, LotSeen | BatchSeen | RunSeen], ...]
    steps: tuple[StepSeen, ...]
    losses: tuple[LossSeen, ...]
    evidence: BatchEvidence
    verdict: BatchVerdict | None
    deviations: tuple[DeviationSeen, ...]
    release: ReleaseSeen | None
    reviews: tuple[ReviewSeen, ...]
    holds: tuple[HoldSeen, ...]
    corrections: tuple[Corrected, ...]
    head: Head
    yields: tuple[BatchYield, ...] = ()
    instruments: tuple[InstrumentUsed, ...] = ()


def batch_record(desk: Desk, code: str) -> BatchRecord:
    """Gather what is written down about a batch, as one state of the record."""
    thing = thing_of(desk.records, code, [Kind.BATCH], "a batch record")
    records = desk.records
    with records.snapshot():
        inputs = contents_of(records, thing)
        evidence = evidence_of(records, thing.id, desk.now)
        return BatchRecord(
            site=site(records),
            zone=desk.zone,
            now=desk.now,
            batch=thing,
            facts=facts.batches(records, [thing.id])[thing.id],
            inputs=tuple((part, _facts_of(records, part)) for part in inputs if part.g != 0),
            steps=tuple(steps_of(records, thing.id)),
            losses=tuple(losses_of(records, thing.id)),
            evidence=evidence,
            verdict=verdict_of(records, thing.id, desk.now, evidence),
            deviations=tuple(DeviationSeen(*row) for row in records.rows(_DEVIATIONS, thing.id)),
            release=next((ReleaseSeen(*row) for row in records.rows(_RELEASE, thing.id)), None),
            reviews=tuple(ReviewSeen(*row) for row in records.rows(_REVIEWS, thing.id)),
            holds=tuple(holds_of(records, thing)),
            corrections=tuple(_in_units(records, made) for made in corrections_of(records, thing)),
            head=head(records),
            yields=batch_yields(records, thing.id),
            instruments=instruments_of(records, thing.id),
        )


def _facts_of(records: Records, part: Part) -> LotSeen | BatchSeen | RunSeen:
    thing = by_code(records, part.code)
    seen = facts_of(records, thing)
    assert isinstance(seen, LotSeen | BatchSeen | RunSeen), "only these go into a batch"
    return seen


def _in_units(records: Records, made: Corrected) -> Corrected:
    """A correction of a mass or a measurement as people write it, not as it is stored."""
    if made.field == "g":
        was, now = (None if g is None else show_mass(int(g)) for g in (made.was, made.now))
        return replace(made, was=was, now=now)
    if (made.what, made.field) != ("reading", "value"):
        return made
    kind, unit = records.one(
        "SELECT r.kind, r.unit FROM correction x JOIN reading r ON CAST(r.id AS TEXT) = x.ref WHERE x.entry = ?",
        made.entry,
    ) or ("reading", "")
    was, now = (None if value is None else show_reading(int(value), unit) for value in (made.was, made.now))
    return replace(made, what=kind, was=was, now=now)


def write_batch_record(desk: Desk, code: str, out: Path) -> BatchRecord:
    """The record of a batch as a PDF on A4; what it shows is given back. MachineFailed when it cannot be written."""
    from lotwake.trace.actions.batch_sheet import draw_batch_record  # the PDF library only when a page is drawn

    record = batch_record(desk, code)
    data = draw_batch_record(record)
    try:
        out.write_bytes(data)
    except OSError as error:
        raise MachineFailed(f"{out} cannot be written: {error.strerror or error}.", "Choose another place.") from error
    return record


_BY = "JOIN journal j ON j.seq = x.entry LEFT JOIN operator o ON o.id = j.who WHERE x.batch = ? ORDER BY x.at, j.seq"
_DEVIATIONS = f"SELECT x.limit_key, x.found, x.cause, x.action, x.at, COALESCE(o.name, '') FROM deviation x {_BY}"
_REVIEWS = f"SELECT x.at, COALESCE(o.name, ''), x.note FROM review x {_BY}"
_RELEASE = (
    "SELECT x.at, COALESCE(o.name, ''), COALESCE(x.by_name, ''), x.note, COALESCE(x.in_spite_of, '')"
    f" FROM batch_release x {_BY}"
)
