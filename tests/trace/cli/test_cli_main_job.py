"""The main job, by the shell alone: from a landing to packs at a buyer, and back to the boat."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from stdnum import ean
from stdnum.iso7064 import mod_97_10

from lotwake.trace.base.codes import show_code

pytestmark = pytest.mark.on_both


def test_the_main_job_by_shell(house: Any, tmp_path: Path) -> None:
    """Landing, batch, label, case, pallet, dispatch; the pack leads back to the boat and the landing to the buyer."""
    lot = house.code(
        "receive", "landing", "--boat", "n-12-x", "--kg", "41,5kg", "--species", "haddock", "--area", "27.4.b",
        "--gear", "OTB", "--core", "1,2", "--when", "24 Nov 05:40", "--caught-from", "yesterday",
    )  # fmt: skip
    bags = house.code("receive", "material", "--supplier", "Bag House", "--item", "bags", "--kg", "5")
    house.later(26)
    batch = house.code(
        "batch", "start", "--smoking", "hot smoked", "--from", f"{lot}=40", "--from", bags, "--equipment", "Kiln 1"
    )
    house.data("batch", "step", batch, "smoking")
    house.later(2)
    house.data("batch", "end-step", batch, "smoking")
    house.data("batch", "reading", batch, "core", "08:20=62,8", "08:55=145 F", "--probe", "P1")
    house.data("lose", batch, "drying", "9")
    assert house.data("batch", "release", batch)["status"] == "RELEASED"
    run = house.code("pack", "start", "hot smoked haddock", "--from", f"{batch}=30", "--with", bags)
    printed = house.data("label", "pack", run, "--count", "24", "--out", str(tmp_path / "labels.pdf"))
    assert printed["packs"] == [{"first": 1, "last": 24}]
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF-")
    cases = [case["code"] for case in house.data("case", run)["things"]]
    pallet = house.code("pallet", *cases)
    dispatch = house.code("dispatch", "quay deli", pallet, "--document", "DN-1")
    back = house.data("trace", "back", f"{run}/7")
    assert (back["boats"], back["dates"], back["areas"]) == (["Aurora"], ["2026-11-24"], ["27.4.b"])
    forward = house.data("trace", "forward", show_code(lot))
    assert forward["buyers"] == ["Quay Deli"]
    assert forward["documents"] == ["DN-1"]
    assert forward["receivers"][0]["packs"] == 24
    assert [thing["code"] for thing in house.data("find", "DN-1")["things"]] == [dispatch]
    assert house.data("verify")["whole"] is True


def test_codes_and_sscc_have_right_check_digits(stocked: Any) -> None:
    """Our codes pass ISO/IEC 7064 MOD 97-10 and our SSCCs the GS1 check digit, as python-stdnum computes them."""
    for code in (stocked.lot, stocked.batch, stocked.run):
        assert mod_97_10.is_valid(code)
    for case in stocked.cases:
        assert len(case) == 18
        assert ean.calc_check_digit(case[:-1]) == case[-1]


def test_goods_that_come_back(stocked: Any) -> None:
    """A returned case can be opened, its packs are loose again, and the pack says where it has been."""
    house, case = stocked.house, stocked.cases[0]
    house.data("dispatch", "Quay Deli", case, f"{stocked.run}/99-100")
    assert house.data("find", f"{stocked.run}/1")["things"][0]["status"] == "SENT"
    assert house.data("find", f"{stocked.run}/99")["things"][0]["facts"]["buyer"] == "Quay Deli"
    house.later(1)
    house.data("return", "Quay Deli", case, f"{stocked.run}/99-100", "--why", "wrong size")
    assert house.data("find", case)["things"][0]["status"] == "RETURNED"
    house.data("open-case", case)
    pack = house.data("find", f"{stocked.run}/1")["things"][0]
    assert (pack["status"], pack["facts"]["case"], pack["facts"]["buyer"]) == ("RETURNED", None, "Quay Deli")
    house.data("pack", "end", f"{stocked.run}/1-2", "sample", "--why", "laboratory")
    assert house.data("find", f"{stocked.run}/2")["things"][0]["status"] == "SAMPLE"
    assert house.data("verify")["whole"] is True


def test_a_case_leaves_its_pallet(stocked: Any) -> None:
    """A case taken off its pallet can be sent by itself."""
    house = stocked.house
    house.code("pallet", *stocked.cases[:2])
    assert house.call("dispatch", "Quay Deli", stocked.cases[0]).code == 3
    house.later(1)
    house.data("take-off", stocked.cases[0])
    assert house.data("dispatch", "Quay Deli", stocked.cases[0])["status"] == "SENT"


def test_packs_named_one_by_one_go_into_one_case(stocked: Any) -> None:
    """``case RUN/99-100`` makes one case with just these packs, and ``find`` shows them in it."""
    (case,) = stocked.house.data("case", f"{stocked.run}/99-100")["things"]
    contents = stocked.house.data("find", case["code"])["things"][0]["contents"]
    assert contents == [
        {"kind": "run", "code": stocked.run, "g": 600, "first": 99, "last": 100, "shown": show_code(stocked.run)}
    ]


def test_rework_and_blending(stocked: Any) -> None:
    """Packs and a second lot go into a new batch, and its contents name both with their grams."""
    house = stocked.house
    second = house.code("receive", "landing", "--boat", "Aurora", "--kg", "10", "--species", "COD", "--area", "27")
    batch = house.code("batch", "start", "--smoking", "hot smoked", "--from", f"{stocked.run}/99-100")
    house.data("batch", "add", batch, "--from", f"{second}=2.5 kg")
    contents = house.data("find", batch)["things"][0]["contents"]
    assert {(part["kind"], part["code"], part["g"]) for part in contents} == {
        ("lot", second, 2500),
        ("run", stocked.run, 600),
    }


def test_contact_is_shown_as_contact(stocked: Any) -> None:
    """Two batches that shared a brine meet in a trace with --contact only, and none of that mass counts."""
    house = stocked.house
    lot = house.code("receive", "landing", "--boat", "Aurora", "--kg", "10", "--species", "COD", "--area", "27")
    other = house.code("batch", "start", "--smoking", "hot smoked", "--from", f"{lot}=10")
    house.data("batch", "contact", "brine", "tank 2", stocked.batch, other)
    plain = house.data("trace", "forward", stocked.lot)
    wide = house.data("trace", "forward", stocked.lot, "--contact")
    assert other not in [node["code"] for node in plain["nodes"]]
    assert [node["contact"] for node in wide["nodes"] if node["code"] == other] == [True]


def test_a_hold_is_seen_downstream_until_it_is_released(stocked: Any) -> None:
    """Everything made from a held lot lists as HELD; the release names who and why and frees it."""
    house = stocked.house
    assert house.data("hold", stocked.lot, "--why", "smell")["status"] == "HELD"
    assert len(house.data("list", "cases", "--status", "held")["rows"]) == len(stocked.cases)
    assert house.data("find", f"{stocked.run}/1")["things"][0]["status"] == "HELD"
    house.data("release", stocked.lot, "--by", "Signe Kvist", "--why", "nose was wrong")
    hold = house.data("find", stocked.lot)["things"][0]["holds"][0]
    assert (hold["reason"], hold["released_by"], hold["released_why"]) == ("smell", "Signe Kvist", "nose was wrong")
    assert house.data("list", "cases", "--status", "HELD")["rows"] == []


def test_a_rejection_is_final(stocked: Any) -> None:
    """A rejected batch stays rejected, and so does its run."""
    house = stocked.house
    assert house.data("reject", stocked.batch, "--why", "cooled too slowly")["status"] == "REJECTED"
    assert house.call("release", stocked.batch, "--by", "SK", "--why", "please").code == 3
    assert house.data("find", stocked.run)["things"][0]["status"] == "REJECTED"


def test_reprint_and_case_label(stocked: Any, tmp_path: Path) -> None:
    """A label is printed again only with a reason, a case label again only with one, and the case's history has both."""
    house, case = stocked.house, stocked.cases[0]
    house.data("label", "reprint", f"{stocked.run}/1-2", "--why", "smeared", "--out", str(tmp_path / "a.pdf"))
    house.data("label", "case", case, "--out", str(tmp_path / "b.pdf"))
    refused = house.call("label", "case", case, "--out", str(tmp_path / "c.pdf"))
    assert (refused.code, refused.out) == (3, "")
    house.data("label", "case", case, "--why", "torn", "--out", str(tmp_path / "c.pdf"))
    acts = [line["act"] for line in house.data("find", case)["things"][0]["history"]]
    assert acts.count("print case labels") == 2


