"""python-barcode with its weak places mended: the shortest Code 128, and bars as whole numbers.

The library keeps the code set from one build to the next, takes odd digit runs the long way, and has its own fixed quiet
zone; here every build starts afresh, the code words are the fewest possible, and the writer only reports bars.
"""

from __future__ import annotations

import re

from barcode.charsets import code128
from barcode.codex import Gs1_128
from barcode.ean import EuropeanArticleNumber13
from barcode.itf import ITF
from barcode.writer import BaseWriter

FNC1_CHAR = "\xf1"  # how python-barcode writes FNC1
_TO_C, _TO_B = 99, 100

Span = tuple[int, int]


class SpanWriter(BaseWriter):  # type: ignore[misc]  # the library is untyped
    """A writer whose unit is one module and whose output is the bars: (first module, modules wide) of each.

    One writer belongs to one symbol, for writers keep the options of the last.
    """

    def __init__(self) -> None:
        super().__init__(None, _nothing, None, _nothing)

    def render(self, code: list[str]) -> tuple[int, tuple[Span, ...]]:
        """Return the symbol's width in modules and its bars."""
        return len(code[0]), tuple((bar.start(), bar.end() - bar.start()) for bar in re.finditer("1+", code[0]))


class ShortestGs1128(Gs1_128):  # type: ignore[misc]  # the library is untyped
    """GS1-128 in the fewest code words. ``code`` holds ``FNC1_CHAR`` for separators; the leading FNC1 is added."""

    def _build(self) -> list[int]:
        return shortest_words(self.code)


def shortest_words(data: str) -> list[int]:
    """Return start, code set and data words for ``data``, without the check word; ``FNC1_CHAR`` stands for FNC1.

    Sets B and C are enough for GS1's 82 characters. Worked from the end: the fewest words from each place on, in each
    of the two sets, where a change of set costs one word.
    """
    tail_b: tuple[int, ...] = ()
    tail_c: tuple[int, ...] = ()
    ahead_c: tuple[int, ...] | None = None  # tail of set C one place further on, for a pair of digits
    for place in range(len(data) - 1, -1, -1):
        stay_b = (code128.B[data[place]], *tail_b)
        stay_c = _stay_in_c(data, place, tail_c, ahead_c)
        next_b = stay_b if stay_c is None or len(stay_b) <= len(stay_c) + 1 else (_TO_C, *stay_c)
        next_c = stay_c if stay_c is not None and len(stay_c) <= len(stay_b) + 1 else (_TO_B, *stay_b)
        ahead_c, tail_b, tail_c = tail_c, next_b, next_c
    if len(tail_c) <= len(tail_b):
        return [code128.START_CODES["C"], *tail_c]
    return [code128.START_CODES["B"], *tail_b]


def gs1_128_spans(data: str) -> tuple[int, tuple[Span, ...]]:
    """Return modules and bars of a GS1-128 symbol for ``data`` (separators as ``FNC1_CHAR``)."""
    return _spans(ShortestGs1128(data, writer=SpanWriter()))


def ean13_spans(gtin13: str) -> tuple[int, tuple[Span, ...]]:
    """Return modules and bars of an EAN-13 symbol for 13 checked digits."""
    return _spans(EuropeanArticleNumber13(gtin13, writer=SpanWriter()))


def itf14_spans(gtin14: str, narrow: int, wide: int) -> tuple[int, tuple[Span, ...]]:
    """Return width and bars, both in dots, of an ITF-14 symbol for 14 checked digits."""
    return _spans(ITF(gtin14, writer=SpanWriter(), narrow=narrow, wide=wide))


def _spans(symbol: ShortestGs1128 | EuropeanArticleNumber13 | ITF) -> tuple[int, tuple[Span, ...]]:
    found: tuple[int, tuple[Span, ...]] = symbol.render({})
    return found


def _stay_in_c(
    data: str, place: int, tail_c: tuple[int, ...], ahead_c: tuple[int, ...] | None
) -> tuple[int, ...] | None:
    if data[place] == FNC1_CHAR:
        return (code128.C[FNC1_CHAR], *tail_c)
    pair = data[place : place + 2]
    if ahead_c is not None and len(pair) == 2 and pair.isascii() and pair.isdigit():
        return (int(pair), *ahead_c)
    return None


def _nothing(*_: object) -> None:
    """Stand in for the callbacks of a writer that paints nothing."""
