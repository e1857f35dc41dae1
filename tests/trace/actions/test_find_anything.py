"""What is this? Every kind of text the house may meet, right, unknown or mistyped."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from lotwake.trace.actions import pack, ship
from lotwake.trace.actions.find import find, find_one
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, LotwakeError, NotFound
from lotwake.trace.records.entries.aliases import keep_old_code
from lotwake.trace.records.find import Kind, Thing, by_code

GTIN = "09520000000028"
GS = "\x1d"


@dataclass
class Known:
    """The codes of one of everything."""

    house: object
    lot: str
    batch: str
    run: str
    case: str
    pallet: str
    dispatch: str
    back: str
    operator: str


@pytest.fixture
def known(house) -> Known:
    desk = house.desk
    lot = house.landing(20_000)
    batch = house.released((lot, 15_000))
    run = house.run((batch, None), count=40)
    pack.end_packs(desk, f"{run}/40", "VOID", "smeared")
    case = house.case(f"{run}/1-12")
    pallet = ship.build_pallet(desk, [case]).code
    dispatch = house.send(pallet, document="DN/2026-1")
    back = ship.take_back(desk, "Quay Deli", [case], "wrong size").code
    with desk.entry("bring in") as entry:
        for kind, ref, text in (
            (Kind.RUN, 2, "R-5"),
            (Kind.BATCH, 1, "B-5"),
            (Kind.LOT, 1, "B-5"),
            (Kind.CASE, int(case), "C-1"),
        ):
            keep_old_code(entry, text, kind, ref)
    return Known(house, lot, batch, run, case, pallet, dispatch, back, desk.operator.code)


Make = Callable[[Known], str]
RIGHT: list[tuple[Make, Kind, Make]] = [
    (lambda k: k.lot, Kind.LOT, lambda k: k.lot),
    (lambda k: show_code(k.lot), Kind.LOT, lambda k: k.lot),
    (lambda k: f"  {k.batch} ", Kind.BATCH, lambda k: k.batch),
    (lambda k: f"{k.run[:3]} {k.run[3:6]} {k.run[6:]}", Kind.RUN, lambda k: k.run),
    (lambda k: k.dispatch, Kind.DISPATCH, lambda k: k.dispatch),
    (lambda k: k.back, Kind.RETURN, lambda k: k.back),
    (lambda k: show_code(k.operator), Kind.OPERATOR, lambda k: k.operator),
    (lambda k: k.case, Kind.CASE, lambda k: k.case),
    (lambda k: f"{k.pallet[:4]} {k.pallet[4:]}", Kind.PALLET, lambda k: k.pallet),
    (lambda _: "DN/2026-1", Kind.DISPATCH, lambda k: k.dispatch),
    (lambda _: "R-5", Kind.RUN, lambda k: k.run),
    (lambda _: "C-1", Kind.CASE, lambda k: k.case),
    # GS1 General Specifications: the element strings of a logistic unit and of a trade item.
    (lambda k: f"(00){k.case}", Kind.CASE, lambda k: k.case),
    (lambda k: f"00{k.case}", Kind.CASE, lambda k: k.case),
    (lambda k: f"]C100{k.pallet}", Kind.PALLET, lambda k: k.pallet),
    (lambda k: f"(01){GTIN}(10){k.run}", Kind.RUN, lambda k: k.run),
    (lambda k: f"(01){GTIN}(15)270123(10){k.run}", Kind.RUN, lambda k: k.run),
    (lambda k: f"]C101{GTIN}10{k.run}", Kind.RUN, lambda k: k.run),
    (lambda k: f"01{GTIN}10{k.run}", Kind.RUN, lambda k: k.run),
    (lambda k: f"^01{GTIN}10{k.run}", Kind.RUN, lambda k: k.run),
    (lambda _: f"(01){GTIN}(10)R-5", Kind.RUN, lambda k: k.run),
    (lambda k: f"(02){GTIN}(37)12(10){k.run}(00){k.case}", Kind.CASE, lambda k: k.case),
]  # fmt: skip
PACKS: list[Make] = [
    lambda k: f"{k.run}/7",
    lambda k: f"{show_code(k.run)} / 7",
    lambda k: f"{k.run}/0007",
    lambda _: "R-5/7",
    lambda k: f"(01){GTIN}(10){k.run}(21)7",
    lambda k: f"]C101{GTIN}10{k.run}{GS}217",
    lambda k: f"]d201{GTIN}217{GS}10{k.run}",
    lambda k: f"{GS}01{GTIN}10{k.run}{GS}217",
    lambda k: f"01{GTIN}10{k.run}{GS}217",
    lambda k: f"https://id.gs1.org/01/{GTIN}/10/{k.run}/21/7",
    lambda k: f"]Q1https://example.org/shop/01/{GTIN}/10/{k.run}/21/7",
]


@pytest.mark.parametrize(("text", "kind", "code"), RIGHT)
def test_every_form_finds_its_thing(known: Known, text: Make, kind: Kind, code: Make) -> None:
    """A code in any form, an old code, a document, a logistic label or a trade item label finds the one thing it names."""
    (found,) = find(known.house.desk.records, text(known))
    assert (found.kind, found.code) == (kind, code(known))


@pytest.mark.parametrize("text", PACKS)
def test_every_form_finds_the_pack(known: Known, text: Make) -> None:
    """A pack is found by run and serial however they are written or scanned."""
    assert find(known.house.desk.records, text(known)) == [Thing(Kind.PACK, 2, known.run, 7)]


def test_a_scanner_may_send_another_character_for_gs(known: Known) -> None:
    """The stand-in that a house names in its settings separates like GS, and GS itself still does."""
    records = known.house.desk.records
    for mark in ("~", GS):
        text = f"]C101{GTIN}10{known.run}{mark}217"
        assert find_one(records, text, "~") == Thing(Kind.PACK, 2, known.run, 7)


WRONG: list[tuple[Make, type[LotwakeError], str]] = [
    (lambda _: "", CallError, "There is no code"),
    (lambda _: " \t", CallError, "There is no code"),
    (lambda k: k.lot[:-1] + str((int(k.lot[-1]) + 1) % 10), CallError, "is mistyped"),
    (lambda k: show_code(k.run[:4] + k.run[5] + k.run[4] + k.run[6:]), CallError, "is mistyped"),
    (lambda _: "126-328-009-18", NotFound, "knows nothing called '126-328-009-18'"),
    (lambda _: "gibberish", NotFound, "knows nothing called 'gibberish'"),
    (lambda k: f"{k.run}/40", NotFound, "has no pack 40"),
    (lambda k: f"{k.run}/41", NotFound, "has no pack 41"),
    (lambda k: f"{k.run}/0", NotFound, "has no pack 0"),
    (lambda k: f"{k.run}/99999999999999999999999", NotFound, "has no pack"),
    (lambda k: f"{k.lot}/7", NotFound, "knows nothing called"),
    (lambda _: "095299990000000019", NotFound, "is not a case or pallet of this house"),
    (lambda _: "(00)095299990000000019", NotFound, "is not a case or pallet of this house"),
    (lambda k: k.case[:-1] + str((int(k.case[-1]) + 1) % 10), CallError, "its check digit does not fit"),
    (lambda k: f"(00){k.case[:-1]}{(int(k.case[-1]) + 1) % 10}", CallError, "not a right GS1 code"),
    (lambda _: "9520000000028", NotFound, "this code names the product, not the lot"),
    (lambda _: "]E09520000000028", NotFound, "this code names the product, not the lot"),
    (lambda _: "(01)09520000000028", NotFound, "this code names the product, not the lot"),
    (lambda _: "9520000000127", CallError, "is mistyped"),
    (lambda _: "]E09520000000127", NotFound, "is not a product of this house"),
    (lambda _: "]E09520000000128", CallError, "not a right GS1 code"),
    (lambda k: f"(01)09520000000035(10){k.run}", NotFound, "was never packed under lot"),
    (lambda k: f"(01)09521234543213(10){k.run}", NotFound, "is not a product of this house"),
    (lambda _: f"(01){GTIN}(10)32632800199", CallError, "is mistyped"),
    (lambda _: f"(01){GTIN}(10)L-77", NotFound, "was never packed under lot L-77"),
    (lambda k: f"(01){GTIN}(10){k.run}(21)A7", NotFound, "has no serial 'A7'"),
    (lambda k: f"(01){GTIN}(10){k.run}(21)40", NotFound, "has no pack 40"),
    (lambda _: "(01)0952000000002(10)X", CallError, "not a right GS1 code"),
    (lambda _: "(414)9520000000004", NotFound, "names neither a product nor a logistic unit"),
    (lambda _: "]C1", LotwakeError, ""),
    (lambda _: "https://example.org/", LotwakeError, ""),
]


@pytest.mark.parametrize(("text", "error", "says"), WRONG)
def test_what_is_not_found_says_why(known: Known, text: Make, error: type[LotwakeError], says: str) -> None:
    """A mistyped text and an unknown one are told apart, each with a sentence and what to do."""
    with pytest.raises(error) as wrong:
        find(known.house.desk.records, text(known))
    assert says in wrong.value.sentence
    assert wrong.value.hint


def test_a_text_that_names_several_is_not_guessed(known: Known) -> None:
    """An old code shared by a lot and a batch finds both; where one is wanted, both are named to choose from."""
    records = known.house.desk.records
    assert {thing.kind for thing in find(records, "B-5")} == {Kind.LOT, Kind.BATCH}
    for choose in (find_one, by_code):
        with pytest.raises(CallError, match=r"names several things: .*batch 226-.*lot 126-"):
            choose(records, "B-5")
    for serial in (13, 14):
        known.house.send(f"{known.run}/{serial}", document="DN-2")
    assert len(find(records, "DN-2")) == 2
