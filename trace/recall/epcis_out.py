"""EPCIS 2.0 events of a chain, as JSON-LD.

A lot that comes in is an ObjectEvent (a landing or farmed lot commissioned, a bought-in lot or material received), a batch
and a run are TransformationEvents (the core business vocabulary has no step for smoking, so they are ``commissioning``), a
case or pallet is an AggregationEvent, a dispatch an ObjectEvent ``shipping``, a return one ``receiving``, packs that were
destroyed or sampled one that deletes them. A corrected entry is told as it was told before, declared to be in error and
pointing to the event that holds now.

Identifiers. Packs of a run: GS1 Digital Link with GTIN and lot (and serial, when asked for); cases and pallets: their SSCC;
places and parties: their GLN. What has no GS1 key gets a URI of our own, ``urn:x-lotwake:PREFIX:KIND:NUMBER``: PREFIX is the
house's GS1 company prefix, which no other house has, KIND is lot, batch, dispatch, return, source, supplier, buyer or site,
NUMBER its code in the record (its row number for somebody the house deals with). It stays the same in every export. Event
ids are UUIDs (RFC 4122, version 5) made from it, so that the same event always has the same id; it tells what the record
held when the file was made. The names under ``cbvmda:``
are from memory of the vocabulary's master data attributes; ``lotwake:`` marks our own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from lotwake.labels.gs1.digital_link import write_digital_link
from lotwake.labels.gs1.elements import Element
from lotwake.trace.base.moments import instant_of, instant_text
from lotwake.trace.recall.epcis_past import Subject, before, corrections, subject_of
from lotwake.trace.recall.extract import Carried, Ended, Extract, Inside, Stood
from lotwake.trace.records.entries.lots import BOUGHT_IN
from lotwake.trace.records.facts import LotSeen
from lotwake.trace.records.stock import MATERIAL, REWORK, VOID

CONTEXT = (
    "https://ref.gs1.org/standards/epcis/epcis-context.jsonld",
    {"lotwake": "urn:x-lotwake:terms:"},
)
KILOGRAM, EACH = "KGM", "EA"
_EVENTS = UUID("6a4c0f0e-8f5b-5a51-9a53-7b2c1d9e4f60")
_ENDS = {
    "SAMPLE": ("sampling", "inactive"),
    "LOST": ("stock_taking", "unknown"),
    "DESTROYED": ("destroying", "destroyed"),
}
_METHODS = {"caught at sea": "MARINE_FISHERIES", "caught in fresh water": "INLAND_FISHERIES", "farmed": "AQUACULTURE"}

Event = dict[str, Any]


@dataclass(frozen=True)
class Writer:
    """Writes the events of an extract. ``serials``: name every pack by its serial instead of counting packs of a lot."""

    found: Extract
    serials: bool = False

    def own(self, kind: str, number: str | int) -> str:
        """Our own URI of something without a GS1 key."""
        return f"urn:x-lotwake:{self.found.site.company_prefix}:{kind}:{number}"

    def lot(self, lot: int) -> str:
        return self.own("lot", self.found.lots[lot].code)

    def batch(self, batch: int) -> str:
        return self.own("batch", self.found.batches[batch].code)

    def run(self, run: int, serial: int | None = None) -> str:
        elements = [Element("01", self.found.runs[run].gtin), Element("10", self.found.runs[run].code)]
        return write_digital_link(elements + ([] if serial is None else [Element("21", str(serial))]))

    def unit(self, sscc: int) -> str:
        return write_digital_link([Element("00", f"{sscc:018d}")])

    def site(self) -> str:
        gln = self.found.site.gln
        return write_digital_link([Element("414", gln)]) if gln else self.own("site", 1)

    def us(self) -> str:
        gln = self.found.site.gln
        return write_digital_link([Element("417", gln)]) if gln else self.own("site", 1)

    def buyer(self, buyer: int) -> str:
        gln = self.found.buyers[buyer].gln
        return write_digital_link([Element("417", gln)]) if gln else self.own("buyer", buyer)

    def base(self, kind: str, at: str, step: str, disposition: str) -> Event:
        """What every event has: the instant, the offset of the house's clocks at that instant, step, state and place."""
        place = {"id": self.site()}
        offset = f"{instant_of(at).astimezone(self.found.zone):%z}"
        return {
            "type": kind, "eventTime": at, "eventTimeZoneOffset": f"{offset[:3]}:{offset[3:5]}", "bizStep": step,
            "disposition": disposition, "readPoint": place, "bizLocation": place,
        }  # fmt: skip

    def packs(self, items: Sequence[Carried | Inside | Ended], ids: str, quantities: str) -> Event:
        """Packs under the field for serials or the one for quantities."""
        if self.serials:
            named = [self.run(item.run, number) for item in items for number in range(item.first, item.last + 1)]
            return {ids: named}
        counts: dict[int, int] = {}
        for item in items:
            counts[item.run] = counts.get(item.run, 0) + item.last - item.first + 1
        return {quantities: [self.counted(run, count) for run, count in sorted(counts.items())]}

    def counted(self, run: int, packs: int) -> Event:
        return {"epcClass": self.run(run), "quantity": packs, "uom": EACH}

    def lot_event(self, lot: int) -> Event:
        """Fish or material that came in."""
        seen = self.found.lots[lot]
        bought = seen.kind in (BOUGHT_IN, MATERIAL)
        step, state = ("receiving", "in_progress") if bought else ("commissioning", "active")
        event = self.base("ObjectEvent", seen.received, step, state)
        event["action"] = "OBSERVE" if bought else "ADD"
        event["quantityList"] = [weighed(self.lot(lot), seen.g)]
        sender = self.found.sender(lot)
        event["sourceList"] = [{"type": "possessing_party", "source": self.own(*sender.ref.split(":"))}]
        if not bought:
            event["ilmd"] = self._fish(seen)
        said = {"theirLot": seen.their_code, "document": seen.document, "senderName": sender.name, "item": seen.item,
                "speciesCode": seen.species if bought else ""}  # fmt: skip
        return {**event, **{f"lotwake:{name}": text for name, text in said.items() if text}}

    def _fish(self, lot: LotSeen) -> Event:
        sender = self.found.sender(lot.id)
        said: Event = {
            "lotNumber": lot.code, "speciesForFisheryStatisticsPurposesCode": lot.species,
            "speciesForFisheryStatisticsPurposesName": lot.scientific, "harvestStartDate": lot.caught_from,
            "harvestEndDate": lot.caught_to, "productionMethodForFishAndSeafoodCode": _METHODS.get(lot.method),
        }  # fmt: skip
        caught = {"vesselName": sender.name, "vesselID": sender.mark, "vesselFlagState": sender.flag,
                  "imoNumber": sender.imo, "catchArea": lot.area, "fishingGearTypeCode": lot.gear}  # fmt: skip
        if sender.kind == "boat":
            said["vesselCatchInformationList"] = [{f"cbvmda:{name}": text for name, text in caught.items() if text}]
        return {f"cbvmda:{name}": value for name, value in said.items() if value}

    def work_event(self, work: int) -> Event:
        """A batch or a run: what went in, and what came out."""
        return self._run_event(work) if work in self.found.runs else self._batch_event(work)

    def _batch_event(self, batch: int) -> Event:
        seen = self.found.batches[batch]
        event = self.base("TransformationEvent", seen.released or seen.started, "commissioning", "in_progress")
        inputs = self._inputs(batch)
        fish = (g for lot, g in self.found.lots_into.get(batch, {}).items() if self.found.lots[lot].kind != MATERIAL)
        in_g = sum(g or 0 for g in fish) + sum(self.found.parents_of.get(batch, {}).values())
        out_g = in_g - self.found.lost_g.get(batch, 0)
        return {**event, "inputQuantityList": inputs, "outputQuantityList": [weighed(self.batch(batch), out_g)],
                "lotwake:smoking": seen.smoking}  # fmt: skip

    def _run_event(self, run: int) -> Event:
        seen = self.found.runs[run]
        event = self.base("TransformationEvent", seen.packed, "commissioning", "active")
        weight = {"packsNetGrams": seen.packs_g} if seen.catch_weight else {"packNetGrams": seen.net_g}
        return {
            **event,
            "inputQuantityList": self._inputs(run),
            "outputQuantityList": [self.counted(run, seen.packs)],
            "ilmd": {"cbvmda:lotNumber": seen.code, "cbvmda:bestBeforeDate": seen.best_before,
                     **{f"lotwake:{name}": g for name, g in weight.items()}, "lotwake:productName": seen.product},
        }  # fmt: skip

    def _inputs(self, work: int) -> list[Event]:
        parents = self.found.parents_of.get(work, {})
        given = [
            weighed(self.run(at) if at in self.found.runs else self.batch(at), g) for at, g in sorted(parents.items())
        ]
        lots = self.found.lots_into.get(work, {})
        return [*given, *(weighed(self.lot(lot), g) for lot, g in sorted(lots.items()))]

    def dispatch_event(self, dispatch: int) -> Event:
        """Goods that left."""
        sent = self.found.dispatches[dispatch]
        event = self._goods(self.base("ObjectEvent", sent.at, "shipping", "in_transit"), dispatch, 0)
        event["bizTransactionList"] = [{"type": "desadv", "bizTransaction": self.own("dispatch", sent.code)}]
        event["sourceList"] = [{"type": "possessing_party", "source": self.us()}]
        event["destinationList"] = [{"type": "possessing_party", "destination": self.buyer(sent.buyer_id)}]
        return {**event, **({"lotwake:document": sent.document} if sent.document else {})}

    def return_event(self, back: int) -> Event:
        """Goods that came back."""
        seen = self.found.returns[back]
        event = self._goods(self.base("ObjectEvent", seen.at, "receiving", "returned"), back, 1)
        event["bizTransactionList"] = [{"type": "rma", "bizTransaction": self.own("return", seen.code)}]
        event["sourceList"] = [{"type": "possessing_party", "source": self.buyer(seen.buyer_id)}]
        return {**event, "lotwake:reason": seen.reason}

    def _goods(self, event: Event, by: int, way: int) -> Event:
        """Cases and pallets by SSCC, loose packs beside them; ``way`` 0 of a dispatch, 1 of a return."""
        named = [self.unit(unit) for unit in self.found.units_by[way].get(by, ())]
        event |= {"action": "OBSERVE", "epcList": named}
        if loose := self.found.loose_by[way].get(by):
            more = self.packs(loose, "epcList", "quantityList")
            event |= {**more, "epcList": named + more.get("epcList", [])}
        return event

    def packing_event(self, unit: int, at: str, children: Event, closed: bool) -> Event:
        """Packs or units into a case or onto a pallet, or out of it and off it again."""
        step, state = ("packing", "container_closed") if closed else ("unpacking", "in_progress")
        action = "ADD" if closed else "DELETE"
        event = self.base("AggregationEvent", at, step, state)
        return {**event, "action": action, "parentID": self.unit(unit), **children}

    def packing_events(self) -> Iterator[tuple[str, Event]]:
        """Every filling and opening of a case or pallet: what went in or out at one moment together."""
        moves: dict[tuple[int, str, bool], list[Inside | Stood]] = {}
        moved: list[Inside | Stood] = [*self.found.inside, *self.found.stood]
        for item in moved:
            unit = item.unit if isinstance(item, Inside) else item.parent
            moves.setdefault((unit, item.since, True), []).append(item)
            if item.until is not None:
                moves.setdefault((unit, item.until, False), []).append(item)
        for (unit, at, closed), items in moves.items():
            packs = [item for item in items if isinstance(item, Inside)]
            children = self.packs(packs, "childEPCs", "childQuantityList") if packs else {}
            if units := [self.unit(item.child) for item in items if isinstance(item, Stood)]:
                children["childEPCs"] = [*children.get("childEPCs", ()), *units]
            yield f"unit:{unit:018d}:{at}:{closed}", self.packing_event(unit, at, children, closed)

    def end_event(self, end: Ended) -> Event:
        """Packs that are no more."""
        step, state = _ENDS[end.kind]
        event = self.base("ObjectEvent", end.at, step, state)
        if end.undone:
            event["errorDeclaration"] = {"declarationTime": end.undone, "reason": "did_not_occur"}
        return {
            **event,
            "action": "DELETE",
            **self.packs([end], "epcList", "quantityList"),
            "lotwake:reason": end.reason,
        }


