"""A page that works on the records of a house.

Beside what a page uses, such a page has

    self.desk                   the open house, with who is at work; give it to the actions
    self.house.open(page, thing)  go to a page with something to work on, such as ``open("batch", lot)``
    self.handed()               in ``on_open``: what another page handed over, once; None when it was opened by itself
    subject, TAKES              what this page is about, and what it takes over from the page before
    def on_changed(self)        the record changed, here or at another station: show it again, keeping what is selected;
                                where TELLS_TIME is True also each minute
"""

from __future__ import annotations

from collections.abc import Awaitable
from typing import TYPE_CHECKING, ClassVar, cast

from lotwake.trace.actions.desk import Desk
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.page import Page

if TYPE_CHECKING:
    from lotwake.trace.screens.house_app import HouseApp

SIGN_IN = "looking only: scan your card, or type /as and your initials"


class HousePage(Page):
    """See the top of this file."""

    TAKES: ClassVar[tuple[Kind, ...]] = ()
    """What this page can work on when it is opened by its name from a page that is about such a thing."""
    TELLS_TIME: ClassVar[bool] = False
    """Whether the page shows how long something lasts, and so is shown anew each minute."""
    _awaited = ""

    @property
    def house(self) -> HouseApp:
        """The program, with its desk."""
        return cast("HouseApp", self.app)

    @property
    def desk(self) -> Desk:
        """The open house and who is at work in it."""
        return self.house.desk

    @property
    def subject(self) -> Thing | None:
        """What this page is about, for the page that is opened next."""
        return None

    def handed(self) -> Thing | None:
        """What another page handed over; asked a second time there is nothing."""
        return self.house.handed()

    def on_changed(self) -> Awaitable[None] | None:
        """The record changed while this page is shown."""

    def things(self, scan: Scanned) -> list[Thing]:
        """Everything a scan names; what is wrong with it is a LotwakeError."""
        from lotwake.trace.actions.find import find  # what reads a scan is not needed for the first frame

        return find(self.desk.records, scan.text, self.desk.settings.separator)

    def on_scanned(self, scan: Scanned) -> Awaitable[None] | None:
        """Without a use of its own for it, the page shows what it is."""
        self.shell.look_up(scan.text)
        return None

    def now(self, sentence: str) -> None:
        """Say what the program waits for; first of all for somebody to sign in."""
        self._awaited = sentence
        super().now(sentence if self.desk.operator else SIGN_IN)

    def who_changed(self) -> None:
        """Somebody else is at work."""
        self.now(self._awaited)
