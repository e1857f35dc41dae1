"""The real program around a house, writing down what its pages were told, for tests that only see the terminal.

Arguments: the house's folder and the file to write.
"""

from __future__ import annotations

import sys
from pathlib import Path

from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.places import places_at
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.page import Page
from lotwake.trace.screens.program import pages
from lotwake.trace.screens.scanner import ScanArrived, ScanBroke


class RecordingHouse(HouseApp):
    """Every scan, broken scan, line and key of a command, in order, with the page it came to."""

    def __init__(self, desk: Desk, log_file: Path) -> None:
        drafts = DraftStore(desk.places.drafts, print)
        super().__init__(desk, pages(drafts), drafts)
        self.log_file = log_file
        self.heard: list[str] = []

    async def take_line(self, page: Page, text: str) -> None:
        self.heard.append(f"{page.NAME} line {text}")
        await super().take_line(page, text)

    async def action_command(self, name: str) -> None:
        self.heard.append(f"{self.page.NAME} key {name}")
        await super().action_command(name)

    def leave(self) -> None:
        self.log_file.write_text("\n".join(self.heard) + "\n", encoding="utf-8")
        super().leave()


async def _scan(page: Page, event: ScanArrived) -> None:
    _of(page).heard.append(f"{page.NAME} scan {event.scan.text}")
    await _take_scan(page, event)


def _broke(page: Page, event: ScanBroke) -> None:
    _of(page).heard.append(f"{page.NAME} broke {event.broken.text}")
    _tell_broken(page, event)


def _of(page: Page) -> RecordingHouse:
    assert isinstance(page.app, RecordingHouse)
    return page.app


if __name__ == "__main__":
    _take_scan, _tell_broken = Page.on_scan_arrived, Page.on_scan_broke
    Page.on_scan_arrived, Page.on_scan_broke = _scan, _broke  # type: ignore[method-assign]
    house = open_desk(places_at(Path(sys.argv[1])), "SK")
    RecordingHouse(house, Path(sys.argv[2])).run(mouse=False)
    house.close()
