"""Bars in whole dots: shortest code, no state between builds, limits."""

from __future__ import annotations

import random
from functools import cache

import pytest
from barcode.charsets import code128

from lotwake.labels.barcodes.bars import check_width, ean13, fit_gs1_128, gs1_128, itf14
from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PROFILES, PrinterDots
from lotwake.labels.barcodes.drawing import bars_path, page_size_pt
from lotwake.labels.barcodes.encoder import FNC1_CHAR, ShortestGs1128, SpanWriter, shortest_words
from lotwake.labels.errors import LabelRefused, WrongData
from lotwake.labels.gs1.elements import Element, Gs1Error
from lotwake.labels.gs1.rules import CSET_82

GTIN = "09520000000011"
LOT = Element("10", "26329000421")
NAME = (Element("01", GTIN), Element("15", "270525"))


def _random_data(rng: random.Random) -> str:
    digits = "0123456789" * rng.randint(1, 30)
    pool = [*digits, *sorted(CSET_82), FNC1_CHAR]
    return FNC1_CHAR + "".join(rng.choice(pool) for _ in range(rng.randint(1, 24)))


def _fewest_words(data: str) -> int:
    """Fewest code words with all three sets and the shift between A and B, worked out from the front."""

    @cache
    def fewest(place: int, state: str) -> int:
        if place == len(data):
            return 0
        char, pair = data[place], data[place : place + 2]
        ways = []
        for target in "ABC":
            switch = 0 if target == state else 1
            if target == "C" and char == FNC1_CHAR:
                ways.append(switch + 1 + fewest(place + 1, "C"))
            elif target == "C" and len(pair) == 2 and pair.isascii() and pair.isdigit():
                ways.append(switch + 1 + fewest(place + 2, "C"))
            elif target != "C" and (char == FNC1_CHAR or char in getattr(code128, target)):
                ways.append(switch + 1 + fewest(place + 1, target))
        return min(ways)

    return 1 + min(fewest(0, start) for start in "ABC")


def test_code_words_are_the_fewest_possible() -> None:
    """On 2,000 random messages two code sets do as well as a search over all three."""
    rng = random.Random(1)
    for _ in range(2000):
        data = _random_data(rng)
        assert len(shortest_words(data)) == _fewest_words(data), data


def test_second_build_equals_the_first() -> None:
    """A symbol keeps no state: built twice it is the same twice."""
    symbol = ShortestGs1128("10A1B2" + FNC1_CHAR + "3712345", writer=SpanWriter())
    assert symbol.build() == symbol.build()


def test_bars_lie_on_whole_dots() -> None:
    """Every bar and gap is a multiple of the module, and the quiet zones are ten modules."""
    bars = gs1_128((*NAME, LOT), 3)
    assert all(first % 3 == 0 and wide % 3 == 0 for first, wide in bars.spans)
    assert bars.spans[0][0] == 0
    assert sum(bars.spans[-1]) == bars.width_dots
    assert (bars.quiet_left_dots, bars.quiet_right_dots) == (30, 30)
    assert bars.hri == f"(01){GTIN}(15)270525(10)26329000421"


@pytest.mark.parametrize(
    ("dots", "x_dots"), [(DOTS_203, 2), (DOTS_300, 4), (DOTS_600, 8)], ids=lambda value: getattr(value, "name", value)
)
def test_widest_module_that_fits_is_taken(dots: PrinterDots, x_dots: int) -> None:
    """On 98 mm the pack symbol gets the best module of the printer that fits."""
    (bars,) = fit_gs1_128([(*NAME, LOT)], dots.pack_x, dots, 98)
    assert bars.x_dots == x_dots
    assert dots.mm(bars.total_dots) <= 98


def test_too_wide_for_the_label_says_by_how_much() -> None:
    """The refusal gives both widths and what to do."""
    with pytest.raises(LabelRefused, match=r"is 71\.5 mm wide at 203 dpi; the label has 60\.0 mm") as caught:
        fit_gs1_128([(*NAME, LOT)], DOTS_203.pack_x, DOTS_203, 60)
    assert "wider label" in caught.value.hint
    assert caught.value.exit_code == 3


def test_more_than_the_standard_allows_is_refused() -> None:
    """165.1 mm and 48 characters are limits however wide the label is."""
    wide = gs1_128((Element("01", GTIN), Element("10", "ABCDEFGHIJKLMNOPQRST")), 4)
    with pytest.raises(LabelRefused, match=r"165\.1 mm is the most"):
        check_width(wide, DOTS_203, 1000)
    with pytest.raises(LabelRefused, match="has 54 characters; GS1-128 takes 48"):
        gs1_128((*NAME, Element("3103", "000300"), Element("10", "ABCDEFGHI"), Element("21", "012345")), 2)


def test_data_is_checked_before_the_library_sees_it() -> None:
    """An accented letter, which the library turns into a function character, and a missing partner are refused."""
    with pytest.raises(Gs1Error, match="outside GS1's 82"):
        gs1_128((Element("01", GTIN), Element("10", "LOTñ")), 2)
    with pytest.raises(Gs1Error, match="needs"):
        gs1_128((LOT,), 2)


@pytest.mark.parametrize("gtin", ["9520000000012", "95200000000111234", "٩٥٢٠٠٠٠٠٠٠٠١١", "952000000001"])
def test_ean13_takes_no_wrong_number(gtin: str) -> None:
    """A wrong check digit, digits too many and digits of other scripts are refused, not mended."""
    with pytest.raises(WrongData):
        ean13(gtin, DOTS_203)


def test_ean13_and_itf14_have_their_widths() -> None:
    """EAN-13 is 95 modules with 11 and 7 of quiet zone; ITF-14 uses the narrow and wide dots of the printer."""
    ean = ean13("9520000000011", DOTS_300)
    assert (ean.width_dots, ean.quiet_left_dots, ean.quiet_right_dots) == (95 * 4, 44, 28)
    itf = itf14("19520000000018", DOTS_203)
    assert {wide for _, wide in itf.spans} == {4, 10}


def test_profiles_resolve_their_modules() -> None:
    """Every profile's pack module is at least 0.25 mm and its case module 0.495 mm, so none is too fine to read."""
    for dots in PROFILES.values():
        assert all(dots.mm(x) >= 0.245 for x in dots.pack_x), dots.name
        assert all(dots.mm(x) >= 0.495 for x in dots.case_x), dots.name


def test_path_is_one_fill_with_inset_bars() -> None:
    """All bars are one filled path, each a little narrower than its dots; the page is trimmed below whole dots."""
    bars = gs1_128((*NAME, LOT), 2)
    path = bars_path(bars, 20, 40, 88, DOTS_203)
    assert path.count(" re") == len(bars.spans)
    assert path.count(" f ") == 1
    assert " 0 0 3.7 88 re" in path
    assert f" {DOTS_203.pt(20.15):.5f} {DOTS_203.pt(40):.5f} cm" in path
    assert page_size_pt(800, 480, DOTS_203)[0] < DOTS_203.pt(800)
