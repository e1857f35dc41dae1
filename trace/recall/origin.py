"""The origin answer: what it is, where it is from, what was done to it, where it went; and what is withheld. Pure.

A share is how much of the packs in question one lot is: if everything in a batch is well mixed, and at the most it could be.
What was done says which limit was met, by which evidence; it never says that fish is safe.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from enum import StrEnum
from fractions import Fraction
from typing import Any

from lotwake.trace.base.areas import find_area
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import show_day
from lotwake.trace.base.units import show_mass, show_pack
from lotwake.trace.process.basis import CAUTION


class Withhold(StrEnum):
    """What a house may keep to itself."""

    BOATS = "boats"
    POSITIONS = "positions"
    BUYERS = "buyers"


def read_withheld(text: str) -> frozenset[Withhold]:
    """``boats, positions``: what to withhold; CallError for a word that is none of these."""
    words = [word.strip().lower() for word in text.replace(";", ",").split(",") if word.strip()]
    for word in words:
        if word not in list(Withhold):
            raise CallError(f"{word!r} cannot be withheld.", f"There are: {', '.join(Withhold)}.")
    return frozenset(Withhold(word) for word in words)


@dataclass(frozen=True)
class Goods:
    """Packs of one run that the answer is about: ``g`` grams in all; ``net_g`` each, or about so much with
    ``catch_weight``. Days ISO."""

    product: str
    gtin: str
    smoking: str
    lot: str
    net_g: int
    packs: int
    packed_on: str
    best_before: str
    g: int
    catch_weight: bool = False

    @property
    def pack(self) -> str:
        """What a pack weighs, in words."""
        return show_pack(self.net_g, self.catch_weight)


@dataclass(frozen=True)
class Fish:
    """One fish lot behind the goods; ``mixed`` and ``most`` of it in them (None when nothing is made of it yet). Days ISO."""

    lot: str
    sender: str
    sender_kind: str
    mark: str
    their_code: str
    species: str
    scientific: str
    english: str
    landed_on: str
    caught_from: str
    caught_to: str
    area: str
    area_name: str
    gear: str
    method: str
    mixed: Fraction | None
    most: Fraction | None


@dataclass(frozen=True)
class Limit:
    """A critical limit of the scheduled process, and what the record shows of it."""

    says: str
    verdict: str
    found: str
    source: str


@dataclass(frozen=True)
class Done:
    """What was done to the fish in one batch: ``steps`` in words; ``limits`` empty when it had no scheduled process."""

    batch: str
    smoking: str
    started_on: str
    process: str
    steps: tuple[str, ...]
    limits: tuple[Limit, ...]
    in_spite_of: str = ""


@dataclass(frozen=True)
class Sent:
    """Packs of the goods that left on one dispatch; ``on`` ISO day."""

    buyer: str
    document: str
    on: str
    packs: int
    g: int


@dataclass(frozen=True)
class Origin:
    """A whole answer. ``asked_about``: the thing in words; ``gaps``: what the record does not know.

    ``links``: pairs of codes, from nearer the boats to nearer the buyers: lots, batches, runs, and documents at the end.
    """

    house: str
    asked_about: str
    kind: str
    code: str
    serial: int | None
    asker: str
    answered_on: str
    goods: tuple[Goods, ...]
    fish: tuple[Fish, ...]
    done: tuple[Done, ...]
    sent: tuple[Sent, ...]
    gaps: tuple[str, ...]
    links: tuple[tuple[str, str], ...]
    withheld: tuple[str, ...] = ()


def withhold(answer: Origin, what: Collection[Withhold]) -> Origin:
    """The answer without what is to be withheld; it says that something is, and for buyers, keeps the asker's own goods."""
    fish, sent = answer.fish, answer.sent
    if Withhold.BOATS in what:
        fish = tuple(_unnamed(item, number) for number, item in enumerate(fish, 1))
    if Withhold.POSITIONS in what:
        fish = tuple(_wider(item) for item in fish)
    if Withhold.BUYERS in what:
        sent = tuple(item for item in sent if item.buyer.casefold() == answer.asker.strip().casefold())
    named = {item.document for item in sent}
    unnamed = {item.document for item in answer.sent} - named
    links = tuple(link for link in answer.links if link[1] not in unnamed)
    return replace(answer, fish=fish, sent=sent, links=links, withheld=tuple(sorted(set(what))))


def _unnamed(item: Fish, number: int) -> Fish:
    if item.sender_kind != "boat":
        return item
    return replace(item, sender=f"boat {number} (name known to us)", mark="", their_code="")


def _wider(item: Fish) -> Fish:
    """Only the major fishing area: the two digits in front of the first point."""
    major = item.area.split(".")[0]
    return replace(item, area=major, area_name=find_area(major).name) if major != item.area else item


