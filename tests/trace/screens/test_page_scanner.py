"""The scanner check: habits from three scans, faults in words, and a sheet whose bars say what the program hears."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from screens_house import House, do, dump, said, scan, work

from lotwake.trace.actions.cards import print_cards
from lotwake.trace.screens.capture import GS
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.line import on_card
from lotwake.trace.screens.program import all_cards
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.scanner_check import TEST_CODES, Arrived, arrived_as_line, judged

SIGNS, SEPARATED, DIGITS = TEST_CODES
# What a German (QWERTZ) and a French (AZERTY) keyboard make of the keys a US keyboard sends: common practice.
GERMAN = str.maketrans("YZ-/]", "ZYß-+")
FRENCH = str.maketrans("QWAZM-/0123456789]", "AZQW?)!à&é\"'(-è_ç$")


@pytest.mark.parametrize(
    ("code", "came", "fault"),
    [
        (SIGNS, Arrived("]C1", SIGNS.data), ""),
        (SIGNS, Arrived("]C1", SIGNS.data.swapcase()), "Caps Lock is on"),
        (SIGNS, Arrived("]C1", SIGNS.data.translate(GERMAN)), "Z came as Y, Y came as Z, - came as ß"),
        (SIGNS, arrived_as_line(f"]C1{SIGNS.data}".translate(GERMAN), SIGNS), "] came as +"),
        (SIGNS, arrived_as_line(f"]C1{SIGNS.data}".translate(FRENCH), SIGNS), "different keyboards"),
        (SIGNS, Arrived("", SIGNS.data), "no identifier"),
        (SIGNS, Arrived("]C1", SIGNS.data[:9]), "Only 9 of 12 signs"),
        (SIGNS, Arrived("]C1", "0195200"), "This is not TEST 1"),
        (SEPARATED, Arrived("]C1", SEPARATED.data), ""),
        (SEPARATED, Arrived("]C1", SEPARATED.data.replace(GS, "")), "GS was lost"),
        (SEPARATED, Arrived("]C1", SEPARATED.data.replace(GS, "|")), ""),
        (DIGITS, Arrived("]C1", DIGITS.data), ""),
    ],
)
def test_faults_are_named(code: object, came: Arrived, fault: str) -> None:
    """Each usual fault of a scanner is named; what came as printed, or with another sign for GS, is none."""
    found = judged(code, came)  # type: ignore[arg-type]
    assert fault in found.fault
    assert bool(found.fault) == bool(fault)
    assert bool(found.remedy) == bool(fault)


def test_stand_in_is_learned() -> None:
    """A sign that came where GS is printed is the scanner's sign for GS."""
    assert judged(SEPARATED, Arrived("]C1", SEPARATED.data.replace(GS, "|"))).stand_in == "|"


def test_three_scans(house: House) -> None:
    """Three scans, one of them wrong first, and the page says what the scanner does and what the settings should say."""

    async def script(app: HouseApp) -> None:
        await do(app, "/scanner\r", f"]C1{SIGNS.data.swapcase()}\r")
        assert "Caps Lock" in said(app)[1]
        await do(app, f"]C1{SIGNS.data}\r", f"]C1{SEPARATED.data.replace(GS, '|')}\t", f"]C1{DIGITS.data}\r")
        assert said(app)[0] is Verdict.GOOD
        shown = dump(app)
        assert 'scanner = "prefix"' in shown
        assert 'separator = "|"' in shown
        await do(app, "f6")
        assert "TEST 1: signs" in dump(app)

    work(house, script)


def test_end_mark_missing(house: House) -> None:
    """A code that comes whole and is not ended is told as a missing end mark."""

    async def script(app: HouseApp) -> None:
        await do(app, "/scanner\r", f"]C1{SIGNS.data}")
        for _ in range(40):
            await do(app)
        assert "no end mark" in said(app)[1]

    work(house, script)


def test_sheet_is_read_back(house: House, tmp_path: Path) -> None:
    """The bars of the sheet, read by another library (ZXing), are GS1-128 of capitals and digits, and mean what they say."""
    desk = house.desk()
    cards = all_cards(desk)
    print_cards(desk, cards, tmp_path / "cards.pdf")
    desk.close()
    read = set[str]()
    for page in pypdfium2.PdfDocument(tmp_path / "cards.pdf"):
        found = zxingcpp.read_barcodes(page.render(scale=2 * 203 / 72).to_pil())  # whole pixels for each printer dot
        assert {code.symbology_identifier for code in found} == {"]C1"}
        read |= {code.bytes.decode() for code in found}
    expected = {f"91{card.code}" + "".join(GS + ai + value for ai, value in card.more) for card in cards}
    assert read == expected
    assert {"CMDVOID", "CMD24", "CMDPACK", house.card} <= {on_card(text) for text in read}


def test_sheet_by_key_and_cards_with_identifier(house: House) -> None:
    """F7 writes the sheet; a command card and an operator card work with the AI that stands on them."""

    async def script(app: HouseApp) -> None:
        await do(app, "/scanner\r", "f7")
        assert said(app)[0] is Verdict.GOOD
        assert (house.places.printed / "cards.pdf").stat().st_size > 10_000
        await do(app, f"]C191{house.card}\r")
        assert "OD Odd Dahl" in dump(app).splitlines()[0]
        await do(app, "]C191CMDPACK\r")
        assert app.page.NAME == "pack"
        await do(app, scan("CMDSTART"))
        assert app.page.NAME == "start"

    work(house, script)
