"""Cases, pallets, dispatches and returns: a pack is in one place at a time."""

from __future__ import annotations

import pytest

from lotwake.trace.actions import pack, ship, smoke
from lotwake.trace.base.errors import CallError, LotwakeError, Refused
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records import facts
from lotwake.trace.records.find import by_code
from lotwake.trace.records.stock import loose_packs, unit_contents, unit_dispatch, unit_parent
from lotwake.trace.records.verify import verify


def refused(says: str, act, *args) -> None:
    with pytest.raises(LotwakeError) as wrong:
        act(*args)
    assert says in str(wrong.value)


def test_a_pack_is_in_one_case(house) -> None:
    """A pack that is in a case, or named twice, does not go into another; opened, it does."""
    run = house.packed_run(48)
    case = house.case(f"{run}/1-12")
    refused("Packs 0012 of run", house.case, f"{run}/12-24")
    refused("are in a case, sent, or gone already", house.case, f"{run}/13-20", f"{run}/20-24")
    refused("were never made, or are void", house.case, f"{run}/40-49")
    refused("is no range of serial numbers", house.case, f"{run}/20-13")
    refused("is no range of serial numbers", house.case, f"{run}/0-3")
    refused("A case holds packs", house.case, case)
    refused("A case needs packs", house.case)
    ship.open_case(house.desk, case)
    refused("holds no packs", ship.open_case, house.desk, case)
    again = house.case(f"{run}/12-24")
    assert unit_contents(house.desk.records, int(again)) == [(2, Serials(12, 24))]
    assert verify(house.desk.records).whole


def test_a_case_may_hold_several_runs(house) -> None:
    """A mixed case holds packs of each run, and everything in it is bound by both."""
    a, b = house.packed_run(10), house.packed_run(10)
    case = house.case(f"{a}/1-3", f"{b}/4", f"{a}/7-8")
    assert len(unit_contents(house.desk.records, int(case))) == 3


def test_casing_up_takes_loose_packs_in_order(house) -> None:
    """Full cases are filled in serial order around what is void or cased already; asking for more is refused."""
    run = house.packed_run(48)
    pack.end_packs(house.desk, f"{run}/5", "VOID", "smeared")
    house.case(f"{run}/20-22")
    made = ship.case_up(house.desk, run, 2)
    contents = [[str(serials) for _, serials in unit_contents(house.desk.records, case.id)] for case in made]
    assert contents == [["0001-0004", "0006-0013"], ["0014-0019", "0023-0028"]]
    refused("has 20 loose packs: 1 full cases of 12", ship.case_up, house.desk, run, 2)
    refused("cannot hold 0 packs", ship.case_up, house.desk, run, None, 0)
    refused("cannot hold -1 packs", ship.case_up, house.desk, run, None, -1)
    refused("Ask for 1 or more", ship.case_up, house.desk, run, 0)


def test_a_case_stands_on_one_pallet(house) -> None:
    """A case, or a pallet, stands on one pallet, once; what is empty or away stands on none."""
    run = house.packed_run(48)
    cases = [house.case(f"{run}/{n}") for n in range(1, 7)]
    pallet = ship.build_pallet(house.desk, cases[:2]).code
    refused("stands on a pallet already", ship.build_pallet, house.desk, [cases[2], cases[0]])
    refused("stands on a pallet already", ship.build_pallet, house.desk, [cases[2], cases[2]])
    refused("A pallet needs cases", ship.build_pallet, house.desk, [])
    refused("needs a case or pallet", ship.build_pallet, house.desk, [run])
    refused("stands on no pallet", ship.take_off_pallet, house.desk, cases[3])
    house.send(cases[4])
    refused("is not in the house", ship.build_pallet, house.desk, [cases[4]])
    ship.open_case(house.desk, cases[5])
    refused("is empty", ship.build_pallet, house.desk, [cases[5]])
    refused("is empty", house.send, cases[5])
    big = ship.build_pallet(house.desk, [pallet, cases[2]]).code
    assert unit_parent(house.desk.records, int(pallet)) == int(big)
    for code in (pallet, cases[0]):
        refused("stands on a pallet. Send the pallet, or take it off first", house.send, code)


