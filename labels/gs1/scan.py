"""What a scanner sent, told apart: symbology and elements in one frozen result.

Symbology identifiers as in the GS1 Barcode Syntax Engine (Apache-2.0), src/c-lib/scandata.c; ``]C0``, ``]I0``, ``]I1``,
``]Q0`` and ``]d0`` are from memory of ISO/IEC 15424.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.digital_link import read_digital_link
from lotwake.labels.gs1.elements import CARET, FNC1, Element, Gs1Error, Problem, read_raw, read_text
from lotwake.labels.gs1.keys import check_digit_agrees


class Content(Enum):
    """How the data of a symbology is to be read."""

    ELEMENTS = "element strings"
    GTIN = "a GTIN"
    TEXT = "text, perhaps a Digital Link"


class Symbology(Enum):
    """Symbologies by name, AIM identifier and content."""

    GS1_128 = ("GS1-128", "]C1", Content.ELEMENTS)
    GS1_DATAMATRIX = ("GS1 DataMatrix", "]d2", Content.ELEMENTS)
    GS1_QR = ("GS1 QR Code", "]Q3", Content.ELEMENTS)
    GS1_DATABAR = ("GS1 DataBar", "]e0", Content.ELEMENTS)
    EAN_13 = ("EAN-13", "]E0", Content.GTIN)
    EAN_8 = ("EAN-8", "]E4", Content.GTIN)
    ITF = ("ITF", "]I0", Content.GTIN)
    ITF_CHECKED = ("ITF with check digit", "]I1", Content.GTIN)
    QR = ("QR Code", "]Q1", Content.TEXT)
    QR_MODEL_1 = ("QR Code model 1", "]Q0", Content.TEXT)
    DATAMATRIX = ("Data Matrix", "]d1", Content.TEXT)
    DATAMATRIX_OLD = ("Data Matrix ECC 000-140", "]d0", Content.TEXT)
    CODE_128 = ("Code 128", "]C0", Content.TEXT)

    def __init__(self, shown: str, identifier: str, content: Content) -> None:
        self.shown = shown
        self.identifier = identifier
        self.content = content


BY_IDENTIFIER = {symbology.identifier: symbology for symbology in Symbology}


@dataclass(frozen=True)
class ScanData:
    """One scan.

    ``symbology`` is None when the scanner sent no identifier or an unknown one. ``text`` is the data without it.
    ``elements`` is empty when the data is not GS1, for example one of the house's own codes; ``problems`` says what is
    wrong with data that claims to be GS1.
    """

    symbology: Symbology | None
    text: str
    elements: tuple[Element, ...]
    problems: tuple[Problem, ...]

    def value(self, ai: str) -> str | None:
        """Return the value of the first element with this AI, or None."""
        return next((element.value for element in self.elements if element.ai == ai), None)


def read_scan(sent: str, *, stand_in: str = CARET) -> ScanData:
    """Tell apart what a scanner sent, or a person typed or pasted.

    ``stand_in`` is the character this scanner sends for GS, besides GS itself and ``^``. Text without a symbology
    identifier counts as GS1 only when it can be nothing else: brackets, a Digital Link, a leading or inner separator,
    12 to 14 digits with a right check digit, or element strings with a key that keep every rule.
    """
    text = sent.strip(" \t\r\n")
    if not text.startswith("]"):
        return _without_identifier(text, stand_in)
    symbology, data = BY_IDENTIFIER.get(text[:3]), text[3:]
    content = symbology.content if symbology else Content.TEXT
    if content is Content.ELEMENTS:
        reading = read_raw(data, stand_in)
        return ScanData(symbology, data, reading.elements, reading.problems)
    if content is Content.GTIN:
        return _gtin(symbology, data)
    return _link(symbology, data) if _is_link(data) else ScanData(symbology, data, (), ())


def _without_identifier(text: str, stand_in: str) -> ScanData:
    if text.startswith("("):
        reading = read_text(text)
    elif _is_link(text):
        return _link(None, text)
    elif len(text) in (12, 13, 14) and check_digit_agrees(text):
        return _gtin(None, text)
    else:
        reading = read_raw(text, stand_in)
        certain = any(mark in text for mark in (FNC1, CARET, stand_in))
        if not certain and (reading.problems or reading.elements[0].ai not in ("00", "01", "02")):
            return ScanData(None, text, (), ())
    return ScanData(None, text, reading.elements, reading.problems)


def _is_link(text: str) -> bool:
    return text.startswith(("http://", "https://", "HTTP://", "HTTPS://"))


def _gtin(symbology: Symbology | None, data: str) -> ScanData:
    if len(data) in (8, 12, 13, 14) and check_digit_agrees(data):
        return ScanData(symbology, data, (Element("01", data.zfill(14)),), ())
    return ScanData(symbology, data, (), (Problem("01", f"(01) {data!r} is no GTIN with a right check digit."),))


def _link(symbology: Symbology | None, data: str) -> ScanData:
    try:
        return ScanData(symbology, data, read_digital_link(data), ())
    except Gs1Error as error:
        return ScanData(symbology, data, (), error.problems)
    except WrongData as error:
        return ScanData(symbology, data, (), (Problem("", error.sentence),))
