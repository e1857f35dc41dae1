"""Recalls and drills at work: where they start, what they reach, what they hold, what they refuse, and that they go on."""

from __future__ import annotations

import shutil
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.actions import correct, hold, recall, recall_answers, set_up, ship, smoke
from lotwake.trace.actions.common_source import common_source_of, complaint_packs
from lotwake.trace.actions.judge import calibrate
from lotwake.trace.actions.recall import Terms
from lotwake.trace.actions.recall_answers import Answer
from lotwake.trace.actions.recall_notices import note_papers, notices
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.base.errors import CallError, LotwakeError, NotFound, Refused
from lotwake.trace.recall.common_source import FactorKind
from lotwake.trace.recall.replies import State
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.recalls import scopes_of
from lotwake.trace.records.verify import verify

BUYER = "Quay Deli"


def begun(house: Any, *codes: str, kind: str = "drill", packs_only: bool = False, **terms: Any) -> RecallState:
    terms = {"reason": "salt too low" if kind == "recall" else "", **terms}
    return recall.begin(house.desk, kind, recall.from_codes(house.desk, codes, packs_only), Terms(**terms))


def codes(state: RecallState) -> set[str]:
    return {run.code for run in state.runs.values()}


def refused(says: str, act: Any, *args: Any, **more: Any) -> None:
    """The call is refused with this sentence, and nothing was written."""
    desk = args[0]
    before = desk.records.value("SELECT MAX(seq) FROM journal")
    with pytest.raises(LotwakeError) as wrong:
        act(*args, **more)
    assert says in str(wrong.value)
    assert desk.records.value("SELECT MAX(seq) FROM journal") == before


@pytest.fixture
def two_runs(house: Any) -> tuple[str, str, str, str]:
    """One lot in two batches and two runs; half of each run is with a buyer. Lot, second batch, both runs."""
    lot = house.landing(30_000)
    first, second = house.released((lot, 12_000)), house.released((lot, 9_000))
    one, two = house.run((first, None), count=40), house.run((second, None), count=30)
    house.send(house.case(f"{one}/1-20"), f"{two}/1-10", document="HL-1")
    house.later()
    return lot, second, one, two


def test_a_drill_lists_and_holds_nothing(house: Any, two_runs: Any) -> None:
    """A drill finds every pack of a lot and the fish left of it, and everything in the house can still move."""
    lot, _, one, two = two_runs
    state = begun(house, lot)
    assert codes(state) == {one, two}
    assert (state.total.made, state.total.in_house, state.total.waiting) == (70, 40, 30)
    assert [(item.kind, item.g) for item in state.unpacked] == [("lot", 9_000)]
    assert (state.practice, state.held) == (True, ())
    house.send(f"{one}/21-25")
    assert look_at(house.desk, state.case).total.waiting == 35
    assert verify(house.desk.records).whole


def test_a_recall_holds_what_is_in_the_house(house: Any, two_runs: Any) -> None:
    """A recall puts the suspect on hold with its reason; nothing made from it moves until it is released by name."""
    lot, _, one, _ = two_runs
    state = begun(house, lot, kind="recall", hazard_class="ii")
    assert (state.held, state.case.hazard_class) == ((lot,), "II")
    refused("is on hold: recall", ship.send, house.desk, BUYER, [f"{one}/21-25"])
    hold.release(house.desk, lot, "Signe Kvist", "the laboratory was wrong")
    assert look_at(house.desk, state.case).held == ()
    refused("The reason is missing", recall.begin, house.desk, "recall", recall.from_codes(house.desk, [lot]), Terms())