def weighed(epc_class: str, g: int | None) -> Event:
    """A quantity in kilograms, exact to the gram; a material nobody weighed has none."""
    if g is None:
        return {"epcClass": epc_class}
    return {"epcClass": epc_class, "quantity": g // 1000 if g % 1000 == 0 else g / 1000, "uom": KILOGRAM}


def epcis_document(found: Extract, made: datetime, serials: bool = False) -> dict[str, Any]:
    """Every event of what was asked for, in the order of time, corrections included."""
    told = [*_corrected(found, serials), *_uncorrected(found, serials)]
    return {
        "@context": list(CONTEXT), "type": "EPCISDocument", "schemaVersion": "2.0", "creationDate": instant_text(made),
        "epcisBody": {"eventList": sorted(told, key=lambda event: event["eventTime"])},
    }  # fmt: skip


def _uncorrected(found: Extract, serials: bool) -> Iterator[Event]:
    writer = Writer(found, serials)
    keyed = list(writer.packing_events())
    keyed += [(f"return:{found.returns[back].code}", writer.return_event(back)) for back in sorted(found.returns)]
    yield from (with_id(found, event, key, 0) for key, event in keyed)
    for end in found.ended:
        if end.kind not in (VOID, REWORK):  # a void label was never a pack; reworked packs went into a batch
            key = f"end:{found.runs[end.run].code}:{end.first}"
            yield with_id(found, writer.end_event(end), key, end.earlier)


def _corrected(found: Extract, serials: bool) -> Iterator[Event]:
    """Events of lots, batches, runs and dispatches: each as it holds now, and before it as it was told in error."""
    build: Mapping[str, Callable[[Writer, int], Event]] = {
        "lot": Writer.lot_event, "work": Writer.work_event, "dispatch": Writer.dispatch_event,
    }  # fmt: skip
    asked = found.asked
    works = sorted(work for work in asked.works if found.parents_of.get(work) or found.lots_into.get(work))
    subjects: list[Subject] = [("lot", lot) for lot in sorted(asked.lots)]
    subjects += [("work", work) for work in works]
    subjects += [("dispatch", dispatch) for dispatch in sorted(asked.dispatches)]
    told = {subject: [build[subject[0]](Writer(found, serials), subject[1])] for subject in subjects}
    declared: dict[Subject, list[str]] = {subject: [] for subject in subjects}
    earlier = found
    for together in corrections(found):
        changed = {subject for each in together if (subject := subject_of(found, each)) in told}
        for each in together:
            earlier = before(earlier, each)
        for subject in changed:
            if (
                subject is not None
                and (past := build[subject[0]](Writer(earlier, serials), subject[1])) != told[subject][-1]
            ):
                told[subject].append(past)
                declared[subject].append(together[0].at)
    for subject, versions in told.items():
        yield from _versions(found, _key(found, subject), versions, declared[subject])


def _key(found: Extract, subject: Subject) -> str:
    kind, ref = subject
    if kind == "lot":
        return f"lot:{found.lots[ref].code}"
    if kind == "dispatch":
        return f"dispatch:{found.dispatches[ref].code}"
    return f"work:{found.runs[ref].code if ref in found.runs else found.batches[ref].code}"


def _versions(found: Extract, key: str, versions: Sequence[Event], declared: Sequence[str]) -> Iterator[Event]:
    """``versions`` from the one that holds now back to the first; ``declared``: when each of the earlier was corrected."""
    last = len(versions) - 1
    named = [with_id(found, event, key, last - place) for place, event in enumerate(versions)]
    yield named[0]
    for place, at in enumerate(declared, 1):
        error = {"declarationTime": at, "reason": "incorrect_data", "correctiveEventIDs": [named[place - 1]["eventID"]]}
        yield {**named[place], "errorDeclaration": error}


def with_id(found: Extract, event: Event, key: str, version: int) -> Event:
    """The event under its id: by the house, the thing, how often it was corrected, and which goods the event names, since
    the chain of one lot may show only a part of a dispatch."""
    goods = [*event.get("epcList", ()), *event.get("childEPCs", ())]
    goods += [item["epcClass"] for name in ("quantityList", "childQuantityList") for item in event.get(name, ())]
    name = ":".join((found.site.company_prefix, key, str(version), *sorted(goods)))
    return {**event, "eventID": f"urn:uuid:{uuid5(_EVENTS, name)}"}
