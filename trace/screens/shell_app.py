"""The program: its pages, its commands, its status, and how it starts and ends."""

from __future__ import annotations

import os
import signal
from asyncio import get_running_loop, sleep
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from time import monotonic
from typing import Any, ClassVar, TypeVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen

from lotwake.trace.base.errors import PinNeeded
from lotwake.trace.screens.capture import Scanned, ScannerProfile
from lotwake.trace.screens.command import EVERYWHERE, SHARED, Command, bound_keys
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.line import Asked, Count, UnknownWord, read_line
from lotwake.trace.screens.page import Handler, Page
from lotwake.trace.screens.result import Result, Status, Verdict
from lotwake.trace.screens.scanner import ScanArrived, ScanBroke, ScannerApp
from lotwake.trace.screens.terminal import terminal_lost
from lotwake.trace.screens.theme import THEMES
from lotwake.trace.screens.widgets.bars import NowLine

_S = TypeVar("_S", bound=Screen[Any])
_MINUTE_S = 60
_LOST_CHECK_S = 2.0
_LEAVE_WITHIN_S, _LEAVE_LOOK_S = 2.0, 0.02
_WIDTHS = [(0, "-too-narrow"), (80, "-normal"), (120, "-wide"), (160, "-very-wide")]
_HEIGHTS = [(0, "-too-short"), (24, "-low"), (36, "-tall"), (48, "-very-tall")]


class DraftFailed(Message):
    """A draft could not be written or read."""

    def __init__(self, sentence: str) -> None:
        super().__init__()
        self.sentence = sentence


