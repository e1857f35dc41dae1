"""EU lot information: what Reg. (EC) 1224/2009 Art. 58, as changed by Reg. (EU) 2023/2842, wants told of each lot.

The set is the one of Art. 58(5), seen second-hand in lists of a Swedish authority and of an industry body; the fishing trip
number, new in 2026, is from memory. Since 10 January 2026 it has to be kept and passed on digitally for fish of CN chapter
3, smoked fish (0305) among it. After lots were merged the earlier ones must stay identifiable, so each run of packs carries
the facts of every lot in it. What the record does not know is marked, with the reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from lotwake.trace.base.codes import show_code
from lotwake.trace.recall.extract import Extract
from lotwake.trace.recall.spreadsheet import Column, Row, Sheet, Typed, kg
from lotwake.trace.records.entries.lots import BOUGHT_IN, FARMED, THAWED
from lotwake.trace.records.facts import LotSeen
from lotwake.trace.records.stock import MATERIAL

SOURCE = "Reg. (EC) 1224/2009 Art. 58, as changed by Reg. (EU) 2023/2842"
NOTE = (
    "Reg. (EC) 1224/2009 Art. 58 asks for these facts of each lot of fish, kept and passed on digitally since 10 January"
    " 2026. What is missing is named with each lot. Local codes and a qualified person decide what else is needed."
)
_BLANK = "it was not written down"
_METHODS = {"caught at sea": "caught", "caught in fresh water": "caught in freshwater", "farmed": "farmed"}
"""The words of Reg. (EU) 1379/2013 Art. 35."""


@dataclass(frozen=True)
class Lacking:
    """A fact that is missing, and why."""

    field: str
    why: str


@dataclass(frozen=True)
class FishLot:
    """A lot as it was received. ``net_g`` grams; days as ISO text; ``thawed``, ``under_minimum_size`` and the grams of it
    None: not known."""

    lot: str
    their_lot: str
    production_method: str
    vessel: str
    vessel_registration: str
    vessel_flag: str
    farm_unit: str
    species_code: str
    commercial_designation: str
    scientific_name: str
    presentation: str
    net_g: int
    caught_from: str
    caught_to: str
    received: str
    area_code: str
    area_name: str
    gear_code: str
    gear_category: str
    thawed: bool | None
    under_minimum_size: bool | None
    under_minimum_size_g: int | None
    trip_numbers: tuple[str, ...]
    supplier: str
    supplier_address: str
    missing: tuple[Lacking, ...] = ()


@dataclass(frozen=True)
class Part:
    """An earlier lot in a run: its share if everything is well mixed, and at the most, in per cent."""

    share_percent: float
    at_most_percent: float
    fish: FishLot


@dataclass(frozen=True)
class PackLot:
    """A run of packs: ``packs`` made, ``net_g`` grams of them in all; ``earlier`` its lots, the largest share first."""

    lot: str
    gtin: str
    product: str
    state: str
    species_code: str
    commercial_designation: str
    scientific_name: str
    packs: int
    pack_g: int
    net_g: int
    packed_on: str
    best_before: str
    producer: str
    producer_address: str
    producer_approval: str
    earlier: tuple[Part, ...]
    missing: tuple[Lacking, ...]


def fish_lots(found: Extract, lots: Iterable[int]) -> tuple[FishLot, ...]:
    """These lots of fish in the order of their receiving; materials are left out."""
    seen = sorted((found.lots[lot] for lot in lots), key=lambda lot: (lot.received, lot.id))
    return tuple(fish_lot(found, lot) for lot in seen if lot.kind != MATERIAL)


def fish_lot(found: Extract, lot: LotSeen) -> FishLot:
    """One lot with everything the record knows of it."""
    party = found.sender(lot.id)
    boat, farm = party.kind == "boat", party.kind == "farm"
    gear = found.gear.get(lot.gear or "")
    harvested = lot.landed_on if lot.kind == FARMED else ""
    made = FishLot(
        lot=lot.code, their_lot=lot.their_code, production_method=_METHODS.get(lot.method, ""),
        vessel=party.name if boat else "", vessel_registration=party.mark if boat else "",
        vessel_flag=party.flag if boat else "", farm_unit=party.name if farm else "", species_code=lot.species or "",
        commercial_designation=lot.english, scientific_name=lot.scientific, presentation=lot.presentation, net_g=lot.g,
        caught_from=lot.caught_from or harvested, caught_to=lot.caught_to or harvested, received=lot.received,
        area_code=lot.area or "", area_name=lot.area_name, gear_code=lot.gear or "",
        gear_category=(gear.eu_category or "") if gear else "", thawed=_thawed(lot),
        under_minimum_size=None if lot.undersize_g is None else lot.undersize_g > 0, under_minimum_size_g=lot.undersize_g,
        trip_numbers=tuple(filter(None, (part.strip() for part in lot.trip.split(",")))),
        supplier=party.name, supplier_address=party.address,
    )  # fmt: skip
    return replace(made, missing=tuple(_lacking(made, lot.kind)))


def pack_lots(found: Extract, runs: Iterable[int]) -> tuple[PackLot, ...]:
    """These runs in the order of their packing."""
    return tuple(pack_lot(found, run) for run in sorted(runs, key=lambda run: (found.runs[run].packed, run)))


def pack_lot(found: Extract, run: int) -> PackLot:
    """One run with the lots it was made from."""
    seen, product, site = found.runs[run], found.products[run], found.site
    species = found.species.get(product.species or "")
    shares = found.shares.get(run, ())
    parts = tuple(
        Part(_percent(share.mixed), _percent(share.most), fish_lot(found, found.lots[share.lot])) for share in shares
    )
    made = PackLot(
        lot=seen.code, gtin=product.gtin, product=product.name, state=product.smoking, species_code=product.species or "",
        commercial_designation=species.english if species else "", scientific_name=species.scientific if species else "",
        packs=seen.packs, pack_g=seen.net_g, net_g=seen.packs_g, packed_on=seen.packed_on, best_before=seen.best_before,
        producer=site.name, producer_address=site.address, producer_approval=site.approval, earlier=parts, missing=(),
    )  # fmt: skip
    asked = ("species_code", "commercial_designation", "scientific_name", "producer_address")
    return replace(made, missing=tuple(_blank(made, asked)))


def as_data(found: Extract) -> dict[str, Any]:
    """Everything asked for, for another program. Mass is also given in kilograms; days and instants are ISO 8601."""
    fish, packs = _asked(found)
    return {
        "what": "lot information of fishery products",
        "source": SOURCE,
        "note": NOTE,
        "house": {**vars(found.site)},
        "lots": [fish_data(lot) for lot in fish],
        "pack_lots": [pack_data(lot) for lot in packs],
    }


def fish_data(lot: FishLot) -> dict[str, Any]:
    """A received lot for another program."""
    return {**asdict(lot), "net_kg": lot.net_g / 1000}


def pack_data(lot: PackLot) -> dict[str, Any]:
    """A run for another program, its earlier lots in full."""
    parts = [{**asdict(part), "fish": fish_data(part.fish)} for part in lot.earlier]
    return {**asdict(lot), "net_kg": lot.net_g / 1000, "earlier": parts}


def as_sheet(found: Extract) -> Sheet:
    """Everything asked for as one table: a row for each received lot, and one for each lot in each run."""
    fish, packs = _asked(found)
    rows = [_row(lot.lot, None, None, lot) for lot in fish]
    rows += [_row(lot.lot, lot, part, part.fish) for lot in packs for part in lot.earlier]
    return Sheet("EU lot information", _COLUMNS, tuple(rows), SOURCE)


def lacking_of(found: Extract) -> tuple[tuple[str, Lacking], ...]:
    """What is missing, by the code of the lot."""
    fish, packs = _asked(found)
    every: dict[str, FishLot | PackLot] = {lot.lot: lot for lot in fish}
    every |= {part.fish.lot: part.fish for lot in packs for part in lot.earlier}
    every |= {lot.lot: lot for lot in packs}
    return tuple((code, gap) for code, lot in every.items() for gap in lot.missing)


def _asked(found: Extract) -> tuple[tuple[FishLot, ...], tuple[PackLot, ...]]:
    runs = (run for run in found.runs if run in found.asked.works)
    return fish_lots(found, found.asked.lots), pack_lots(found, runs)


def _percent(part: Any) -> float:
    return round(float(part * 100), 3)


def _thawed(lot: LotSeen) -> bool | None:
    """Whether it came in thawed; known where somebody said how it came in, or the presentation says it."""
    if any(word in lot.presentation.casefold() for word in ("thawed", "defrosted")):
        return True
    return lot.received_as == THAWED if lot.received_as else None


def _blank(lot: FishLot | PackLot, fields: Iterable[str]) -> Iterator[Lacking]:
    return (Lacking(name, _BLANK) for name in fields if not getattr(lot, name))


def _lacking(lot: FishLot, kind: str) -> Iterator[Lacking]:
    yield from _blank(lot, ("production_method", "species_code", "commercial_designation", "scientific_name",
                            "presentation", "area_code", "caught_from", "caught_to", "supplier_address"))  # fmt: skip
    if kind == FARMED:
        yield from _blank(lot, ("farm_unit",))
    else:
        reason = "the dealer's papers say it, the record does not" if kind == BOUGHT_IN else _BLANK
        yield from (Lacking(gap.field, reason) for gap in _blank(lot, ("vessel", "vessel_registration")))
        if not lot.gear_category:
            said = f"gear {lot.gear_code} has no category in Reg. (EU) 1379/2013 Annex III" if lot.gear_code else _BLANK
            yield Lacking("gear_category", said)
        yield from _blank(lot, ("trip_numbers",))
    unknown = [name for name in ("thawed", "under_minimum_size") if getattr(lot, name) is None]
    yield from (Lacking(name, _BLANK) for name in unknown)


_COLUMNS = (
    Column("Lot"), Column("Product"), Column("State"), Column("Packs", Typed.COUNT), Column("Net kg", Typed.MASS),
    Column("Durability date", Typed.DAY), Column("Earlier lot"), Column("Share per cent", Typed.MASS),
    Column("Supplier's lot"), Column("Production method", needed=True), Column("Vessel"),
    Column("Vessel registration"), Column("Farm unit"), Column("FAO alpha-3 code", needed=True),
    Column("Commercial designation", needed=True), Column("Scientific name", needed=True),
    Column("Presentation", needed=True), Column("Earlier lot net kg", Typed.MASS),
    Column("Caught or harvested from", Typed.DAY, needed=True), Column("Caught or harvested to", Typed.DAY, needed=True),
    Column("Area", needed=True), Column("Gear category"), Column("Trip numbers"), Column("Thawed"),
    Column("Under minimum size kg", Typed.MASS),
    Column("Supplier", needed=True), Column("Supplier's address", needed=True), Column("Missing"),
)  # fmt: skip


def _row(code: str, pack: PackLot | None, part: Part | None, fish: FishLot) -> Row:
    share = None if part is None else Decimal(str(part.share_percent))
    goods: Row = ("", "", None, kg(fish.net_g), None)
    if pack is not None:
        goods = (pack.product, pack.state, pack.packs, kg(pack.net_g), date.fromisoformat(pack.best_before))
    return (
        show_code(code), *goods, show_code(fish.lot), share, fish.their_lot, fish.production_method, fish.vessel,
        fish.vessel_registration, fish.farm_unit, fish.species_code, fish.commercial_designation, fish.scientific_name,
        fish.presentation, kg(fish.net_g), _iso(fish.caught_from), _iso(fish.caught_to),
        f"FAO {fish.area_code} {fish.area_name}".rstrip() if fish.area_code else "", fish.gear_category,
        ", ".join(fish.trip_numbers), _yes_or_no(fish.thawed),
        None if fish.under_minimum_size_g is None else kg(fish.under_minimum_size_g), fish.supplier, fish.supplier_address,
        ", ".join(gap.field for gap in fish.missing),
    )  # fmt: skip


def _yes_or_no(known: bool | None) -> str:
    return "" if known is None else "yes" if known else "no"


def _iso(day: str) -> date | None:
    return date.fromisoformat(day) if day else None
