"""Where things lie: the latest word holds, a pallet takes its cases along, and what was away lies nowhere until it is put."""

from __future__ import annotations

import random
from typing import Any

import pytest

from lotwake.trace.actions import places, ship
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.look import look
from lotwake.trace.base.errors import CallError, LotwakeError, NotFound, Refused
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.lineage.trace import trace
from lotwake.trace.records.entries.places import PLACE_KINDS
from lotwake.trace.records.find import Kind
from lotwake.trace.records.pack_places import places_of
from lotwake.trace.records.verify import verify


@pytest.fixture
def stored(house: Any) -> Any:
    """A house with two places and a run of 48 packs in four cases."""
    house.places = [
        places.add_place(house.desk, name, kind) for name, kind in (("Freezer 1", "freezer"), ("Shelf", "shelf"))
    ]
    house.stored = house.packed_run(48)
    house.cases = [case.code for case in ship.case_up(house.desk, house.stored)]
    return house


def lies(house: Any) -> dict[str, int]:
    """Packs of the run by place."""
    found: dict[str, int] = {}
    for item in places_of(house.desk.records, [find_one(house.desk.records, house.stored).id]).packs:
        found[item.where] = found.get(item.where, 0) + item.packs.count
    return found


def test_the_latest_word_holds(stored: Any) -> None:
    """A case lies where it was put last; putting the whole run moves every pack of it that is here."""
    places.put(stored.desk, "freezer 1", stored.cases[:2])
    assert lies(stored) == {"Freezer 1": 24, "": 24}
    places.put(stored.desk, "Shelf", stored.cases[:1])
    assert lies(stored) == {"Freezer 1": 12, "Shelf": 12, "": 24}
    places.put(stored.desk, "Freezer 1", [stored.stored])
    assert lies(stored) == {"Freezer 1": 48}
    assert verify(stored.desk.records).whole


def test_loose_packs_lie_apart(stored: Any) -> None:
    """Packs of one run may lie in several places; each pack lies in one."""
    ship.open_case(stored.desk, stored.cases[0])
    places.put(stored.desk, "Shelf", [f"{stored.stored}/1-5"])
    places.put(stored.desk, "Freezer 1", [f"{stored.stored}/4-8"])
    assert lies(stored) == {"Shelf": 3, "Freezer 1": 5, "": 40}
    assert sum(held.packs for held in places.all_places(stored.desk)) == 8


def test_packs_of_an_opened_case_stay_where_it_was(stored: Any) -> None:
    """What was said about a case holds for its packs after it is opened, until something newer is said about them."""
    places.put(stored.desk, "Shelf", stored.cases[:1])
    stored.later()
    ship.open_case(stored.desk, stored.cases[0])
    assert [(item.first, item.last) for item in places.what_lies(stored.desk, "Shelf").things] == [(1, 12)]
    places.put(stored.desk, "Freezer 1", [f"{stored.stored}/1-2"])
    assert lies(stored) == {"Freezer 1": 2, "Shelf": 10, "": 36}


def test_a_pallet_takes_its_cases_along(stored: Any) -> None:
    """A case on a pallet lies where the pallet does; taken off, where it was put itself."""
    places.put(stored.desk, "Shelf", stored.cases[:1])
    pallet = ship.build_pallet(stored.desk, stored.cases[:3]).code
    places.put(stored.desk, "Freezer 1", [pallet])
    assert lies(stored) == {"Freezer 1": 36, "": 12}
    ship.take_off_pallet(stored.desk, stored.cases[0])
    assert lies(stored) == {"Freezer 1": 24, "Shelf": 12, "": 12}
    assert look(stored.desk.records, find_one(stored.desk.records, stored.cases[1])).where == "Freezer 1"


def test_what_left_and_came_back_lies_nowhere(stored: Any) -> None:
    """What is away lies in no place of the house; what came back is put anew."""
    places.put(stored.desk, "Shelf", stored.cases[:1])
    stored.later()
    ship.send(stored.desk, "Quay Deli", stored.cases[:1], "D-1")
    assert lies(stored) == {"": 48}
    with pytest.raises(Refused, match="not in the house"):
        places.put(stored.desk, "Shelf", stored.cases[:1])
    stored.later()
    ship.take_back(stored.desk, "Quay Deli", stored.cases[:1], "not sold")
    assert lies(stored) == {"": 48}
    stored.later()
    places.put(stored.desk, "Freezer 1", stored.cases[:1])
    assert lies(stored) == {"Freezer 1": 12, "": 36}


