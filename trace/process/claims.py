"""What a label may claim for fish of these batches, and why not otherwise. A claim rests on evidence, never on habit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.heat import HeatLimit
from lotwake.trace.process.limits import PublishedFigure, published
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
KEEPINGS = (*COLD, "room")
_LEAST: Mapping[LimitKind, Mapping[str, PublishedFigure]] = {
    LimitKind.CORE_HEAT: {"core_c": published("hot_smoke_core_c"), "held_min": published("hot_smoke_held")},
    LimitKind.WATER_PHASE_SALT: {
        "percent": published("wps_reduced_oxygen"),
        "with_nitrite_percent": published("wps_with_nitrite"),
    },
}
"""What a claim rests on. A plan may ask for more; a batch that met a milder limit has not proved the claim."""
_LONGEST_GAP_MIN = HeatLimit.longest_gap_min
"""Core readings further apart than this prove no unbroken heat, whatever a plan allows (common practice)."""


def claims(batches: Sequence[BatchBehind], keeping: str) -> tuple[Claim, ...]:
    """Every claim for a pack made from all of these batches and kept ``keeping`` (chilled, frozen or room).

    CallError for any other way of keeping.
    """
    return tuple(claim(kind, batches, keeping) for kind in ClaimKind)


def claim(kind: ClaimKind, batches: Sequence[BatchBehind], keeping: str) -> Claim:
    """One claim. Each batch must carry it; all that do not are named."""
    if keeping not in KEEPINGS:
        raise CallError(f"Packs cannot be kept {keeping!r}.", f"Use one of: {', '.join(KEEPINGS)}.")
    if not batches:
        return Claim(kind, False, f"{kind} refused: no batch is behind this label.", _RULES[kind])
    if kind in _PACKAGING and keeping not in COLD:
        why = f"{kind} refused: packs without air are kept chilled or frozen, not at room temperature."
        return Claim(kind, False, why, _RULES[kind])
    reasons = [reason for batch in batches if (reason := _why_not(kind, batch))]
    if reasons:
        return Claim(kind, False, f"{kind} refused: {'; '.join(reasons)}.", _RULES[kind])
    why = "; ".join(f"{batch.shown}: {_why(kind, batch)}" for batch in batches)
    return Claim(kind, True, f"{kind} is carried by {why}.", _RULES[kind])


def _why_not(kind: ClaimKind, batch: BatchBehind) -> str:
    if kind is ClaimKind.READY_TO_EAT:
        return _limit_lacks(batch, LimitKind.CORE_HEAT, "", "core temperature record")
    if kind in _PACKAGING:
        return _limit_lacks(batch, LimitKind.WATER_PHASE_SALT, _PACKAGING[kind], "salt and moisture result")
    if kind is ClaimKind.SMOKE_DRIED and batch.smoking != "smoke-dried":
        return f"batch {batch.shown} was {batch.smoking}"
    limit = published("no_refrigeration_aw" if kind is ClaimKind.ROOM_TEMPERATURE else "smoke_dried_aw").value
    if batch.water_activity is None:
        return f"no measured water activity for batch {batch.shown}"
    if not 0 < batch.water_activity <= limit:
        return (
            f"batch {batch.shown} has a measured water activity of {batch.water_activity:g}, {limit:g} or below wanted"
        )
    return ""


def _limit_lacks(batch: BatchBehind, kind: LimitKind, packaging: str, missing: str) -> str:
    if batch.verdict is None:
        return f"batch {batch.shown} was made without a scheduled process"
    finding = batch.verdict.finding(kind, packaging)
    if finding is None:
        return f"the scheduled process of batch {batch.shown} has no limit for it"
    if finding.verdict is Verdict.NO_EVIDENCE:
        detail = "" if finding.found.startswith("no ") else f": {finding.found}"
        return f"no {missing} for batch {batch.shown}{detail}"
    if finding.verdict is Verdict.NOT_MET:
        return f"batch {batch.shown} did not meet it: {finding.found}"
    gap_min = finding.limit.figures.get("longest_gap_min", 0.0) if kind is LimitKind.CORE_HEAT else 0.0
    if gap_min > _LONGEST_GAP_MIN:
        return (
            f"the scheduled process of batch {batch.shown} lets {gap_min:g} min pass without a core reading, and the claim"
            f" rests on {_LONGEST_GAP_MIN:g} min at most"
        )
    for name, least in _LEAST[kind].items():
        asked = finding.limit.figures.get(name, least.value)
        if asked < least.value:
            return (
                f"the scheduled process of batch {batch.shown} asks for {asked:g} {least.unit} only, and the claim rests "
                f"on {least.value:g} {least.unit}"
            )
    return ""


def _why(kind: ClaimKind, batch: BatchBehind) -> str:
    if kind in (ClaimKind.ROOM_TEMPERATURE, ClaimKind.SMOKE_DRIED):
        return f"water activity {batch.water_activity:g} measured"
    limit = LimitKind.CORE_HEAT if kind is ClaimKind.READY_TO_EAT else LimitKind.WATER_PHASE_SALT
    finding = batch.verdict.finding(limit, _PACKAGING.get(kind, "")) if batch.verdict else None
    return finding.found if finding else ""
