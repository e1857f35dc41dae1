"""A label in words: what it says, what its symbols hold, what was found about it, as lines for a screen."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from lotwake.trace.actions.label_seen import LabelSeen

WIDEST = 96
_HEADING = 12


def label_lines(seen: LabelSeen, width: int) -> list[str]:
    """What was found about the label and the caution, then the label as a box of text."""
    inside = min(width, WIDEST) - 4
    body = [part for heading, value in seen.fields for part in _pair(heading, value, inside)]
    bars = [part for symbol in seen.on_paper.symbols for part in _pair("|||", symbol.hri, inside)]
    return [*found_lines(seen, inside + 4), "", *_box([*body, "", *bars], inside)]


def found_lines(seen: LabelSeen, width: int) -> list[str]:
    """What was found about a label, with why and by which rule, and the caution."""
    held = f"Held against the rules of {seen.market}" if seen.market else "Held against what makes it readable"
    found = seen.found()
    listed = [line for one in found for line in textwrap.wrap(f"- {one}", width, subsequent_indent="  ")]
    lines = [f"{held}: {_count(found)}.", *listed, ""]
    return [*lines, *textwrap.wrap(seen.caution, width)]


def head_lines(seen: LabelSeen) -> tuple[str, str]:
    """What a picture in a terminal cannot show: size, smallest letters, whether it reads back and prints."""
    stock, paper = seen.stock, seen.on_paper
    modules = ", ".join(dict.fromkeys(f"{symbol.module_mm:.2f}" for symbol in paper.symbols))
    reads = "does not read back" if seen.misprints else "reads back"
    size = f"{stock.width_mm:g} x {stock.height_mm:g} mm, {seen.printer}"
    first = f"{size}   {reads}, modules {modules} mm   smallest x {paper.x_height_mm:.2f} mm"
    word = "PRINTS" if seen.prints else "DOES NOT PRINT"
    return first, f"{word}   {_count(seen.found())}; F4 says what, why and by which rule"


def _count(found: Sequence[str]) -> str:
    if not found:
        return "nothing found"
    return "1 thing found" if len(found) == 1 else f"{len(found)} things found"


def _pair(heading: str, value: str, width: int) -> list[str]:
    indent = " " * _HEADING
    return textwrap.wrap(f"{heading:<{_HEADING}}{value}", width, subsequent_indent=indent, drop_whitespace=True) or [""]


def _box(lines: Sequence[str], inside: int) -> list[str]:
    edge = f"+{'-' * (inside + 2)}+"
    return [edge, *(f"| {line:<{inside}} |" for line in lines), edge]
