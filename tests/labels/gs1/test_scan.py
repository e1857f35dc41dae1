"""Scans by symbology, and text that carries no identifier."""

from __future__ import annotations

import pytest

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.digital_link import read_digital_link, write_digital_link
from lotwake.labels.gs1.elements import Element
from lotwake.labels.gs1.epc import digital_link_of_urn
from lotwake.labels.gs1.scan import Symbology, read_scan

GTIN = "09520000000011"
PACK = {"01": GTIN, "10": "26329000421", "21": "0145"}
RAW = "01095200000000111026329000421\x1d210145"

SCANS = [
    (f"]C1{RAW}\r", Symbology.GS1_128, PACK),
    (f"]d2{RAW}", Symbology.GS1_DATAMATRIX, PACK),
    (f"]Q3{RAW}", Symbology.GS1_QR, PACK),
    ("]e0" + "01" + GTIN, Symbology.GS1_DATABAR, {"01": GTIN}),
    ("]E09520000000011", Symbology.EAN_13, {"01": GTIN}),
    ("]E402345673", Symbology.EAN_8, {"01": "00000002345673"}),
    ("]I119520000000018", Symbology.ITF_CHECKED, {"01": "19520000000018"}),
    (f"]Q1https://id.gs1.org/01/{GTIN}/10/26329000421/21/0145", Symbology.QR, PACK),
    (f"]d1https://example.org/x/01/{GTIN}?15=270525", Symbology.DATAMATRIX, {"01": GTIN, "15": "270525"}),
    ("]C026329000421", Symbology.CODE_128, {}),
    ("26329000421", None, {}),
    ("0145", None, {}),
    ("", None, {}),
    (f"(01){GTIN}(10)26329000421(21)0145", None, PACK),
    (RAW, None, PACK),
    (RAW.replace("\x1d", "^"), None, PACK),
    ("9520000000011", None, {"01": GTIN}),
    ("00395200000000000012", None, {"00": "395200000000000012"}),
]


@pytest.mark.parametrize(("sent", "symbology", "values"), SCANS)
def test_scan_is_told_apart(sent: str, symbology: Symbology | None, values: dict[str, str]) -> None:
    """A scan gives its symbology and its elements; a code of the house gives none and no complaint."""
    scan = read_scan(sent)
    assert scan.symbology is symbology
    assert {element.ai: element.value for element in scan.elements} == values
    assert scan.problems == ()
    assert scan.value("01") == values.get("01")


BAD = [
    ("]C1hello", "does not begin with a known AI"),
    ("]C10109520000000012", "check digit"),
    ("]E09520000000012", "no GTIN with a right check digit"),
    ("]Q1https://example.org/menu", "no GS1 key in its path"),
    ("]Q1https://example.org/01/09520000000012", "check digit"),
    ("(01)0952", "14 digits"),
]


@pytest.mark.parametrize(("sent", "words"), BAD)
def test_bad_scan_says_why(sent: str, words: str) -> None:
    """Data that claims to be GS1 and is not gives problems in words, not an exception."""
    assert any(words in problem.sentence for problem in read_scan(sent).problems)


def test_digital_link_orders_qualifiers_and_puts_the_rest_in_the_query() -> None:
    """Lot and serial go into the path in their order, date and area into the query, reserved characters encoded."""
    elements = [
        Element("7005", "27.2.a"), Element("21", "0145"), Element("15", "270525"), Element("10", "A/1"), Element("01", GTIN),
    ]  # fmt: skip
    uri = write_digital_link(elements)
    assert uri == f"https://id.gs1.org/01/{GTIN}/10/A%2F1/21/0145?7005=27.2.a&15=270525"
    assert set(read_digital_link(uri)) == set(elements)


REFUSED_LINKS = [
    f"https://a/01/{GTIN}/21/1/10/A",  # qualifiers in the wrong order
    f"https://a/01/{GTIN}?21=1",  # serial in the query
    f"https://a/01/{GTIN}/",  # trailing slash
    f"https://a/01/{GTIN}?123=4",  # numeric key that is no AI
    f"https://a/01/{GTIN}?10=A+B",  # plus means a space
    f"ftp://a/01/{GTIN}",
]


@pytest.mark.parametrize("uri", REFUSED_LINKS)
def test_broken_digital_links_are_refused(uri: str) -> None:
    """A URI that breaks a rule of the standard is refused."""
    with pytest.raises(WrongData):
        read_digital_link(uri)


@pytest.mark.parametrize("urn", ["urn:epc:id:grai:952.1.2", "urn:epc:id:sscc:952.1", "hello"])
def test_other_urns_are_refused(urn: str) -> None:
    """A URN of another kind, or with digits missing, is refused."""
    with pytest.raises(WrongData):
        digital_link_of_urn(urn)


def test_link_without_key_is_refused() -> None:
    """Elements without a key have no Digital Link."""
    with pytest.raises(WrongData, match="needs a key"):
        write_digital_link([Element("400", "A1")])