def test_narrowing_and_widening_keep_every_scope(house: Any, two_runs: Any) -> None:
    """Each scope is kept as it was with its reason; what is taken out comes back when it is suspected again."""
    lot, second, one, two = two_runs
    state = begun(house, lot)
    state = recall.narrow(house.desk, state.case, [second], "its salt was measured: 3.9 %")
    assert codes(state) == {one}
    refused("Nothing changes", recall.narrow, house.desk, state.case, [two], "again")
    state = recall.widen(house.desk, state.case, [second], "the sample was another batch's")
    assert codes(state) == {one, two}
    kept = scopes_of(house.desk.records, state.case.id)
    assert [(scope.packs, scope.why) for scope in kept] == [
        (70, f"begun with {state.case.began_with}"), (40, "its salt was measured: 3.9 %"),
        (70, "the sample was another batch's"),
    ]  # fmt: skip
    refused("the scope is empty", recall.narrow, house.desk, state.case, [lot, second], "all of it")
    refused("The reason is missing", recall.widen, house.desk, state.case, [one], " ")


def test_single_packs_bring_their_run_unless_told_otherwise(house: Any, two_runs: Any) -> None:
    """A pack, case or dispatch brings its whole runs, since the lot code is the run's; `packs only` takes just those."""
    _, _, one, two = two_runs
    case = str(house.desk.records.value("SELECT sscc FROM unit")).zfill(18)
    assert begun(house, f"{one}/3").total.made == begun(house, case).total.made == 40
    assert codes(begun(house, "HL-1")) == {one, two}
    assert begun(house, f"{one}/3-7", packs_only=True).total.made == 5
    assert begun(house, "HL-1", packs_only=True).total.made == 30


def test_packs_follow_their_rework(house: Any) -> None:
    """Suspected packs that were reworked bring what was made of them; the old packs count as reworked."""
    run = house.packed_run(24)
    batch = house.released((house.landing(6_000), 6_000), (f"{run}/1-4", None))
    later = house.run((batch, None), count=10)
    state = begun(house, f"{run}/1-6", packs_only=True)
    assert codes(state) == {run, later}
    assert (state.total.reworked, state.total.in_house) == (4, 2 + 10)


def test_contact_is_a_switch(house: Any) -> None:
    """With contact the scope takes in what met the suspect in a brine, marked as such; a recall holds those batches too."""
    first, second = house.batch((house.landing(3_000), 3_000)), house.batch((house.landing(3_000), 3_000))
    smoke.note_contact(house.desk, "brine", "tank 1", [first, second])
    for batch in (first, second):
        smoke.release_batch(house.desk, batch)
    one, two = house.run((first, None), count=10), house.run((second, None), count=10)
    assert codes(begun(house, first)) == {one}
    state = begun(house, first, kind="recall", contact=True)
    assert codes(state) == {one, two}
    assert {part[2] for part in state.scopes[-1].parts} == {False, True}
    assert set(state.held) == {first, second}


def test_a_window_on_a_smokehouse(house: Any) -> None:
    """Every batch that was in a smokehouse or on a machine within the window is suspected, and none outside it."""
    early = smoke.start_batch(
        house.desk, "hot smoked", [smoke.Input(house.landing(3_000), 3_000)], equipment="Kiln 1"
    ).code
    smoke.take_step(house.desk, early, "smoking", house.desk.now, house.desk.now)
    start = house.later(5)
    late = house.batch((house.landing(3_000), 3_000))
    smoke.take_step(house.desk, late, "smoking", house.desk.now, None, equipment="Kiln 1")
    house.later(5)
    inside = recall.from_equipment(house.desk, "Kiln 1", start - timedelta(hours=1), house.clock.at)
    ids = dict(house.desk.records.rows("SELECT id, code FROM batch"))
    assert [ids[item.id] for item in inside.suspected] == [late]
    whole = recall.from_equipment(house.desk, "Kiln 1", start - timedelta(hours=9), house.clock.at)
    assert {ids[item.id] for item in whole.suspected} == {early, late}
    state = recall.begin(house.desk, "drill", whole, Terms())
    assert [item.kind for item in state.unpacked] == ["batch", "batch"]
    nothing = recall.from_equipment(house.desk, "Kiln 1", start - timedelta(days=9), start - timedelta(days=8))
    refused("the scope is empty", recall.begin, house.desk, "drill", nothing, Terms())