class ShellApp(ScannerApp, inherit_bindings=False):
    """Pages that are made when they are first wanted and shown again. The first page is the start.

    ``pages`` makes each by its name. ``clock`` gives the site's local time; ``keep_fault`` writes down a fault of the
    program and returns where; ``key_changes`` are the house's own keys (command name -> keys).
    """

    CSS_PATH = Path(__file__).with_name("shell.tcss")  # absolute: a subclass may live elsewhere
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = _WIDTHS
    VERTICAL_BREAKPOINTS = _HEIGHTS
    OWN: ClassVar[tuple[Command, ...]] = ()
    """Commands of this program beside those of every program; offered on every page."""
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+c", "say_how_to_leave", show=False)]

    def __init__(
        self,
        pages: Mapping[str, Callable[[], Page]],
        drafts: DraftStore,
        clock: Callable[[], datetime],
        keep_fault: Callable[[Exception], str],
        *,
        status: Status | None = None,
        key_changes: Mapping[str, str] | None = None,
        theme: str = "night",
        profile: ScannerProfile | None = None,
    ) -> None:
        super().__init__(profile)
        self._makers = dict(pages)
        self._made: dict[str, Page] = {}
        self.drafts = drafts
        self.status = status or Status()
        self._clock = clock
        self._keep_fault = keep_fault
        self._trail: list[str] = []
        self._opening = True
        self._leaving = False
        self._typed_behind = ""
        drafts.on_failed = self._draft_failed
        for colours in THEMES:
            self.register_theme(colours)
        self.set_reactive(ShellApp.theme, theme)
        self._styled_in = theme
        self.stylesheet.set_variables(self.get_css_variables())
        shared = [*SHARED, *self.OWN]
        own_keys = set(key_changes or {}) - {command.name for command in shared}
        self.keys = bound_keys(self.all_commands() if own_keys else shared, key_changes)
        for key, command in self.keys.items():
            self.bind(key, f"command('{command.name}')", description=command.label)

    def refresh_css(self, animate: bool = True) -> None:
        """Read all style sheets anew, but not when the program starts: they are in the colours of the theme already."""
        if self._styled_in != self.theme:
            self._styled_in = self.theme
            super().refresh_css(animate)

    # Pages and commands

    @property
    def pages(self) -> dict[str, Page]:
        """Every page by its name, made for this if it was not shown yet."""
        return {name: self.page_named(name) for name in self._makers}

    def page_named(self, name: str) -> Page:
        """A page; one that offers what it cannot do is not made."""
        if name not in self._made:
            page = self._makers[name]()
            for command in page.OFFERS:
                self._method(page, command)
            self.install_screen(page, name)
            self._made[name] = page
        return self._made[name]

    def all_commands(self) -> list[Command]:
        """Every command of every page once, those of all pages first."""
        own = [command for page in self.pages.values() for command in page.OFFERS]
        by_name = {command.name: command for command in (*own, *self.OWN, *self.page_commands())}
        return [*SHARED, *(command for name, command in by_name.items() if name not in {c.name for c in SHARED})]

    def page_commands(self) -> tuple[Command, ...]:
        """The ways to the pages."""
        return tuple(Command(page.NAME, page.TITLE.title(), page.PURPOSE) for page in self.pages.values())

    def own_commands(self, page: Page) -> tuple[Command, ...]:
        """The page's own commands and those of every page, in the order of their keys."""
        own = {command.name: command for command in page.OFFERS}
        shared = [own.pop(c.name, c) for c in SHARED if c in EVERYWHERE or c.name in own]
        return (*shared, *own.values(), *self.OWN)

    def commands_for(self, page: Page) -> tuple[Command, ...]:
        """What is offered on a page, then the ways to the other pages."""
        return (*self.own_commands(page), *self.page_commands())

    # Start and end

    def on_mount(self) -> None:
        """Show the first page, listen for the signals that end the program."""
        self._trail = [next(iter(self._makers))]
        self.push_screen(self.page)
        self.set_timer(_MINUTE_S - self._clock().second, self._minute_passed)
        if not self.is_headless and os.name == "posix":
            self._listen_for_the_end()

    def _listen_for_the_end(self) -> None:
        loop = get_running_loop()
        for number in (signal.SIGTERM, signal.SIGHUP):
            loop.add_signal_handler(number, self.leave)
        self.set_interval(_LOST_CHECK_S, self._leave_when_lost)

    def _leave_when_lost(self) -> None:
        if terminal_lost():
            self.leave()

    def leave(self) -> None:
        """End the program with the drafts on disk, as soon as what was begun is done. Further keys are not taken."""
        if not self._leaving:
            self._leaving = True
            self.run_worker(self._leave_when_quiet())

    async def _leave_when_quiet(self) -> None:
        begun_s = monotonic()
        while (self._opening or self.keys_underway) and monotonic() - begun_s < _LEAVE_WITHIN_S:
            await sleep(_LEAVE_LOOK_S)
        self.drafts.flush()
        kept = len(self.drafts.names())
        self.exit(message=f"{kept} draft{'s are' if kept != 1 else ' is'} kept." if kept else None)

    def _minute_passed(self) -> None:
        if self.screen_stack and isinstance(self.screen, Page):
            self.screen.show_status()
        self.set_timer(_MINUTE_S - self._clock().second, self._minute_passed)

    # Status, result, faults

    @property
    def page(self) -> Page:
        """The page that is shown, under help and finder too."""
        return self.page_named(self._trail[-1])

    def shown_time(self) -> str:
        """The clock of the top line."""
        return f"{self._clock():%H:%M}"

    def show_status(self, **changes: str) -> None:
        """Change who, printer or scanner in the top line."""
        self.status = replace(self.status, **changes)
        self.page.show_status()

    def ring(self, result: Result) -> None:
        """The bell: a STOP is heard."""
        if result.verdict is Verdict.STOP:
            self.bell()

    def _draft_failed(self, sentence: str) -> None:
        self.post_message(DraftFailed(sentence))  # from the drafts' own thread

    def on_draft_failed(self, message: DraftFailed) -> None:
        """Say that what is typed is not on disk."""
        self.page.say(Result.stop(message.sentence, "What you type is not kept: enter it before leaving."))

    def ask_pin(self, needed: PinNeeded, _handler: Handler) -> None:
        """An act needs a PIN. A house with records overrides this."""
        self.page.say(Result.of_error(needed))

    def fault_result(self, fault: Exception) -> Result:
        """Keep a fault of the program and say so."""
        where = self._keep_fault(fault)
        return Result.stop(
            "The program made a mistake here; the last entry may not be made.", f"Look it up. Kept in {where}."
        )

    # Lines and commands

    async def take_line(self, page: Page, text: str) -> None:
        """Do what a line asks of a page."""
        match read_line(text, page.commands):
            case Asked(command, rest):
                await self.do(command, rest)
            case UnknownWord(word):
                page.say(Result.check(f"There is no command {word} here.", "F2 shows what there is."))
            case Count(number):
                await page.act(partial(page.on_count, number))
            case other:
                await page.act(partial(page.on_line, other.text))

    async def action_command(self, name: str) -> None:
        """A key was pressed."""
        page = self.page
        page.new_act()
        offered = {command.name: command for command in self.own_commands(page)}
        meant = next(command for command in self.keys.values() if command.name == name)
        if name in offered or name in self._makers:
            await self.do(offered.get(name, meant), "")
        else:
            page.say(
                Result.check(f"There is nothing to {meant.label.lower()} on this page.", "F2 shows what there is.")
            )

    async def do(self, command: Command, rest: str) -> None:
        """Carry out a command: the page's way first, then the program's, then as the way to a page."""
        page = self.page
        await page.act(partial(self._method(page, command), rest))

    def _method(self, page: Page, command: Command) -> Callable[[str], Any]:
        if command.name in self._makers:
            return partial(self.go_with, command.name)
        method: Callable[[str], Any] | None = getattr(page, command.method, None) or getattr(self, command.method, None)
        if method is None:
            raise TypeError(f"the page {page.NAME} offers {command.name} but has no {command.method}(rest)")
        return method

    def go_with(self, name: str, rest: str) -> None:
        """To a page, and what stands behind its word is typed there: ``/trace 126-328-001-42``."""
        self._typed_behind = rest.strip()
        if name == self.page.NAME:
            self.page.call_later(self.page.take_typed_behind)
        else:
            self.go(name)

    def look_up(self, text: str) -> None:
        """A text that no page has a use for. A house with records overrides this."""
        self.page.say(Result.check(f"Nothing here is called {text}.", "F2 shows what can be typed."))

    def go(self, name: str) -> None:
        """Show a page; Esc comes back to this one."""
        if name == self._trail[-1]:
            return
        if name in self._trail:
            del self._trail[self._trail.index(name) + 1 :]
        else:
            self._trail.append(name)
        self._show(name)

    def _show(self, name: str) -> None:
        self._opening = True
        self.switch_screen(self.page_named(name))

    @property
    def is_left(self) -> bool:
        """Whether the program is ending: nobody reads what a page would still say."""
        return self._leaving

    @property
    def takes_keys(self) -> bool:
        """Keys typed while a page opens are for that page, and wait for it."""
        return super().takes_keys and not self._opening and not self._leaving

    def typed_behind(self) -> str:
        """What was typed behind the word of the page that opens; it is given once."""
        typed, self._typed_behind = self._typed_behind, ""
        return typed

    async def on_page_opened(self, event: Page.Opened) -> None:
        """Let the keys in that were typed meanwhile."""
        if event.page is self.page:
            self._opening = False
            await self._advance()

    def do_back(self, _rest: str) -> None:
        """To the page before this one."""
        if len(self._trail) > 1:
            self._trail.pop()
            self._show(self._trail[-1])
        else:
            self.page.say(Result.check("This is the first page.", "/quit leaves the program."))

    def do_help(self, _rest: str) -> None:
        """Open the help of this page."""
        page = self.page
        from lotwake.trace.screens.help_screen import HelpScreen

        screen = self.kept(HelpScreen)
        screen.prepare(page.TITLE, page.PURPOSE, page.query_one(NowLine).text, page.commands, self.keys)
        self.push_screen(screen)

    def do_find(self, rest: str) -> None:
        """Open the finder."""
        self._open_finder("FIND  a command, a page or a record", self.page.commands, rest)

    def do_jobs(self, _rest: str) -> None:
        """Open the finder with the pages only."""
        self._open_finder("JOBS  where to?", self.page_commands(), "", records=False)

    def _open_finder(self, title: str, commands: Sequence[Command], typed: str, records: bool = True) -> None:
        from lotwake.trace.screens.finder import Finder

        screen = self.kept(Finder)
        screen.prepare(title, commands, typed, records)
        self.push_screen(screen, self._found)

    def kept(self, kind: type[_S]) -> _S:
        """The one screen of a kind, made when it is first wanted: a new one each time would never be freed."""
        if kind.__name__ not in self._installed_screens:
            self.install_screen(kind(), kind.__name__)
        return self.get_screen(kind.__name__, kind)

    async def _found(self, line: str | None) -> None:
        if line:
            await self.page.take_line(line)

    def do_theme(self, _rest: str) -> None:
        """Day to night, night to day."""
        self.theme = "day" if self.theme == "night" else "night"

    def do_quit(self, _rest: str) -> None:
        """Leave."""
        self.leave()

    def action_say_how_to_leave(self) -> None:
        """Ctrl+C is pressed by habit and stops nothing."""
        self.page.say(Result.check("Nothing was stopped.", "/quit leaves the program; drafts are kept."))

    # Scans

    def takes_scan(self, _scan: Scanned) -> bool:
        """Whether a scan means the same on every page; the program then takes it itself."""
        return False

    def take_scan(self, scan: Scanned) -> None:
        """Do what such a scan means."""

    def scan_target(self) -> Page:
        """A scan is the page's: help and finder give way."""
        while len(self.screen_stack) > 1 and not isinstance(self.screen, Page):
            self.pop_screen()
        return self.page

    def on_scan_arrived(self, _event: ScanArrived) -> None:
        """The scanner works."""
        self.show_status(scanner="scanner OK")

    def on_scan_broke(self, _event: ScanBroke) -> None:
        """The scanner is to be looked at."""
        self.show_status(scanner="scanner CHECK")
