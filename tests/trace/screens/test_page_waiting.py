"""An entry that has to wait for another station says so on the page before the wait is over."""

from __future__ import annotations

from threading import Event, Thread
from typing import Any

import pytest
from screens_house import House, do, said, work

from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.widgets.bars import BEHIND, NowLine

pytestmark = pytest.mark.on_both
LONGEST_S = 4.0


def test_a_wait_for_another_station_is_said_while_it_lasts(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """The bottom line is painted with the wait while the other station still writes, and the entry is made after it."""
    painted, holds = Event(), Event()
    before_end: list[bool] = []

    def other_station() -> None:
        desk = house.desk()
        with desk.records.transaction():
            holds.set()
            before_end.append(painted.wait(LONGEST_S))
        desk.close()

    async def script(app: HouseApp) -> None:
        plain = app._display

        def display(screen: Any, renderable: Any) -> None:
            if hasattr(renderable, "render_segments") and BEHIND[:40] in renderable.render_segments(app.console):
                painted.set()
            plain(screen, renderable)

        monkeypatch.setattr(app, "_display", display)
        await do(app, "/landing\r", "aur\r", "\r", "39\r", "\r", "\r", "\r", "1,5\r")
        other = Thread(target=other_station)
        other.start()
        holds.wait(LONGEST_S)
        await do(app, "\r")
        other.join()
        assert before_end == [True]
        assert said(app)[0] is Verdict.GOOD, said(app)
        assert not app.page.query_one(NowLine).behind

    work(house, script)
