"""The sentences a person says on the phone: where it came from, what was done to it, where it went."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from zoneinfo import ZoneInfo

from lotwake.trace.base.moments import day_of, instant_of, show_day
from lotwake.trace.base.units import show_mass
from lotwake.trace.lineage.chain import Chain, Direction, Origin
from lotwake.trace.records.find import Kind

MOST_NAMED = 4
"""How many boats or buyers one sentence names before it counts the rest."""
ENDED = {"SAMPLE": "sampled", "DESTROYED": "destroyed", "REWORK": "reworked", "LOST": "lost"}
"""What became of packs that are no more, said behind their number."""


def answer(chain: Chain, zone: ZoneInfo) -> str:
    """What to say about this chain; days in the time of the house."""
    said = [_opening(chain, zone)]
    said += _from(chain) if chain.direction is Direction.BACK else _to(chain, zone)
    if chain.with_contact:
        met = sum(node.contact for node in chain.of_kind(Kind.BATCH))
        said.append(
            f"{_count(met, 'more batch', 'more batches')} met it without mixing." if met else "Nothing else met it."
        )
    said += chain.problems
    return " ".join(sentence for sentence in said if sentence)


def answer_both(back: Chain, forward: Chain, zone: ZoneInfo) -> list[str]:
    """What to say about one thing, both ways: what it is, where it is from, where it went. One sentence each."""
    said = [_opening(forward, zone), *_from(back), *_to(forward, zone)]
    return [*said, *dict.fromkeys((*back.problems, *forward.problems))]


def _opening(chain: Chain, zone: ZoneInfo) -> str:
    start = chain.start
    node = next((node for node in chain.nodes if node.kind is start.kind and node.id == start.id), None)
    name = "" if node is None else f": {node.name}"
    runs = chain.of_kind(Kind.RUN)
    if start.kind in (Kind.PACK, Kind.RUN) and len(runs) == 1:
        name = f": {runs[0].name}, packed {show_day(day_of(instant_of(runs[0].at), zone))}"
    return f"{start.kind.capitalize()} {start.shown}{name}."


def _from(chain: Chain) -> list[str]:
    fish = [origin for origin in chain.origins if not origin.contact]
    if not fish:
        return ["No fish lot is behind it in the record."]
    sentences = [f"From {_named([_origin(origin) for origin in fish])}."]
    batches = [node for node in chain.of_kind(Kind.BATCH) if not node.contact]
    if batches:
        sentences.append(f"Smoked in {_count(len(batches), 'batch', 'batches')}.")
    return sentences


def _origin(origin: Origin) -> str:
    where = f", {origin.area_name} ({origin.area})" if origin.area else ""
    how = f", {origin.gear_name.lower()}" if origin.gear else ""
    verb, by = {"boat": ("landed", "by"), "farm": ("harvested", "by")}.get(origin.sender_kind, ("bought in", "from"))
    day = show_day(date.fromisoformat(origin.landed_on))
    return f"{origin.english} {verb} {day} {by} {origin.sender} {origin.mark}".rstrip() + f"{where}{how}{_part(origin)}"


def _part(origin: Origin) -> str:
    if origin.share is None or origin.share.mixed == 1:
        return ""
    percent = f"{float(origin.share.mixed):.0%}" if origin.share.mixed >= Fraction(1, 100) else "under 1%"
    return f", {percent} of it"


def _to(chain: Chain, zone: ZoneInfo) -> list[str]:
    where = chain.whereabouts
    if where is None or where.made == 0:
        return ["Nothing has been packed of it yet."]
    sentences = [f"{_count(where.made, 'pack', 'packs')} made."]
    holding = [receiver for receiver in chain.receivers if receiver.packs and not receiver.contact]
    if holding:
        parts = [
            f"{receiver.buyer} ({_count(receiver.packs, 'pack', 'packs')}, {show_mass(receiver.g)},"
            f" {_days(receiver.days, zone)}, {receiver.phone})"
            for receiver in holding
        ]
        sentences.append(f"With {_count(len(holding), 'buyer', 'buyers')}: {_named(parts)}.")
    sentences.append(f"{where.in_house:,} in the house." if where.in_house else "None in the house.")
    sentences += [f"{count:,} {ENDED[kind]}." for kind, count in where.ended]
    return sentences


def _days(instants: Sequence[str], zone: ZoneInfo) -> str:
    days = sorted({day_of(instant_of(text), zone) for text in instants})
    return show_day(days[0]) if len(days) == 1 else f"{show_day(days[0])} to {show_day(days[-1])}"


def _named(parts: Sequence[str]) -> str:
    shown = list(parts[:MOST_NAMED])
    if len(parts) > MOST_NAMED:
        shown.append(f"{len(parts) - MOST_NAMED} more")
    return "; ".join(shown)


def _count(count: int, one: str, many: str) -> str:
    return f"{count:,} {one if count == 1 else many}"
