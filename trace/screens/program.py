# ruff: noqa: E402 - the collector is stopped before what takes long is loaded
"""The terminal program: a house is opened, its pages are made, somebody works, it is closed again."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

gc.disable()  # what loading makes stays; to look through it for garbage takes a tenth of the time to the first frame

from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.clock import Clock
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.page import Page

if TYPE_CHECKING:
    from lotwake.trace.actions.cards import Card

gc.freeze()  # nor is it looked through later
gc.enable()

_ROOM = "lotwake.trace.screens"
_PAGES = {
    "start": ("start_page", "StartPage"),
    "landing": ("landing_page", "LandingPage"),
    "batch": ("batch_page", "BatchPage"),
    "logger": ("logger_page", "LoggerPage"),
    "pack": ("pack_page", "PackPage"),
    "cases": ("cases_page", "CasesPage"),
    "labels": ("labels_page", "LabelsPage"),
    "dispatch": ("dispatch_page", "DispatchPage"),
    "returns": ("returns_page", "ReturnsPage"),
    "places": ("places_page", "PlacesPage"),
    "trace": ("trace_page", "TracePage"),
    "origin": ("origin_page", "OriginPage"),
    "sendout": ("send_out_page", "SendOutPage"),
    "suspect": ("suspect_page", "SuspectPage"),
    "recall": ("recall_page", "RecallPage"),
    "call": ("call_page", "CallPage"),
    "tally": ("count_page", "CountPage"),
    "records": ("records_page", "RecordsPage"),
    "thing": ("thing_page", "ThingPage"),
    "correct": ("fix_page", "FixPage"),
    "reckon": ("reckon_page", "ReckonPage"),
    "setup": ("set_up_page", "SetUpPage"),
    "scanner": ("scanner_page", "ScannerPage"),
}
"""Every page by its name, with its module and class: the start first, the others in the order of the work."""
_WITH_DRAFTS = {
    "landing", "pack", "cases", "dispatch", "returns", "suspect", "call", "tally", "correct", "reckon", "setup",
}  # fmt: skip


def pages(drafts: DraftStore) -> dict[str, Callable[[], Page]]:
    """What makes each page; its module is loaded then, since most of the program is not needed for the first frame."""
    return {name: partial(_page, name, drafts) for name in _PAGES}


def _page(name: str, drafts: DraftStore) -> Page:
    module, kind = _PAGES[name]
    made: Page = getattr(import_module(f"{_ROOM}.{module}"), kind)(*([drafts] if name in _WITH_DRAFTS else []))
    return made


def load_all() -> None:
    """Load what every page is made of, so that none keeps a person waiting when it is first opened."""
    for module, _kind in _PAGES.values():
        import_module(f"{_ROOM}.{module}")


def house_app(desk: Desk, daily: bool = False) -> HouseApp:
    """The program around an open house; ``daily``: whether it makes the day's backup."""
    drafts = DraftStore(desk.places.drafts, print)  # the program puts its own way of telling in the place of print
    return HouseApp(desk, pages(drafts), drafts, daily=daily, load_ahead=load_all)


def all_cards(desk: Desk) -> list[Card]:
    """Every card of the printed sheet: tests of the scanner, people, commands, quantities."""
    from lotwake.trace.screens.scanner_page import sheet_cards

    app = house_app(desk)
    cards = sheet_cards(desk, app.all_commands())
    app.drafts.close()
    return cards


def run(places: Places, who: str | None, clock: Clock | None = None) -> int:
    """Open the house at ``places`` in the terminal; ``who`` are initials, None takes those of the settings or looks only.

    The exit code of the program is given back. A house that is not there or cannot be opened, initials nobody has and
    settings that are wrong are LotwakeErrors, raised before the terminal is touched.
    """
    desk = open_desk(places, who, clock)
    try:
        app = house_app(desk, daily=True)
        app.run(mouse=True)  # nothing needs the mouse; a click on a row or a field is taken where there is one
        app.drafts.close()
    finally:
        desk.close()
    return app.return_code or 0


if __name__ == "__main__":  # how the browser view starts it for each visitor: FOLDER [INITIALS]
    sys.exit(run(places_at(Path(sys.argv[1])), sys.argv[2] if len(sys.argv) > 2 else None))
