"""The batch page: begin, fill, run, read, lose, release, hold; by keys alone and by scans alone."""

from __future__ import annotations

from datetime import timedelta

import pytest
from screens_house import House, do, dump, said, scan, work

from lotwake.trace.actions import pack, smoke
from lotwake.trace.actions.look import Seen, look
from lotwake.trace.base.codes import show_code
from lotwake.trace.records.facts import BatchSeen
from lotwake.trace.records.find import Kind, by_code
from lotwake.trace.records.lists import Wanted, things
from lotwake.trace.records.seen import losses_of
from lotwake.trace.screens.batch_words import code_and_kg, step_name
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


def batch(house: House, code: str = "") -> tuple[BatchSeen, Seen]:
    """A batch as it is in the record, the newest when none is named."""
    desk = house.desk()
    if not code:
        found = [item.facts for item in things(desk.records, Kind.BATCH, Wanted(), 9)]
        code = max((item for item in found if isinstance(item, BatchSeen)), key=lambda item: item.id).code
    seen = look(desk.records, by_code(desk.records, code))
    desk.close()
    assert isinstance(seen.facts, BatchSeen)
    return seen.facts, seen


@pytest.mark.parametrize(
    ("keys", "product", "kiln", "grams"),
    [
        (["/batch\r", "0\r", "2\r", "1\r", "{lot}\r", "11\r"], "Hot smoked haddock", "Kiln 1", 11_000),
        (["/batch\r", "/new\r", "3\r", "0\r", "{lot} 4,5\r"], "", "", 4_500),
        (["/batch\r", "0\r", "down", "\r", "down", "\r", "{lot}\r", "\r"], "Hot smoked haddock", "Kiln 1", 11_000),
        (["\r", "0\r", "2\r", "0\r", "2.25\r"], "Hot smoked haddock", "", 2_250),
    ],
    ids=["numbers", "in one line", "arrows and all of it", "from the start page"],
)
def test_new_batch_by_keys_alone(house: House, keys: list[str], product: str, kiln: str, grams: int) -> None:
    """A batch begins with its first lot, under a new code that the page says."""

    async def script(app: HouseApp) -> None:
        await do(app, *(key.format(lot=house.lot) for key in keys))
        verdict, words = said(app)
        assert verdict is Verdict.GOOD, words
        assert f"in batch {show_code(batch(house)[0].code)}" in words

    work(house, script)
    made, _ = batch(house)
    assert (made.product, made.equipment, made.in_g, made.smoking) == (product, kiln, grams, "hot smoked")


def test_new_batch_by_scans_alone(house: House) -> None:
    """Lot label, number cards and command cards are enough to begin and fill a batch."""

    async def script(app: HouseApp) -> None:
        await do(app, scan("CMDBATCH"), scan("CMDNEW"), scan("CMD2"), scan("CMD1"), scan(house.lot), scan("CMD11"))
        await do(app, scan(house.other_lot), scan("CMD20"))
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    assert batch(house)[0].in_g == 31_000


def test_whole_batch_by_keys_alone(house: House) -> None:
    """From a running batch to its release: more fish, steps with times, readings of two kinds, a loss; all in the record."""

    async def script(app: HouseApp) -> None:
        await do(
            app, f"{house.batch}\r", "f6", f"{house.other_lot} 10\r", "/end at 07:30\r", "/step cooling at 07:30\r"
        )
        await do(app, "/core 62.8 probe 2 at 07:20\r", "63\r", "64,1\r", "/read air\r", "75\r", "/loss dry 3.2\r")
        await do(app, "/release\r")
        verdict, words = said(app)
        assert verdict is Verdict.GOOD, words
        assert "released" in words
        assert "RELEASED" in dump(app)

    work(house, script)
    facts, seen = batch(house, house.batch)
    assert (facts.in_g, facts.lost_g, facts.status) == (40_000, 3_200, "RELEASED")
    assert [(step.name, step.ended) for step in seen.steps] == [
        ("brining", "2026-11-24T05:20:00Z"), ("smoking", "2026-11-24T06:30:00Z"), ("cooling", None),
    ]  # fmt: skip
    assert [(item.kind, item.value, item.at[11:16], item.probe) for item in seen.readings] == [
        ("core", 6280, "06:20", "2"), ("core", 6300, "07:00", ""), ("core", 6410, "07:00", ""), ("air", 7500, "07:00", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("{lot} 50\r", "11 kg"),
        ("/loss drying 90\r", "30 kg"),
        ("/end drying\r", "no running step"),
        ("/step\r", "Which step?"),
        ("/core hot\r", "hot"),
        ("/read taste 3\r", "What is read?"),
        ("/loss nothing 3\r", "What was lost"),
        ("/step salting at 05:00\r", "05:00"),
        ("/hold\r", "Say why"),
        ("/lift it is fine\r", "not on hold"),
        ("24\r", "24 of what?"),
        ("-\r", "nothing to take back"),
    ],
)
def test_refusals_are_sentences(house: House, line: str, words: str) -> None:
    """What cannot be is told with what would do, and nothing is entered."""

    async def script(app: HouseApp) -> None:
        await do(app, f"{house.batch}\r", "f6", line.format(lot=house.lot))
        verdict, text = said(app)
        assert verdict in (Verdict.CHECK, Verdict.STOP)
        assert words in text

    before = batch(house, house.batch)
    work(house, script)
    assert batch(house, house.batch) == before


