"""The dispatch note: what goes with the goods, for the buyer's eyes and for the buyer's system.

Holds the set of Reg. (EU) 931/2011 for food of animal origin (from memory: description, quantity, sender and receiver with
their addresses, lot, dispatch date), the lot facts of Reg. (EC) 1224/2009 Art. 58, and the seven elements that 21 CFR
1.1340(b) has the sender hand over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import instant_of, show_moment
from lotwake.trace.base.ranges import in_words
from lotwake.trace.base.units import show_mass
from lotwake.trace.recall import kde
from lotwake.trace.recall.eu_lot import FishLot, Lacking, PackLot, pack_data, pack_lot
from lotwake.trace.recall.extract import LOOSE, Extract
from lotwake.trace.recall.written import Block, Facts, Heading, Lines, Table

NOTE = (
    "Descriptions, quantities, sender, receiver, lots and date as Reg. (EU) 931/2011 asks for; facts of each lot as Reg."
    " (EC) 1224/2009 Art. 58 asks for. NOT RECORDED stands where our record does not know. Storage and use as on the label."
)
_UNKNOWN = "NOT RECORDED"


@dataclass(frozen=True)
class Sent:
    """The packs of one run on a dispatch: ``serials`` which, ``units`` the cases they left in (SSCC)."""

    lot: PackLot
    description: str
    packs: int
    net_g: int
    serials: str
    units: tuple[str, ...]


@dataclass(frozen=True)
class DispatchNote:
    """One dispatch. Addresses, telephone and document may be empty where the record does not know them."""

    code: str
    document: str
    dispatched: str
    carrier: str
    sender: str
    sender_address: str
    sender_phone: str
    sender_approval: str
    sender_gln: str
    receiver: str
    receiver_address: str
    receiver_phone: str
    receiver_gln: str
    goods: tuple[Sent, ...]
    missing: tuple[Lacking, ...]


def dispatch_note(found: Extract, dispatch: int) -> DispatchNote:
    """The note of one dispatch of the extract."""
    sent, site = found.dispatches[dispatch], found.site
    buyer = found.buyers[sent.buyer_id]
    goods = tuple(_goods(found, dispatch))
    place = kde.house(found)
    blank = {
        "sender_address": place.address, "sender_phone": place.phone, "receiver_address": buyer.address,
        "receiver_phone": buyer.phone,
    }  # fmt: skip
    return DispatchNote(
        code=sent.code, document=sent.document, dispatched=sent.at, carrier=sent.carrier, sender=site.name,
        sender_address=place.address, sender_phone=site.phone, sender_approval=site.approval, sender_gln=site.gln or "",
        receiver=buyer.name, receiver_address=buyer.address, receiver_phone=buyer.phone, receiver_gln=buyer.gln or "",
        goods=goods,
        missing=tuple(Lacking(name, "it was not written down") for name, text in blank.items() if not text),
    )  # fmt: skip


def _goods(found: Extract, dispatch: int) -> Iterator[Sent]:
    carried = [item for item in found.sent if item.by == dispatch]
    for run in dict.fromkeys(item.run for item in carried):
        own = [item for item in carried if item.run == run]
        packs = sum(item.packs for item in own)
        yield Sent(
            pack_lot(found, run), kde.describe_run(found, run), packs,
            found.runs[run].g_of(*(item.serials for item in own)), in_words(item.serials for item in own),
            tuple(f"{unit:018d}" for unit in sorted({item.unit for item in own} - {LOOSE})),
        )  # fmt: skip


def as_data(found: Extract, note: DispatchNote) -> dict[str, Any]:
    """The note for another program; ``us_key_data`` holds the elements of 21 CFR 1.1340(b), one object for each lot."""
    shipping = kde.shipping(found)
    titles = [column.title for column in kde.passed_on(shipping.columns)]
    own = [row for row in shipping.records() if row["Our dispatch"] == note.code]
    return {
        **asdict(note),
        "what": "dispatch note",
        "note": NOTE,
        "goods": [{**asdict(item), "lot": pack_data(item.lot), "net_kg": item.net_g / 1000} for item in note.goods],
        "us_key_data": [{title: _json(row[title]) for title in titles} for row in own],
    }


def as_blocks(found: Extract, note: DispatchNote) -> tuple[Block, ...]:
    """The note as a paper."""
    number = f"{note.document} (ours: {show_code(note.code)})" if note.document else show_code(note.code)
    total = f"{sum(item.packs for item in note.goods):,} packs, {show_mass(sum(item.net_g for item in note.goods))} net"
    blocks: list[Block] = [
        Heading(f"Dispatch note {number}", 1),
        Facts((
            ("Dispatched", show_moment(instant_of(note.dispatched), found.zone)),
            ("Sender", _party(note.sender, note.sender_address, note.sender_phone)),
            ("Approval number", note.sender_approval or _UNKNOWN),
            ("Receiver", _party(note.receiver, note.receiver_address, note.receiver_phone)),
            ("Carrier", note.carrier or _UNKNOWN), ("In all", total),
        )),
        Heading("Goods"),
        Table(
            ("Lot", "Description", "GTIN", "Packs", "Net", "Best before", "Serials", "Cases (SSCC)"),
            tuple(_goods_row(item) for item in note.goods),
        ),
    ]  # fmt: skip
    for item in note.goods:
        blocks += [
            Heading(f"Origin of lot {show_code(item.lot.lot)}"),
            Table(
                ("Earlier lot", "Share", "Fish", "Caught or farmed by", "When", "Area", "Gear", "Not recorded"),
                tuple(_origin_row(part.share_percent, part.fish) for part in item.lot.earlier),
            ),
        ]
    return (*blocks, Lines((NOTE,)))


def _goods_row(item: Sent) -> tuple[str, ...]:
    lot = item.lot
    return (
        show_code(lot.lot), f"{item.description} ({lot.state})", lot.gtin, str(item.packs), show_mass(item.net_g),
        lot.best_before, item.serials, ", ".join(item.units) or "none",
    )  # fmt: skip


def _origin_row(share_percent: float, fish: FishLot) -> tuple[str, ...]:
    who = " ".join(filter(None, (fish.vessel or fish.farm_unit or fish.supplier, fish.vessel_registration)))
    days = " to ".join(dict.fromkeys(filter(None, (fish.caught_from, fish.caught_to))))
    return (
        show_code(fish.lot) + (f", theirs {fish.their_lot}" if fish.their_lot else ""), f"{share_percent:.1f} %",
        f"{fish.commercial_designation} ({fish.scientific_name}), {fish.production_method or _UNKNOWN}", who,
        days or _UNKNOWN, f"{fish.area_code} {fish.area_name}".strip() or _UNKNOWN, fish.gear_category or _UNKNOWN,
        ", ".join(gap.field.replace("_", " ") for gap in fish.missing),
    )  # fmt: skip


def _party(name: str, address: str, phone: str) -> str:
    return ", ".join((name, address or f"address {_UNKNOWN}", phone or f"telephone {_UNKNOWN}"))


def _json(value: Any) -> Any:
    return value if isinstance(value, str | int | None) else str(value)
