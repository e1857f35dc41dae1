"""What was measured, each figure beside its limit in the same run: printed, as a table for people, and whether all hold."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

BEGIN, END = "<!-- speed -->", "<!-- /speed -->"


@dataclass(frozen=True)
class Figure:
    """``value`` must be at most ``limit``, or with ``at_least`` at least; a limit of None is for the record only."""

    what: str
    value: float
    unit: str
    limit: float | None = None
    at_least: bool = False

    @property
    def broken(self) -> bool:
        """Whether it is on the wrong side of its limit."""
        return self.limit is not None and (self.value < self.limit if self.at_least else self.value > self.limit)

    @property
    def cells(self) -> tuple[str, str, str]:
        """Name, value and limit as they are shown."""
        bound = "" if self.limit is None else f"{'>=' if self.at_least else '<='} {_shown(self.limit)} {self.unit}"
        return self.what, f"{_shown(self.value)} {self.unit}", bound.rstrip()


@dataclass
class Report:
    """Takes figures, and says each as it comes."""

    figures: list[Figure] = field(default_factory=list)

    def say(self, text: str) -> None:
        """A line beside the figures."""
        sys.stdout.write(text + "\n")
        sys.stdout.flush()

    def add(self, what: str, value: float, unit: str = "x", limit: float | None = None, at_least: bool = False) -> None:
        """A figure."""
        figure = Figure(what, value, unit, limit, at_least)
        self.figures.append(figure)
        name, shown, bound = figure.cells
        self.say(f"  {name:<58}{shown:>16}   {bound}{'   BROKEN' if figure.broken else ''}")

    @property
    def broken(self) -> list[str]:
        """The figures that are on the wrong side of their limits."""
        return [figure.what for figure in self.figures if figure.broken]

    def verdict(self) -> int:
        """Say how it went; the exit code."""
        self.say(f"broken: {', '.join(self.broken)}" if self.broken else "all within their limits")
        return int(bool(self.broken))


def table(figures: Sequence[Figure]) -> list[str]:
    """The figures as a Markdown table."""
    rows = [f"| {' | '.join(figure.cells)}{' (broken)' if figure.broken else ''} |" for figure in figures]
    return ["| measured | | limit |", "|---|--:|--:|", *rows]


def write_between_marks(page: Path, lines: Sequence[str]) -> None:
    """Put these lines between the two marks of a page. ValueError when it has none."""
    text = page.read_text(encoding="utf-8")
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise ValueError(f"{page.name} has no {BEGIN} and {END}")
    page.write_text("\n".join((before + begin, *lines, end + after)), encoding="utf-8")


def _shown(value: float) -> str:
    if value == int(value) or abs(value) >= 100:
        return f"{value:,.0f}"
    return f"{value:.2f}" if abs(value) >= 0.1 else f"{value:.3f}"
