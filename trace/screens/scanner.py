"""Where keys enter the program: scans are taken out, everything else goes on one key at a time.

Textual gives printable keys to the focused widget at once, while Enter, Tab and bindings travel up to the program
first; under load they overtake each other. So the next key is forwarded only after a marker has gone to the focused
widget and back twice: once for the key itself, once for what the key set off.
"""

from __future__ import annotations

from asyncio import TimerHandle, get_running_loop, run_coroutine_threadsafe
from collections import deque
from math import inf

from textual import events
from textual.app import App
from textual.dom import DOMNode
from textual.driver import Driver
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from lotwake.trace.screens.capture import Broken, Capture, Outcome, Pasted, Released, Scanned, ScannerProfile, Stroke

_ROUNDS = 4  # a key may be told on from widget to widget: Enter in a field, the command it was, the page, the new focus
_LATE_S = 0.1  # a timer this late says that the program stood still: more keys may be on their way
_PATIENCE_S = 5.0  # after this a marker counts as lost: an order that may be wrong is better than a dead keyboard
_CHECK_S = 0.25
_TIMER_SLACK_S = 0.002
_SAME_KEY = {"ctrl+j": ("enter", "\r")}  # keypad Enter under tmux
_KEYPAD = {"add": "+", "subtract": "-", "multiply": "*", "divide": "/", "decimal": "."}


class ScanArrived(Message):
    """To the page: a whole scan came in."""

    def __init__(self, scan: Scanned) -> None:
        super().__init__()
        self.scan = scan


class ScanBroke(Message):
    """To the page: a scan did not come through and was not used."""

    def __init__(self, broken: Broken) -> None:
        super().__init__()
        self.broken = broken


