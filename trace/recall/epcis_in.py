"""A supplier's EPCIS file, read for the lots in it: proposals of bought-in lots, for a person to look at.

Events that ship or commission lot classes (an EPC class URN or a GS1 Digital Link with a lot) are taken, also through cases
and pallets when the file says what is in them. The shipped quantity counts where there is one; the commissioning tells what
the lot is. Nothing is guessed: what a file does not say stays empty, and the reason is given.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from lotwake.labels.errors import LabelError
from lotwake.labels.gs1.digital_link import read_digital_link
from lotwake.labels.gs1.epc import digital_link_of_urn
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import GRAMS_PER_UNIT
from lotwake.trace.recall.epcis_rules import FIELDS, document_problems

MOST_BYTES = 100_000_000
_SHIPS, _MAKES = ("shipping", "departing"), ("commissioning", "creating_class_instance", "receiving", "packing")
_GRAMS = {"KGM": Decimal(1000), "GRM": Decimal(1), "TNE": Decimal(1_000_000), "LBR": GRAMS_PER_UNIT["lb"],
          "ONZ": GRAMS_PER_UNIT["oz"]}  # fmt: skip
"""UN/ECE Recommendation 20 codes of mass, in grams (from memory)."""
_SHOWN = 5
_MOST_G = 100_000_000
"""As for a weight that is typed: 100 tonnes."""


@dataclass(frozen=True)
class LotName:
    """A lot class: ``gtin`` 14 digits (empty in a URI without one), ``lot`` the supplier's lot code."""

    gtin: str
    lot: str
    uri: str

    @property
    def key(self) -> str:
        return f"{self.gtin}/{self.lot}"


@dataclass(frozen=True)
class Proposal:
    """A lot the file tells of. ``g`` grams, None when the file does not weigh it; ``count`` of pieces; days as in the file.

    ``doubts``: what the file leaves open or says in a way that cannot be used.
    """

    name: LotName
    g: int | None
    count: int | None
    species: str
    area: str
    gear: str
    method: str
    caught_from: date | None
    caught_to: date | None
    document: str
    event: str
    doubts: tuple[str, ...]


@dataclass
class _Told:
    """What the events say of one lot so far; ``made_from`` are the names of the lots that went into it."""

    name: LotName
    shipped: list[tuple[Decimal, str]] = field(default_factory=list)
    made: list[tuple[Decimal, str]] = field(default_factory=list)
    facts: dict[str, Any] = field(default_factory=dict)
    made_from: set[str] = field(default_factory=set)
    document: str = ""
    event: str = ""


@dataclass(frozen=True)
class Read:
    """What a file holds: proposals in the order of the file, and events that were passed over, by reason and how often."""

    proposals: tuple[Proposal, ...]
    passed_over: Mapping[str, int]


def read_epcis(data: bytes, name: str) -> Read:
    """Read a file. CallError, with the first things that are wrong, when it is no EPCIS 2.0 document in JSON."""
    reading = _Reading(_events(data, name))
    return Read(tuple(_proposal(reading, told) for told in reading.offered()), reading.passed_over)


def lot_name(uri: str) -> LotName | None:
    """The lot an identifier names: an LGTIN URN, a Digital Link with a lot, another house's URI of a lot or batch."""
    if uri.startswith("urn:x-lotwake:") and uri.count(":") == 4 and uri.split(":")[3] in ("lot", "batch"):
        return LotName("", uri.rpartition(":")[2], uri)
    try:
        link = digital_link_of_urn(uri) if uri.startswith("urn:epc:") else uri
        values = {element.ai: element.value for element in read_digital_link(link)}
    except LabelError:
        return None
    return LotName(values.get("01", ""), values["10"], uri) if "10" in values else None


def _events(data: bytes, name: str) -> list[dict[str, Any]]:
    if len(data) > MOST_BYTES:
        raise CallError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB.", "Ask the supplier for a smaller file.")
    try:
        document = json.loads(data.decode("utf-8-sig"), parse_float=Decimal, parse_constant=_no_number)
    except UnicodeDecodeError:
        raise CallError(f"{name} is not text in UTF-8.", "Ask the supplier for EPCIS 2.0 in JSON.") from None
    except json.JSONDecodeError as error:
        hint = "EPCIS 1.x is XML; ask for EPCIS 2.0 in JSON." if data.lstrip()[:1] == b"<" else "Is the file whole?"
        raise CallError(f"{name} is not JSON: {error.msg} in line {error.lineno}.", hint) from None
    except (RecursionError, ValueError, InvalidOperation):  # a number with an exponent beyond all bounds
        raise CallError(f"{name} cannot be read as JSON.", "Ask the supplier for EPCIS 2.0 in JSON.") from None
    problems = document_problems(document)
    if problems:
        more = f" And {len(problems) - _SHOWN} more." if len(problems) > _SHOWN else ""
        raise CallError(
            f"{name} is not right EPCIS 2.0: {' '.join(problems[:_SHOWN])}{more}", "Show this to the supplier."
        )
    events: list[dict[str, Any]] = document["epcisBody"]["eventList"]
    return events


