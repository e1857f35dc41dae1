"""What is suspected reaches which packs: the scope of a recall or drill, with or without contact. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from lotwake.trace.base.errors import Refused
from lotwake.trace.base.ranges import Serials, common, merged, without
from lotwake.trace.lineage.chain import Chain, Key, Link, LinkKind
from lotwake.trace.records.find import Kind
from lotwake.trace.records.pack_places import PackPlace

_FISH = (LinkKind.USED, LinkKind.BLENDED, LinkKind.PACKED, LinkKind.REWORKED)


@dataclass(frozen=True)
class Suspect:
    """A lot, batch or run that is suspected, or ``packs`` of a run alone; ``taken_out``: narrows instead."""

    key: Key
    packs: Serials | None = None
    taken_out: bool = False


@dataclass(frozen=True)
class Reach:
    """The keys a suspicion reaches by mass, and those by shared contact only (empty when contact does not count)."""

    by_mass: frozenset[Key]
    by_contact: frozenset[Key] = frozenset()

    def of_kind(self, kind: Kind) -> frozenset[int]:
        """The ids of one kind, contact included."""
        return frozenset(key[1] for key in self.by_mass | self.by_contact if key[0] is kind)


@dataclass(frozen=True)
class ScopePart:
    """Packs of a run in the scope; ``contact``: shared contact alone leads to them."""

    run: int
    packs: Serials
    contact: bool = False


def reach(chains: Sequence[Chain], suspects: Sequence[Suspect], contact: bool) -> Reach:
    """Follow the fish from the suspects through the links of their forward chains, never through what is taken out."""
    out = {item.key for item in suspects if item.taken_out and item.packs is None}
    starts = {item.key for item in suspects if not item.taken_out and item.packs is None}
    starts |= {chain_start(chain) for chain in chains}
    links = [link for chain in chains for link in chain.links]
    by_mass = _follow(starts - out, links, _FISH, out)
    if not contact:
        return Reach(by_mass)
    return Reach(by_mass, _follow(starts - out, links, (*_FISH, LinkKind.CONTACT), out) - by_mass)


def chain_start(chain: Chain) -> Key:
    """The key a chain begins with."""
    return chain.start.kind, chain.start.id


def _follow(starts: set[Key], links: Iterable[Link], kinds: Sequence[LinkKind], out: set[Key]) -> frozenset[Key]:
    after: dict[Key, set[Key]] = defaultdict(set)
    for link in links:
        if link.kind in kinds:
            after[link.parent].add(link.child)
    reached, waiting = set(starts), list(starts)
    while waiting:
        for child in after[waiting.pop()] - reached - out:
            reached.add(child)
            waiting.append(child)
    return frozenset(reached)


def packs_in_scope(found: Reach, suspects: Sequence[Suspect], places: Iterable[PackPlace]) -> tuple[ScopePart, ...]:
    """The packs of the reached runs and those suspected by themselves, without those taken out."""
    real: dict[int, list[Serials]] = defaultdict(list)
    for place in places:
        real[place.run].append(place.packs)
    parts: list[ScopePart] = []
    for run in sorted(real):
        own, others = _own(run, suspects, False), _own(run, suspects, True)
        whole = (Kind.RUN, run) in found.by_mass
        by_mass = without(merged(real[run]) if whole else common(real[run], own), others)
        parts += [ScopePart(run, packs) for packs in by_mass]
        if (Kind.RUN, run) in found.by_contact:
            parts += [ScopePart(run, packs, True) for packs in without(real[run], [*by_mass, *others])]
    return tuple(parts)


def _own(run: int, suspects: Sequence[Suspect], taken_out: bool) -> list[Serials]:
    return [
        item.packs for item in suspects
        if item.packs is not None and item.key == (Kind.RUN, run) and item.taken_out is taken_out
    ]  # fmt: skip


def placed_in(scope: Iterable[ScopePart], places: Iterable[PackPlace]) -> list[PackPlace]:
    """The places of the packs in the scope alone."""
    wanted: dict[int, list[Serials]] = defaultdict(list)
    for part in scope:
        wanted[part.run].append(part.packs)
    return [replace(item, packs=packs) for item in places for packs in common([item.packs], wanted[item.run])]


def must_not_be_empty(packs: int, fish_g: int) -> None:
    """Refused: there is nothing to find, and so nothing to call anybody about."""
    if packs == 0 and fish_g == 0:
        raise Refused(
            "Nothing was made of this, and none of it is in the house: the scope is empty.",
            "Check the code, the time window, or what was taken out of the scope.",
        )