class Marker(Message, namespace="pump"):
    """Goes to the focused widget and bubbles back behind the key that went before it."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


class TimeUp(Message, bubble=False, namespace="pump"):
    """Stands in the queue behind every key that came before ``heard_s``; ``due_s`` is when it should have been posted."""

    def __init__(self, due_s: float, heard_s: float) -> None:
        super().__init__()
        self.due_s = due_s
        self.heard_s = heard_s


class ScannerApp(App[None]):
    """A program whose keys are told apart and kept in order."""

    def __init__(self, profile: ScannerProfile | None = None) -> None:
        super().__init__()
        self._capture = Capture(profile)
        self._outcomes: deque[Outcome | Stroke] = deque()
        self._timer: TimerHandle | None = None
        self._timer_due_s = inf
        self._watch: TimerHandle | None = None
        self._marker = 0
        self._rounds_left = 0
        self._waiting_for: DOMNode | None = None
        self._waited_s = 0.0

    def get_driver_class(self) -> type[Driver]:
        """On a POSIX terminal the driver whose clock stands still while the program does."""
        chosen = super().get_driver_class()
        if chosen.__name__ != "LinuxDriver":
            return chosen
        from lotwake.trace.screens.listening import ListeningDriver  # needs termios

        return ListeningDriver

    def heard_s(self) -> float:
        """Up to when the keyboard was listened to, on the clock that the keys carry, in seconds."""
        listened_s: float | None = getattr(self._driver, "heard_s", None)
        return Message().time if listened_s is None else listened_s

    @property
    def takes_keys(self) -> bool:
        """Whether keys go on to the widgets now; until then they wait, in order."""
        return bool(self.screen_stack)

    @property
    def keys_underway(self) -> bool:
        """Whether a key or scan was given to a widget that is not done with it."""
        return self._waiting_for is not None

    @property
    def keys_settled(self) -> bool:
        """Whether nothing typed or scanned is still on its way."""
        held = bool(self._outcomes) or self._capture.holds_keys
        return self.takes_keys and not held and not self.keys_underway

    def scan_target(self) -> Widget:
        """Who is told of a scan: the screen that is shown."""
        return self.screen

    async def on_event(self, event: events.Event) -> None:
        """Take keys and pastes before any binding or widget sees them."""
        if isinstance(event, events.Key) and not event.is_forwarded:
            shielded = self.keys_settled and not isinstance(self.focused, Input)
            await self._take(self._capture.stroke(Stroke(event.key, event.character, event.time), shielded))
        elif isinstance(event, events.Paste) and not event.is_forwarded:
            await self._take(self._capture.paste(event.text, event.time))
        else:
            await super().on_event(event)

    async def _take(self, outcomes: list[Outcome]) -> None:
        for outcome in outcomes:
            self._outcomes.extend(outcome.strokes if isinstance(outcome, Released) else [outcome])
        self._set_timer()
        await self._advance()

    def _set_timer(self) -> None:
        deadline_s = self._capture.deadline_s
        if deadline_s is not None and deadline_s < self._timer_due_s:
            self._ring_at(deadline_s)

    def _ring_at(self, due_s: float) -> None:
        if self._timer is not None:
            self._timer.cancel()
        self._timer_due_s = due_s
        self._timer = get_running_loop().call_later(max(0.0, due_s - self.heard_s()) + _TIMER_SLACK_S, self._ring)

    def _ring(self) -> None:
        due_s, self._timer, self._timer_due_s = self._timer_due_s, None, inf
        # By the way the keys come, so that it stands behind those that were read before.
        run_coroutine_threadsafe(self._post_message(TimeUp(due_s, self.heard_s())), get_running_loop())

    async def on_pump_time_up(self, message: TimeUp) -> None:
        """Let time decide, unless keys are waiting or the program stood still."""
        late = message.heard_s - message.due_s > _LATE_S and self._capture.deadline_s == message.due_s
        if self.message_queue_size or late:
            self._ring_at(message.heard_s + _LATE_S)
            return
        await self._take(self._capture.passed(message.heard_s))

    async def _advance(self) -> None:
        while self.takes_keys and self._waiting_for is None and self._outcomes:
            await self._deliver(self._outcomes.popleft())

    async def _deliver(self, outcome: Outcome | Stroke) -> None:
        target = self.focused or self.screen
        match outcome:
            case Stroke():
                key, character = _SAME_KEY.get(outcome.key, (outcome.key, outcome.character))
                await super().on_event(events.Key(key, character or _KEYPAD.get(key)))
            case Pasted():
                await super().on_event(events.Paste(outcome.text))
            case Scanned():
                target = self.scan_target()
                target.post_message(ScanArrived(outcome))
            case Broken():
                target = self.scan_target()
                target.post_message(ScanBroke(outcome))
        self._rounds_left = _ROUNDS
        self._send_marker(target)

    def _send_marker(self, target: DOMNode) -> None:
        self._marker += 1
        self._waiting_for, self._waited_s = target, 0.0
        target.post_message(Marker(self._marker))
        if self._watch is None:
            self._watch = get_running_loop().call_later(_CHECK_S, self._look_after_marker)

    async def on_pump_marker(self, message: Marker) -> None:
        """A marker came back: go round once more, or let the next key in."""
        message.stop()
        if message.number != self._marker or self._waiting_for is None or not self.screen_stack:
            return
        self._rounds_left -= 1
        focus = self.focused or self.screen
        if self._rounds_left > 0 or focus is not self._waiting_for:
            self._send_marker(focus)
            return
        self._waiting_for = None
        if self._watch is not None:
            self._watch.cancel()
            self._watch = None
        await self._advance()

    def _look_after_marker(self) -> None:
        """A marker is lost with a widget that is taken away; send another to who has the focus now."""
        self._watch = None
        if self._waiting_for is None or not self.screen_stack:  # none are left while the program ends
            return
        self._waited_s += _CHECK_S
        if self._waited_s >= _PATIENCE_S:
            self._rounds_left = 0
            self._waiting_for = self.focused or self.screen
            self.post_message(Marker(self._marker))
        elif not (self._waiting_for.is_attached and self._waiting_for.is_running):
            self._send_marker(self.focused or self.screen)
        else:
            self._watch = get_running_loop().call_later(_CHECK_S, self._look_after_marker)
