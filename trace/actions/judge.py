"""Is this batch in order, and what may be claimed for it? The record is loaded, the pure rooms decide."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lotwake.trace.actions.batch_evidence import evidence_of
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.instruments import instruments_of
from lotwake.trace.actions.refs import named_id, thing_of
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import NotFound, Refused
from lotwake.trace.process.claims import BatchBehind, Claim, ClaimKind, claim, claims
from lotwake.trace.process.instruments import Standing
from lotwake.trace.process.plan import ScheduledProcess, read_plan
from lotwake.trace.process.verdict import (
    BatchEvidence,
    BatchVerdict,
    LimitFinding,
    judge_batch,
    only_what_is_sound,
)
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries import evidence
from lotwake.trace.records.entries.house import FROZEN, READY, ROOM
from lotwake.trace.records.find import Kind, Thing

_CLAIM_OF_PACKAGING = {"vacuum": ClaimKind.VACUUM, "modified atmosphere": ClaimKind.MODIFIED_ATMOSPHERE}


class LimitOpen(Refused):
    """A release is refused for a limit; ``found`` is the one nobody acted on, None when only the name is missing."""

    def __init__(self, sentence: str, hint: str, found: LimitFinding | None = None) -> None:
        super().__init__(sentence, hint)
        self.found = found


@dataclass(frozen=True)
class Adopted:
    """One version of a scheduled process in the record."""

    id: int
    name: str
    version: int
    text: str

    @property
    def plan(self) -> ScheduledProcess:
        return read_plan(self.text)


def adopt(desk: Desk, text: str, file: str = "") -> Adopted:
    """Adopt a plan (TOML, from ``file``) as the next version of its name. It is read and checked first."""
    plan = read_plan(text, file)
    with desk.entry(f"adopt {plan.name}") as entry:
        made = evidence.adopt_process(entry, plan.name, plan.smoking, text)
    return adopted_by_id(desk.records, made)


def adopted(records: Records) -> list[Adopted]:
    """The latest version of every adopted plan."""
    rows = records.rows(
        "SELECT id, name, version, text FROM scheduled_process p WHERE version ="
        " (SELECT MAX(version) FROM scheduled_process q WHERE q.name = p.name) ORDER BY name"
    )
    return [Adopted(*row) for row in rows]


def adopted_by_id(records: Records, ref: int) -> Adopted:
    """The plan of this number in the record."""
    row = records.one("SELECT id, name, version, text FROM scheduled_process WHERE id = ?", ref)
    assert row is not None
    return Adopted(*row)


def adopted_named(records: Records, name: str) -> Adopted:
    """The latest version of the plan of this name."""
    known = adopted(records)
    for item in known:
        if item.name.casefold() == name.strip().casefold():
            return item
    said = (
        f"There are: {'; '.join(item.name for item in known)}." if known else "Adopt one first: lotwake process adopt."
    )
    raise NotFound(f"The house has adopted no scheduled process called {name.strip()!r}.", said)


def usual_process(records: Records, smoking: str, product: int | None) -> int | None:
    """The plan a new batch falls under: its product's, or the one adopted plan for this kind of smoking, if it is one."""
    named = None if product is None else records.value("SELECT plan FROM product WHERE id = ?", product)
    fitting = [item for item in adopted(records) if item.plan.smoking == smoking]
    if named:
        return adopted_named(records, named).id
    return fitting[0].id if len(fitting) == 1 else None


def planned_steps(records: Records, batch: int) -> tuple[str, ...]:
    """The names of the steps in the plan a batch was made under; none without a plan."""
    process = records.value("SELECT process FROM batch WHERE id = ?", batch)
    return () if process is None else tuple(step.name for step in adopted_by_id(records, process).plan.steps)


def verdict_of(records: Records, batch: int, now: datetime, known: BatchEvidence | None = None) -> BatchVerdict | None:
    """The verdict of a batch as its record stands; None when it was made without a plan. ``known``: its evidence, if read.

    What is met only by readings of an instrument that failed its check before or after them is NO EVIDENCE.
    """
    process = records.value("SELECT process FROM batch WHERE id = ?", batch)
    if process is None:
        return None
    plan = adopted_by_id(records, process).plan
    whole = judge_batch(plan, known or evidence_of(records, batch, now))
    failed = [used for used in instruments_of(records, batch) if used.trust.standing is Standing.FAILED]
    if not failed:
        return whole
    sound = judge_batch(plan, evidence_of(records, batch, now, [used.id for used in failed]))
    return only_what_is_sound(whole, sound, "; ".join(f"{used.name} {used.trust.why}" for used in failed))


def note_deviation(
    desk: Desk, batch: str, limit_key: str, cause: str, action: str, at: datetime | None = None
) -> LimitFinding:
    """Write down why a limit was not met, or has no evidence, and what was done about it."""
    thing = _batch(desk, batch)
    found = next((item for item in _holding_back(desk, thing) if item.limit.key == limit_key), None)
    if found is None:
        keys = ", ".join(item.limit.key for item in _holding_back(desk, thing)) or "none"
        raise NotFound(f"Batch {thing.shown} has no open limit {limit_key!r}.", f"Open limits: {keys}.")
    with desk.entry("corrective action", at) as entry:
        said = f"{found.verdict}: {found.found}"
        evidence.note_deviation(entry, thing.id, limit_key, said, cause, action, at or desk.now)
    return found


