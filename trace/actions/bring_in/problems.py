"""What is wrong with an old log book: every bad row once, and rows that only wait for a bad one in one line for each file."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.actions.bring_in.rows import Place
from lotwake.trace.actions.bring_in.sheets import SHEETS, Sheet

MOST_PROBLEMS = 1_000
_ORDER = {sheet.file: place for place, sheet in enumerate(SHEETS)}


@dataclass(frozen=True)
class Problem:
    """A row that cannot be brought in, and why. Line 1 is the header."""

    file: str
    line: int
    reason: str


class Problems:
    """Collects up to MOST_PROBLEMS and counts the rest; nothing that was found bad is forgotten while rows are tried."""

    def __init__(self) -> None:
        self._found: list[Problem] = []
        self._more = 0
        self._waiting: dict[tuple[Place, str], set[int]] = {}
        self._spoiled: dict[tuple[str, str], Place] = {}
        self._lost: dict[str, Place] = {}
        self._unsure: dict[str, Place] = {}

    def __bool__(self) -> bool:
        return bool(self._found)

    def add(self, place: Place, reason: str) -> None:
        """A bad row."""
        if len(self._found) < MOST_PROBLEMS:
            self._found.append(Problem(place.file, place.line, reason))
        else:
            self._more += 1

    def spoil(self, sheet: Sheet, named: tuple[str, ...], root: Place) -> None:
        """What a row of this sheet makes or adds to is not whole, because of the row at ``root``.

        When that row cannot even say what it names, it may be anything of its kind that nobody can find.
        """
        if not sheet.thing:
            return
        for text in named:
            self._spoiled.setdefault((sheet.thing, text.casefold()), root)
        if not named:
            self._lost.setdefault(sheet.thing, root)
            if sheet.part_of:
                self._unsure.setdefault(sheet.thing, root)

    def spoiler(self, kind: str, text: str) -> Place | None:
        """The bad row because of which this thing is not whole, if there is one."""
        return self._spoiled.get((kind, text.casefold())) or self._unsure.get(kind)

    def loser(self, kind: str) -> Place | None:
        """A bad row that may have been about any thing of this kind, if there is one."""
        return self._lost.get(kind)

    def wait(self, place: Place, root: Place) -> None:
        """A row that cannot be judged before the one at ``root`` is right."""
        if place != root:
            self._waiting.setdefault((root, place.file), set()).add(place.line)

    def listed(self) -> tuple[tuple[Problem, ...], int]:
        """All problems in the order of files and lines, and how many more there are."""
        waiting = [
            Problem(file, min(lines), _waits(root, len(lines) - 1)) for (root, file), lines in self._waiting.items()
        ]
        room = MOST_PROBLEMS - len(self._found)
        shown = sorted(self._found + waiting[:room], key=lambda problem: (_ORDER.get(problem.file, -1), problem.line))
        return tuple(shown), self._more + max(0, len(waiting) - room)


def _waits(root: Place, others: int) -> str:
    """``It waits for lots.csv line 4, which is wrong (and so do 3 more rows of this file).``"""
    also = f" (and so {'does 1 more row' if others == 1 else f'do {others} more rows'} of this file)" if others else ""
    return f"It waits for {root}, which is wrong{also}."
