"""EPCIS events: one for each thing that happened, with the record's numbers, and corrections told as such."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from recall_chain import Sent, in_season

from lotwake.demo_db.builder import Built
from lotwake.trace.actions import correct, pack
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.send_out import Choice, chosen, send_epcis
from lotwake.trace.recall import epcis_out
from lotwake.trace.recall.epcis_out import epcis_document, weighed
from lotwake.trace.recall.epcis_rules import document_problems

MADE = datetime(2026, 11, 24, 12, tzinfo=UTC)
STEM = "https://id.gs1.org"
Event = dict[str, Any]


def _events(desk: Desk, *codes: str, serials: bool = False) -> list[Event]:
    document = epcis_document(chosen(desk, Choice(codes)), MADE, serials)
    assert document_problems(document) == []
    events: list[Event] = document["epcisBody"]["eventList"]
    return events


def _of(events: list[Event], kind: str, step: str) -> list[Event]:
    return [event for event in events if event["type"] == kind and event["bizStep"] == step]


def _own(kind: str, code: str) -> str:
    return f"urn:x-lotwake:9520000:{kind}:{code}"


def _lot(run: str, serial: int | None = None) -> str:
    return f"{STEM}/01/09520000000028/10/{run}" + ("" if serial is None else f"/21/{serial}")


def test_the_events_of_a_chain(sent: Sent) -> None:
    """Each step of the chain is told once, by the kind of event and the step the mapping names."""
    events = _events(sent.desk, sent.run)
    told = sorted(
        (event["type"], event["bizStep"], event.get("action", ""))
        for event in events
        if "errorDeclaration" not in event
    )
    assert told == sorted([
        ("ObjectEvent", "commissioning", "ADD"), ("ObjectEvent", "commissioning", "ADD"),
        ("ObjectEvent", "receiving", "OBSERVE"),  # bags
        ("TransformationEvent", "commissioning", ""), ("TransformationEvent", "commissioning", ""),
        ("TransformationEvent", "commissioning", ""), ("TransformationEvent", "commissioning", ""),
        ("AggregationEvent", "packing", "ADD"), ("AggregationEvent", "packing", "ADD"), ("AggregationEvent", "packing", "ADD"),
        ("AggregationEvent", "unpacking", "DELETE"),  # the case that came back left its pallet
        ("ObjectEvent", "shipping", "OBSERVE"), ("ObjectEvent", "receiving", "OBSERVE"),
        ("ObjectEvent", "destroying", "DELETE"),
    ])  # fmt: skip
    assert [event["eventTime"] for event in events] == sorted(event["eventTime"] for event in events)


def test_transformations_carry_the_records_grams_and_packs(sent: Sent) -> None:
    """What went into a batch and a run, and what came out, is what the record says."""
    made = {event["outputQuantityList"][0]["epcClass"]: event for event in _events(sent.desk, sent.run)
            if event["type"] == "TransformationEvent"}  # fmt: skip
    batch = made[_own("batch", sent.batch)]
    inputs = {item["epcClass"]: item.get("quantity") for item in batch["inputQuantityList"]}
    assert inputs[_own("lot", sent.landing)] == 15
    assert inputs[_own("lot", sent.second)] == 5.001
    assert batch["outputQuantityList"] == [{"epcClass": _own("batch", sent.batch), "quantity": 17, "uom": "KGM"}]
    run = made[_lot(sent.run)]
    assert run["inputQuantityList"] == [{"epcClass": _own("batch", sent.batch), "quantity": 14.4, "uom": "KGM"}]
    assert run["outputQuantityList"] == [{"epcClass": _lot(sent.run), "quantity": 47, "uom": "EA"}]
    blend = made[_own("batch", sent.blend)]
    assert {"epcClass": _lot(sent.run), "quantity": 0.6, "uom": "KGM"} in blend["inputQuantityList"]


def test_goods_on_their_way(sent: Sent) -> None:
    """A dispatch names the pallet and counts loose packs; a return names the case that came back and the loose pack."""
    events = _events(sent.desk, sent.dispatch)
    (shipped,) = _of(events, "ObjectEvent", "shipping")
    assert shipped["epcList"] == [f"{STEM}/00/{sent.pallet}"]
    assert shipped["quantityList"] == [{"epcClass": _lot(sent.run), "quantity": 6, "uom": "EA"}]
    assert shipped["bizTransactionList"] == [{"type": "desadv", "bizTransaction": _own("dispatch", sent.dispatch)}]
    (back,) = [event for event in _of(events, "ObjectEvent", "receiving") if event["disposition"] == "returned"]
    assert back["epcList"] == [f"{STEM}/00/{sent.case}"]
    assert back["quantityList"][0]["quantity"] == 1


def test_packs_by_serial(sent: Sent) -> None:
    """When asked for, packs are named one by one, loose ones beside the pallet."""
    events = _events(sent.desk, sent.dispatch, serials=True)
    (shipped,) = _of(events, "ObjectEvent", "shipping")
    assert shipped["epcList"] == [f"{STEM}/00/{sent.pallet}", *(_lot(sent.run, serial) for serial in range(30, 36))]
    cases = [event for event in _of(events, "AggregationEvent", "packing") if event["parentID"].endswith(sent.case)]
    assert cases[0]["childEPCs"] == [_lot(sent.run, serial) for serial in range(1, 13)]


def test_a_correction_is_declared(sent: Sent) -> None:
    """A corrected landing is told twice: as it is, and as it was told, declared wrong and pointing to the right event."""
    landed = [event for event in _events(sent.desk, sent.landing) if event["bizStep"] == "commissioning"
              and event.get("quantityList", [{}])[0].get("epcClass") == _own("lot", sent.landing)]  # fmt: skip
    wrong = next(event for event in landed if "errorDeclaration" in event)
    right = next(event for event in landed if "errorDeclaration" not in event)
    assert (wrong["quantityList"][0]["quantity"], right["quantityList"][0]["quantity"]) == (20, 19)
    assert wrong["errorDeclaration"]["reason"] == "incorrect_data"
    assert wrong["errorDeclaration"]["correctiveEventIDs"] == [right["eventID"]]


def _told(desk: Desk, code: str, kind: str) -> list[Event]:
    """The events of one thing, the one that holds now last."""
    events = [event for event in _events(desk, code) if kind in json.dumps(event)]
    return sorted(events, key=lambda event: "errorDeclaration" not in event)


def test_the_first_event_keeps_its_id(sent: Sent) -> None:
    """What a buyer was told before a correction bears the same id and says the same in every later file."""
    before = [event for event in _events(sent.desk, sent.run) if event["type"] == "TransformationEvent"]
    correct.correct_input(sent.desk, sent.batch, sent.second, 5_100, "the scale was read wrong")
    correct.correct_input(sent.desk, sent.batch, sent.second, 5_200, "and once more")
    after = {event["eventID"]: event for event in _events(sent.desk, sent.run)}
    changed = 0
    for event in before:
        later = dict(after[event["eventID"]])
        changed += later.pop("errorDeclaration", None) is not None
        assert later == event
    assert changed == 1
    chain = [
        event for event in after.values() if "errorDeclaration" in event and event["type"] == "TransformationEvent"
    ]
    assert len(chain) == 2
    assert all(event["errorDeclaration"]["correctiveEventIDs"][0] in after for event in chain)


def test_an_end_that_was_taken_back_is_declared(sent: Sent) -> None:
    """The event that packs are no more keeps its id and is declared not to have occurred; an end after it is another event."""
    ended = f"{sent.run}/36"
    pack.end_packs(sent.desk, ended, "DESTROYED", "burnt")
    (told,) = _destroyed(sent)
    pack.undo_end(sent.desk, ended, "it was another")
    pack.end_packs(sent.desk, ended, "DESTROYED", "burnt after all")
    wrong, right = _destroyed(sent)
    assert wrong.pop("errorDeclaration")["reason"] == "did_not_occur"
    assert wrong == told
    assert right["eventID"] != told["eventID"]


def _destroyed(sent: Sent) -> list[Event]:
    events = [event for event in _events(sent.desk, sent.run) if event.get("lotwake:reason", "").startswith("burnt")]
    return sorted(events, key=lambda event: "errorDeclaration" not in event)


CORRECTIONS = [
    ("landing", "area", "27.2.a", "catchArea"), ("landing", "boat", "Brisling", "vesselName"),
    ("landing", "species", "COD", "speciesForFisheryStatisticsPurposesCode"), ("landing", "gear", "SV", "fishingGearTypeCode"),
    ("landing", "document", "L-9", "lotwake:document"), ("run", "best-before", "2027-02-01", "bestBeforeDate"),
    ("dispatch", "document", "D-9", "lotwake:document"),
]  # fmt: skip


@pytest.mark.parametrize(("what", "field", "value", "name"), CORRECTIONS)
def test_every_correction_an_event_shows_is_declared(sent: Sent, what: str, field: str, value: str, name: str) -> None:
    """A correction of any field that an event shows makes one more error declaration with what it said before."""
    count = sum("errorDeclaration" in event for event in _events(sent.desk, sent.run))
    code = getattr(sent, what)
    correct.correct(sent.desk, code, field, value, "misread")
    events = _events(sent.desk, sent.run)
    declared = [event for event in events if "errorDeclaration" in event]
    assert len(declared) == count + 1
    by_id = {event["eventID"]: event for event in events}
    pairs = [(event, by_id[event["errorDeclaration"]["correctiveEventIDs"][0]]) for event in declared]
    assert any(_values(old, name) != _values(new, name) for old, new in pairs)


def _values(event: Any, name: str) -> list[Any]:
    if isinstance(event, dict):
        own = [value for key, value in event.items() if key.endswith(name)]
        return own + [found for value in event.values() for found in _values(value, name)]
    return [found for item in event for found in _values(item, name)] if isinstance(event, list) else []


def test_a_correction_no_event_shows_is_not_declared(sent: Sent) -> None:
    """A new telephone number of the buyer changes no event."""
    before = _events(sent.desk, sent.run)
    correct.correct_party(sent.desk, "buyer", "Quay Deli", "phone", "+47 000 00 009", "new number")
    assert _events(sent.desk, sent.run) == before


def test_ids_are_unique_and_the_same_every_time(season: Built) -> None:
    """No two events of the season share an id, and a second export gives the same events."""

    def ask(desk: Desk) -> list[list[Event]]:
        found = [chosen(desk, Choice(since=date(2026, 8, 1))) for _ in range(2)]
        return [epcis_document(each, MADE)["epcisBody"]["eventList"] for each in found]

    first, second = in_season(season, ask)
    assert first == second
    assert len({event["eventID"] for event in first}) == len(first)


def test_offsets_follow_the_clocks_of_the_house(season: Built) -> None:
    """An event before the clocks went back on 25 October has +02:00, one after it +01:00."""

    def ask(desk: Desk) -> list[Event]:
        events: list[Event] = epcis_document(chosen(desk, Choice(since=date(2026, 8, 1))), MADE)["epcisBody"][
            "eventList"
        ]
        return events

    offsets = {
        (event["eventTime"] < "2026-10-25T01:00:00Z", event["eventTimeZoneOffset"]) for event in in_season(season, ask)
    }
    assert offsets == {(True, "+02:00"), (False, "+01:00")}


def test_the_season_counts_as_the_record_does(season: Built) -> None:
    """Grams landed, packs made, and packs in cases of the season's events are those of the record."""

    def ask(desk: Desk) -> tuple[list[Event], list[int]]:
        sql = (
            "SELECT SUM(g) FROM lot", "SELECT SUM(last - first + 1) FROM content WHERE until IS NULL OR until > since",
            "SELECT SUM(last - first + 1) FROM pack_range WHERE 1 = 1",
            "SELECT SUM(last - first + 1) FROM pack_end WHERE kind = 'VOID'",
        )  # fmt: skip
        document = epcis_document(chosen(desk, Choice(since=date(2026, 8, 1))), MADE)
        return document["epcisBody"]["eventList"], [desk.records.value(each) for each in sql]

    events, (landed_g, cased, labelled, void) = in_season(season, ask)
    now = [event for event in events if "errorDeclaration" not in event]
    named = [item for event in now for item in event.get("quantityList", ())]
    lots = [item for item in named if ":lot:" in item["epcClass"]]
    assert sum(round(item["quantity"] * 1000) for item in lots) == landed_g
    made = [item for event in now for item in event.get("outputQuantityList", ()) if item["uom"] == "EA"]
    assert sum(item["quantity"] for item in made) == labelled - void
    inside = [item for event in now if event.get("action") == "ADD" for item in event.get("childQuantityList", ())]
    assert sum(item["quantity"] for item in inside) == cased


@pytest.mark.parametrize(("g", "quantity"), [(0, 0), (1, 0.001), (12_345, 12.345), (213_000, 213), (None, None)])
def test_grams_as_kilograms(g: int | None, quantity: float | None) -> None:
    """Kilograms are exact to the gram; what nobody weighed has no quantity."""
    assert weighed("urn:x:1", g).get("quantity") == quantity


def test_wrong_events_are_not_written(sent: Sent, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Should the events break the rules, nothing is written and the sentence says what is wrong."""
    from lotwake.trace.base.errors import NeedsAttention

    monkeypatch.setattr(epcis_out, "KILOGRAM", "kg")
    with pytest.raises(NeedsAttention, match="uom 'kg'"):
        send_epcis(sent.desk, Choice((sent.run,)), tmp_path / "x.json")
    assert list(tmp_path.glob("*json*")) == []
