"""python-barcode with its weak places mended: the shortest Code 128, and bars as whole numbers.

The library keeps the code set from one build to the next, takes odd digit runs the long way, and has its own fixed quiet
zone; here every build starts afresh, the code words are the fewest possible, and the writer only reports bars.
"""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import chain

from barcode.charsets import code128
from barcode.codex import Gs1_128
from barcode.ean import EuropeanArticleNumber13
from barcode.itf import ITF
from barcode.writer import BaseWriter

FNC1_CHAR = "\xf1"  # how python-barcode writes FNC1
_TO_C, _TO_B = 99, 100
_WORD, _STOP = 11, 13  # modules

Span = tuple[int, int]


class SpanWriter(BaseWriter):  # type: ignore[misc]  # the library is untyped
    """A writer whose unit is one module and whose output is the bars: (first module, modules wide) of each.

    One writer belongs to one symbol, for writers keep the options of the last.
    """

    def __init__(self) -> None:
        super().__init__(None, _nothing, None, _nothing)

    def render(self, code: list[str]) -> tuple[int, tuple[Span, ...]]:
        """Return the symbol's width in modules and its bars."""
        return len(code[0]), _bars_in(code[0])


class ShortestGs1128(Gs1_128):  # type: ignore[misc]  # the library is untyped
    """GS1-128 in the fewest code words. ``code`` holds ``FNC1_CHAR`` for separators; the leading FNC1 is added."""

    def _build(self) -> list[int]:
        return shortest_words(self.code)


def shortest_words(data: str) -> list[int]:
    """Return start, code set and data words for ``data``, without the check word; ``FNC1_CHAR`` stands for FNC1.

    Sets B and C are enough for GS1's 82 characters. The fewest words from each place on are counted from the end, in
    each of the two sets, where a change of set costs one word; then the words are read off from the front.
    """
    fewest_b, fewest_c = _fewest(data)
    in_c = fewest_c[0] <= fewest_b[0]
    words = [code128.START_CODES["C" if in_c else "B"]]
    place = 0
    while place < len(data):
        if in_c and fewest_c[place] > fewest_b[place]:
            words.append(_TO_B)
            in_c = False
        elif not in_c and fewest_b[place] > fewest_c[place]:
            words.append(_TO_C)
            in_c = True
        if not in_c:
            words.append(code128.B[data[place]])
            place += 1
        elif data[place] == FNC1_CHAR:
            words.append(code128.C[FNC1_CHAR])
            place += 1
        else:
            words.append(int(data[place : place + 2]))
            place += 2
    return words


def _fewest(data: str) -> tuple[list[int], list[int]]:
    """Return the fewest words that data needs from each place on, when set B and when set C is on."""
    fewest_b, fewest_c = [0] * (len(data) + 1), [0] * (len(data) + 1)
    next_is_digit = False
    for place in range(len(data) - 1, -1, -1):
        char = data[place]
        stay_b = 1 + fewest_b[place + 1]
        is_digit = "0" <= char <= "9"
        if is_digit and next_is_digit:
            stay_c = 1 + fewest_c[place + 2]
        elif char == FNC1_CHAR:
            stay_c = 1 + fewest_c[place + 1]
        else:
            stay_c = stay_b + 1  # set C cannot write this: it costs a change
        fewest_b[place] = min(stay_b, stay_c + 1)
        fewest_c[place] = min(stay_c, stay_b + 1)
        next_is_digit = is_digit
    return fewest_b, fewest_c


def gs1_128_spans(data: str, x_dots: int) -> tuple[int, tuple[Span, ...]]:
    """Return width and bars, both in dots, of a GS1-128 symbol for ``data`` (separators as ``FNC1_CHAR``).

    Labels of one run share nearly all their words, so the bars of a word in its place are kept.
    """
    symbol = ShortestGs1128(data, writer=SpanWriter())
    words = symbol.encoded
    words.append(symbol._calculate_checksum(words))
    spans = chain.from_iterable(_word_spans(word, place, x_dots) for place, word in enumerate(words))
    return (_WORD * len(words) + _STOP) * x_dots, (*spans, *_stop_spans(len(words), x_dots))


def ean13_spans(gtin13: str) -> tuple[int, tuple[Span, ...]]:
    """Return modules and bars of an EAN-13 symbol for 13 checked digits."""
    return _spans(EuropeanArticleNumber13(gtin13, writer=SpanWriter()))


def itf14_spans(gtin14: str, narrow: int, wide: int) -> tuple[int, tuple[Span, ...]]:
    """Return width and bars, both in dots, of an ITF-14 symbol for 14 checked digits."""
    return _spans(ITF(gtin14, writer=SpanWriter(), narrow=narrow, wide=wide))


@lru_cache(maxsize=8192)
def _word_spans(word: int, place: int, x_dots: int) -> tuple[Span, ...]:
    return _scaled(code128.CODES[word], place * _WORD, x_dots)


@lru_cache(maxsize=256)
def _stop_spans(place: int, x_dots: int) -> tuple[Span, ...]:
    return _scaled(f"{code128.STOP}11", place * _WORD, x_dots)


def _scaled(pattern: str, first_module: int, x_dots: int) -> tuple[Span, ...]:
    return tuple(((first_module + first) * x_dots, wide * x_dots) for first, wide in _bars_in(pattern))


def _bars_in(pattern: str) -> tuple[Span, ...]:
    return tuple((bar.start(), bar.end() - bar.start()) for bar in re.finditer("1+", pattern))


def _spans(symbol: EuropeanArticleNumber13 | ITF) -> tuple[int, tuple[Span, ...]]:
    found: tuple[int, tuple[Span, ...]] = symbol.render({})
    return found


def _nothing(*_: object) -> None:
    """Stand in for the callbacks of a writer that paints nothing."""
