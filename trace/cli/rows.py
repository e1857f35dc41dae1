"""Aligned rows for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence


def aligned(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Headings and rows in columns two blanks apart. A heading that begins with ``>`` stands over numbers, set right."""
    names = [heading.removeprefix(">") for heading in headings]
    lines = [names, *rows]
    widths = [max(len(line[column]) for line in lines) for column in range(len(names))]
    right = [heading.startswith(">") for heading in headings]
    for line in lines:
        cells = zip(line, widths, right, strict=True)
        yield "  ".join(
            cell.rjust(width) if to_right else cell.ljust(width) for cell, width, to_right in cells
        ).rstrip()
