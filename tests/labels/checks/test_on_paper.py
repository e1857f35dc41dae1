"""Whether a label can be read, from where things lie on it: each fault is made and found, and our own labels have none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from lotwake.labels.barcodes.bars import gs1_128
from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PrinterDots
from lotwake.labels.checks.check import UnfitLabel, refuse_unfit
from lotwake.labels.checks.on_paper import (
    CARD_ON_PAPER,
    CASE_ON_PAPER,
    PACK_ON_PAPER,
    PaperRule,
    check_on_paper,
    measured,
)
from lotwake.labels.gs1.elements import Element
from lotwake.labels.layout.card_label import lay_out_card
from lotwake.labels.layout.case_label import lay_out_case
from lotwake.labels.layout.faces import Style
from lotwake.labels.layout.ink import Ink, PlacedBars
from lotwake.labels.layout.pack_label import lay_out
from lotwake.labels.layout.spec import CardSpec, CaseLabelSpec, FishOrigin, LabelSpec, checked_spec
from lotwake.labels.layout.stock import CARD_STOCKS, CASE_A6, PACK_STOCKS, ROLL_100X60, Stock
from lotwake.labels.layout.text import PlacedText

RESOLUTIONS = pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
CARD = CardSpec("Haddock, hot smoked", "22632900557", "226-329-005-57", "3 of 12", (("From", "Aurora"),))
ORIGIN = FishOrigin("27.4.b", date(2026, 11, 22), None, "HAD", "03.12", "01")


def found(rules: tuple[PaperRule, ...], ink: Ink, stock: Stock, dots: PrinterDots = DOTS_203) -> list[str]:
    """The names of the rules that are broken."""
    return [finding.rule for finding in check_on_paper(rules, measured(ink, stock, dots))]


@RESOLUTIONS
@pytest.mark.parametrize("stock", PACK_STOCKS.values(), ids=lambda stock: stock.name)
def test_our_pack_labels_have_no_fault(pack_spec: LabelSpec, stock: Stock, dots: PrinterDots) -> None:
    """Every stock at every resolution: nothing touches, nothing is cut off, every module is wide enough."""
    spec = replace(pack_spec, pack_face_cm2=70, origin=ORIGIN, storage="Keep frozen at -18 °C or colder.", cook="")
    layout = lay_out(checked_spec(spec), 145, stock, dots)
    assert found(PACK_ON_PAPER, layout.whole_ink(145), stock, dots) == []


@RESOLUTIONS
def test_our_case_labels_have_no_fault(case_spec: CaseLabelSpec, dots: PrinterDots) -> None:
    """With the fish's origin beside the words and without."""
    for origin in (None, ORIGIN):
        ink = lay_out_case(checked_spec(replace(case_spec, origin=origin)), CASE_A6, dots)
        assert found(CASE_ON_PAPER, ink, CASE_A6, dots) == []


@RESOLUTIONS
@pytest.mark.parametrize("stock", CARD_STOCKS.values(), ids=lambda stock: stock.name)
def test_our_cards_have_no_fault(stock: Stock, dots: PrinterDots) -> None:
    """On each stock for cards."""
    assert found(CARD_ON_PAPER, lay_out_card(checked_spec(CARD), stock, dots), stock, dots) == []


def _text(text: str, x: float, y: float, size_pt: float = 10) -> PlacedText:
    return PlacedText(x, y, text, Style.REGULAR, 100, size_pt)


def _shifted(ink: Ink, left: int) -> Ink:
    return replace(ink, symbols=tuple(replace(placed, left_dots=placed.left_dots + left) for placed in ink.symbols))


def _without_sscc(ink: Ink) -> Ink:
    return replace(ink, symbols=ink.symbols[:-1])


def _narrow(ink: Ink) -> Ink:
    bars = gs1_128((Element("00", "095200000000000011"),), 2)
    return replace(ink, symbols=(*ink.symbols[:-1], PlacedBars(bars, 200, 40, 256)))


FAULTS: list[tuple[str, Callable[[Ink], Ink]]] = [
    ("on the label", lambda ink: replace(ink, texts=(*ink.texts, _text("over the edge", 270, 330)))),
    ("on the label", lambda ink: replace(ink, texts=(*ink.texts, _text("below", 10, 0.5)))),
    ("on the label", lambda ink: _shifted(ink, -150)),
    ("text apart", lambda ink: replace(ink, texts=(*ink.texts, replace(ink.texts[0], y=ink.texts[0].y - 2)))),
    ("quiet zone", lambda ink: replace(ink, texts=(*ink.texts, _text("x", 20, 60)))),
    ("module width", _narrow),
    ("letters", lambda ink: replace(ink, texts=(*ink.texts, _text("tiny", 150, 395, 4)))),
    ("SSCC", _without_sscc),
    ("contents", lambda ink: replace(ink, symbols=ink.symbols[1:])),
    ("lot", lambda ink: replace(ink, symbols=(ink.symbols[0], ink.symbols[2]))),
    ("bar height", lambda ink: replace(ink, symbols=tuple(replace(one, height_dots=200) for one in ink.symbols))),
]


@pytest.mark.parametrize(("rule", "spoil"), FAULTS, ids=[f"{n}-{rule}" for n, (rule, _) in enumerate(FAULTS)])
def test_each_fault_is_found_and_stops_the_printer(
    case_spec: CaseLabelSpec, rule: str, spoil: Callable[[Ink], Ink]
) -> None:
    """A case label that is spoiled in one way is found out by the rule for it, and does not print."""
    whole = lay_out_case(checked_spec(case_spec), CASE_A6, DOTS_203)
    findings = check_on_paper(CASE_ON_PAPER, measured(spoil(whole), CASE_A6, DOTS_203))
    assert rule in [finding.rule for finding in findings]
    with pytest.raises(UnfitLabel, match=r"This label does not print\. "):
        refuse_unfit(None, findings)


def test_a_card_without_its_code_is_found() -> None:
    """The code is what is scanned at every step."""
    ink = replace(lay_out_card(checked_spec(CARD), ROLL_100X60, DOTS_203), symbols=())
    assert found(CARD_ON_PAPER, ink, ROLL_100X60) == ["code"]