def test_pallets_in_pallets_leave_and_come_back_whole(house) -> None:
    """A pallet of pallets takes everything in it along, out and back, and parts of it come back alone."""
    run = house.packed_run(48)
    cases = [house.case(f"{run}/{n}") for n in range(1, 5)]
    inner = ship.build_pallet(house.desk, cases[:2]).code
    outer = ship.build_pallet(house.desk, [inner, cases[2]]).code
    house.send(outer, cases[3])
    records = house.desk.records
    assert all(unit_dispatch(records, int(code)) for code in (inner, outer, *cases))
    for code in (outer, inner, cases[0]):
        refused("not in the house", house.send, code) if code == outer else refused("pallet", house.send, code)
    ship.take_back(house.desk, "Quay Deli", [cases[0]], "crushed")
    assert unit_parent(records, int(cases[0])) is None
    assert unit_dispatch(records, int(cases[0])) is None
    assert unit_dispatch(records, int(inner))
    ship.take_back(house.desk, "Quay Deli", [outer], "all of it")
    assert not any(unit_dispatch(records, int(code)) for code in (inner, outer, *cases[:3]))
    assert unit_dispatch(records, int(cases[3]))
    house.send(outer, cases[0], buyer="Hill Kitchen")
    assert verify(records).whole


def test_goods_leave_once(house) -> None:
    """What is away is not sent again, whole or loose, twice in one dispatch or in two."""
    run = house.packed_run(48)
    case = house.case(f"{run}/1-12")
    refused("is not in the house", house.send, case, case)
    refused("gone already", house.send, f"{run}/13-20", f"{run}/20-24")
    refused("gone already", house.send, f"{run}/12")
    house.send(case, f"{run}/13-20")
    refused("is not in the house", house.send, case)
    refused("gone already", house.send, f"{run}/20-24")
    refused("is not in the house", ship.open_case, house.desk, case)
    refused("A dispatch needs goods", house.send)
    refused("no buyer called 'Nobody'", lambda: house.send(f"{run}/30", buyer="Nobody"))
    refused("needs a case or pallet", house.send, run)
    refused("is not a case or pallet of this house", house.send, "095299990000000019")


def test_returns_are_of_what_was_sent_to_that_buyer(house) -> None:
    """Nothing comes back that is in the house, from another buyer, twice, or loose when it left in a case."""
    run = house.packed_run(48)
    case, other = house.case(f"{run}/1-12"), house.case(f"{run}/13-24")
    house.send(case, f"{run}/25-30")

    def back(*goods: str, buyer: str = "Quay Deli", reason: str = "wrong size") -> str:
        return ship.take_back(house.desk, buyer, goods, reason).code

    refused("is in the house", back, other)
    refused("was sent to Quay Deli. Take it back from that buyer", lambda: back(case, buyer="Hill Kitchen"))
    refused("was sent to Quay Deli", lambda: back(f"{run}/25", buyer="Hill Kitchen"))
    refused("Packs sent in a case come back with their case", back, f"{run}/3")
    refused("were not sent loose", back, f"{run}/30-31")
    refused("is no range", back, f"{run}/30-25")
    refused("A return needs goods", back)
    refused("reason for the return is missing", lambda: back(case, reason=" "))
    refused("is in the house", back, case, case)
    back(f"{run}/26-27")
    refused("or are back already", back, f"{run}/27-28")
    back(case, f"{run}/25", f"{run}/28-30")
    assert loose_packs(house.desk.records, 2) == [Serials(25, 48)]
    assert verify(house.desk.records).whole


def test_returned_goods_may_leave_again(house) -> None:
    """What came back is sent again, to another buyer, and comes back from there."""
    run = house.packed_run(24)
    case = house.case(f"{run}/1-12")
    for buyer in ("Quay Deli", "Hill Kitchen", "Quay Deli"):
        house.send(case, f"{run}/20-22", buyer=buyer)
        house.later()
        ship.take_back(house.desk, buyer, [case, f"{run}/20-22"], "not opened")
        house.later()
    seen = facts.units(house.desk.records, [int(case)])[int(case)]
    assert seen.status == "RETURNED"
    ship.open_case(house.desk, case)
    assert loose_packs(house.desk.records, 2) == [Serials(1, 24)]