def _no_number(text: str) -> None:
    raise ValueError(f"{text} is no number")


class _Reading:
    """Takes the events of a file one after the other."""

    def __init__(self, events: Sequence[Mapping[str, Any]]) -> None:
        self.told: dict[str, _Told] = {}
        self.passed_over: dict[str, int] = {}
        self._inside: dict[str, list[Mapping[str, Any]]] = {}
        for event in events:
            if event["type"] == "AggregationEvent" and event["action"] == "ADD" and "parentID" in event:
                self._inside.setdefault(event["parentID"], []).extend(_named(event, "childEPCs", "childQuantityList"))
        for event in events:
            if reason := self._take(event):
                self.passed_over[reason] = self.passed_over.get(reason, 0) + 1

    def offered(self) -> list[_Told]:
        """The lots that were shipped; in a file without a shipment, those that went into no other."""
        used = {name for told in self.told.values() for name in told.made_from}
        shipped = [told for told in self.told.values() if told.shipped]
        return shipped or [told for name, told in self.told.items() if name not in used]

    def origins(self, told: _Told) -> list[_Told]:
        """The lots a lot was made from, down to the first ones the file tells of; itself when it was made from none."""
        found: dict[str, _Told] = {}
        waiting, reached = [told], {told.name.key}
        while waiting:
            lot = waiting.pop(0)
            before = [self.told[name] for name in sorted(lot.made_from - reached) if name in self.told]
            reached |= {each.name.key for each in before}
            waiting += before
            if not lot.made_from:
                found[lot.name.key] = lot
        return list(found.values()) or [told]

    def _take(self, event: Mapping[str, Any]) -> str:
        """Take from an event what it says of lots; the reason when it is passed over."""
        if event["type"] not in FIELDS:
            return f"{event['type']}: a kind of event we do not know"
        if "errorDeclaration" in event:
            return "declared to be in error"
        if event["type"] == "AggregationEvent":
            return ""  # was looked at before the others
        if event["type"] == "TransformationEvent":
            return self._take_transformation(event)
        step = _word(event.get("bizStep", ""))
        if event["type"] != "ObjectEvent" or event["action"] == "DELETE" or step not in (*_SHIPS, *_MAKES):
            return f"{event['type']} {event.get('action')} {step or 'without a step'}: no lot is shipped or made by it"
        found = list(self._opened(_named(event, "epcList", "quantityList"), set()))
        if not [told for item in found if (told := self._keep(event, item, step in _SHIPS))]:
            return f"{step}: names no lot, and the file does not say what is inside"
        return ""

    def _take_transformation(self, event: Mapping[str, Any]) -> str:
        inputs = {
            name.key
            for item in _named(event, "inputEPCList", "inputQuantityList")
            if (name := lot_name(item["epcClass"]))
        }
        for item in _named(event, "outputEPCList", "outputQuantityList"):
            if told := self._keep(event, item, shipped=False):
                told.made_from |= inputs - {told.name.key}
        return ""

    def _opened(self, items: Iterable[Mapping[str, Any]], opened: set[str]) -> Iterator[Mapping[str, Any]]:
        """The items with every case and pallet replaced by what is in it, each opened once."""
        waiting = list(items)
        while waiting:
            item = waiting.pop(0)
            unit = item["epcClass"]
            if unit in self._inside and unit not in opened:
                opened.add(unit)
                waiting += self._inside[unit]
            else:
                yield item

    def _keep(self, event: Mapping[str, Any], item: Mapping[str, Any], shipped: bool) -> _Told | None:
        """Put down what an event says of the lot an item names; None when it names none."""
        name = lot_name(item["epcClass"])
        if name is None:
            return None
        told = self.told.setdefault(name.key, _Told(name))
        serial = "quantity" not in item and "/21/" in item["epcClass"]
        if "quantity" in item or serial:
            amount = Decimal(str(item.get("quantity", 1)))
            (told.shipped if shipped else told.made).append((amount, item.get("uom", "EA")))
        told.facts |= {_word(key): value for key, value in {**event.get("ilmd", {}), **event}.items() if ":" in key}
        told.event = event.get("eventID", told.event)
        if shipped:
            papers = [paper["bizTransaction"] for paper in event.get("bizTransactionList", ())]
            told.document = _text(event.get("lotwake:document")) or "".join(map(_last, papers[:1])) or told.document
        return told


