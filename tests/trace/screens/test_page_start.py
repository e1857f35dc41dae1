"""The start page: what waits, and that each line opens the place to act."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from screens_house import House, do, dump, said, scan, work
from screens_judged import judged_house
from screens_stock import packing_house

from lotwake.trace.actions import hold, judge, pack, receive, set_up, smoke
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.base.codes import show_code
from lotwake.trace.records import lists
from lotwake.trace.records.waiting import Urgency, waiting
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


@pytest.mark.parametrize(
    ("downs", "page", "seen"),
    [(0, "batch", "in hand: Haddock Aurora"), (1, "batch", "in hand: Haddock Kittiwake"), (2, "batch", "RUNNING")],
)
def test_each_line_opens_the_place_to_act(house: House, downs: int, page: str, seen: str) -> None:
    """Arrows and Enter: fish goes to the batch page in hand, a running batch is opened."""

    async def script(app: HouseApp) -> None:
        await do(app, *["down"] * downs, "\r")
        assert page == app.page.NAME
        assert seen in dump(app)

    work(house, script)


def test_hold_comes_first_and_opens_the_thing(house: House) -> None:
    """A hold stands above fish and batches, and opens what is held."""
    desk = house.desk()
    hold.hold(desk, house.other_lot, "smells")
    desk.close()

    async def script(app: HouseApp) -> None:
        assert "> HELD" in dump(app)
        await do(app, "\r")
        assert app.page.NAME == "thing"
        assert "HELD" in dump(app)
        assert "smells" in dump(app)

    work(house, script)


def test_another_station_shows_and_the_mark_stays(house: House) -> None:
    """What another station writes appears without a key, and the marked line stays the marked one."""

    async def script(app: HouseApp) -> None:
        await do(app, "down", "down")
        assert "> RUNNING" in dump(app)
        other = house.desk()
        receive.receive(other, Arrival("landing", "Aurora", 7_000, "COD", area="27.4.b"))
        other.close()
        await app.look_for_changes()
        await do(app)
        assert "7 kg" in dump(app)
        assert "> RUNNING" in dump(app)

    work(house, script)


def test_what_is_judged_waits_too(house: House) -> None:
    """A limit without evidence, a result and a review stand in the list; Enter opens the batch."""
    here = judged_house(house, well=False)
    desk = here.desk()
    judge.note_deviation(desk, here.batch, "core-heat", "probe fell out", "probed by hand")
    smoke.release_batch(desk, here.batch, note="probed by hand", by_name="Inger Holm")
    set_up.add_equipment(desk, "Probe 1", "thermometer")
    desk.close()

    async def script(app: HouseApp) -> None:
        seen = dump(app)
        for word in ("RESULT", "REVIEW", "CHECK IT"):
            assert f"  {word} " in seen, seen
        await do(app, *["down"] * 9)
        assert "> REVIEW" in dump(app)
        await do(app, "\r")
        assert app.page.NAME == "batch"
        assert "RELEASED BY NAME" in dump(app)

    work(here, script)


def test_a_check_that_is_due_opens_its_form(house: House) -> None:
    """Enter on it opens the form for a check; once it is filled in, nothing about the instrument waits."""
    desk = house.desk()
    set_up.add_equipment(desk, "Probe 1", "thermometer")
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, "down", "down", "down")
        assert "> CHECK IT" in dump(app)
        await do(app, "\r")
        assert app.page.NAME == "setup"
        assert "ADD: CHECK" in dump(app)
        await do(app, "probe\r", "0.1 C high in ice water\r", "\r", "+30\r", "\r")
        assert said(app) == (Verdict.GOOD, "Probe 1 passed its check; the next is due 24 Dec 2026. "
                             "Another one may follow. Wrong? Enter it anew: the last counts.")  # fmt: skip
        await do(app, "/start\r")
        assert "CHECK IT" not in dump(app)

    work(house, script)
    desk = house.desk()
    (check,) = lists.calibrations(desk.records)
    desk.close()
    assert (check.instrument, check.result, check.found, check.due_on, check.who) == (
        "Probe 1", "passed", "0.1 C high in ice water", "2026-12-24", "SK",
    )  # fmt: skip


def test_time_goes_on_by_itself(house: House) -> None:
    """Ages grow while nothing is written."""

    async def script(app: HouseApp) -> None:
        assert "for 26 h" in dump(app)
        house.clock.at = house.clock.at.replace(hour=8)
        await app.look_for_changes()
        await do(app)
        assert "for 27 h" in dump(app)

    work(house, script)


@pytest.mark.parametrize("how", ["scan", "typed", "dashes"])
def test_any_code_is_looked_up(house: House, how: str) -> None:
    """A code scanned or typed, with or without dashes, shows what it is."""
    line = {"scan": scan(house.lot), "typed": f"{house.lot}\r", "dashes": f"{show_code(house.lot)}\r"}[how]

    async def script(app: HouseApp) -> None:
        await do(app, line)
        assert app.page.NAME == "thing"
        assert f"LOT  {show_code(house.lot)}   IN STORE" in dump(app)

    work(house, script)


@pytest.mark.parametrize("text", ["12632700136", "salmon"])
def test_unknown_code_is_told(house: House, text: str) -> None:
    """A mistyped code and an unknown word open nothing and say why."""

    async def script(app: HouseApp) -> None:
        await do(app, f"{text}\r")
        assert said(app)[0] is Verdict.CHECK
        assert app.page.NAME == "start"

    work(house, script)


def test_oldest_case_is_named(tmp_path: Path) -> None:
    """What waits to be sent names the case that was closed first."""
    stock = packing_house(tmp_path / "house")
    first = stock.cases(stock.packed_run(12))[0]
    stock.house.clock.at += timedelta(hours=1)
    stock.cases(stock.packed_run(12))

    async def script(app: HouseApp) -> None:
        assert f"2 cases are in the house, the oldest {first}" in dump(app)

    work(stock.house, script)


def test_held_batches_are_not_to_be_packed(tmp_path: Path) -> None:
    """A released batch on hold, itself or by its fish, waits as held and not for packing."""
    stock = packing_house(tmp_path / "house")
    desk = stock.house.desk()
    waits = {item.code for item in waiting(desk.records, desk.now) if item.urgency is Urgency.TO_PACK}
    assert waits == {stock.batch, stock.either, stock.salmon}
    hold.hold(desk, stock.house.other_lot, "smells")
    waits = {item.code for item in waiting(desk.records, desk.now) if item.urgency is Urgency.TO_PACK}
    assert waits == {stock.batch, stock.salmon}
    desk.close()


def test_fish_left_in_a_run_waits(tmp_path: Path) -> None:
    """Packs that were voided leave their fish in the run: it waits to be packed until it is named as lost."""
    stock = packing_house(tmp_path / "house")
    run = stock.packed_run(12)
    desk = stock.house.desk()

    def waits() -> list[str]:
        return [item.sentence for item in waiting(desk.records, desk.now) if item.urgency is Urgency.RUN_BEGUN]

    assert waits() == []
    pack.end_packs(desk, f"{run}/1-4", "VOID", "smeared")
    assert waits() == [f"Run {show_code(run)}, Hot smoked haddock: 1.2 kg in no pack yet, to pack or to name as lost"]

    async def script(app: HouseApp) -> None:
        assert "TO PACK   Run " in dump(app)

    work(stock.house, script)
    smoke.lose(desk, run, "giveaway", 1_200)
    assert waits() == []
    desk.close()
