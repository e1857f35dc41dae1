"""The program with a house open in it: who is at work, what a code opens, and what other stations changed."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import replace
from datetime import datetime
from functools import partial
from inspect import isawaitable
from threading import get_ident
from typing import TYPE_CHECKING, ClassVar

from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.codes import CodeKind, looks_like_code, read_code
from lotwake.trace.base.errors import CallError, ExitCode, LotwakeError, PinNeeded
from lotwake.trace.base.faults import keep_fault
from lotwake.trace.base.settings import Settings, read_settings
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import head
from lotwake.trace.screens.capture import Scanned, ScannerProfile
from lotwake.trace.screens.command import Command
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.line import on_card
from lotwake.trace.screens.page import Handler, Page
from lotwake.trace.screens.result import Result, Status
from lotwake.trace.screens.shell_app import ShellApp

if TYPE_CHECKING:
    from lotwake.trace.actions.back_up import BackUp

AS = Command("as", "Sign in", "Say who is at the keyboard; scanning an operator card does the same.", takes="INITIALS")
_LOOK_EVERY_S = 3.0
_LOAD_AHEAD_AFTER_S, _BACK_UP_AFTER_S = 1.0, 5.0


class HouseApp(ShellApp):
    """Pages around one desk. ``desk`` is replaced when somebody else takes over the keyboard.

    ``daily``: whether the day's backup is made at the start.
    """

    OWN: ClassVar[tuple[Command, ...]] = (AS,)

    def __init__(
        self,
        desk: Desk,
        pages: Mapping[str, Callable[[], Page]],
        drafts: DraftStore,
        key_changes: Mapping[str, str] | None = None,
        daily: bool = False,
        load_ahead: Callable[[], None] = lambda: None,
    ) -> None:
        """``load_ahead`` is run once in a thread, when the first page has long been seen."""
        self._load_ahead = load_ahead
        self.desk = desk
        self._daily = daily
        self._handed: Thing | None = None
        self._seen = (head(desk.records), desk.now)
        desk.records.on_wait = self._say_behind
        settings = desk.settings
        super().__init__(
            pages,
            drafts,
            self._local_now,
            self._keep,
            status=Status(who=_who(desk), printer=_labels(settings)),
            key_changes=settings.keys if key_changes is None else key_changes,
            theme=settings.theme,
            profile=ScannerProfile(settings.scanner == "prefix", _stand_in(settings.separator)),
        )

    def _local_now(self) -> datetime:
        return self.desk.clock.now().astimezone(self.desk.zone)

    def _keep(self, fault: BaseException) -> str:
        return str(keep_fault(self.desk.places.folder, fault, self.desk.clock.now()))

    def _handle_exception(self, error: Exception) -> None:
        """A fault outside every page ends the program: with one sentence, the details in a file."""
        if self.is_headless:
            super()._handle_exception(error)  # a test is told at once
            return
        self.drafts.flush()
        message = f"The program failed; this is our fault. The details are in {self._keep(error)}. Drafts are kept."
        self.exit(return_code=int(ExitCode.MACHINE_FAILED), message=message)

    async def look_for_changes(self) -> None:
        """Tell the page that is shown when the journal has grown, or a minute has gone by where that shows."""
        if self.screen_stack and isinstance(self.page, HousePage) and self.screen is self.page:
            await self.page.act(self._tell_changes)

    def _say_behind(self) -> None:
        if get_ident() == self._thread_id:
            self.page.say_behind()
        elif self._loop is not None:  # work in the background; it does not wait for the screen in turn
            self._loop.call_soon_threadsafe(self.page.say_behind)

    async def _tell_changes(self) -> None:
        page, before = self.page, self._seen
        self._seen = (head(self.desk.records), self.desk.now)
        assert isinstance(page, HousePage)
        if self._seen[0] != before[0] or (page.TELLS_TIME and self._seen[1] != before[1]):
            await page.act(page.on_changed)

    # Going somewhere with something

    def go(self, name: str) -> None:
        """Show a page; it is handed what the page before was about, if it can use that."""
        before, target = self.page, self.page_named(name)
        self._handed = None
        if isinstance(before, HousePage) and isinstance(target, HousePage):
            thing = before.subject
            self._handed = thing if thing is not None and thing.kind in target.TAKES else None
        super().go(name)

    def open(self, name: str, thing: Thing | None = None) -> None:
        """Show a page and hand it what it is to work on."""
        if name == self.page.NAME:
            self.page.call_later(self.page.act, self.page.on_open)
        else:
            self.go(name)
        self._handed = thing

    def handed(self) -> Thing | None:
        """What was handed to the page that opens; it is given once."""
        thing, self._handed = self._handed, None
        return thing

    def look_up(self, text: str) -> None:
        """What is this? A card signs in, a case shows the recall, one thing is shown; several are told."""
        from lotwake.trace.actions.find import find  # what reads a scan is not needed for the first frame
        from lotwake.trace.records.recalls import case_coded

        if case_coded(self.desk.records, text) is not None:
            self.go_with("recall", text)
            return
        found = find(self.desk.records, text, self.desk.settings.separator)
        if len(found) > 1:
            several = ", ".join(f"{thing.kind} {thing.shown}" for thing in found)
            raise CallError(f"{text.strip()!r} names several things: {several}.", "Type one of these codes.")
        if found[0].kind is Kind.OPERATOR:
            self.sign_in(found[0].code)
        elif found[0].kind is Kind.PLACE:
            self.open("places", found[0])
        else:
            self.open("thing", found[0])

    # Who is at work, and what only a lead does

    def on_mount(self) -> None:
        """Look out for what other stations write; load and back up behind the first frame."""
        self.set_timer(_LOAD_AHEAD_AFTER_S, self._begin_to_load)
        if self._daily:
            self.set_timer(_BACK_UP_AFTER_S, lambda: self.run_worker(self._back_up(), exit_on_error=False))
        self.set_interval(_LOOK_EVERY_S, self.look_for_changes)

    def _begin_to_load(self) -> None:
        # What cannot be loaded fails again, and is told, when its page is opened.
        self.run_worker(asyncio.to_thread(self._load_ahead), exit_on_error=False)

    async def _back_up(self) -> None:
        """Make today's backup while people work; what is wrong with it stands on the page."""
        try:
            made = await asyncio.to_thread(self._back_up_apart)
        except (LotwakeError, OSError) as error:
            self.page.say(Result.stop("Today's backup was not made.", str(error)))
            return
        if made is not None and not made.verdict.whole:
            self.page.say(
                Result.stop("The record is not whole: the backup shows it.", "lotwake verify names what is wrong.")
            )

    def _back_up_apart(self) -> BackUp | None:
        from lotwake.trace.actions.daily_backup import back_up_today

        try:
            return back_up_today(self.desk)
        finally:
            self.desk.records.close()  # only this thread's connection

    def ask_pin(self, needed: PinNeeded, handler: Handler) -> None:
        """Ask, and do the act when the PIN is right; it holds for this one act."""
        self.ask_digits(needed.sentence, lambda pin: self._prove_and_do(pin, handler))

    def ask_digits(self, asks: str, then: Callable[[str], Awaitable[None] | None]) -> None:
        """Ask for digits that are not shown, and go on with them on this page."""
        page = self.page

        async def typed(digits: str | None) -> None:
            if digits:
                await page.act(partial(then, digits))
            else:
                page.say(Result.check("Left as it was; no PIN was typed.", "Nothing was entered."))

        from lotwake.trace.screens.pin_screen import PinScreen

        screen = self.kept(PinScreen)
        screen.prepare(asks)
        self.push_screen(screen, typed)

    async def _prove_and_do(self, pin: str, handler: Handler) -> None:
        self.desk = self.desk.with_pin(pin)
        try:
            done = handler()
            if isawaitable(done):
                await done
        finally:
            self.desk = replace(self.desk, proof="")

    def takes_scan(self, scan: Scanned) -> bool:
        """An operator card changes who is at work, on every page."""
        text = on_card(scan.data)
        return looks_like_code(text) and text.strip()[:1] == str(CodeKind.OPERATOR.value)

    def take_scan(self, scan: Scanned) -> None:
        """Sign in by card."""
        self.sign_in(read_code(on_card(scan.data)).text)

    def do_as(self, rest: str) -> None:
        """Sign in by initials."""
        if not rest:
            raise CallError("Whose initials?", "Type them behind it, as in /as SK, or scan the operator card.")
        self.sign_in(rest)

    def read_settings_again(self) -> None:
        """The settings may have been changed: they hold from now on, but for keys, colours and scanner, which are set at
        the start."""
        self.desk = replace(self.desk, settings=read_settings(self.desk.places.settings))
        self.show_status(printer=_labels(self.desk.settings))

    def sign_in(self, who: str) -> None:
        """Somebody takes over the keyboard; entries carry the name from now on."""
        self.desk = self.desk.taken_by(who)
        self.show_status(who=_who(self.desk))
        if isinstance(self.page, HousePage):
            self.page.who_changed()
        self.page.say(
            Result.good(f"{self.status.who} is at work now.", "Entries carry this name. Somebody else? /as INITIALS")
        )


def _who(desk: Desk) -> str:
    return f"{desk.operator.initials} {desk.operator.name}" if desk.operator else "NOBODY signed in"


def _labels(settings: Settings) -> str:
    return f"labels {settings.stock.removeprefix('roll ')}"


def _stand_in(separator: str) -> str:
    return "" if separator == "\x1d" else separator
