"""What is on the screen, as text and as cells with colours. The one place that uses the private call for it."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from dataclasses import dataclass

from rich.color import Color
from textual import events
from textual.app import App
from textual.geometry import Size
from textual.strip import Strip

from lotwake.trace.screens.cells import FINE, HALF
from lotwake.trace.screens.scanner import ScannerApp


@dataclass(frozen=True)
class Cell:
    """A run of text in one pair of colours (red, green, blue in 0..255)."""

    text: str
    ink: tuple[int, int, int]
    ground: tuple[int, int, int]


def _strips(app: App[None]) -> list[Strip]:
    size: Size = app.size
    return app.screen._compositor.render_strips(size)


def dump(app: App[None]) -> str:
    """The screen as plain text, one line a row, without blanks at the ends."""
    return "\n".join(strip.text.rstrip() for strip in _strips(app)) + "\n"


def cells(app: App[None]) -> Iterator[Cell]:
    """All text on the screen with its colours as drawn."""
    for strip in _strips(app):
        for segment in strip:
            style = segment.style
            if segment.text.strip() and style is not None and style.color and style.bgcolor:
                ink, ground = _rgb(style.color), _rgb(style.bgcolor)
                yield Cell(segment.text, *((ground, ink) if style.reverse else (ink, ground)))


def _rgb(color: Color) -> tuple[int, int, int]:
    return tuple(color.get_truecolor())  # type: ignore[return-value]


def luminance(colour: tuple[int, int, int]) -> float:
    """Relative luminance of WCAG 2.2 (W3C Recommendation, definition "relative luminance"; from memory)."""
    red, green, blue = (
        channel / 255 / 12.92 if channel / 255 <= 0.04045 else ((channel / 255 + 0.055) / 1.055) ** 2.4
        for channel in colour
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(cell: Cell) -> float:
    """Contrast ratio of WCAG 2.2, 1 to 21."""
    low, high = sorted((luminance(cell.ink), luminance(cell.ground)))
    return (high + 0.05) / (low + 0.05)


_BLOCKS = set(FINE.signs) | set(HALF.signs)


def faint(app: ScannerApp, least: float = 4.5) -> list[tuple[str, str]]:
    """Theme and text of what is drawn with too little contrast; a picture's greys are no text."""
    texts = [cell for cell in cells(app) if not set(cell.text.strip()) <= _BLOCKS]
    return [(app.theme, cell.text) for cell in texts if contrast(cell) < least]


_NAMED = {
    "\r": "enter",
    "\n": "ctrl+j",
    "\t": "tab",
    "\b": "backspace",
    "\x1d": "ctrl+right_square_bracket",
    "]": "right_square_bracket",
}
KEYS = ("escape", "up", "down", "pagedown", "pageup", "shift+tab", *(f"f{number}" for number in range(1, 13)))


async def send(app: ScannerApp, *typed: str, draw_s: float = 0.02) -> None:
    """Texts and named keys without any pause between them, as a scanner or a stalled line delivers them."""
    for text in typed:
        for key in [text] if text in KEYS else text:
            app.post_message(events.Key(_NAMED.get(key, key), key if len(key) == 1 else None))
    await settle(app, draw_s=draw_s)


async def settle(app: ScannerApp, tries: int = 2000, draw_s: float = 0.02) -> None:
    """Wait until nothing typed or scanned is on its way, no thread works for a page, and the screen is drawn.

    A thread that works for more than a second is a long one, which the test itself waits for.
    """
    for _ in range(tries):
        await asyncio.sleep(0.001)
        if app.keys_settled and not app.message_queue_size:
            break
    else:
        raise AssertionError("keys never settled")
    for _ in range(200):
        if all(worker.is_finished for worker in app.workers):
            break
        await asyncio.sleep(0.005)
    await asyncio.sleep(draw_s)