@pytest.mark.parametrize("undo", ["f8", "-\r", "/void weighed twice\r"])
def test_last_input_is_taken_back(house: House, undo: str) -> None:
    """F8, minus and the word take back what went in last; what was in before stays."""

    async def script(app: HouseApp) -> None:
        await do(app, f"{house.batch}\r", "f6", f"{house.lot} 5\r", undo)
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    facts, seen = batch(house, house.batch)
    assert facts.in_g == 30_000
    assert seen.corrections


def test_rework_is_taken_back(house: House) -> None:
    """F8 right after packs went in: they are packs again, and their grams are out of the batch."""
    desk = house.desk()
    smoke.release_batch(desk, house.batch)
    run = pack.start_run(desk, "Hot smoked haddock", [(house.batch, None)], count=30).code
    into = smoke.start_batch(desk, "hot smoked", [smoke.Input(house.lot, 1_000)]).code
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, f"{into}\r", "f6", f"{run}/1-4\r")
        assert "Wrong? F8" in said(app)[1]
        await do(app, "/fix 2 because scale\r")
        assert said(app)[1].startswith("What a rework took is counted in packs.")
        await do(app, "f8")
        assert said(app) == (Verdict.GOOD, "The last rework is taken back. Both entries stay in the record.")

    work(house, script)
    assert batch(house, into)[0].in_g == 1_000


@pytest.mark.parametrize(
    ("entry", "fix", "check"),
    [
        ("{lot} 5\r", "/fix 6 because scale\r", lambda facts, _seen, _losses: facts.in_g == 36_000),
        ("/core 72\r", "/fix 62.8 because misread\r", lambda _facts, seen, _losses: seen.readings[-1].value == 6280),
        ("/loss trim 3\r", "/fix 2,5 because scale\r", lambda _facts, _seen, losses: losses[-1].g == 2_500),
        ("/step drying\r", "/fix cooling because slip\r", lambda _f, seen, _l: seen.steps[-1].name == "cooling"),
    ],
    ids=["input", "reading", "loss", "step"],
)
def test_last_entry_is_put_right(house: House, entry: str, fix: str, check: object) -> None:
    """/fix with a reason puts the last entry right, whatever it was."""

    async def script(app: HouseApp) -> None:
        await do(app, f"{house.batch}\r", "f6", entry.format(lot=house.lot), fix)
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    facts, seen = batch(house, house.batch)
    desk = house.desk()
    losses = losses_of(desk.records, facts.id)
    desk.close()
    assert callable(check)
    assert check(facts, seen, losses)


def test_hold_stops_release_until_it_is_lifted(house: House) -> None:
    """A held batch is not released; lifting the hold by name and reason lets it go."""

    async def script(app: HouseApp) -> None:
        await do(app, f"{house.batch}\r", "f6", "/hold core check missing\r", "/release\r")
        verdict, words = said(app)
        assert verdict is Verdict.STOP
        assert "core check missing" in words
        assert "HELD: core check missing" in dump(app)
        await do(app, "/lift checked again\r", "/release\r")
        assert said(app)[0] is Verdict.GOOD

    work(house, script)
    facts, seen = batch(house, house.batch)
    assert facts.status == "RELEASED"
    assert seen.holds[0].released_by == "Signe Kvist"


def test_material_goes_in_unweighed(house: House) -> None:
    """Enter alone puts a material in without a weight."""

    async def script(app: HouseApp) -> None:
        await do(app, f"{house.batch}\r", "f6", scan(house.salt), "\r")
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    assert [(part.code, part.g) for part in batch(house, house.batch)[1].contents][-1] == (house.salt, None)


def test_batch_begun_earlier(house: House) -> None:
    """A batch may be written down after it began."""

    async def script(app: HouseApp) -> None:
        await do(
            app, "/batch\r", "/new at 06:30\r", "2\r", "1\r", f"{house.lot} 5\r", "/step brining at 06:40 to 07:00\r"
        )
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    facts, seen = batch(house)
    assert facts.started == "2026-11-24T05:30:00Z"
    assert seen.steps[0].ended == "2026-11-24T06:00:00Z"


def test_another_station_shows(house: House) -> None:
    """A reading from another station appears without a key."""

    async def script(app: HouseApp) -> None:
        await do(app, f"{house.batch}\r", "f6")
        other = house.desk()
        smoke.take_readings(other, house.batch, "core", [(other.now - timedelta(minutes=5), 6543)])
        other.close()
        await app.look_for_changes()
        await do(app)
        assert "65.43 C" in dump(app)

    work(house, script)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("126-328-001-55 12,5", ("126-328-001-55", 12_500)),
        ("12632800155 3.25 kg", ("12632800155", 3_250)),
        ("126 328 001 55 10 lb", ("126 328 001 55", 4_536)),
        ("126 328 001 55", None),
        ("12,5", None),
        ("salt 3", None),
    ],
)
def test_lot_with_kilograms(text: str, meant: tuple[str, int] | None) -> None:
    """A code with a weight behind it is told from a code and from a weight."""
    assert code_and_kg(text) == meant


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("brine", "brining"),
        ("smoke", "smoking"),
        ("cool", "cooling"),
        ("ice rest", "ice rest"),
        ("Pellicle", "pellicle"),
    ],
)
def test_step_names(typed: str, name: str) -> None:
    """Steps are known by the beginning of their usual name; others stand as typed."""
    assert step_name(typed) == name