def test_a_failed_instrument(house: Any) -> None:
    """What was read with an instrument since it last passed its check is suspected."""
    set_up.add_equipment(house.desk, "probe A", "thermometer")
    ref = house.desk.records.value("SELECT id FROM equipment WHERE name = 'probe A'")
    batches = [house.batch((house.landing(3_000), 3_000)) for _ in range(3)]
    for number, batch in enumerate(batches[:2]):
        if number:
            house.later()
            calibrate(house.desk, "probe A", "0.1 C off", True, house.desk.today + timedelta(days=30))
        house.later()
        read_with(house, batch, ref)
    ids = dict(house.desk.records.rows("SELECT id, code FROM batch"))
    found = recall.from_instrument(house.desk, "probe A")
    assert [ids[item.id] for item in found.suspected] == [batches[1]]
    every = recall.from_instrument(house.desk, "probe A", since=house.clock.at - timedelta(days=1))
    assert [ids[item.id] for item in every.suspected] == batches[:2]
    with pytest.raises(CallError, match="not an instrument"):
        recall.from_instrument(house.desk, "Kiln 1")


def test_a_failed_instrument_by_the_name_of_its_probe(house: Any) -> None:
    """A reading that only names a probe rests on the instrument of that name, or of that last word; no other probe does."""
    set_up.add_equipment(house.desk, "core thermometer P1", "thermometer")
    batches = [house.batch((house.landing(3_000), 3_000)) for _ in range(4)]
    for batch, probe in zip(batches, ("P1", "p1", "P11", "1"), strict=True):
        house.later()
        smoke.take_readings(house.desk, batch, "core", [(house.desk.now, 6_400)], probe)
    ids = dict(house.desk.records.rows("SELECT id, code FROM batch"))
    found = recall.from_instrument(house.desk, "core thermometer P1")
    assert [ids[item.id] for item in found.suspected] == batches[:2]


def read_with(house: Any, batch: str, instrument: int) -> None:
    """A core reading that says which instrument took it."""
    with house.desk.entry("read core") as entry:
        ref = house.desk.records.value("SELECT id FROM batch WHERE code = ?", batch)
        entry.add(
            "reading",
            batch=ref,
            kind="core",
            probe="A",
            at=entry.happened,
            value=6_400,
            unit="c100",
            equipment=instrument,
        )


def test_complaints_lead_to_what_they_share(house: Any) -> None:
    """Ten complaint packs of the two runs of one landing name that landing, and the recall takes it all in."""
    culprit = house.landing(24_000)
    bad = [house.run((house.released((culprit, 6_000)), None), count=20) for _ in range(3)]
    for _ in range(12):
        house.packed_run(20)
    complaints = [f"{run}/{serial}" for run in bad[:2] for serial in range(1, 6)]
    found = common_source_of(house.desk, complaint_packs(house.desk, complaints))
    assert (FactorKind.LOT, culprit) in {
        (factor.kind, factor.name.split()[0].replace("-", "")) for finding in found.first for factor in finding.factors
    }
    state = recall.begin(house.desk, "drill", recall.from_complaints(house.desk, complaints), Terms())
    assert codes(state) == set(bad)
    with pytest.raises(CallError, match="names no pack"):
        complaint_packs(house.desk, [bad[0]])


def test_answers_that_cannot_be(house: Any, two_runs: Any) -> None:
    """More than was sent, less than nothing, figures from nobody, sub-buyers beyond the sold: refused, nothing written."""
    lot, _, one, two = two_runs
    case = begun(house, lot).case
    take = recall_answers.take_reply
    refused(
        "has 30 packs of this scope by the record; 31 is 1 too many", take, house.desk, case, BUYER, Answer(stock=31)
    )
    refused("has 10 packs", take, house.desk, case, BUYER, Answer(run=two, stock=11))
    refused("cannot be less than nothing", take, house.desk, case, BUYER, Answer(stock=-1))
    refused("was not reached told nothing", take, house.desk, case, BUYER, Answer(reached=False, stock=1))
    refused("passed 5 packs on; those named", take, house.desk, case, BUYER, Answer(sold=5, subs=(("Stall", "", 6),)))
    refused("has none of these packs", take, house.desk, case, "Hill Kitchen", Answer(stock=1))
    refused("knows no buyer", take, house.desk, case, "Nobody", Answer(stock=1))
    refused("40 packs of this scope", recall_answers.count_house, house.desk, case, 41)
    refused("20 packs of this scope", recall_answers.count_house, house.desk, case, 21, one)
    state = take(house.desk, case, BUYER, Answer(sold=30, person="Kari", subs=(("Stall", "+47 5", 12),)))
    assert [(sub.name, sub.phone) for call in state.calls for sub in call.subs] == [("Stall", "+47 5")]