def in_sentences(answer: Origin) -> list[str]:
    """What to say on the phone, one sentence a line."""
    said = [f"You ask about {answer.asked_about}."]
    said += [_goods(item) for item in answer.goods]
    said += [_fish(item) for item in answer.fish] or ["No fish lot is behind it in the record."]
    said += [sentence for item in answer.done for sentence in _done(item)]
    said += [_sent(item) for item in answer.sent]
    if not answer.sent and answer.goods and Withhold.BUYERS not in answer.withheld:
        said.append("None of it has left our house by the record.")
    said += [f"Not known: {gap}" for gap in answer.gaps]
    if answer.withheld:
        said.append(f"We keep to ourselves: {', '.join(withheld_words(answer))}.")
    return [*said, CAUTION] if answer.done else said


def withheld_words(answer: Origin) -> list[str]:
    """What is withheld, for people."""
    return [_WORDS[Withhold(word)] for word in answer.withheld]


_WORDS = {
    Withhold.BOATS: "the names of the boats",
    Withhold.POSITIONS: "catch areas below the major fishing area",
    Withhold.BUYERS: "goods sent to others",
}


def _goods(item: Goods) -> str:
    many = f"{item.packs} {'pack' if item.packs == 1 else 'packs'}"
    if item.catch_weight:
        many += f" of {show_mass(item.g)}{'' if item.packs == 1 else ' in all'}"
    return (
        f"{item.product}, {item.pack}, lot {item.lot}: {many},"
        f" packed {day_words(item.packed_on)}, best before {day_words(item.best_before)}, GTIN {item.gtin}."
    )


_VERBS = {"boat": "landed {} by", "farm": "harvested {} by", "dealer": "bought in {} from"}


def _fish(item: Fish) -> str:
    caught = (
        f", caught {day_words(item.caught_from)} to {day_words(item.caught_to)}"
        if item.caught_from and item.sender_kind == "boat"
        else ""
    )
    how = _VERBS[item.sender_kind].format(day_words(item.landed_on))
    parts = [
        f"{share_text(item.mixed)}{item.english} ({item.scientific}) {how} {item.sender} {item.mark}".rstrip() + caught,
        f"FAO area {item.area} {item.area_name}" if item.area else "",
        item.gear.lower(),
        f"their lot {item.their_code}" if item.their_code else "",
        f"our lot {show_code(item.lot)}",
        _at_most(item),
    ]
    return ", ".join(filter(None, parts)) + "."


def _at_most(item: Fish) -> str:
    if item.mixed is None or item.most is None or item.most <= item.mixed:
        return ""
    return f"at the most {float(item.most):.0%}"


def day_words(iso_day: str) -> str:
    """A stored day for people."""
    return show_day(date.fromisoformat(iso_day))


def share_text(mixed: Fraction | None) -> str:
    """``56 % `` in front of a fish; empty when it is all of it, or nothing is made of it."""
    if mixed is None or mixed == 1:
        return ""
    return f"{float(mixed):.0%} " if mixed >= Fraction(1, 100) else "under 1% "


def _done(item: Done) -> Iterator[str]:
    how = f" under {item.process}" if item.process else ""
    steps = "; ".join(item.steps) or "no steps written down"
    yield f"Batch {show_code(item.batch)}, {item.smoking}, {day_words(item.started_on)}{how}: {steps}."
    for limit in item.limits:
        yield f"{limit.says}: {limit.verdict}, {limit.found}."
    if not item.limits:
        yield f"Batch {show_code(item.batch)} had no scheduled process, so no limit was judged."
    if item.in_spite_of:
        yield f"It was released by name in spite of {item.in_spite_of}."


def _sent(item: Sent) -> str:
    return f"{item.packs} packs ({show_mass(item.g)}) sent to {item.buyer} on {day_words(item.on)}, document {item.document}."


def as_data(answer: Origin) -> dict[str, Any]:
    """The answer for other programs. Shares are percentages with three decimals; codes are digits, days ISO."""
    data = asdict(answer)
    for item, fish in zip(data["fish"], answer.fish, strict=True):
        item["share_percent"], item["most_percent"] = _percent(fish.mixed), _percent(fish.most)
        del item["mixed"], item["most"]
    known = [fish for fish in answer.fish if fish.sender_kind == "boat" and Withhold.BOATS not in answer.withheld]
    return {
        **data,
        "boats": sorted({fish.sender for fish in known}),
        "landing_dates": sorted({fish.landed_on for fish in answer.fish}),
        "areas": sorted({fish.area for fish in answer.fish if fish.area}),
        "gears": sorted({fish.gear for fish in answer.fish if fish.gear}),
        "species": sorted({fish.species for fish in answer.fish if fish.species}),
        "lots": [fish.lot for fish in answer.fish],
        "buyers": sorted({sent.buyer for sent in answer.sent}),
        "documents": sorted({sent.document for sent in answer.sent}),
        "text": in_sentences(answer),
    }


def _percent(part: Fraction | None) -> float | None:
    return None if part is None else round(float(part * 100), 3)


def weighted(parts: Sequence[tuple[Fraction, int]]) -> Fraction:
    """Shares of several runs in one, by the grams of each."""
    total = sum(g for _, g in parts)
    return sum((share * g for share, g in parts), Fraction()) / total if total else Fraction()
