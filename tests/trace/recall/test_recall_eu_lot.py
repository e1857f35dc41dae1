"""EU lot information and the dispatch note: each lot with the lots in it, numbers as recorded, what is missing named."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from recall_chain import DEALERS_LOT, Sent, in_season

from lotwake.demo_db.builder import Built
from lotwake.trace.actions import correct
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.send_out import Choice, send_eu, send_note
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError


def _eu(desk: Desk, path: Path, *codes: str) -> dict[str, Any]:
    send_eu(desk, Choice(codes), path)
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def test_a_landing_carries_the_set_of_article_58(sent: Sent, tmp_path: Path) -> None:
    """Method, vessel, species, presentation, mass, area and gear of a landing are those of the record."""
    lots = _eu(sent.desk, tmp_path / "eu.json", sent.landing)["lots"]
    lot = next(lot for lot in lots if lot["lot"] == sent.landing)
    assert (lot["production_method"], lot["vessel"], lot["vessel_registration"]) == ("caught", "Aurora", "N-12-X")
    assert (lot["species_code"], lot["scientific_name"]) == ("HAD", "Melanogrammus aeglefinus")
    assert (lot["net_g"], lot["net_kg"]) == (19_000, 19.0)
    assert (lot["area_code"], lot["gear_code"], lot["gear_category"]) == ("27.4.b", "03.12", "trawls")


def test_what_is_missing_is_named_with_the_reason(sent: Sent, tmp_path: Path) -> None:
    """A blank field and one the record has no place for are told apart."""
    lots = _eu(sent.desk, tmp_path / "eu.json", sent.landing, sent.bought)["lots"]
    lacking = {lot["lot"]: {gap["field"]: gap["why"] for gap in lot["missing"]} for lot in lots}
    assert lacking[sent.landing]["caught_from"] == "it was not written down"
    assert lacking[sent.landing]["trip_numbers"] == "it was not written down"
    assert "vessel" not in lacking[sent.landing]
    assert {"vessel", "vessel_registration", "production_method"} <= lacking[sent.bought].keys()


def test_trip_thawing_and_small_fish_are_told(sent: Sent, tmp_path: Path) -> None:
    """What is known of trip, thawing and fish under the minimum size is in the lot and the table, and lacking no more."""
    for field, text in (("trip", "NO-7, NO-8"), ("received-as", "thawed"), ("undersize", "1.5 kg")):
        correct.correct(sent.desk, sent.landing, field, text, "asked the skipper")
    lots = _eu(sent.desk, tmp_path / "eu.json", sent.landing)["lots"]
    lot = next(lot for lot in lots if lot["lot"] == sent.landing)
    assert (lot["trip_numbers"], lot["thawed"]) == (["NO-7", "NO-8"], True)
    assert (lot["under_minimum_size"], lot["under_minimum_size_g"]) == (True, 1_500)
    assert not {"trip_numbers", "thawed", "under_minimum_size"} & {gap["field"] for gap in lot["missing"]}
    correct.correct(sent.desk, sent.landing, "received-as", "fresh", "looked again")
    correct.correct(sent.desk, sent.landing, "undersize", "0 g", "sorted out at sea")
    lots = _eu(sent.desk, tmp_path / "eu.json", sent.landing)["lots"]
    lot = next(lot for lot in lots if lot["lot"] == sent.landing)
    assert (lot["thawed"], lot["under_minimum_size"]) == (False, False)


def test_earlier_lots_stay_identifiable(sent: Sent, tmp_path: Path) -> None:
    """A run names every lot in it with its share, through rework and blending; the shares are a whole."""
    packs = {lot["lot"]: lot for lot in _eu(sent.desk, tmp_path / "eu.json", sent.reworked)["pack_lots"]}
    shares = {part["fish"]["lot"]: part["share_percent"] for part in packs[sent.reworked]["earlier"]}
    assert shares.keys() == {sent.landing, sent.second, sent.bought}
    assert sum(shares.values()) == pytest.approx(100, abs=0.01)
    assert shares[sent.bought] == pytest.approx(100 * 6_000 / 6_600, abs=0.001)
    assert packs[sent.run]["packs"] == 47
    assert packs[sent.run]["net_g"] == 47 * 300


def _fish_lots(desk: Desk) -> int:
    """How many fish lots the season received."""
    return int(desk.records.value("SELECT COUNT(*) FROM lot WHERE kind <> 'material'"))


def test_the_season_as_a_table(season: Built, tmp_path: Path) -> None:
    """The table of the season has a row for each received fish lot and for each lot in each run, with typed amounts."""
    path = tmp_path / "eu.csv"
    in_season(season, lambda desk: send_eu(desk, Choice(since=date(2026, 8, 1)), path))
    fish_lots = in_season(season, _fish_lots)
    rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    received = [row for row in rows if not row["Product"]]
    assert len(received) == fish_lots
    assert all(row["Lot"] == row["Earlier lot"] for row in received)
    assert {date.fromisoformat(row["Durability date"]).year for row in rows if row["Product"]} <= {2026, 2027}
    assert {row["Production method"] for row in received} == {"caught", "farmed", "MISSING"}
    assert next(row for row in rows if row["Vessel"] == "Tåkelur")["Vessel registration"] == "Q-101-HL"


def test_a_dispatch_note_for_a_machine(sent: Sent, tmp_path: Path) -> None:
    """The note says who sent what to whom when, packs and grams as recorded, and the origin of each lot."""
    path = tmp_path / "note.json"
    made = send_note(sent.desk, sent.dispatch, path)
    note = json.loads(path.read_text(encoding="utf-8"))
    assert (note["code"], note["sender"], note["receiver"]) == (sent.dispatch, "Skerry Smokehouse", "Quay Deli")
    (goods,) = note["goods"]
    assert (goods["lot"]["lot"], goods["packs"], goods["net_g"]) == (sent.run, 30, 9_000)
    assert goods["serials"] == "0001-0024, 0030-0035"
    assert sent.case in goods["units"]
    assert {part["fish"]["vessel"] for part in goods["lot"]["earlier"]} == {"Aurora", "Brisling"}
    (key_data,) = note["us_key_data"]
    assert (key_data["Traceability lot code"], key_data["Quantity"]) == (sent.run, 30)
    assert [gap["field"] for gap in note["missing"]] == ["receiver_address"]
    assert made.counts == {"lots": 1, "packs": 30}


def test_a_dispatch_note_to_read(sent: Sent, tmp_path: Path) -> None:
    """The PDF and the text say the same things: receiver, lot, packs, boats, and what is not recorded."""
    for name in ("note.pdf", "note.txt", "note.md"):
        send_note(sent.desk, sent.dispatch, tmp_path / name)
    with pypdfium2.PdfDocument(tmp_path / "note.pdf") as pdf:
        paper = " ".join(" ".join(page.get_textpage().get_text_range() for page in pdf).split())
    texts = (
        paper,
        (tmp_path / "note.txt").read_text(encoding="utf-8"),
        (tmp_path / "note.md").read_text(encoding="utf-8"),
    )
    for text in texts:
        for said in ("Quay Deli", show_code(sent.run), "30", "Aurora", "N-12-X", "trip numbers", "NOT RECORDED"):
            assert said in text


def test_a_note_is_of_a_dispatch(sent: Sent, tmp_path: Path) -> None:
    """A run has no dispatch note; the sentence says what is needed."""
    with pytest.raises(CallError, match="a dispatch note needs a dispatch"):
        send_note(sent.desk, sent.run, tmp_path / "note.txt")


def test_a_dealers_lot_is_harmless_in_the_table(sent: Sent, tmp_path: Path) -> None:
    """A lot code that begins with = stands behind a quote in CSV."""
    send_eu(sent.desk, Choice((sent.bought,)), tmp_path / "eu.csv")
    rows = list(csv.DictReader(io.StringIO((tmp_path / "eu.csv").read_text(encoding="utf-8-sig"))))
    assert {row["Supplier's lot"] for row in rows if row["Earlier lot"] == show_code(sent.bought)} == {
        f"'{DEALERS_LOT}"
    }


def test_a_dispatch_of_hundreds_of_cases_is_printed(house: Any, tmp_path: Path) -> None:
    """A note whose case numbers are longer than a page is laid out over several."""
    run = house.packed_run(400)
    cases = [house.case(f"{run}/{number}") for number in range(1, 251)]
    dispatch = house.send(*cases)
    send_note(house.desk, dispatch, tmp_path / "note.pdf")
    with pypdfium2.PdfDocument(tmp_path / "note.pdf") as pdf:
        text = " ".join(page.get_textpage().get_text_range() for page in pdf)
    assert all(case in text for case in cases)
