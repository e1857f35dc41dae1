"""The daily backup is begun by whoever works first on a day, and nobody waits for it."""

from __future__ import annotations

import asyncio
import time
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.actions.desk import open_desk
from lotwake.trace.cli import daily
from lotwake.trace.cli.main import main
from lotwake.trace.records.database import open_records
from lotwake.trace.records.verify import verify
from lotwake.trace.screens.program import house_app


def _daily(folder: Path) -> list[Path]:
    return sorted((folder / "backups").glob("daily-*.db"))


def _call(house: Any, *words: str) -> int:
    """A call at the real clock, as in use."""
    return main(["--at", str(house.folder), "--as", "SK", *words])


def test_the_first_command_that_writes_begins_it(house: Any) -> None:
    """Looking begins none; the first entry of the day does, in a process of its own; it is whole, and there is one."""
    assert _call(house, "list", "boats") == 0
    assert not _daily(house.folder)
    assert _call(house, "set-up", "supplier", "Salt House") == 0
    for _ in range(200):
        if _daily(house.folder):
            break
        time.sleep(0.05)
    (made,) = _daily(house.folder)
    copy = open_records(made, house.folder / "elsewhere")
    assert verify(copy).whole
    assert copy.value("SELECT COUNT(*) FROM supplier WHERE name = 'Salt House'") == 1
    copy.close()
    assert _call(house, "set-up", "supplier", "Wood Yard") == 0
    assert _daily(house.folder) == [made]


def test_what_went_wrong_is_told_by_the_next_command(house: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """A backup that could not be made is named at the next entry, and no more once one is whole."""
    backups = house.folder / "backups"
    backups.mkdir(exist_ok=True)
    (backups / daily.TOLD).write_text("Today's backup was not made: The disk is full.\n")
    assert daily.back_up_apart(open_desk_places(house)) == 0
    assert not (backups / daily.TOLD).exists()
    (backups / daily.TOLD).write_text("Today's backup was not made: The disk is full.\n")
    assert _call(house, "set-up", "supplier", "Salt House") == 0
    assert "Today's backup was not made: The disk is full." in capsys.readouterr().err


def open_desk_places(house: Any) -> Any:
    from lotwake.trace.base.places import places_at

    return places_at(house.folder)


def test_a_record_that_is_not_whole_is_told(house: Any) -> None:
    """The backup of a record that was changed behind its back is kept, and what is wrong is written where it is told."""
    desk = open_desk(open_desk_places(house), "SK")
    desk.records.run("UPDATE site SET phone = 'x'")
    desk.close()
    assert daily.back_up_apart(open_desk_places(house)) == 6
    assert "not whole" in (house.folder / "backups" / daily.TOLD).read_text()


def test_the_program_makes_it_at_its_start(house: Any) -> None:
    """The pages are there at once; a moment later the copy is."""

    async def running() -> None:
        desk = open_desk(open_desk_places(house), "SK", house.clock)
        app = house_app(desk, daily=True)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            assert app.page.NAME == "start"
            for _ in range(100):
                if _daily(house.folder):
                    break
                await asyncio.sleep(0.05)
            app.drafts.close()
        desk.close()

    asyncio.run(running())
    assert [path.name for path in _daily(house.folder)] == [f"daily-{house.clock.at:%Y-%m-%d}.db"]
