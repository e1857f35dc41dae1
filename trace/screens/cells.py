"""A picture as cells of a terminal: each cell takes a few dots of it and shows them as one sign in two greys.

With colours the two greys carry what the sign cannot; without, the sign alone says which dots are ink.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

_HALVES = {0: " ", 63: "█", 21: "▌", 42: "▐"}
_FIRST_SEXTANT = 0x1FB00
_FLAT = 40
"""Greys closer together than this are one grey."""
_INK_BELOW = 160
"""Without colours, what is darker than this is ink: thin strokes are grey once they are made smaller."""
_GREYS = 16


@dataclass(frozen=True)
class Blocks:
    """Signs to draw with. ``signs[n]`` shows the dots whose bits are set in n: bit 0 is the upper left one, then along the
    lines; a cell is ``across`` dots wide and ``down`` high."""

    name: str
    across: int
    down: int
    signs: str


@dataclass(frozen=True)
class Cell:
    """One sign, the grey of its ink and of the paper behind it (0 black to 255 white); None for the terminal's own."""

    sign: str
    ink: int | None
    paper: int | None


def _sextant(pattern: int) -> str:
    """The block sextants of Unicode 13: in the order of their patterns, without the four that were there before."""
    return _HALVES.get(pattern) or chr(_FIRST_SEXTANT + pattern - 1 - (pattern > 21) - (pattern > 42))


FINE = Blocks("fine blocks", 2, 3, "".join(map(_sextant, range(64))))
HALF = Blocks("half blocks", 1, 2, " ▀▄█")
SIGNS = Blocks("signs", 1, 2, " '.:")
EVERY = (FINE, HALF, SIGNS)


def cells_of_line(grey: bytes, width: int, line: int, blocks: Blocks, colours: bool) -> Iterator[Cell]:
    """The cells of one line of a picture of ``width`` dots, whose ``grey`` has ``blocks.down`` rows of dots for each line."""
    rows = [grey[at * width : (at + 1) * width] for at in range(line * blocks.down, (line + 1) * blocks.down)]
    for left in range(0, width, blocks.across):
        dots = [value for row in rows for value in row[left : left + blocks.across]]
        yield _in_greys(dots, blocks) if colours else _plain(dots, blocks)


def _in_greys(dots: Sequence[int], blocks: Blocks) -> Cell:
    darkest, lightest = min(dots), max(dots)
    middle = (darkest + lightest) / 2 if lightest - darkest >= _FLAT else _INK_BELOW
    ink = [value for value in dots if value < middle]
    paper = [value for value in dots if value >= middle]
    return Cell(_sign(dots, middle, blocks), _grey(ink or paper), _grey(paper or ink))


def _plain(dots: Sequence[int], blocks: Blocks) -> Cell:
    return Cell(_sign(dots, _INK_BELOW, blocks), None, None)


def _sign(dots: Sequence[int], middle: float, blocks: Blocks) -> str:
    return blocks.signs[sum(1 << place for place, value in enumerate(dots) if value < middle)]


def _grey(values: Sequence[int]) -> int:
    """The mean, as one of a few greys, so that cells beside each other are often alike."""
    step = 255 / (_GREYS - 1)
    return round(round(sum(values) / len(values) / step) * step)
