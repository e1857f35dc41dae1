"""What a label may claim for fish of these batches, and why not otherwise. A claim rests on evidence, never on habit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.limits import published
from lotwake.trace.process.plan import LimitKind
from lotwake.trace.process.verdict import BatchVerdict


class ClaimKind(StrEnum):
    """Claims a label can make."""

    READY_TO_EAT = "ready to eat"
    VACUUM = "vacuum pack"
    MODIFIED_ATMOSPHERE = "modified atmosphere pack"
    ROOM_TEMPERATURE = "keeping at room temperature"
    SMOKE_DRIED = "smoke-dried"


@dataclass(frozen=True)
class BatchBehind:
    """A batch behind a label: its code as people see it, its verdict (None without a plan), its measured water activity."""

    shown: str
    smoking: str
    verdict: BatchVerdict | None
    water_activity: float | None


@dataclass(frozen=True)
class Claim:
    """One claim: allowed or not, the sentence that says why, and whose rule it is."""

    kind: ClaimKind
    allowed: bool
    why: str
    source: str


_RULES = {
    ClaimKind.READY_TO_EAT: "FDA Hazards Guide ch. 13: core heat (read in copies)",
    ClaimKind.VACUUM: "FDA Hazards Guide ch. 13; Torry Advisory Note 82: water phase salt and cold storage",
    ClaimKind.MODIFIED_ATMOSPHERE: "FDA Hazards Guide ch. 13: water phase salt and cold storage",
    ClaimKind.ROOM_TEMPERATURE: "FDA Hazards Guide (from memory): measured water activity 0.85 or below",
    ClaimKind.SMOKE_DRIED: "Codex CXS 311-2013 (from memory): measured water activity 0.75 or below",
}
_PACKAGING = {ClaimKind.VACUUM: "vacuum", ClaimKind.MODIFIED_ATMOSPHERE: "modified atmosphere"}
COLD = ("chilled", "frozen")


def claims(batches: Sequence[BatchBehind], keeping: str) -> tuple[Claim, ...]:
    """Every claim for a pack made from all of these batches and kept ``keeping`` (chilled, frozen or room)."""
    return tuple(claim(kind, batches, keeping) for kind in ClaimKind)


def claim(kind: ClaimKind, batches: Sequence[BatchBehind], keeping: str) -> Claim:
    """One claim. Each batch must carry it; the first that does not is named."""
    if not batches:
        return Claim(kind, False, f"{kind} refused: no batch is behind this label.", _RULES[kind])
    reasons = [reason for batch in batches if (reason := _why_not(kind, batch, keeping))]
    if reasons:
        return Claim(kind, False, f"{kind} refused: {reasons[0]}.", _RULES[kind])
    shown = ", ".join(batch.shown for batch in batches)
    return Claim(kind, True, f"{kind} is carried by {shown}: {_why(kind, batches[0])}.", _RULES[kind])


def _why_not(kind: ClaimKind, batch: BatchBehind, keeping: str) -> str:
    if kind is ClaimKind.READY_TO_EAT:
        return _limit_lacks(batch, LimitKind.CORE_HEAT, "", "core temperature record")
    if kind in _PACKAGING:
        if keeping not in COLD:
            return f"packs without air are kept chilled or frozen, not at {keeping} temperature"
        return _limit_lacks(batch, LimitKind.WATER_PHASE_SALT, _PACKAGING[kind], "salt and moisture result")
    limit = published("no_refrigeration_aw" if kind is ClaimKind.ROOM_TEMPERATURE else "smoke_dried_aw").value
    if batch.water_activity is None:
        return f"no measured water activity for batch {batch.shown}"
    if batch.water_activity > limit:
        return f"batch {batch.shown} has a measured water activity of {batch.water_activity:g}, above {limit:g}"
    return ""


def _limit_lacks(batch: BatchBehind, kind: LimitKind, packaging: str, missing: str) -> str:
    finding = batch.verdict.finding(kind, packaging) if batch.verdict else None
    if batch.verdict is None:
        return f"batch {batch.shown} was made without a scheduled process"
    if finding is None:
        return f"the scheduled process of batch {batch.shown} has no limit for it"
    if finding.verdict is Verdict.NO_EVIDENCE:
        detail = "" if finding.found.startswith("no ") else f": {finding.found}"
        return f"no {missing} for batch {batch.shown}{detail}"
    if finding.verdict is Verdict.NOT_MET:
        return f"batch {batch.shown} did not meet it: {finding.found}"
    return ""


def _why(kind: ClaimKind, batch: BatchBehind) -> str:
    if kind in (ClaimKind.ROOM_TEMPERATURE, ClaimKind.SMOKE_DRIED):
        return f"water activity {batch.water_activity:g} measured"
    limit = LimitKind.CORE_HEAT if kind is ClaimKind.READY_TO_EAT else LimitKind.WATER_PHASE_SALT
    finding = batch.verdict.finding(limit, _PACKAGING.get(kind, "")) if batch.verdict else None
    return finding.found if finding else ""