def _named(event: Mapping[str, Any], ids: str, quantities: str) -> list[Mapping[str, Any]]:
    """What an event names, one by one and by quantity, in one form."""
    return [*({"epcClass": epc} for epc in event.get(ids, ())), *event.get(quantities, ())]


def _last(uri: str) -> str:
    """What stands behind the last slash or colon."""
    return uri.rpartition("/")[2].rpartition(":")[2]


def _word(text: str) -> str:
    """The short word of a vocabulary term in any of its forms: bare, prefixed, URN or web address."""
    return _last(text).rpartition("-")[2]


def _proposal(reading: _Reading, told: _Told) -> Proposal:
    doubts: list[str] = []
    g, count = _amount(told, doubts)
    origins = reading.origins(told)
    boats = [boat for origin in origins for boat in _boats(origin.facts.get("vesselCatchInformationList"))]
    method = _one("production method", [_text(each.facts.get(_METHOD)) for each in origins], doubts)
    caught_from = [_day(each.facts.get("harvestStartDate"), doubts) for each in origins]
    caught_to = [_day(each.facts.get("harvestEndDate"), doubts) for each in origins]
    return Proposal(
        name=told.name, g=g, count=count, species=_one("species", [_species(each.facts) for each in origins], doubts),
        area=_one("area", [_text(boat.get("catchArea")) for boat in boats], doubts),
        gear=_one("gear", [_text(boat.get("fishingGearTypeCode")) for boat in boats], doubts),
        method=_METHODS.get(_word(method), ""), caught_from=min(filter(None, caught_from), default=None),
        caught_to=max(filter(None, caught_to), default=None), document=told.document, event=told.event,
        doubts=tuple(dict.fromkeys(doubts)),
    )  # fmt: skip


_METHOD = "productionMethodForFishAndSeafoodCode"
_METHODS = {"MARINE_FISHERIES": "caught at sea", "INLAND_FISHERIES": "caught in fresh water", "AQUACULTURE": "farmed"}


def _one(what: str, texts: Iterable[str], doubts: list[str]) -> str:
    """What all the lots behind it say that say anything; nothing, and a doubt, when they differ."""
    said = sorted(set(filter(None, texts)))
    if len(said) > 1:
        doubts.append(f"its fish is of more than one {what}: {', '.join(said)}")
    return said[0] if len(said) == 1 else ""


def _boats(value: Any) -> list[dict[str, Any]]:
    if isinstance(value, dict):
        value = next((part for part in value.values() if isinstance(part, list)), [value])
    every = value if isinstance(value, list) else []
    return [{_word(str(key)): part for key, part in boat.items()} for boat in every if isinstance(boat, dict)]


def _amount(told: _Told, doubts: list[str]) -> tuple[int | None, int | None]:
    """Grams, or pieces when the file only counts; both when it also says what a piece weighs."""
    amounts = told.shipped or told.made
    weighed = sum((number * _GRAMS[uom] for number, uom in amounts if uom in _GRAMS), Decimal(0))
    pieces = sum((number for number, uom in amounts if uom not in _GRAMS), Decimal(0))
    if not (0 <= weighed <= _MOST_G and 0 <= pieces <= _MOST_G) or pieces != pieces.to_integral_value():
        doubts.append("its quantity cannot be")
        return None, None
    each_g, count = told.facts.get("packNetGrams"), int(pieces) or None
    if weighed and pieces:
        doubts.append("the file weighs a part of it and counts another")
        return None, count
    if weighed and weighed != weighed.to_integral_value():
        doubts.append("its weight is finer than one gram and was rounded")
    if weighed:
        return int(weighed.to_integral_value()), None
    if count and isinstance(each_g, int) and not isinstance(each_g, bool) and each_g > 0:
        return count * each_g, count
    doubts.append("the file does not say what it weighs")
    return None, count


def _species(facts: Mapping[str, Any]) -> str:
    for key in ("speciesForFisheryStatisticsPurposesCode", "speciesCode", "speciesForFisheryStatisticsPurposesName"):
        if text := _text(facts.get(key)):
            return _word(text)
    return ""


def _text(value: Any) -> str:
    return value.strip() if isinstance(value, str) else ""


def _day(value: Any, doubts: list[str]) -> date | None:
    text = _text(value)
    if not text:
        return None
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        doubts.append(f"{text!r} is not a day")
        return None
