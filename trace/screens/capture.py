"""Tell scans from typing. Pure: strokes with their times go in, what they mean comes out.

A scanner types. It is set to put the AIM symbology identifier in front (``]C1``, ``]d2``, ISO/IEC 15424) and Enter
behind. ``]`` is not among the 82 characters of a GS1 element string, so it always begins a new scan. Scanners without
an identifier are told from people by their speed (timing mode).

Only the times of the strokes decide, never the moment this code runs: the same strokes always give the same scans,
however they are delivered.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

GS = "\x1d"
_OPENING_KEYS = ("right_square_bracket", "alt+right_square_bracket")  # an Esc just before the scan arrives as Alt
_GS_KEY = "ctrl+right_square_bracket"  # by name: its character is GS, nothing or "]", as the terminal likes
_END_KEYS = ("enter", "ctrl+j", "tab")


@dataclass(frozen=True)
class Stroke:
    """One key as it arrived. ``at_s`` is on a monotonic clock, taken where the key was read."""

    key: str
    character: str | None
    at_s: float

    @property
    def text(self) -> str | None:
        """The printable character, if it is one."""
        return self.character if self.character is not None and self.character.isprintable() else None


@dataclass(frozen=True)
class Scanned:
    """A whole scan. ``how`` is ``prefix``, ``timing`` or ``paste``; times in seconds on the strokes' clock.

    ``end`` is the key that ended it.
    """

    text: str
    how: str
    first_s: float
    last_s: float
    end: str = "enter"

    @property
    def symbology(self) -> str:
        """The AIM identifier, such as ``]C1``, or nothing when the scanner sent none."""
        return self.text[:3] if self.text.startswith("]") else ""

    @property
    def data(self) -> str:
        """What stood in the code, without the identifier."""
        return self.text[3:] if self.text.startswith("]") else self.text


@dataclass(frozen=True)
class Released:
    """Keys that a person typed, in order."""

    strokes: tuple[Stroke, ...]


@dataclass(frozen=True)
class Pasted:
    """A paste that is no scan; for the field with the focus."""

    text: str


@dataclass(frozen=True)
class Broken:
    """A scan that did not come through whole. It is told, never used and never typed again."""

    reason: str
    text: str


Outcome = Scanned | Released | Pasted | Broken


@dataclass(frozen=True)
class ScannerProfile:
    """How this house's scanner behaves. Times in seconds; ``stand_in`` is a character or key name sent for GS."""

    prefixed: bool = True
    stand_in: str = ""
    lone_prefix_s: float = 0.3
    burst_gap_s: float = 0.035
    burst_keys: int = 5
    torn_s: float = 1.0
    tail_s: float = 0.5
    second_end_s: float = 0.05
    longest: int = 512


class _State(Enum):
    IDLE = "nothing is held"
    LONE = "one ] is held: a person's, or the first of a scan"
    BURST = "fast keys are held: too few yet to be a scan"
    OPEN = "a scan is coming in"
    TAIL = "the rest of a broken scan is swallowed"
    ENDED = "a scan just ended: its second end mark (CR LF) is swallowed"