CORRECTIONS = [
    (("field", "{lot}", "weight", "42 kg"), "{lot}", "g", "41000", "42000"),
    (("field", "{lot}", "species", "cod"), "{lot}", "species", "HAD", "COD"),
    (("field", "{lot}", "boat", "Borealis"), "{lot}", "source", "Aurora", "Borealis"),
    (
        ("field", "{lot}", "received", "24 Nov 05:10"),
        "{lot}",
        "received",
        "2026-11-24T05:00:00Z",
        "2026-11-24T04:10:00Z",
    ),
    (("input", "{batch}", "{lot}", "40.5"), "{batch}", "g", "40000", "40500"),
    (("reading", "1", "value", "63"), "{batch}", "value", "6000", "6300"),
    (("field", "{run}", "best-before", "2026-12-24"), "{run}", "best_before", "2027-01-24", "2026-12-24"),
]


@pytest.mark.parametrize(("words", "subject", "field", "was", "now"), CORRECTIONS)
def test_a_correction_keeps_both(
    stocked: Any, words: tuple[str, ...], subject: str, field: str, was: str, now: str
) -> None:
    """What an entry said before and says now, and why, are shown where it is looked up, with names instead of numbers."""
    house = stocked.house
    codes = {"lot": stocked.lot, "batch": stocked.batch, "run": stocked.run}
    house.data("batch", "reading", stocked.batch, "core", "60")
    house.data("set-up", "boat", "Borealis")
    house.data("correct", *(word.format(**codes) for word in words), "--why", "misread")
    made = house.data("find", subject.format(**codes))["things"][0]["corrections"]
    assert [(each["field"], each["was"], each["now"], each["why"], each["who"]) for each in made] == [
        (field, was, now, "misread", "SK")
    ]
    assert house.data("verify")["whole"] is True


def test_a_party_is_corrected(house: Any) -> None:
    """A buyer's new telephone number holds from now on."""
    house.data("correct", "party", "buyer", "Quay Deli", "phone", "+47 111 11", "--why", "new number")
    assert house.data("list", "buyers")["rows"][0]["phone"] == "+47 111 11"


def test_text_answers_are_sentences_and_rows(stocked: Any) -> None:
    """Without --json people read kilograms, local times and grouped codes, in aligned rows."""
    house = stocked.house
    found = house.call("find", stocked.lot).out
    assert "Lot 126-328-001-42   IN STORE" in found
    assert "41 kg from Aurora N-12-X, received 24 Nov 2026 06:00" in found
    rows = house.call("list", "cases").out.splitlines()
    assert rows[0].index("state") == rows[1].index("IN HOUSE")
    with pytest.raises(json.JSONDecodeError):
        json.loads(found)