def test_a_lot_and_a_batch_lie_somewhere(house: Any) -> None:
    """A lot lies in the chill while something of it is left; a used-up one is refused and on no list."""
    places.add_place(house.desk, "Chill 1", "chill")
    lot = house.landing(40_000)
    places.put(house.desk, "Chill 1", [lot])
    (held,) = places.all_places(house.desk)
    assert (held.g, held.things[0].kind) == (40_000, Kind.LOT)
    batch = house.batch((lot, 40_000))
    assert places.what_lies(house.desk, "Chill 1").things == ()
    places.put(house.desk, "Chill 1", [batch])
    assert look(house.desk.records, find_one(house.desk.records, batch)).where == "Chill 1"
    with pytest.raises(Refused, match="has 0 g left"):
        places.put(house.desk, "Chill 1", [lot])


@pytest.mark.parametrize(
    ("place", "goods", "error"),
    [
        ("Attic", ["{case}"], NotFound),
        ("Shelf", [], CallError),
        ("Shelf", ["{card}"], CallError),
        ("Shelf", ["zz"], NotFound),
    ],
)
def test_what_cannot_be_put(stored: Any, place: str, goods: list[str], error: type[LotwakeError]) -> None:
    """An unknown place, nothing at all, a person and an unknown code are refused, and nothing of the rest is put."""
    named = [text.format(case=stored.cases[0], card=stored.desk.operator.code) for text in goods]
    with pytest.raises(error):
        places.put(stored.desk, place, [*([stored.cases[1]] if goods else []), *named])
    assert lies(stored) == {"": 48}


def test_names_are_their_own(stored: Any) -> None:
    """Two places never bear one name; every kind has its place; a card says what lies there, and is no start of a trace."""
    with pytest.raises(Refused, match="already"):
        places.add_place(stored.desk, "SHELF", "shelf")
    with pytest.raises(CallError, match="kind of place"):
        places.add_place(stored.desk, "Attic", "attic")
    assert len(PLACE_KINDS) == len({places.add_place(stored.desk, f"The {kind}", kind).code for kind in PLACE_KINDS})
    places.put(stored.desk, "Shelf", stored.cases[:1])
    card = find_one(stored.desk.records, stored.places[1].code)
    assert card.kind is Kind.PLACE
    assert [(part.first, part.last) for part in look(stored.desk.records, card).contents] == [(1, 12)]
    with pytest.raises(CallError, match="person or a place"):
        trace(stored.desk.records, card, Direction.FORWARD)


@pytest.mark.parametrize("seed", range(6))
def test_random_moves_agree_with_a_list_of_them(stored: Any, seed: int) -> None:
    """After any history of moves, cases opened, sent and taken back, each pack lies where the last word about it says."""
    chance, desk = random.Random(seed), stored.desk
    in_case = {case: set(range(12 * at + 1, 12 * at + 13)) for at, case in enumerate(stored.cases)}
    away: set[str] = set()
    where: dict[int, str] = dict.fromkeys(range(1, 49), "")
    for _ in range(14):
        stored.later(0.1)
        case = chance.choice(sorted(in_case)) if in_case else ""
        place = chance.choice(["Freezer 1", "Shelf"])
        match chance.choice(["case", "case", "packs", "run", "open", "send", "back"]):
            case "case" if case and case not in away:
                places.put(desk, place, [case])
                where |= dict.fromkeys(in_case[case], place)
            case "packs":
                first = chance.randint(1, 44)
                packs = set(range(first, first + 5))
                if not any(packs & in_case[gone] for gone in away):
                    places.put(desk, place, [f"{stored.stored}/{first}-{first + 4}"])
                    where |= dict.fromkeys(packs, place)
            case "run" if len(away) < 4:
                places.put(desk, place, [stored.stored])
                where |= dict.fromkeys(set(where) - {pack for gone in away for pack in in_case[gone]}, place)
            case "open" if case and case not in away and len(in_case) > 2:
                ship.open_case(desk, case)
                del in_case[case]
            case "send" if case and case not in away:
                ship.send(desk, "Quay Deli", [case])
                away.add(case)
                where |= dict.fromkeys(in_case[case], "")
            case "back" if away:
                back = chance.choice(sorted(away))
                ship.take_back(desk, "Quay Deli", [back], "not sold")
                away.remove(back)
    found: dict[int, str] = {}
    for item in places_of(desk.records, [find_one(desk.records, stored.stored).id]).packs:
        assert not found.keys() & set(range(item.packs.first, item.packs.last + 1))
        found |= dict.fromkeys(range(item.packs.first, item.packs.last + 1), item.where)
    assert found == where
    assert sum(held.packs for held in places.all_places(desk)) == sum(bool(name) for name in where.values())
