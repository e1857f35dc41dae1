"""What do these complaint packs share beyond chance? Lots, batches, brines, equipment, materials, people, days. Pure.

For each factor: of N packs made, K carry it; of n complaint packs, k do. How probable is it that n packs drawn blindly
would hold k or more (hypergeometric distribution, upper tail)? The probability is multiplied by the number of factors that
can be told apart (Bonferroni), since the most striking one of many is picked. The ranking is a hint where to look first,
never a proof.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp, lgamma
from typing import NamedTuple

from lotwake.trace.base.errors import CallError, Refused

ALARM_BELOW = 0.05
"""A factor stands out when chance alone would show one as striking in fewer than 5 of 100 cases. Common practice."""


class FactorKind(StrEnum):
    """What packs can have in common."""

    LOT = "lot"
    MATERIAL = "material lot"
    BATCH = "batch"
    RUN = "run"
    BRINE = "brine"
    LOAD = "load"
    TABLE = "table"
    EQUIPMENT = "equipment"
    PERSON = "person"
    SMOKED_ON = "smoked on"
    PACKED_ON = "packed on"


class Factor(NamedTuple):
    """One thing packs can have in common: ``ref`` its key in the record (0 for a day), ``name`` for people."""

    kind: FactorKind
    ref: int
    name: str


@dataclass(frozen=True)
class Made:
    """A run: how many packs it made, and everything it carries."""

    run: int
    packs: int
    factors: frozenset[Factor]


@dataclass(frozen=True)
class Finding:
    """Factors that cannot be told apart, with ``with_it`` complaints among the ``carrying`` packs of the ``runs`` that have
    them.

    ``chance``: probability of so many by chance; ``corrected``: the same for the most striking of all candidates.
    """

    factors: tuple[Factor, ...]
    with_it: int
    carrying: int
    chance: float
    corrected: float
    runs: tuple[int, ...]

    @property
    def stands_out(self) -> bool:
        return self.corrected < ALARM_BELOW


@dataclass(frozen=True)
class CommonSource:
    """All findings, the least likely by chance first; ``candidates`` groups of factors were compared."""

    complaints: int
    made: int
    candidates: int
    findings: tuple[Finding, ...]

    @property
    def first(self) -> tuple[Finding, ...]:
        """The leading findings, if they stand out: more than one when chance ranks them equal."""
        if not self.findings or not self.findings[0].stands_out:
            return ()
        least = self.findings[0].chance
        return tuple(finding for finding in self.findings if finding.chance <= least * (1 + 1e-9))

    @property
    def by_count(self) -> tuple[Finding, ...]:
        """The same ranked by how many complaints they explain, the narrower first: the way people count."""
        return tuple(sorted(self.findings, key=lambda item: (-item.with_it, item.carrying, item.factors)))

    @property
    def sentence(self) -> str:
        """What to say about it."""
        if not self.first:
            return (
                f"Nothing stands out: {self.complaints} complaints share nothing beyond what chance would show."
                " More complaints may change that; it does not say that nothing is wrong."
            )
        finding = self.first[0]
        names = "; ".join(f"{factor.kind} {factor.name}" for item in self.first for factor in item.factors[:4])
        return (
            f"{finding.with_it} of {self.complaints} complaints carry {names}, which {finding.carrying:,} of {self.made:,}"
            f" packs carry. By chance this happens in {_in_words(finding.corrected)}. Look there first; it is no proof."
        )


def upper_tail(made: int, carrying: int, drawn: int, with_it: int) -> float:
    """P(X >= ``with_it``) when ``drawn`` of ``made`` packs are drawn blindly and ``carrying`` of them carry the factor."""
    if with_it <= max(0, drawn - (made - carrying)):
        return 1.0
    logs = [_log_share(made, carrying, drawn, hits) for hits in range(with_it, min(drawn, carrying) + 1)]
    if not logs:
        return 0.0
    largest = max(logs)
    return min(1.0, exp(largest) * sum(exp(term - largest) for term in logs))


def common_source(production: Sequence[Made], complaints: Mapping[int, int]) -> CommonSource:
    """Rank what the complaints share. ``complaints``: how many different complaint packs are of each run.

    CallError with fewer than two complaint packs; Refused when one is not of this production.
    """
    drawn = sum(complaints.values())
    if drawn < 2:
        raise CallError("One complaint shares nothing with itself.", "Give two or more different complaint packs.")
    packs = {item.run: item.packs for item in production}
    for run, count in complaints.items():
        if count > packs.get(run, 0):
            raise Refused("A complaint pack is not among the packs made in this time.", "Widen the days looked at.")
    made = sum(packs.values())
    groups = _told_apart(production)
    findings = []
    for runs, factors in groups.items():
        if runs.isdisjoint(complaints):
            continue
        with_it = sum(complaints.get(run, 0) for run in runs)
        carrying = sum(packs[run] for run in runs)
        if carrying < made:  # what every pack carries explains nothing
            chance = upper_tail(made, carrying, drawn, with_it)
            corrected = min(1.0, chance * len(groups))
            findings.append(
                Finding(tuple(sorted(factors)), with_it, carrying, chance, corrected, tuple(sorted(runs)))
            )  # fmt: skip
    findings.sort(key=lambda item: (item.chance, item.factors))
    return CommonSource(drawn, made, len(groups), tuple(findings))


def _told_apart(production: Iterable[Made]) -> dict[frozenset[int], list[Factor]]:
    """Factors by the runs that carry them: two with the same runs cannot be told apart."""
    runs_of: dict[Factor, set[int]] = defaultdict(set)
    for item in production:
        for factor in item.factors:
            runs_of[factor].add(item.run)
    groups: dict[frozenset[int], list[Factor]] = defaultdict(list)
    for factor, runs in runs_of.items():
        groups[frozenset(runs)].append(factor)
    return groups


def counted_by_run(packs: Iterable[tuple[int, int]]) -> Counter[int]:
    """Different complaint packs (run, serial) by run: the same pack twice is one complaint."""
    return Counter(run for run, _ in set(packs))


def _log_share(made: int, carrying: int, drawn: int, hits: int) -> float:
    return _log_choose(carrying, hits) + _log_choose(made - carrying, drawn - hits) - _log_choose(made, drawn)


def _log_choose(total: int, chosen: int) -> float:
    if not 0 <= chosen <= total:
        return float("-inf")
    return lgamma(total + 1) - lgamma(chosen + 1) - lgamma(total - chosen + 1)


def _in_words(probability: float) -> str:
    if probability < 1e-6:
        return "fewer than 1 in a million such searches"
    return f"about 1 in {round(1 / probability):,} such searches"