def must_be_releasable(desk: Desk, batch: Thing, by_name: str, reason: str) -> str:
    """What a release would be in spite of: empty when every limit is met.

    Refused when a limit is not met or has no evidence, unless its cause and corrective action are written down and the
    release carries the name and reason of a qualified person.
    """
    open_limits = _holding_back(desk, batch)
    acted = {key for (key,) in desk.records.rows("SELECT limit_key FROM deviation WHERE batch = ?", batch.id)}
    for item in open_limits:
        if item.limit.key not in acted:
            raise LimitOpen(
                f"Batch {batch.shown}: {item.limit.says}: {item.verdict}, {item.found}.",
                f"Complete the record, or write down cause and corrective action for {item.limit.key}.",
                item,
            )
    if open_limits and not (by_name.strip() and reason.strip()):
        raise LimitOpen(
            f"Batch {batch.shown} did not meet {', '.join(item.limit.key for item in open_limits)}.",
            "A release in spite of it needs the name and reason of a qualified person.",
        )
    return "; ".join(f"{item.limit.key}: {item.verdict}, {item.found}" for item in open_limits)


def _holding_back(desk: Desk, batch: Thing) -> Sequence[LimitFinding]:
    verdict = verdict_of(desk.records, batch.id, desk.now)
    return () if verdict is None else verdict.holding_back


Known = Mapping[int, BatchVerdict | None]
"""Verdicts that were reached already in the same state of the record."""
_NOTHING: Known = {}


def behind(records: Records, batches: Sequence[int], now: datetime, known: Known = _NOTHING) -> list[BatchBehind]:
    """The batches behind a label, with their verdicts; those a batch was blended from count too."""
    rows = records.rows(
        "WITH RECURSIVE start (id) AS (" + " UNION ALL ".join(["SELECT CAST(? AS BIGINT)"] * len(batches)) + "),"
        " up (id) AS (SELECT id FROM start UNION SELECT f.parent FROM up CROSS JOIN flow f WHERE f.child = up.id AND f.g > 0)"
        " SELECT b.id, b.code, b.smoking, (SELECT MAX(value) FROM reading r WHERE r.batch = b.id AND r.kind = 'water activity')"
        " FROM up CROSS JOIN batch b WHERE b.id = up.id ORDER BY b.id",
        *batches,
    )
    return [
        BatchBehind(
            show_code(code),
            smoking,
            known[ref] if ref in known else verdict_of(records, ref, now),
            None if activity is None else activity / 10_000,
        )
        for ref, code, smoking, activity in rows
    ]


def claims_for(desk: Desk, batches: Sequence[int], keeping: str, known: Known = _NOTHING) -> tuple[Claim, ...]:
    """Every claim for packs made from these batches and kept in this way."""
    return claims(behind(desk.records, batches, desk.now, known), keeping)


def must_carry_claims(desk: Desk, product: int, batches: Sequence[int]) -> None:
    """Refuse packs of a product whose packaging, keeping or serving these batches do not carry."""
    for said in not_carried(desk, product, batches):
        raise Refused(f"{said.why[:1].upper()}{said.why[1:]}", f"The rule: {said.source}.")


def not_carried(desk: Desk, product: int, batches: Sequence[int], known: Known = _NOTHING) -> list[Claim]:
    """What packs of this product promise and these batches do not carry, each with the sentence that says why."""
    packaging, keeping, serving, smoking = desk.records.one(
        "SELECT packaging, COALESCE(keeping, ''), COALESCE(serving, ''), smoking FROM product WHERE id = ?", product
    ) or ("", "", "", "")
    wanted = [_CLAIM_OF_PACKAGING[packaging]] if packaging in _CLAIM_OF_PACKAGING else []
    wanted += [ClaimKind.ROOM_TEMPERATURE] if keeping == ROOM else []
    wanted += [ClaimKind.READY_TO_EAT] if serving == READY else []
    wanted += [ClaimKind.SMOKE_DRIED] if smoking == "smoke-dried" else []
    if not wanted:
        return []
    found = behind(desk.records, batches, desk.now, known)
    said = (claim(kind, found, keeping or FROZEN) for kind in wanted)
    return [each for each in said if not each.allowed]


def review(desk: Desk, batch: str, note: str = "", at: datetime | None = None) -> Thing:
    """Say that the record of a released batch was read through and is in order, by another person than released it."""
    thing = _batch(desk, batch)
    with desk.entry("review batch", at, note) as entry:
        who = desk.operator.id if desk.operator else 0
        evidence.review_batch(entry, thing.id, note, at or desk.now, who)
    return thing


def calibrate(desk: Desk, equipment: str, found: str, passed: bool, due_on: date, at: datetime | None = None) -> int:
    """Write down the check of an instrument against a reference."""
    ref = named_id(desk.records, "equipment", equipment)
    with desk.entry("calibrate", at) as entry:
        return evidence.calibrate(entry, ref, found, passed, due_on, at or desk.now)


def _batch(desk: Desk, code: str) -> Thing:
    return thing_of(desk.records, code, [Kind.BATCH], "this")
