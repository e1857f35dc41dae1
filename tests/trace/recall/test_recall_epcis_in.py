"""A supplier's EPCIS file: what is proposed of it, and that it comes in whole or not at all."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from recall_chain import Sent

from lotwake.trace.actions.bring_epcis import Added, bring_epcis
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.actions.send_out import Choice, send_epcis
from lotwake.trace.base.errors import CallError, NotFound, Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.recall.epcis_in import Proposal, read_epcis
from lotwake.trace.records import facts
from lotwake.trace.records.journal import head

Event = dict[str, Any]
LOT_URN, LOT_LINK = "urn:epc:class:lgtin:9520000.000002.A7", "https://id.gs1.org/01/09520000000028/10/A7"
ADDED = Added(dealer="Fish Round", species="HAD")


def _event(kind: str = "ObjectEvent", **changes: Any) -> Event:
    event = {"type": kind, "eventTime": "2026-11-23T06:00:00Z", "eventTimeZoneOffset": "+01:00", **changes}
    return {name: value for name, value in event.items() if value is not None}


def _shipped(*quantities: Event, step: str = "shipping", **changes: Any) -> Event:
    return _event(action="OBSERVE", bizStep=step, quantityList=list(quantities) or None, **changes)


def _of(epc_class: str, quantity: float | None = None, uom: str | None = None) -> Event:
    said = {"epcClass": epc_class, "quantity": quantity, "uom": uom}
    return {name: value for name, value in said.items() if value is not None}


def _file(*events: Event) -> bytes:
    document = {
        "@context": ["https://ref.gs1.org/standards/epcis/epcis-context.jsonld"], "type": "EPCISDocument",
        "schemaVersion": "2.0", "creationDate": "2026-11-23T06:00:00Z", "epcisBody": {"eventList": list(events)},
    }  # fmt: skip
    return json.dumps(document).encode()


def _proposals(*events: Event) -> tuple[Proposal, ...]:
    return read_epcis(_file(*events), "file.json").proposals


def _written(tmp_path: Path, *events: Event) -> Path:
    path = tmp_path / "theirs.json"
    path.write_bytes(_file(*events))
    return path


AMOUNTS = [
    (12.345, "KGM", 12_345, None, 0), (500, "GRM", 500, None, 0), (10, "LBR", 4536, None, 1), (24, "EA", None, 24, 1),
    (24, None, None, 24, 1), (0, "KGM", None, None, 1), (-1, "KGM", None, None, 1), (10**9, "KGM", None, None, 1),
    (1.5, "EA", None, None, 1),
]  # fmt: skip


@pytest.mark.parametrize(("quantity", "uom", "g", "count", "doubts"), AMOUNTS)
def test_amounts(quantity: float, uom: str | None, g: int | None, count: int | None, doubts: int) -> None:
    """Mass becomes whole grams, pieces stay pieces, and what cannot be is doubted instead of taken."""
    (lot,) = _proposals(_shipped(_of(LOT_URN, quantity, uom)))
    assert (lot.g, lot.count, len(lot.doubts)) == (g, count, doubts)


def test_one_lot_in_two_forms_is_one() -> None:
    """The URN and the Digital Link of a lot are the same lot, and what is shipped counts, not what was made."""
    ilmd = {"cbvmda:speciesForFisheryStatisticsPurposesCode": "HAD", "cbvmda:harvestEndDate": "2026-11-20"}
    made = _event(action="ADD", bizStep="commissioning", quantityList=[_of(LOT_LINK, 900, "KGM")], ilmd=ilmd)
    (lot,) = _proposals(made, _shipped(_of(LOT_URN, 100, "KGM")), _shipped(_of(LOT_LINK, 50, "KGM")))
    assert (lot.name.gtin, lot.name.lot, lot.g) == ("09520000000028", "A7", 150_000)
    assert (lot.species, lot.caught_to) == ("HAD", date(2026, 11, 20))


def test_what_is_in_a_pallet_is_found() -> None:
    """A shipped pallet is opened down to the lots in its cases, each case once."""
    pallet, case = (f"https://id.gs1.org/00/{sscc}" for sscc in ("095200000000003005", "095200000000003845"))
    packed = _event("AggregationEvent", action="ADD", parentID=case, childQuantityList=[_of(LOT_URN, 8, "KGM")])
    stacked = _event("AggregationEvent", action="ADD", parentID=pallet, childEPCs=[case, pallet])
    (lot,) = _proposals(packed, stacked, _shipped(epcList=[pallet]))
    assert lot.g == 8_000


@pytest.mark.parametrize(
    ("step", "bare"),
    [
        ("shipping", "shipping"),
        ("https://ref.gs1.org/cbv/BizStep-shipping", "shipping"),
        ("cbv:BizStep-shipping", "shipping"),
    ],
)
def test_the_step_is_read_in_each_form(step: str, bare: str) -> None:
    """The step of an event is read short, as a web address and prefixed."""
    (lot,) = _proposals(_shipped(_of(LOT_URN, 1, "KGM"), step=step))
    assert lot.g == 1_000, bare


def test_events_that_say_nothing_are_passed_over_aloud() -> None:
    """Unknown kinds, deletions, events in error and pallets nobody described are counted with their reasons."""
    read = read_epcis(
        _file(
            _shipped(_of(LOT_URN, 1, "KGM")), _event("https://other.example/Event"), _shipped(_of(LOT_URN), step="inspecting"),
            _shipped(_of(LOT_URN, 5, "KGM"), errorDeclaration={"declarationTime": "2026-11-23T07:00:00Z"}),
            _shipped(epcList=["https://id.gs1.org/00/095200000000003005"]),
        ),
        "file.json",
    )  # fmt: skip
    assert len(read.proposals) == 1
    assert read.proposals[0].g == 1_000
    assert sorted(read.passed_over.values()) == [1, 1, 1, 1]


def test_fish_of_several_origins_is_doubted() -> None:
    """Area and species come from the lots behind a shipped one when these agree, and are left open when they do not."""
    catches = [("27.2.a", "L1"), ("27.4.b", "L2")]
    landed = [
        _event(action="ADD", bizStep="commissioning", quantityList=[_of(f"urn:x-lotwake:9520000:lot:{lot}", 5, "KGM")],
               ilmd={"cbvmda:speciesForFisheryStatisticsPurposesCode": "COD",
                     "cbvmda:vesselCatchInformationList": [{"cbvmda:catchArea": area}]})
        for area, lot in catches
    ]  # fmt: skip
    smoked = _event("TransformationEvent", inputQuantityList=[_of(f"urn:x-lotwake:9520000:lot:{lot}") for _, lot in catches],
                    outputQuantityList=[_of(LOT_URN, 8, "KGM")])  # fmt: skip
    (lot,) = _proposals(*landed, smoked)
    assert (lot.name.lot, lot.species, lot.area) == ("A7", "COD", "")
    assert lot.doubts == ("its fish is of more than one area: 27.2.a, 27.4.b",)


BAD = [
    (b"", "is not JSON"), (b"<epcis/>", "EPCIS 1.x is XML"), (b"{", "is not JSON"), (b"[]", "not one JSON object"),
    (b"\xff\xfe\x00", "not text in UTF-8"), (b"[" * 100_000, "cannot be read|is not JSON"), (b'{"a": NaN}', "cannot be read"),
    (b"1E" + b"5" * 40, "cannot be read"),
    (b'{"type": "EPCISQueryDocument"}', "no @context"),
    (_file(_shipped()), "needs an epcList or a quantityList"),
    (_file(_shipped({"epcClass": "no uri"})), "epcClass is not a URI"),
    (_file(_event(action="OBSERVE", quantityList={"epcClass": LOT_URN})), "quantityList is not a list"),
    (_file(_shipped(_of(LOT_URN, 1, "kilo"))), "uom 'kilo'"),
    (_file(*[_shipped()] * 9), "And 4 more"),
    (_file("nonsense"), "not a JSON object"),  # type: ignore[arg-type]
]  # fmt: skip


@pytest.mark.parametrize(("content", "said"), BAD, ids=range(len(BAD)))
def test_what_is_no_epcis_is_refused_in_a_sentence(content: bytes, said: str) -> None:
    """A file that is broken or breaks the rules is refused, and the sentence names the first things that are wrong."""
    with pytest.raises(CallError, match=said):
        read_epcis(content, "file.json")


def test_lots_come_in(desk: Desk, tmp_path: Path) -> None:
    """Each proposed lot becomes a bought-in lot with the supplier's code, its mass, document and where it was read."""
    papers = [{"type": "desadv", "bizTransaction": "urn:x:note:D-7"}]
    shipped = _shipped(_of(LOT_URN, 12.345, "KGM"), eventID="urn:uuid:1", bizTransactionList=papers)
    path = _written(tmp_path, shipped)
    brought = bring_epcis(desk, path, ADDED)
    (line,) = brought.lines
    assert brought.kept
    assert line.thing is not None
    lot = facts.lots(desk.records, [line.thing.id])[line.thing.id]
    assert (lot.kind, lot.sender, lot.their_code, lot.g, lot.species) == (
        "bought-in",
        "Fish Round",
        "A7",
        12_345,
        "HAD",
    )
    assert (lot.document, lot.note) == ("D-7", "GTIN 09520000000028, EPCIS event urn:uuid:1")


