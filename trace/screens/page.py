"""A page: one job on one screen. How one is made:

    class PackPage(Page):
        NAME = "pack"                        # /pack goes here
        TITLE = "PACK"
        PURPOSE = "Print pack labels for the batch on the table."
        OFFERS = (VOID.here("Void last", "Void the last labels, with a reason."), MORE)

        def body(self) -> ComposeResult:     # between the result strip and the NOW line
            yield Ledger(Column("time", 5), Column("serials"))

        def on_open(self) -> None:           # each time the page is shown
            self.now("number + Enter prints, or scan a batch card")

        def on_scanned(self, scan: Scanned) -> None: ...
        def on_count(self, number: int) -> None: ...     # a number + Enter
        def on_line(self, text: str) -> None: ...        # anything else + Enter
        def on_row(self, row: Row) -> None: ...          # Enter on the empty line: the marked row
        def do_void(self, rest: str) -> None: ...        # F8, /void smeared, the VOID card, "-"

A handler calls an action and ends with ``self.say(Result.good(...))``. What an action refuses is a LotwakeError:
it becomes the result by itself. Handlers may be async; none waits for a person. Long work goes through
``in_background``.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from functools import partial
from inspect import isawaitable
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input
from textual.worker import Worker

from lotwake.labels.errors import LabelError
from lotwake.trace.base.errors import LotwakeError, PinNeeded
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import Command
from lotwake.trace.screens.line import read_card
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.scanner import ScanArrived, ScanBroke
from lotwake.trace.screens.widgets.bars import KeyBar, NowLine, TooSmall, TopLine
from lotwake.trace.screens.widgets.ledger import Ledger, Row
from lotwake.trace.screens.widgets.line_input import LineInput
from lotwake.trace.screens.widgets.plain_input import PlainInput
from lotwake.trace.screens.widgets.result_strip import ResultStrip

if TYPE_CHECKING:
    from lotwake.trace.screens.shell_app import ShellApp
    from lotwake.trace.screens.widgets.field import Field
    from lotwake.trace.screens.widgets.form import Form

T = TypeVar("T")
Handler = Callable[[], Awaitable[None] | None]


class Page(Screen[None]):
    """Top line, result, body, NOW line, input line, key bar; see the top of this file."""

    NAME: ClassVar[str] = ""
    TITLE: ClassVar[str] = ""
    PURPOSE: ClassVar[str] = ""
    OFFERS: ClassVar[tuple[Command, ...]] = ()
    HAS_LINE: ClassVar[bool] = True
    """False for a page that is a form: its fields take the keys then."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "ledger('step', -1)", show=False),
        Binding("down", "ledger('step', 1)", show=False),
        Binding("pageup", "ledger('leaf', -1)", show=False),
        Binding("pagedown", "ledger('leaf', 1)", show=False),
    ]

    class Opened(Message):
        """The page is shown and has done what it does on opening."""

        def __init__(self, page: Page) -> None:
            super().__init__()
            self.page = page

    @property
    def shell(self) -> ShellApp:
        """The program this page is part of."""
        return cast("ShellApp", self.app)

    # What a page fills in

    def body(self) -> ComposeResult:
        """Widgets between the result strip and the NOW line."""
        yield from ()

    def on_open(self) -> Awaitable[None] | None:
        """The page is shown: show what is so now."""

    def on_scanned(self, scan: Scanned) -> Awaitable[None] | None:
        """A code that is no command card was scanned."""
        return self.on_line(scan.data)

    def on_count(self, number: int) -> Awaitable[None] | None:
        """A number was typed; without a meaning of its own it is looked up like any text."""
        return self.on_line(str(number))

    def on_line(self, text: str) -> Awaitable[None] | None:
        """Anything else was typed."""
        self.shell.look_up(text)
        return None

    def on_enter(self) -> Awaitable[None] | None:
        """Enter on the empty line: the marked row is chosen."""
        if (ledger := self._ledger()) is not None:
            ledger.action_choose()
        return None

    def on_row(self, row: Row) -> Awaitable[None] | None:
        """A row of the ledger was chosen."""

    # What a page uses

    def say(self, result: Result) -> None:
        """Show a result until the next act."""
        self.query_one(ResultStrip).result = result
        self.shell.ring(result)

    def now(self, sentence: str) -> None:
        """Say what the program waits for."""
        self.query_one(NowLine).text = sentence

    def say_behind(self) -> None:
        """Say, even while nothing else moves, that an entry waits for another station; it goes with the act."""
        line = self.query_one(NowLine)
        line.behind = True
        # An entry is written in the thread of the screen, so the screen would be painted only when the wait is over.
        self._compositor.update_widgets({line})
        self.shell._display(self, self._compositor.render_update(screen_stack=self.shell._background_screens))

    def in_background(self, work: Callable[[], T], done: Callable[[T], Awaitable[None] | None]) -> Worker[None]:
        """Run ``work`` in a thread and give its value to ``done`` here; what it refuses becomes the result."""
        return self.run_worker(self.act(partial(self._worked, work, done)), exit_on_error=False)

    async def _worked(self, work: Callable[[], T], done: Callable[[T], Awaitable[None] | None]) -> None:
        value = await asyncio.to_thread(work)
        if self.shell.is_left:
            return
        finished = done(value)
        if isawaitable(finished):
            await finished

    async def act(self, handler: Handler) -> None:
        """Run a handler so that whatever goes wrong ends as a sentence on the page."""
        try:
            waiting = handler()
            if isawaitable(waiting):
                await waiting
        except PinNeeded as needed:  # nothing was entered: the same act is done once the PIN was right
            self.shell.ask_pin(needed, handler)
        except (LotwakeError, LabelError) as error:
            self.say(Result.of_error(error))
        except Exception as fault:  # noqa: BLE001 (a fault of ours must not take the page down; it is kept and told)
            self.say(self.shell.fault_result(fault))
        finally:
            for line in self.query(NowLine):
                line.behind = False

    # How it works

    def compose(self) -> ComposeResult:
        """The fixed lines around the body."""
        yield TopLine()
        yield ResultStrip()
        with Vertical(id="body"):
            yield from self.body()
        with Vertical(id="foot"):
            yield NowLine()
            if self.HAS_LINE:
                yield LineInput(helps=True)
            yield KeyBar()
        yield TooSmall()

    @property
    def commands(self) -> tuple[Command, ...]:
        """What is offered here: the page's own commands, those of every page, and the other pages."""
        return self.shell.commands_for(self)

    def new_act(self) -> None:
        """The person does something new: the last result has been read."""
        self.query_one(ResultStrip).result = None

    async def on_screen_resume(self) -> None:
        """Bring the fixed lines up to date, then open the page."""
        self.show_status()
        self.query_one(KeyBar).show_commands(self.shell.own_commands(self), self.shell.keys)
        if self.HAS_LINE:
            self.query_one(LineInput).focus()
        await self.act(self.on_open)
        await self.take_typed_behind()
        self.post_message(self.Opened(self))

    async def take_typed_behind(self) -> None:
        """What was typed behind this page's word is a line of this page."""
        if typed := self.shell.typed_behind():
            await self.act(partial(self.on_line, typed))

    def set_focus(self, widget: Widget | None, scroll_visible: bool = True, from_app_focus: bool = False) -> None:
        """Keep the cursor where something can be typed: a click or Tab beside the fields must not make the keys dead."""
        if not isinstance(widget, Input):
            seen = (self.focused, *self.query(LineInput))
            widget = next((each for each in seen if isinstance(each, Input) and _is_seen(each)), None)
        super().set_focus(widget, scroll_visible, from_app_focus)

    def show_status(self) -> None:
        """Bring the top line up to date."""
        top = self.query_one(TopLine)
        top.page, top.status, top.time = self.TITLE, self.shell.status, self.shell.shown_time()

    async def on_line_input_entered(self, event: LineInput.Entered) -> None:
        """A line was typed."""
        event.stop()
        await self.take_line(event.text)

    async def take_line(self, text: str) -> None:
        """Do what a line asks, typed or from a card."""
        self.new_act()
        if text.strip():
            await self.shell.take_line(self, text)
        else:
            await self.act(self.on_enter)

    async def on_scan_arrived(self, event: ScanArrived) -> None:
        """A card is a line, some scans are the program's, any other is the page's."""
        line = read_card(event.scan.data)
        if line is not None:
            await self.take_line(line)
            return
        self.new_act()
        taker = self.shell.take_scan if self.shell.takes_scan(event.scan) else self.on_scanned
        await self.act(partial(taker, event.scan))

    def on_scan_broke(self, event: ScanBroke) -> None:
        """Say that it was not used."""
        self.say(Result.check(f"A scan was not used: {event.broken.reason}.", "Scan it again."))

    async def on_ledger_row_chosen(self, event: Ledger.RowChosen) -> None:
        """A row was chosen."""
        event.stop()
        await self.act(partial(self.on_row, event.row))

    async def on_plain_input_help_asked(self, _event: PlainInput.HelpAsked) -> None:
        """``?`` on the empty line or in an empty field."""
        await self.shell.take_line(self, "?")

    def on_line_input_keypad_found_off(self, _event: LineInput.KeypadFoundOff) -> None:
        """Say why digits do not come."""
        self.say(Result.check("The keypad sends no digits.", "Press NumLock once."))

    def on_plain_input_paste_refused(self, event: PlainInput.PasteRefused) -> None:
        """Say why nothing was put in."""
        self.say(Result.check(f"{event.lines} lines were pasted; nothing was put in.", "Paste one line at a time."))

    async def on_field_command_typed(self, event: Field.CommandTyped) -> None:
        """A command was typed where a value goes."""
        event.stop()
        await self.take_line(event.line)

    def on_form_unready(self, event: Form.Unready) -> None:
        """Say what the form still lacks."""
        self.say(Result.of_error(event.error))

    def on_form_restored(self, _event: Form.Restored) -> None:
        """Say that what stands here was not entered."""
        self.say(Result.check("This is your draft from before; it is not entered yet.", "Go on, or empty the fields."))

    def action_ledger(self, move: str, by: int) -> None:
        """Move in the ledger while the input line keeps the focus."""
        if (ledger := self._ledger()) is not None:
            (ledger.action_step if move == "step" else ledger.action_leaf)(by)

    def _ledger(self) -> Ledger | None:
        """The first ledger that is seen and has rows to choose."""
        return next((ledger for ledger in self.query(Ledger) if ledger.marks and _is_seen(ledger)), None)


def _is_seen(widget: Widget) -> bool:
    return widget.is_attached and all(node.display for node in widget.ancestors_with_self)
