"""What cannot be is refused with one sentence and a hint, and nothing of it is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from lotwake.labels.errors import LabelError
from lotwake.trace.actions import hold, pack, receive, set_up, ship, smoke
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.base.errors import LotwakeError
from lotwake.trace.base.units import parse_mass_g
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SourceFacts
from lotwake.trace.records.verify import verify

LANDING = Arrival("landing", "Aurora", 41_000, species="HAD", area="27.4.b", gear="OTB")
FARMED = Arrival("farmed", "Still Bay", 20_000, species="SAL")
BOUGHT = Arrival("bought-in", "Fish Round", 20_000, species="HAD", their_code="FR-77")
SALT = Arrival("material", "Bag House", 25_000, item="salt", their_code="S-1")
PRODUCT = ProductFacts("9520000000110", "New", "hot smoked", 300, 60)


@pytest.mark.parametrize("arrival", [LANDING, FARMED, BOUGHT, SALT], ids=lambda arrival: arrival.kind)
def test_lots_of_all_kinds_come_in(house, arrival: Arrival) -> None:
    """A landing, farmed fish, bought-in fish with its dealer's code, and a material become lots with a code."""
    lot = receive.receive(house.desk, arrival)
    kind, g, their_code, landed_on = house.desk.records.one("SELECT kind, g, their_code, landed_on FROM lot")
    assert (kind, g, their_code) == (arrival.kind, arrival.g, arrival.their_code)
    assert landed_on == "2026-11-24"
    assert lot.shown == "126-328-001-42"


@pytest.mark.parametrize("arrival", [LANDING, BOUGHT, SALT], ids=lambda arrival: arrival.kind)
def test_a_duplicate_is_refused_unless_it_is_another(house, arrival: Arrival) -> None:
    """The same lot typed twice is refused with the code it has; said to be another, it is taken."""
    receive.receive(house.desk, arrival)
    house.later()
    same = replace(arrival, g=arrival.g + 5)
    with pytest.raises(LotwakeError, match=r"written down already as 126-328-001-42.*say that it is another"):
        receive.receive(house.desk, same)
    assert receive.receive(house.desk, same, another=True).code != "12632800142"
    assert house.desk.records.value("SELECT COUNT(*) FROM lot") == 2


@pytest.mark.parametrize(
    "changes",
    [{"sender": "Brisling"}, {"species": "COD"}, {"area": "27.4.a"}, {"presentation": "gutted"},
     {"landed_on": date(2026, 11, 23)}],
)  # fmt: skip
def test_what_differs_is_no_duplicate(house, changes: dict[str, object]) -> None:
    """Another boat, species, area, presentation or day makes another landing without being asked."""
    receive.receive(house.desk, LANDING)
    receive.receive(house.desk, replace(LANDING, **changes))  # type: ignore[arg-type]


def test_a_boat_is_known_by_its_mark_and_fish_by_its_names(house) -> None:
    """A boat by registration mark, a species by any of its names, a gear by its letters: the same landing each time."""
    receive.receive(house.desk, LANDING)
    for changes in (
        {"sender": "n-12-x"}, {"sender": " AURORA "}, {"species": "haddock"}, {"species": "Melanogrammus aeglefinus"},
        {"area": "27.4.B"},
    ):  # fmt: skip
        with pytest.raises(LotwakeError, match="written down already"):
            receive.receive(house.desk, replace(LANDING, **changes))


