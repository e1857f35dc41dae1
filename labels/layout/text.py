"""Text into a box: wrapped, never cut, never smaller than the box's last trial allows.

A trial is a set of paragraphs at one type size and width; the first that fits is taken. When none fits the text is
refused, with the millimetres that are missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import groupby

from lotwake.labels.errors import LabelRefused
from lotwake.labels.layout.faces import PT_PER_MM, WIDTHS, Style, text_width

LEADING = 1.18  # line to line, in type sizes
ASCENT = 0.92  # top of a line to its baseline, in type sizes
PARAGRAPH_GAP = 0.22  # in type sizes
SPREAD_GAP = 0.75  # the most where a column is to be filled


class Slot(Enum):
    """Text that differs from label to label of one run."""

    SERIAL = "pack number"
    WEIGHT = "net weight"


@dataclass(frozen=True)
class Run:
    """Text in one style; with a ``slot`` it stands for what each label of a run has there."""

    text: str
    style: Style = Style.REGULAR
    slot: Slot | None = None


@dataclass(frozen=True)
class Paragraph:
    """Runs set as one paragraph, ``scale`` times the box's type size."""

    runs: tuple[Run, ...]
    scale: float = 1.0


@dataclass(frozen=True)
class Trial:
    """Paragraphs at a type size in points and a font width in per cent."""

    paragraphs: tuple[Paragraph, ...]
    size_pt: float
    width: int


@dataclass(frozen=True)
class Box:
    """Where text may go: points from the label's lower left corner to the box's top left, and its size."""

    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class PlacedText:
    """One piece of text on its baseline, in points from the label's lower left corner."""

    x: float
    y: float
    text: str
    style: Style
    width: int
    size_pt: float
    slot: Slot | None = None


@dataclass(frozen=True)
class Fitted:
    """Placed text and the height it takes, in points."""

    texts: tuple[PlacedText, ...]
    height: float


def steps(paragraphs: Sequence[Paragraph], best_pt: float, least_pt: float, step_pt: float = 0.5) -> list[Trial]:
    """Return trials from ``best_pt`` down to ``least_pt`` at the normal width, then at ``least_pt`` ever narrower."""
    sizes = []
    size = best_pt
    while size > least_pt:
        sizes.append(size)
        size -= step_pt
    pairs = [(size, WIDTHS[0]) for size in sizes] + [(least_pt, width) for width in WIDTHS]
    return [Trial(tuple(paragraphs), size, width) for size, width in pairs]


def fit(trials: Iterable[Trial], box: Box, what: str, most_gap: float = PARAGRAPH_GAP) -> Fitted:
    """Set the first trial that fits into the box; spare height goes between paragraphs up to ``most_gap`` type sizes.

    Raises:
        LabelRefused: when none does; the sentence names ``what`` and how much height or width is missing.
    """
    missing = ""
    for trial in trials:
        lines = [_wrap(paragraph, trial, box.width) for paragraph in trial.paragraphs]
        widest = max((line.width for block in lines for line in block), default=0.0)
        height = _height(trial, lines)
        if widest > box.width + 0.01:
            missing = f"{(widest - box.width) / PT_PER_MM:.1f} mm more width"
        elif height > box.height + 0.01:
            missing = f"{(height - box.height) / PT_PER_MM:.1f} mm more height"
        else:
            return _place(trial, lines, box, height, most_gap)
    raise LabelRefused(
        f"{what} does not fit at the smallest type allowed: {missing} is needed.",
        "Shorten the text or use a larger label.",
    )


@dataclass(frozen=True)
class _Line:
    pieces: tuple[Run, ...]
    width: float


def _words(paragraph: Paragraph) -> list[list[Run]]:
    """Split at spaces; a word keeps the styles of its letters."""
    letters = [(char, run) for run in paragraph.runs for char in run.text]
    words: list[list[Run]] = []
    for is_space, group in groupby(letters, key=lambda letter: letter[0] == " "):
        if not is_space:
            styled = groupby(group, key=lambda letter: letter[1])
            words.append([Run("".join(char for char, _ in piece), run.style, run.slot) for run, piece in styled])
    return words


def _wrap(paragraph: Paragraph, trial: Trial, room: float) -> list[_Line]:
    size = trial.size_pt * paragraph.scale
    lines: list[list[Run]] = []
    for word in _words(paragraph):
        longer = [*lines[-1], *_spaced(lines[-1], word)] if lines else word
        if lines and _width(longer, trial.width, size) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return [_Line(_merged(line), _width(line, trial.width, size)) for line in lines]


def _spaced(line: list[Run], word: list[Run]) -> list[Run]:
    space = Run(" ", line[-1].style if line[-1].style is word[0].style else Style.REGULAR)
    return [space, *word]


def _merged(line: list[Run]) -> tuple[Run, ...]:
    pieces = groupby(line, key=lambda run: (run.style, run.slot))
    return tuple(Run("".join(run.text for run in group), *key) for key, group in pieces)


def _width(runs: Iterable[Run], width: int, size: float) -> float:
    return sum(text_width(run.text, run.style, width, size) for run in runs)


def _height(trial: Trial, lines: list[list[_Line]]) -> float:
    blocks = sum(len(block) * paragraph.scale for paragraph, block in zip(trial.paragraphs, lines, strict=True))
    return trial.size_pt * (blocks * LEADING + PARAGRAPH_GAP * (len(lines) - 1))


def _place(trial: Trial, lines: list[list[_Line]], box: Box, height: float, most_gap: float) -> Fitted:
    spare = (box.height - height) / max(1, len(lines) - 1)
    gap = trial.size_pt * PARAGRAPH_GAP + min(spare, trial.size_pt * (most_gap - PARAGRAPH_GAP))
    texts: list[PlacedText] = []
    top = box.top
    for paragraph, block in zip(trial.paragraphs, lines, strict=True):
        size = trial.size_pt * paragraph.scale
        for line in block:
            x = box.left
            for run in line.pieces:
                texts.append(PlacedText(x, top - size * ASCENT, run.text, run.style, trial.width, size, run.slot))
                x += text_width(run.text, run.style, trial.width, size)
            top -= size * LEADING
        top -= gap
    return Fitted(tuple(texts), box.top - top - gap)
