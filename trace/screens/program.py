"""The terminal program: a house is opened, its pages are made, somebody works, it is closed again."""

from __future__ import annotations

import sys
from pathlib import Path

from lotwake.trace.actions.cards import Card
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.clock import Clock
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.screens.batch_page import BatchPage
from lotwake.trace.screens.call_page import CallPage
from lotwake.trace.screens.cases_page import CasesPage
from lotwake.trace.screens.count_page import CountPage
from lotwake.trace.screens.dispatch_page import DispatchPage
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.fix_page import FixPage
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.labels_page import LabelsPage
from lotwake.trace.screens.landing_page import LandingPage
from lotwake.trace.screens.logger_page import LoggerPage
from lotwake.trace.screens.origin_page import OriginPage
from lotwake.trace.screens.pack_page import PackPage
from lotwake.trace.screens.page import Page
from lotwake.trace.screens.places_page import PlacesPage
from lotwake.trace.screens.recall_page import RecallPage
from lotwake.trace.screens.reckon_page import ReckonPage
from lotwake.trace.screens.records_page import RecordsPage
from lotwake.trace.screens.returns_page import ReturnsPage
from lotwake.trace.screens.scanner_page import ScannerPage, sheet_cards
from lotwake.trace.screens.set_up_page import SetUpPage
from lotwake.trace.screens.start_page import StartPage
from lotwake.trace.screens.suspect_page import SuspectPage
from lotwake.trace.screens.thing_page import ThingPage
from lotwake.trace.screens.trace_page import TracePage


def pages(drafts: DraftStore) -> list[Page]:
    """Every page of the program, the start page first; the others in the order of the work."""
    return [
        StartPage(),
        LandingPage(drafts),
        BatchPage(),
        LoggerPage(),
        PackPage(drafts),
        CasesPage(drafts),
        LabelsPage(),
        DispatchPage(drafts),
        ReturnsPage(drafts),
        PlacesPage(),
        TracePage(),
        OriginPage(),
        SuspectPage(drafts),
        RecallPage(),
        CallPage(drafts),
        CountPage(drafts),
        RecordsPage(),
        ThingPage(),
        FixPage(drafts),
        ReckonPage(drafts),
        SetUpPage(drafts),
        ScannerPage(),
    ]


def house_app(desk: Desk, daily: bool = False) -> HouseApp:
    """The program around an open house; ``daily``: whether it makes the day's backup."""
    drafts = DraftStore(desk.places.drafts, print)  # the program puts its own way of telling in the place of print
    return HouseApp(desk, pages(drafts), drafts, daily=daily)


def all_cards(desk: Desk) -> list[Card]:
    """Every card of the printed sheet: tests of the scanner, people, commands, quantities."""
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