Act = Callable[[object], object]
BAD: dict[str, tuple[str, Act]] = {
    "a lot of nothing": ("A lot cannot be 0 g", lambda h: receive.receive(h.desk, replace(LANDING, g=0))),
    "a lot below nothing": ("cannot be -5 g", lambda h: receive.receive(h.desk, replace(LANDING, g=-5))),
    "a kind of lot": ("kind of lot 'found'", lambda h: receive.receive(h.desk, replace(LANDING, kind="found"))),
    "an unknown boat": ("no boat called 'Auroro'", lambda h: receive.receive(h.desk, replace(LANDING, sender="Auroro"))),
    "a farm as a boat": ("no boat called", lambda h: receive.receive(h.desk, replace(LANDING, sender="Still Bay"))),
    "an unknown species": ("", lambda h: receive.receive(h.desk, replace(LANDING, species="QQQ"))),
    "no species": ("species is missing", lambda h: receive.receive(h.desk, replace(LANDING, species=""))),
    "no area": ("catch area is missing", lambda h: receive.receive(h.desk, replace(LANDING, area=""))),
    "an unknown area": ("", lambda h: receive.receive(h.desk, replace(LANDING, area="28.1"))),
    "an unknown gear": ("", lambda h: receive.receive(h.desk, replace(LANDING, gear="SPEAR GUN 3"))),
    "a method": ("production method", lambda h: receive.receive(h.desk, replace(LANDING, method="by hand"))),
    "no dealer's code": ("own lot code is missing", lambda h: receive.receive(h.desk, replace(BOUGHT, their_code=""))),
    "no material": ("What the material is", lambda h: receive.receive(h.desk, replace(SALT, item=" "))),
    "more than is left": ("has 50 kg left; 50.001 kg is 1 g too much", lambda h: h.batch((h.landing(), 50_001))),
    "an input of nothing": ("An input cannot be 0 g", lambda h: h.batch((h.landing(), 0))),
    "an input below nothing": ("An input cannot be -1 g", lambda h: h.batch((h.landing(), -1))),
    "fish unweighed": ("An input cannot be 0 g", lambda h: h.batch((h.landing(), None))),
    "a batch unweighed": ("How much of batch", lambda h: h.batch((h.batch((h.landing(), 9)), None))),
    "a mistyped lot": ("is mistyped", lambda h: h.batch(("126-328-001-43", 1))),
    "an unknown lot": ("knows nothing called", lambda h: h.batch(("126-328-009-18", 1))),
    "a case as input": ("needs a lot or batch", lambda h: h.batch((h.case(f"{h.packed_run()}/1"), 1))),
    "a way of smoking": ("kind of smoking", lambda h: smoke.start_batch(h.desk, "fried", [])),
    "unknown equipment": ("no equipment", lambda h: smoke.start_batch(h.desk, "hot smoked", [], equipment="Kiln 9")),
    "a loss of nothing": ("A loss cannot be", lambda h: smoke.lose(h.desk, h.batch((h.landing(), 9)), "trim", 0)),
    "a loss too big": ("10 g is 1 g too much", lambda h: smoke.lose(h.desk, h.batch((h.landing(), 9)), "trim", 10)),
    "a kind of loss": ("kind of loss", lambda h: smoke.lose(h.desk, h.batch((h.landing(), 9)), "theft", 1)),
    "no readings": ("no reading", lambda h: smoke.take_readings(h.desk, h.batch(), "core", [])),
    "a kind of reading": (
        "kind of reading", lambda h: smoke.take_readings(h.desk, h.batch(), "mood", [(h.desk.now, 1)])),
    "a nameless step": ("The step is missing", lambda h: smoke.take_step(h.desk, h.batch(), " ", h.desk.now)),
    "an empty batch released": ("has no fish in it", lambda h: h.released()),
    "released twice": ("released already", lambda h: smoke.release_batch(h.desk, h.released((h.landing(), 9)))),
    "contact with itself": ("two or more different", lambda h: contact(h, 1)),
    "a kind of contact": ("kind of contact", lambda h: smoke.note_contact(h.desk, "kiss", "x", [h.batch(), h.batch()])),
    "packed unreleased": ("not released for packing", lambda h: h.run((h.batch((h.landing(), 900)), 300), count=1)),
    "packed as another": ("is sold as cold smoked", lambda h: pack.start_run(
        h.desk, "Cold smoked salmon", [(h.released((h.landing(), 900)), None)])),
    "more packs than fish": ("300 g too much", lambda h: h.run((h.released((h.landing(), 900)), 600), count=3)),
    "packs below nothing": ("-1 packs cannot", lambda h: h.run((h.released((h.landing(), 900)), 600), count=-1)),
    "no packs more": ("0 packs cannot", lambda h: pack.add_packs(h.desk, h.packed_run(), 0)),
    "an unknown product": ("no product called", lambda h: pack.start_run(h.desk, "Kippers", [])),
    "best before packing": ("Best before lies before packing", lambda h: pack.start_run(
        h.desk, "Hot smoked haddock", [], best_before=date(2026, 11, 23))),
    "fish as bags": ("is fish; a run takes fish only from released batches", lambda h: pack.start_run(
        h.desk, "Hot smoked haddock", [], materials=[(h.landing(), 1)])),
    "a lot as a batch": ("needs a batch", lambda h: h.run((h.landing(), 1))),
    "a hold on a case": ("needs a lot or batch or run", lambda h: hold.hold(h.desk, h.case(f"{h.packed_run()}/1"), "x")),
    "a boat twice": ("known already", lambda h: set_up.add_source(h.desk, SourceFacts("boat", "Aurora", "N-12-X"))),
    "a kind of source": ("kind of source", lambda h: set_up.add_source(h.desk, SourceFacts("shop", "Fish"))),
    "a nameless boat": ("is missing", lambda h: set_up.add_source(h.desk, SourceFacts("boat", " "))),
    "a buyer without telephone": ("telephone number is missing", lambda h: set_up.add_buyer(h.desk, BuyerFacts("X", " "))),
    "a buyer twice": ("known already", lambda h: set_up.add_buyer(h.desk, BuyerFacts("Quay Deli", "1"))),
    "initials twice": ("Somebody has the initials SK", lambda h: set_up.add_operator(h.desk, "sk", "Sara")),
    "long initials": ("not 1 to 4", lambda h: set_up.add_operator(h.desk, "SIGNE", "Signe")),
    "a species code": ("three capital letters", lambda h: set_up.add_species(h.desk, "HADD", "x", "x", False, "me")),
    "a species twice": ("known already", lambda h: set_up.add_species(h.desk, "had", "x", "x", False, "me")),
    "a GTIN twice": ("belongs to Hot smoked haddock", lambda h: set_up.add_product(
        h.desk, replace(PRODUCT, gtin="9520000000028"))),
    "a mistyped GTIN": ("check digit", lambda h: set_up.add_product(h.desk, replace(PRODUCT, gtin="9520000000111"))),
    "a pack of nothing": ("A pack cannot be 0 g", lambda h: set_up.add_product(h.desk, replace(PRODUCT, net_g=0))),
    "a life without end": ("A life of 99999 days", lambda h: set_up.add_product(h.desk, replace(PRODUCT, life_days=99_999))),
    "an empty case": ("cannot hold 0 packs", lambda h: set_up.add_product(h.desk, replace(PRODUCT, case_packs=0))),
    "a packaging": ("The packaging 'paper'", lambda h: set_up.add_product(h.desk, replace(PRODUCT, packaging="paper"))),
    "a dispatch to nobody": ("no buyer called", lambda h: ship.send(h.desk, "Nobody", [f"{h.packed_run()}/1"])),
}  # fmt: skip


