"""Packs whose end was a mistake: packs again, both entries readable, and nothing out of balance."""

from __future__ import annotations

import pytest

from lotwake.trace.actions import pack, set_up, smoke
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.trace import trace_both
from lotwake.trace.base.errors import CallError, LotwakeError, Refused
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records import facts
from lotwake.trace.records.find import Kind, Thing, by_code
from lotwake.trace.records.history import corrections_of, history_of
from lotwake.trace.records.label_balance import label_balance
from lotwake.trace.records.pack_places import Place, places_of
from lotwake.trace.records.seen import contents_of, facts_of
from lotwake.trace.records.stock import are_loose, loose_packs, packs_at_home
from lotwake.trace.records.verify import verify

ENDS = ["VOID", "DESTROYED", "SAMPLE", "LOST"]


def _places(house, run: int) -> dict[str, list[Serials]]:
    found: dict[str, list[Serials]] = {}
    for item in places_of(house.desk.records, [run]).packs:
        found.setdefault(item.place, []).append(item.packs)
    return found


def _seen(house, run: Thing) -> tuple[object, ...]:
    records = house.desk.records
    whole, some = (trace_both(house.desk, start) for start in (run, Thing(Kind.PACK, run.id, run.code, 6)))
    return facts.runs(records, [run.id]), label_balance(records, run.id), whole, some


@pytest.mark.parametrize("kind", ENDS)
def test_packs_are_in_the_house_again(house, kind: str) -> None:
    """Stock, balance, traces and places are as before the mistake, and the record is whole."""
    code = house.packed_run(24)
    run = by_code(house.desk.records, code)
    before = _seen(house, run)
    pack.end_packs(house.desk, f"{code}/5-8", kind, "wrong box")
    _, packs, kinds = pack.undo_end(house.desk, f"{code}/5-8", "it was another box")
    assert (packs, kinds) == (Serials(5, 8), [kind])
    records = house.desk.records
    assert _seen(house, run) == before
    assert loose_packs(records, run.id) == packs_at_home(records, run.id) == [Serials(1, 24)]
    assert are_loose(records, run.id, Serials(1, 24))
    assert _places(house, run.id) == {Place.IN_HOUSE: [Serials(1, 24)]}
    assert verify(records).problems == ()


@pytest.mark.parametrize("kind", ENDS)
def test_both_entries_stay_and_the_packs_may_end_again(house, kind: str) -> None:
    """The correction names the wrong entry and says why; the same serials end, and are taken back, once more."""
    code = house.packed_run(24)
    for why in ("wrong box", "wrong box again"):
        pack.end_packs(house.desk, f"{code}/5-8", kind, why)
        pack.undo_end(house.desk, f"{code}/5-8", f"not that: {why}")
    pack.end_packs(house.desk, f"{code}/5", "DESTROYED", "dropped")
    records, run = house.desk.records, by_code(house.desk.records, code)
    said = [(item.what, item.field, item.was, item.now, item.why) for item in corrections_of(records, run)]
    assert said == [("packs", "0005-0008", kind, "undone", f"not that: {why}")
                    for why in ("wrong box", "wrong box again")]  # fmt: skip
    acts = [line.act for line in history_of(records, run)]
    assert acts[-5:] == [*[f"{kind.lower()} packs", "undo end of packs"] * 2, "destroyed packs"]
    wrong = records.rows("SELECT corrects FROM journal WHERE act = 'undo end of packs' ORDER BY seq")
    ended = records.rows("SELECT seq FROM journal WHERE act = ? ORDER BY seq", f"{kind.lower()} packs")
    assert wrong == ended[:2]
    assert facts_of(records, by_pack(house, code, 5)).status == "DESTROYED"
    assert facts_of(records, by_pack(house, code, 6)).status == "IN HOUSE"
    assert len(corrections_of(records, by_pack(house, code, 6))) == 2
    assert corrections_of(records, by_pack(house, code, 9)) == []
    assert verify(records).whole


def by_pack(house, run: str, serial: int) -> Thing:
    return find_one(house.desk.records, f"{run}/{serial}")