def test_loose_packs_of_two_dispatches_come_back_together(house) -> None:
    """A return may span dispatches to the same buyer; each part goes back to the one it left on."""
    run = house.packed_run(24)
    first, second = house.send(f"{run}/1-5"), house.send(f"{run}/6-9")
    ship.take_back(house.desk, "Quay Deli", [f"{run}/4-7"], "wrong size")
    records = house.desk.records
    ids = [by_code(records, code).id for code in (first, second)]
    assert records.rows("SELECT dispatch, first, last FROM return_packs ORDER BY first") == [
        (ids[0], 4, 5),
        (ids[1], 6, 7),
    ]


@pytest.mark.parametrize("kind", ["VOID", "SAMPLE", "DESTROYED"])
def test_packs_end_once_and_only_where_they_are(house, kind: str) -> None:
    """Packs in a case, away or ended already are not ended; the reason is asked for."""
    run = house.packed_run(48)
    house.case(f"{run}/1-6")
    house.send(f"{run}/7-9")
    for serials in ("6-7", "9", "48-49"):
        refused("of run", pack.end_packs, house.desk, f"{run}/{serials}", kind, "why")
    refused("reason is missing", pack.end_packs, house.desk, f"{run}/20", kind, " ")
    refused("names no packs", pack.end_packs, house.desk, run, kind, "why")
    pack.end_packs(house.desk, f"{run}/20-21", kind, "why")
    refused("of run", pack.end_packs, house.desk, f"{run}/21", kind, "why")
    refused("of run", house.case, f"{run}/21")


def test_a_pack_that_was_sent_is_never_void(house) -> None:
    """Void means that it never was a pack: what a buyer had, loose or in a case, is destroyed instead."""
    run = house.packed_run(48)
    case, unsent = house.case(f"{run}/1-6"), house.case(f"{run}/7-12")
    house.send(case, f"{run}/20")
    ship.take_back(house.desk, "Quay Deli", [case, f"{run}/20"], "open bags")
    for unit in (case, unsent):
        ship.open_case(house.desk, unit)
    for serial in (3, 20):
        with pytest.raises(Refused, match="were sent once, so they are packs"):
            pack.end_packs(house.desk, f"{run}/{serial}", "VOID", "smeared")
        pack.end_packs(house.desk, f"{run}/{serial}", "DESTROYED", "open bag")
    pack.end_packs(house.desk, f"{run}/7", "VOID", "never filled")


def test_rework_goes_into_a_batch(house) -> None:
    """Packs are not lost to rework without saying into which batch; their grams arrive there."""
    run = house.packed_run(10)
    with pytest.raises(CallError, match="go into a batch"):
        pack.end_packs(house.desk, f"{run}/1", "REWORK", "why")
    batch = house.batch((f"{run}/1-4", None))
    assert facts.batches(house.desk.records, [by_code(house.desk.records, batch).id])[3].in_g == 4 * 300
    with pytest.raises(Refused, match="gone already"):
        smoke.add_inputs(house.desk, batch, [smoke.Input(f"{run}/4-5")])


def test_scanned_labels_name_goods(house) -> None:
    """Cases by the GS1 string of their label and packs by theirs go where typed codes go."""
    run = house.packed_run(24)
    case = house.case(f"]C1010952000000002810{run}\x1d211", f"(01)09520000000028(10){run}(21)2", f"{run}/3-12")
    assert sum(s.count for _, s in unit_contents(house.desk.records, int(case))) == 12
    pallet = ship.build_pallet(house.desk, [f"]C100{case}"]).code
    ship.send(house.desk, "Quay Deli", [f"(00){pallet}", f"https://id.gs1.org/01/09520000000028/10/{run}/21/13"])
    assert loose_packs(house.desk.records, 2) == [Serials(14, 24)]
