"""Places from the shell: added, filled, shown by find, trace and drill, with cards and refusals."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def test_places_from_the_shell(stocked: Any, tmp_path: Path) -> None:
    """Cases put into a freezer are found there by ``place show``, ``find``, ``trace forward`` and ``drill begin``."""
    house = stocked.house
    made = house.data("place", "add", "Freezer 1", "freezer")
    assert (made["name"], made["place_kind"], made["code"][0]) == ("Freezer 1", "freezer", "8")
    cases = list(stocked.cases[:2])
    assert house.data("place", "put", made["code"], *cases)["place"] == "Freezer 1"
    (place,) = house.data("place", "list")["places"]
    assert sorted({item["unit"] for item in place["things"]}) == sorted(cases)
    run = place["things"][0]["code"]
    assert house.data("find", cases[0])["things"][0]["where"] == "Freezer 1"
    assert house.data("trace", "forward", run)["by_place"]["Freezer 1"] == place["packs"]
    state = house.data("drill", "begin", run)
    assert sum(item["packs"] for item in state["in_house"] if item["where"] == "Freezer 1") == place["packs"]
    assert f"In the house, Freezer 1: {place['packs']} packs." in house.call("drill", "status").out
    out = tmp_path / "cards.pdf"
    assert house.data("place", "cards", "--out", str(out))["count"] == 1
    assert out.read_bytes().startswith(b"%PDF")


def test_places_that_cannot_be(stocked: Any) -> None:
    """An unknown place, an unknown kind and a second place of one name end in a sentence and the right exit code."""
    house = stocked.house
    house.data("place", "add", "Shelf", "shelf")
    for words, code in (
        (("place", "add", "shelf", "shelf"), 3),
        (("place", "add", "Attic", "attic"), 2),
        (("place", "put", "Attic", stocked.lot), 4),
        (("place", "put", "Shelf", "zz"), 4),
        (("place", "show", "Attic"), 4),
    ):
        said = house.call(*words)
        assert said.code == code, (words, said.err)
        assert "Traceback" not in said.err


def test_sub_buyers_answer(stocked: Any) -> None:
    """Somebody a buyer passed packs on to answers in a recall; more than they were passed is refused."""
    house = stocked.house
    house.data("dispatch", "Quay Deli", stocked.cases[0], "--document", "D-9")
    code = house.data("recall", "begin", stocked.lot, "--why", "foreign body")["code"]
    house.data("recall", "reply", code, "Quay Deli", "--sold", "12", "--sub", "Ytre Kro=+47 1=12")
    state = house.data("recall", "sub-reply", code, "Quay Deli", "Ytre Kro", "--stock", "5", "--destroyed", "7")
    (sub,) = [sub for buyer in state["buyers"] for sub in buyer["sub_buyers"]]
    assert (sub["state"], sub["stock"], sub["destroyed"]) == ("ANSWERED", 5, 7)
    assert "too many" in house.call("recall", "sub-reply", code, "Quay Deli", "Ytre Kro", "--stock", "13").err
    assert house.call("recall", "sub-reply", code, "Quay Deli", "Nobody", "--stock", "1").code == 4
    assert any(line["about"] == "sub" and line["next"] == "done" for line in state["board"])


def test_lost_packs_and_the_records_behind_each_figure(stocked: Any) -> None:
    """Packs that are lost by name are a gap, not accounted for; every figure's records sum to it and open."""
    house = stocked.house
    house.data("pack", "end", f"{stocked.run}/99-100", "lost", "--why", "not on the pallet")
    state = house.data("drill", "begin", stocked.run)
    where = state["where"]
    assert (where["lost"], where["accounted"]) == (2, where["made"] - 2)
    assert "2 packs are lost by the record." in state["gaps"]
    figures = house.data("drill", "figures")["figures"]
    assert {figure["part"]: figure["packs"] for figure in figures} == {"in_house": where["in_house"], "lost": 2}
    for figure in figures:
        assert sum(record["last"] - record["first"] + 1 for record in figure["records"]) == figure["packs"]
        assert all(house.data("find", record["opens"])["things"] for record in figure["records"])
