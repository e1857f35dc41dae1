"""At a glance on the batch page: steps against plan in words and colour, what goes on now, what is missing; the clock runs."""

from __future__ import annotations

from datetime import timedelta

from screens_house import House, do, dump, work
from screens_judged import judged_house
from screens_seen import cells

from lotwake.trace.actions import judge, smoke
from lotwake.trace.process.plan import shipped_plan
from lotwake.trace.screens.house_app import HouseApp


def grounds(app: HouseApp, words: str) -> set[tuple[int, int, int]]:
    """The colours that stand behind a run of text that ends in these words."""
    return {cell.ground for cell in cells(app) if cell.text.strip().endswith(words)}


def test_short_and_late_steps_are_seen_at_once(house: House) -> None:
    """The page opens with the steps against their plan; the word for a short one has a colour of its own."""
    here = judged_house(house, well=False)

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{here.batch}\r")
        seen = dump(app)
        assert "surface drying     25  30-35    SHORT" in seen
        assert "brine              20  18-25    IN WINDOW" in seen
        assert "Still missing before packing: core-heat NO EVIDENCE" in seen
        assert len(grounds(app, "SHORT")) == 1
        assert grounds(app, "SHORT").isdisjoint(grounds(app, "IN WINDOW"))
        await do(app, "f4", "down")
        assert len(grounds(app, "MET")) == len(grounds(app, "NO EVIDENCE")) == 1
        assert grounds(app, "MET").isdisjoint(grounds(app, "NO EVIDENCE"))

    work(here, script)


def test_the_clock_of_a_running_step_goes_on(house: House) -> None:
    """The minutes of the step that runs, what it may still take, and then that it has gone on too long."""
    desk = house.desk()
    judge.adopt(desk, shipped_plan("Hot smoking, simple smokehouse"))
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(house.other_lot, 5_000)]).code
    smoke.take_step(desk, batch, "smoking", house.clock.at)
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{batch}\r")
        for minutes, words, state in (
            (34, "smoking 34 min, may end in 56", "RUNNING"),
            (66, "smoking 100 min, may end, must end in 20", "MAY END"),
            (30, "smoking 130 min, has gone on too long", "RUNNING LONG"),
        ):
            house.clock.at += timedelta(minutes=minutes)
            await app.look_for_changes()
            await do(app)
            assert words in dump(app), dump(app)
            assert f"90-120   {state}" in dump(app)

    work(house, script)


def test_the_list_stands_where_the_work_is(house: House) -> None:
    """The step done last is in sight at 80x24, and the arrows move through the list."""
    here = judged_house(house, well=True)

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{here.batch}\r")
        assert "> smoking" in dump(app)
        await do(app, "up")
        assert "> surface drying" in dump(app)

    work(here, script)