class Capture:
    """The state between two strokes."""

    def __init__(self, profile: ScannerProfile | None = None) -> None:
        self.profile = profile or ScannerProfile()
        self._state = _State.IDLE
        self._held: list[Stroke] = []
        self._end_key = ""

    @property
    def deadline_s(self) -> float | None:
        """When time alone will decide something, or None."""
        wait_s = {
            _State.LONE: self.profile.lone_prefix_s,
            _State.BURST: self.profile.burst_gap_s,
            _State.OPEN: self.profile.torn_s,
            _State.TAIL: self.profile.tail_s,
            _State.ENDED: self.profile.second_end_s,
        }.get(self._state)
        return None if wait_s is None else self._held[-1].at_s + wait_s

    @property
    def holds_keys(self) -> bool:
        """Whether keys were taken that are not yet a scan, a person's or broken."""
        return self._state in (_State.LONE, _State.BURST, _State.OPEN)

    def passed(self, now_s: float) -> list[Outcome]:
        """What time alone decides up to ``now_s``. Call it when no stroke is waiting."""
        outcomes: list[Outcome] = []
        while (deadline_s := self.deadline_s) is not None and now_s > deadline_s:
            outcomes += self._run_out(deadline_s)
        return outcomes

    def stroke(self, stroke: Stroke, shielded: bool = False) -> list[Outcome]:
        """Take one key. ``shielded`` says that no text field has the focus: fast keys are then held back.

        With a prefix profile such a burst is reported, not accepted.
        """
        outcomes = self.passed(stroke.at_s)
        if stroke.key in _OPENING_KEYS:
            return outcomes + self._opened(stroke)
        match self._state:
            case _State.IDLE | _State.BURST:
                outcomes += self._typed(stroke, shielded)
            case _State.LONE | _State.OPEN:
                outcomes += self._captured(stroke)
            case _State.TAIL:
                outcomes += self._swallowed(stroke)
            case _State.ENDED:
                outcomes += self._after_end(stroke, shielded)
        return outcomes

    def paste(self, text: str, at_s: float) -> list[Outcome]:
        """Take a paste: scans when every line starts with the identifier, else for the field with the focus.

        Lines end at CR and LF only; GS is data.
        """
        outcomes = self.passed(at_s)
        if self._state in (_State.LONE, _State.OPEN):
            outcomes += self._broke("something was pasted in the middle of the code", at_s)
        elif self._state is _State.BURST:
            outcomes += self._let_go()
        self._rest()
        lines = [line for line in re.split(r"[\r\n]+", text) if line]
        if lines and all(line.startswith("]") for line in lines):
            return outcomes + [Scanned(self._with_gs(line), "paste", at_s, at_s) for line in lines]
        return [*outcomes, Pasted(text)]

    def _rest(self) -> None:
        self._state, self._held = _State.IDLE, []

    def _run_out(self, at_s: float) -> list[Outcome]:
        if self._state in (_State.LONE, _State.BURST):
            return self._let_go()
        if self._state is _State.OPEN:
            return self._broke("it stopped before its end mark; set the scanner to send Enter behind the code", at_s)
        self._rest()
        return []

    def _let_go(self) -> list[Outcome]:
        strokes = tuple(self._held)
        self._rest()
        return [Released(strokes)]

    def _opened(self, stroke: Stroke) -> list[Outcome]:
        before: list[Outcome] = []
        if self._state is _State.BURST:
            before = self._let_go()
        elif self._state in (_State.LONE, _State.OPEN):
            before = self._broke("another code began before it ended", stroke.at_s)
        self._state, self._held = _State.LONE, [Stroke("right_square_bracket", "]", stroke.at_s)]
        return before

    def _typed(self, stroke: Stroke, shielded: bool) -> list[Outcome]:
        holding = self._state is _State.BURST or shielded or not self.profile.prefixed
        if not holding or (stroke.text is None and stroke.key != _GS_KEY):
            self._held.append(stroke)
            return self._let_go()
        self._held.append(stroke)
        self._state = _State.OPEN if len(self._held) >= self.profile.burst_keys else _State.BURST
        return []

    def _captured(self, stroke: Stroke) -> list[Outcome]:
        if stroke.key in _END_KEYS:
            return self._ended(stroke)
        if self._character(stroke) is None:
            return self._broke(f"the key {stroke.key} came in the middle of the code", stroke.at_s)
        if len(self._held) >= self.profile.longest:
            return self._broke("it is longer than any code", stroke.at_s)
        self._held.append(stroke)
        self._state = _State.OPEN
        return []

    def _ended(self, stroke: Stroke) -> list[Outcome]:
        text, prefixed = self._held_text(), self._held[0].key in _OPENING_KEYS
        first_s = self._held[0].at_s
        self._state, self._held, self._end_key = _State.ENDED, [stroke], stroke.key
        if text == "]":
            return [Broken("nothing followed the identifier", text)]
        if not prefixed and self.profile.prefixed:
            return [Broken("the scanner sent no identifier; set it to send the AIM identifier in front", text)]
        return [Scanned(text, "prefix" if prefixed else "timing", first_s, stroke.at_s, stroke.key)]

    def _broke(self, reason: str, at_s: float) -> list[Outcome]:
        text = self._held_text()
        self._state, self._held = _State.TAIL, [Stroke("", None, at_s)]
        return [Broken(reason, text)]

    def _swallowed(self, stroke: Stroke) -> list[Outcome]:
        if stroke.key in _END_KEYS:
            self._state, self._held, self._end_key = _State.ENDED, [stroke], stroke.key
        else:
            self._held = [stroke]
        return []

    def _after_end(self, stroke: Stroke, shielded: bool) -> list[Outcome]:
        second_half = self._end_key == "enter" and stroke.key == "ctrl+j"
        self._rest()
        return [] if second_half else self._typed(stroke, shielded)

    def _character(self, stroke: Stroke) -> str | None:
        if stroke.key == _GS_KEY:
            return GS
        if self.profile.stand_in and self.profile.stand_in in (stroke.key, stroke.character):
            return GS
        return stroke.text

    def _held_text(self) -> str:
        return "".join(self._character(stroke) or "" for stroke in self._held)

    def _with_gs(self, line: str) -> str:
        return line.replace(self.profile.stand_in, GS) if len(self.profile.stand_in) == 1 else line
