"""What lies in a place of the house now, and where a thing lies."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from lotwake.trace.records.database import Records
from lotwake.trace.records.facts import batches, lots
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.pack_places import HERE, PackPlace, places_of
from lotwake.trace.records.places import PlaceSeen, where_lots, where_units, where_works
from lotwake.trace.records.stock import unit_contents, unit_dispatch, units_within


@dataclass(frozen=True)
class Lying:
    """Something that lies in a place: packs ``first`` to ``last`` of a run (in ``unit``, a case or pallet), or a lot or
    batch with ``g`` grams left."""

    kind: Kind
    code: str
    name: str
    packs: int | None = None
    g: int | None = None
    first: int | None = None
    last: int | None = None
    unit: str | None = None


def lying_in(records: Records, place: PlaceSeen) -> list[Lying]:
    """Everything the house has put there and not moved since: fish that is not packed, then packs."""
    with records.snapshot():
        return [*_unpacked(records, place), *_packs(records, place)]


def _unpacked(records: Records, place: PlaceSeen) -> Iterator[Lying]:
    said = records.rows(
        "SELECT DISTINCT lot, work FROM lies WHERE place = ? AND unit IS NULL AND first IS NULL", place.id
    )
    here = {ref for ref, name in where_lots(records, [lot for lot, _ in said if lot]).items() if name == place.name}
    for lot in lots(records, here).values():
        if lot.left_g > 0:
            yield Lying(Kind.LOT, lot.code, lot.name, g=lot.left_g)
    works = {
        ref for ref, name in where_works(records, [work for _, work in said if work]).items() if name == place.name
    }
    for batch in batches(records, works).values():
        if batch.left_g > 0:
            yield Lying(Kind.BATCH, batch.code, batch.product or batch.smoking, g=batch.left_g)


def _packs(records: Records, place: PlaceSeen) -> Iterator[Lying]:
    runs = {work for (work,) in records.rows(
        "SELECT DISTINCT l.work FROM lies l JOIN run r ON r.id = l.work WHERE l.place = ?", place.id)}  # fmt: skip
    opened = "SELECT DISTINCT c.run FROM lies l JOIN content c ON c.unit = l.unit WHERE l.place = ?"
    runs |= {run for (run,) in records.rows(opened, place.id)}
    for (unit,) in records.rows("SELECT DISTINCT unit FROM lies WHERE place = ? AND unit IS NOT NULL", place.id):
        runs |= {run for inside in units_within(records, unit) for run, _ in unit_contents(records, inside)}
    names = {run: (code, product) for run, code, product in records.rows(
        "SELECT r.id, r.code, p.name FROM run r JOIN product p ON p.id = r.product")}  # fmt: skip
    for item in places_of(records, runs).packs:
        if item.where == place.name:
            code, product = names[item.run]
            unit = None if item.unit is None else f"{item.unit:018d}"
            yield Lying(
                Kind.RUN, code, product, item.packs.count, first=item.packs.first, last=item.packs.last, unit=unit
            )


def by_place(items: Iterable[PackPlace]) -> dict[str, int]:
    """Packs in the house by the name of their place, the largest first; an empty name: nobody said."""
    packs: Counter[str] = Counter()
    for item in items:
        if item.place in HERE:
            packs[item.where] += item.packs.count
    return dict(sorted(packs.items(), key=lambda pair: (-pair[1], pair[0])))


def where_words(records: Records, thing: Thing) -> str:
    """Where a thing lies in the house, in words; empty when it is not here or nobody said."""
    match thing.kind:
        case Kind.LOT:
            return where_lots(records, [thing.id]).get(thing.id, "")
        case Kind.BATCH:
            return where_works(records, [thing.id]).get(thing.id, "")
        case Kind.CASE | Kind.PALLET:
            away = unit_dispatch(records, thing.id) is not None
            return "" if away else where_units(records, [thing.id]).get(thing.id, "")
        case Kind.RUN | Kind.PACK:
            found = by_place(_asked(places_of(records, [thing.id]).packs, thing))
            if thing.kind is Kind.PACK:
                return next(iter(found), "")
            return ", ".join(f"{name}: {packs} packs" for name, packs in found.items() if name)
    return ""


def _asked(items: Iterable[PackPlace], thing: Thing) -> Iterator[PackPlace]:
    for item in items:
        if thing.serial is None or item.packs.first <= thing.serial <= item.packs.last:
            yield item