def contact(house, times: int) -> object:
    batch = house.batch((house.landing(), 900))
    return smoke.note_contact(house.desk, "brine", "tank 1", [batch] * (times + 1))


@pytest.mark.parametrize("what", BAD)
def test_bad_input_is_refused_in_words(house, what: str) -> None:
    """Each wrong input is refused with a sentence that says what is wrong and a hint; the refused entry left nothing."""
    says, act = BAD[what]
    with pytest.raises((LotwakeError, LabelError)) as refused:
        act(house)
    assert says in str(refused.value)
    assert refused.value.sentence.rstrip().endswith((".", "?"))
    assert refused.value.hint
    assert verify(house.desk.records).whole


def test_a_weight_is_typed_with_its_unit() -> None:
    """What cannot be read as one weight is refused before it comes near the record."""
    for text in ("", "-5 kg", "1.234,5 kg", "41", "nan kg", "1e3 kg", "12,345 kg"):
        with pytest.raises(LotwakeError):
            parse_mass_g(text)


def test_products_of_one_name_are_told_apart_by_gtin(house) -> None:
    """Two pack sizes under one name are not guessed between; the GTIN chooses."""
    set_up.add_product(house.desk, replace(PRODUCT, name="Hot smoked haddock", net_g=1_000))
    batch = house.released((house.landing(), 9_000))
    with pytest.raises(LotwakeError, match=r"several products called .*Use the GTIN: 09520000000028, 09520000000110"):
        house.run((batch, None))
    assert pack.start_run(house.desk, "9520000000110", [(batch, None)], 9).code


def test_two_boats_of_one_name_are_told_apart_by_mark(house) -> None:
    """Two boats under one name are not guessed between; the mark chooses."""
    set_up.add_source(house.desk, SourceFacts("boat", "Aurora", "N-99-X"))
    with pytest.raises(LotwakeError, match=r"several boats called 'Aurora'.*N-12-X, N-99-X"):
        receive.receive(house.desk, LANDING)
    receive.receive(house.desk, replace(LANDING, sender="N-99-X"))