def test_a_dry_run_keeps_nothing(desk: Desk, tmp_path: Path) -> None:
    """A dry run tries the rules of the record and leaves the journal where it was."""
    path = _written(tmp_path, _shipped(_of(LOT_URN, 12, "KGM")))
    before = head(desk.records)
    brought = bring_epcis(desk, path, ADDED, dry_run=True)
    assert (brought.clean, brought.kept, brought.lines[0].thing) == (True, False, None)
    assert head(desk.records) == before


def test_one_lot_that_cannot_come_in_keeps_all_out(desk: Desk, tmp_path: Path) -> None:
    """A second lot without a weight, or with an area that does not exist, leaves the first one out too."""
    other = LOT_URN.replace("A7", "B8")
    catch = {"lotwake:x": 1, "cbvmda:vesselCatchInformationList": [{"cbvmda:catchArea": "99.z"}]}
    for second in (_shipped(_of(other, 5, "EA")), _shipped(_of(other, 5, "KGM"), **catch)):
        before = head(desk.records)
        brought = bring_epcis(desk, _written(tmp_path, _shipped(_of(LOT_URN, 12, "KGM")), second), ADDED)
        assert not brought.kept
        assert [bool(line.problems) for line in brought.lines] == [False, True]
        assert head(desk.records) == before


