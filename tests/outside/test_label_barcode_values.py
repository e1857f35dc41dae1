"""Code 128 and GS1-128 against values from outside. P = published, D = derived from the named rule, M = from memory."""

from __future__ import annotations

import pytest

from lotwake.labels.barcodes.bars import GS1_128_MAX_MM, QUIET_MODULES, gs1_128_unchecked
from lotwake.labels.barcodes.encoder import FNC1_CHAR, ShortestGs1128, SpanWriter, shortest_words
from lotwake.labels.gs1.elements import Element

X_MM = 0.495


def _check_word(words: list[int]) -> int:
    return int(ShortestGs1128("", writer=SpanWriter())._calculate_checksum(words))


def test_check_word_of_the_textbook_example() -> None:
    """Start A and PJJ123C give 54 (M, a widely printed example; 878 mod 103)."""
    assert _check_word([103, 48, 42, 42, 17, 18, 19, 35]) == 54


def test_sscc_symbol_word_by_word() -> None:
    """An SSCC is start C, FNC1 and ten pairs, with check word 46 (D, modulo 103 rule)."""
    words = shortest_words(FNC1_CHAR + "00395200000000000012")
    assert words == [105, 102, 0, 39, 52, 0, 0, 0, 0, 0, 0, 12]
    assert _check_word(words) == 46


@pytest.mark.parametrize(
    ("digits", "bars_mm", "with_quiet_mm"), [(20, 77.22, 87.12), (46, 148.00, 157.91), (48, 153.45, 163.35)]
)
def test_width_of_digits(digits: int, bars_mm: float, with_quiet_mm: float) -> None:
    """46 modules and 5.5 per digit in set C, with quiet zones 20 more (D, Code 128 module count)."""
    bars = gs1_128_unchecked([Element("99", "1" * (digits - 2))], 1)
    assert bars.width_dots * X_MM == pytest.approx(bars_mm, abs=0.01)
    assert bars.total_dots * X_MM == pytest.approx(with_quiet_mm, abs=0.01)


def test_limits_of_the_general_specifications() -> None:
    """165.1 mm with quiet zones of 10 X (P, GS1 General Specifications 5.4.4; the first second-hand)."""
    assert (GS1_128_MAX_MM, QUIET_MODULES) == (165.1, 10)
