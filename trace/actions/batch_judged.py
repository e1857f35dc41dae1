"""A batch held against its plan, with what its label may claim and what is still missing before it can be packed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lotwake.trace.actions.batch_evidence import evidence_of
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.instruments import InstrumentUsed, instruments_of
from lotwake.trace.actions.judge import claims_for, not_carried, verdict_of
from lotwake.trace.actions.yields import BatchYield, batch_yields
from lotwake.trace.process.claims import Claim
from lotwake.trace.process.outlook import Outlook, outlook
from lotwake.trace.process.verdict import COOLING_GAP_MIN, BatchEvidence, BatchVerdict
from lotwake.trace.records.entries.house import FROZEN
from lotwake.trace.records.facts import BatchSeen, batches


@dataclass(frozen=True)
class BatchJudged:
    """``verdict`` is None for a batch without a plan; ``missing`` are short phrases, empty when it can be packed.

    ``keeping`` is how packs of its product are kept, frozen where that is not said.
    """

    evidence: BatchEvidence
    verdict: BatchVerdict | None
    keeping: str
    claims: tuple[Claim, ...]
    missing: tuple[str, ...]
    yields: tuple[BatchYield, ...] = ()
    instruments: tuple[InstrumentUsed, ...] = ()
    outlook: tuple[Outlook, ...] = ()


def judged(desk: Desk, batch: int) -> BatchJudged:
    """The batch as its record stands now. CallError for readings that cannot be judged."""
    with desk.records.snapshot():
        evidence = evidence_of(desk.records, batch, desk.now)
        verdict = verdict_of(desk.records, batch, desk.now, evidence)
        product, keeping = desk.records.one(
            "SELECT p.id, p.keeping FROM batch b LEFT JOIN product p ON p.id = b.product WHERE b.id = ?", batch
        ) or (None, None)
        kept = keeping or FROZEN
        seen = batches(desk.records, [batch])[batch]
        return BatchJudged(
            evidence=evidence,
            verdict=verdict,
            keeping=kept,
            claims=claims_for(desk, [batch], kept, {batch: verdict}),
            missing=tuple(_missing(desk, seen, verdict, product)),
            yields=batch_yields(desk.records, batch),
            instruments=instruments_of(desk.records, batch),
            outlook=tuple(outlook(evidence, seen.in_g, COOLING_GAP_MIN)) if seen.released is None else (),
        )


def _missing(desk: Desk, batch: BatchSeen, verdict: BatchVerdict | None, product: int | None) -> Iterator[str]:
    running = desk.records.rows("SELECT name FROM step WHERE batch = ? AND ended IS NULL ORDER BY started", batch.id)
    yield from (f"the end of {name}" for (name,) in running)
    if batch.released is None:
        acted = {key for (key,) in desk.records.rows("SELECT limit_key FROM deviation WHERE batch = ?", batch.id)}
        for item in verdict.holding_back if verdict else ():
            acted_on = ", acted on: release by name" if item.limit.key in acted else ""
            yield f"{item.limit.key} {item.verdict}{acted_on}"
        yield "the signature of release"
    if product is not None:
        yield from (
            f"evidence for {claim.kind}" for claim in not_carried(desk, product, [batch.id], {batch.id: verdict})
        )