def test_a_buyer_without_telephone_is_pointed_out(house: Any, two_runs: Any) -> None:
    """A buyer nobody can ring is a gap, stands on the call sheet as such, and stops nothing."""
    with house.desk.entry("lost number") as entry:
        entry.change("buyer", {"name": BUYER}, "phone", "")
    state = begun(house, two_runs[0])
    assert f"{BUYER} has no telephone number." in state.gaps
    assert "no telephone number: find one" in state.next_step
    assert notices(house.desk, state)[0].packs == 30
    correct.correct_party(house.desk, "buyer", BUYER, "phone", "+47 77", "found it")
    assert look_at(house.desk, state.case).gaps == ("1 buyer has not answered for 30 packs.",)


def test_the_next_step_is_always_named(house: Any, two_runs: Any) -> None:
    """From the first minute to the signature there is one next step, and it changes with what was done."""
    state = begun(house, two_runs[0])
    said = [state.next_step]
    note_papers(house.desk, state.case, state)
    said.append(look_at(house.desk, state.case).next_step)
    said.append(recall_answers.told(house.desk, state.case, BUYER, "telephone").next_step)
    house.later(0.5)
    said.append(look_at(house.desk, state.case).next_step)
    recall_answers.take_reply(house.desk, state.case, BUYER, Answer(stock=29))
    said.append(recall_answers.count_house(house.desk, state.case, 40).next_step)
    said.append(recall_answers.take_reply(house.desk, state.case, BUYER, Answer(stock=30)).next_step)
    said.append(recall_answers.pause(house.desk, state.case, "fire drill").next_step)
    recall_answers.resume(house.desk, state.case)
    said.append(recall_answers.finish(house.desk, state.case).next_step)
    starts = ("Make the notices", "Ring Quay Deli,", "Count what is", "Ring Quay Deli again", "Look for 1 packs",
              "Everything is accounted for", "Go on", "Finished")  # fmt: skip
    assert all(line.startswith(start) for line, start in zip(said, starts, strict=True)), said


def test_time_that_is_paused_does_not_count(house: Any, two_runs: Any) -> None:
    """Nothing is entered while the clock stands; after a pause of an hour the clock goes on where it was."""
    state = begun(house, two_runs[0], at=house.clock.at - timedelta(minutes=5), goal_min=30)
    house.later(0.25)
    recall_answers.pause(house.desk, state.case, "the school bus")
    refused("The clock is paused", recall_answers.take_reply, house.desk, state.case, BUYER, Answer(stock=1))
    house.later(1)
    state = recall_answers.resume(house.desk, state.case)
    refused("The clock is running", recall_answers.resume, house.desk, state.case)
    assert (state.clock.used, state.clock.in_time) == (timedelta(minutes=20), True)


def test_an_effectiveness_check(house: Any, two_runs: Any) -> None:
    """The drawn buyers are kept with their seed, and each result is written down; others were not drawn."""
    state = begun(house, two_runs[0])
    state = recall_answers.draw_checks(house.desk, state.case, "A", 3)
    state = recall_answers.check_result(house.desk, state.case, BUYER, "effective", "saw the letter")
    assert [(check.level, check.seed, check.result) for check in state.checks] == [("A", 3, "effective")]
    with pytest.raises(NotFound, match="was not drawn"):
        recall_answers.check_result(house.desk, state.case, "Hill Kitchen", "effective")