def test_some_of_what_ended_together_is_taken_back(house) -> None:
    """A lost pack that is found is in the house again; the others stay lost, since when and why they were."""
    code = house.packed_run(24)
    run = by_code(house.desk.records, code).id
    pack.end_packs(house.desk, f"{code}/1-10", "LOST", "not counted")
    pack.undo_end(house.desk, f"{code}/4-5", "found behind the door")
    assert _places(house, run) == {
        Place.LOST: [Serials(1, 3), Serials(6, 10)], Place.IN_HOUSE: [Serials(4, 5), Serials(11, 24)],
    }  # fmt: skip
    told = house.desk.records.rows("SELECT DISTINCT kind, reason FROM pack_end WHERE run = ?", run)
    assert told == [("LOST", "not counted")]
    pack.undo_end(house.desk, f"{code}/1-3", "there too")
    assert verify(house.desk.records).whole


def test_rework_goes_out_of_the_batch_again(house) -> None:
    """The grams of packs that were not reworked are in the packs and out of the batch, also of some of them."""
    code = house.packed_run(10)
    batch = house.batch((f"{code}/1-4", None))
    ref = by_code(house.desk.records, batch)
    pack.undo_end(house.desk, f"{code}/2-3", "another run")
    assert facts.batches(house.desk.records, [ref.id])[ref.id].in_g == 2 * 300
    smoke.add_inputs(house.desk, batch, [smoke.Input(f"{code}/2")])
    pack.undo_end(house.desk, f"{code}/1-2", "another run")
    assert facts.batches(house.desk.records, [ref.id])[ref.id].in_g == 300
    parts = [(part.first, part.last, part.g) for part in contents_of(house.desk.records, ref)]
    assert parts == [(4, 4, 300)]
    assert verify(house.desk.records).whole


def test_rework_that_moved_on_stays(house) -> None:
    """What left the batch by weight since cannot be back in packs: refused in one sentence, and nothing changes."""
    code = house.packed_run(10)
    batch = house.batch((f"{code}/1-4", None))
    smoke.lose(house.desk, batch, "trim", 400)
    with pytest.raises(Refused, match=r"has 800 g .*left of what went in; the 1\.2 kg .*moved on in it"):
        pack.undo_end(house.desk, f"{code}/1-4", "another run")
    assert facts_of(house.desk.records, by_pack(house, code, 1)).status == "REWORK"
    pack.undo_end(house.desk, f"{code}/1-2", "another run")


def test_the_fish_of_a_void_pack_is_in_one_pack_only(house) -> None:
    """Once its fish was packed again a void pack stays void, until the other one is."""
    code = house.packed_run(24)
    pack.end_packs(house.desk, f"{code}/5", "VOID", "smeared")
    pack.add_packs(house.desk, code, 1)
    with pytest.raises(Refused, match="fish of these packs was used again"):
        pack.undo_end(house.desk, f"{code}/5", "clean")
    pack.end_packs(house.desk, f"{code}/25", "VOID", "one too many")
    pack.undo_end(house.desk, f"{code}/5", "clean")
    assert verify(house.desk.records).whole


@pytest.mark.parametrize(
    ("packs", "why", "error", "words"),
    [
        ("4-5", "why", Refused, "Packs 0004 of run .* did not end"),
        ("9", "why", Refused, "Packs 0009 of run .* did not end"),
        ("6-5", "why", CallError, "is no range of serial numbers"),
        ("5", " ", CallError, "Why it is undone is missing"),
    ],
)
def test_what_did_not_end_is_not_undone(house, packs: str, why: str, error: type[LotwakeError], words: str) -> None:
    """Packs that are there, or a missing reason, change nothing."""
    code = house.packed_run(24)
    pack.end_packs(house.desk, f"{code}/5-6", "SAMPLE", "lab")
    with pytest.raises(error, match=words):
        pack.undo_end(house.desk, f"{code}/{packs}", why)
    assert corrections_of(house.desk.records, by_code(house.desk.records, code)) == []


def test_what_another_entered_is_a_leads_to_undo(house) -> None:
    """Somebody of the line takes back an own mistake; that of another a lead takes back."""
    code = house.packed_run(24)
    set_up.add_operator(house.desk, "LN", "Lina Nes", "line")
    line = house.desk.taken_by("LN")
    pack.end_packs(house.desk, f"{code}/5", "SAMPLE", "lab")
    with pytest.raises(Refused, match="may not undo what somebody else entered"):
        pack.undo_end(line, f"{code}/5", "not that one")
    pack.end_packs(line, f"{code}/6", "SAMPLE", "lab")
    pack.undo_end(line, f"{code}/6", "not that one")
    pack.undo_end(house.desk, f"{code}/5", "not that one")