def test_what_the_file_leaves_open_is_filled_in(desk: Desk, tmp_path: Path) -> None:
    """A weight and a choice of lots said beside the file are taken; lots that were not chosen stay out."""
    path = _written(tmp_path, _shipped(_of(LOT_URN, 24, "EA"), _of(LOT_URN.replace("A7", "B8"), 5, "EA")))
    brought = bring_epcis(desk, path, Added(dealer="Fish Round", species="haddock", g={"A7": 7_200}, only=("A7",)))
    assert brought.kept
    assert [(line.proposal.name.lot, line.g) for line in brought.lines] == [("A7", 7_200)]


def test_the_same_file_twice_is_refused(desk: Desk, tmp_path: Path) -> None:
    """A lot that is written down already is not written down again."""
    path = _written(tmp_path, _shipped(_of(LOT_URN, 12, "KGM")))
    assert bring_epcis(desk, path, ADDED).kept
    again = bring_epcis(desk, path, ADDED)
    assert not again.kept
    assert "written down already" in again.lines[0].problems[0]


REFUSED: list[tuple[Added, type[Exception], str]] = [
    (Added(dealer="Fish Round", only=("ZZ",)), NotFound, "has no lot 'ZZ'"),
    (Added(dealer="Fish Round", g={"ZZ": 1}), NotFound, "has no lot 'ZZ'"),
]


@pytest.mark.parametrize(("added", "error", "said"), REFUSED)
def test_lots_that_are_not_there(desk: Desk, tmp_path: Path, added: Added, error: type[Exception], said: str) -> None:
    """A lot named beside the file that is not in it is pointed out."""
    with pytest.raises(error, match=said):
        bring_epcis(desk, _written(tmp_path, _shipped(_of(LOT_URN, 1, "KGM"))), added)


def test_nothing_to_bring_in(desk: Desk, tmp_path: Path) -> None:
    """No file, a file without lots, and nobody at work each have their sentence."""
    with pytest.raises(NotFound, match="no file"):
        bring_epcis(desk, tmp_path / "none.json", ADDED)
    with pytest.raises(NotFound, match="names no lot"):
        bring_epcis(desk, _written(tmp_path), ADDED)
    with pytest.raises(Refused, match="Nobody is at work"):
        bring_epcis(replace(desk, operator=None), tmp_path / "none.json", ADDED)


def test_a_dealer_and_a_species_are_asked_for(desk: Desk, tmp_path: Path) -> None:
    """What a bought-in lot needs and the file does not say is asked for by the option that says it."""
    brought = bring_epcis(desk, _written(tmp_path, _shipped(_of(LOT_URN, 3, "EA"))), Added(), dry_run=True)
    assert [problem.rpartition(": ")[2] for problem in brought.lines[0].problems] == [
        "--dealer NAME.",
        "--kg A7=KG.",
        "--species CODE.",
    ]


def test_what_one_house_sends_another_can_bring_in(sent: Sent, house: Any, tmp_path: Path, template: Path) -> None:
    """A dispatch sent out as EPCIS comes into another house as bought-in lots: codes, packs, grams, species and area."""
    path = tmp_path / "sent.json"
    send_epcis(sent.desk, Choice((sent.dispatch,)), path)
    shutil.copytree(template, tmp_path / "other")
    other = open_desk(places_at(tmp_path / "other"), "SK", house.clock)
    try:
        brought = bring_epcis(other, path, Added(dealer="Fish Round"))
        (line,) = brought.lines
        assert line.problems == ()
        assert brought.kept
        assert line.thing is not None
        lot = facts.lots(other.records, [line.thing.id])[line.thing.id]
    finally:
        other.close()
    assert (lot.their_code, line.proposal.count, lot.g) == (sent.run, 30, 9_000)
    assert (lot.species, lot.area, lot.method) == ("HAD", "27.4.b", "caught at sea")