def test_a_finished_one_stays_as_it_was_found(house: Any, two_runs: Any) -> None:
    """What was found is kept at the signature; later sales change nothing of it, and nothing more is entered."""
    state = begun(house, two_runs[0])
    recall_answers.take_reply(house.desk, state.case, BUYER, Answer(stock=20))
    done = recall_answers.finish(house.desk, state.case, actions=["ring lists every month"])
    assert done.case.signed == "Signe Kvist"
    refused("finished and signed", recall_answers.take_reply, house.desk, state.case, BUYER, Answer(stock=1))
    ship.take_back(house.desk, BUYER, [f"{two_runs[3]}/1-2"], "late")
    (past,) = recall_answers.past_drills(house.desk)
    assert (past.made, past.accounted, past.buyers, past.answered, past.gaps) == (70, 60, 1, 1, 1)
    assert recall_answers.next_due(house.desk).on == house.desk.today.replace(year=house.desk.today.year + 1)


def test_packs_made_since_are_noticed(house: Any, two_runs: Any) -> None:
    """Packs made of the suspect after the scope was kept are a gap, and widening without a code takes them in."""
    lot, *_ = two_runs
    state = begun(house, lot)
    house.run((house.released((lot, 3_000)), None), count=10)
    state = look_at(house.desk, state.case)
    assert (state.grown, state.gaps[0].split()[:3]) == (10, ["10", "more", "packs"])
    assert recall.widen(house.desk, state.case, [], "packed while we counted").total.made == 80


def test_a_mistyped_code_opens_no_other_case(house: Any, two_runs: Any) -> None:
    """A drill is named by its code; a recall's code is not a drill's, and an unknown one lists the last ones."""
    drill, real = begun(house, two_runs[0]), begun(house, two_runs[0], kind="recall")
    assert recall.named(house.desk, "drill", drill.case.shown).id == drill.case.id
    assert recall.named(house.desk, "recall", "").id == real.case.id
    with pytest.raises(NotFound, match="There is no drill"):
        recall.named(house.desk, "drill", real.case.code)
    with pytest.raises(Refused, match="holds nothing"), house.desk.entry("x") as entry:
        recall.entries.hold_for(entry, drill.case.id, 1, None)


def test_a_drill_goes_on_after_a_power_cut(house: Any, two_runs: Any, tmp_path: Path) -> None:
    """A process that dies in the middle of an answer loses that answer alone; the next process goes on where it was."""
    state = begun(house, two_runs[0])
    recall_answers.told(house.desk, state.case, BUYER, "telephone")
    folder = house.desk.places.folder
    script = (
        "import os, sys\n"
        "from datetime import datetime\n"
        "from lotwake.trace.actions import recall, recall_answers\n"
        "from lotwake.trace.actions.desk import open_desk\n"
        "from lotwake.trace.base.clock import SetClock\n"
        "from lotwake.trace.base.places import places_at\n"
        "from lotwake.trace.records.entries import recall as entries\n"
        "from pathlib import Path\n"
        "desk = open_desk(places_at(Path(sys.argv[1])), 'SK', SetClock(datetime.fromisoformat(sys.argv[2])))\n"
        "entries.note_sub_buyer = lambda *_: os._exit(9)\n"
        "case = recall.named(desk, 'drill', '')\n"
        "recall_answers.take_reply(desk, case, 'Quay Deli', recall_answers.Answer(sold=30, subs=(('x', 'y', 1),)))\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script, str(folder), house.clock.at.isoformat()],
        check=False,
        capture_output=True,
        text=True,
    )
    assert (ran.returncode, ran.stderr) == (9, "")
    copy = tmp_path / "after"
    shutil.copytree(folder, copy)
    state = look_at(house.desk, state.case)
    assert [call.state for call in state.calls] == [State.WAITING]
    assert recall_answers.take_reply(house.desk, state.case, BUYER, Answer(stock=30)).total.stock == 30
    assert verify(house.desk.records).whole
