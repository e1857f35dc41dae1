"""The proof of a run before it is sent: pages are rendered at the printer's dots and their barcodes read back.

The first page, the last and some between are looked at; each label on them must carry the symbols it should and no
others. The reader finds symbols that a worn scanner would not, so a proof says that the data is right, and the layout
tests say that it can be read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import zxingcpp

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.errors import LabelRefused
from lotwake.labels.gs1.digital_link import write_digital_link
from lotwake.labels.gs1.elements import element_string
from lotwake.labels.gs1.keys import gtin13
from lotwake.labels.gs1.scan import Symbology
from lotwake.labels.layout.pack_label import PackLayout
from lotwake.labels.layout.spec import CardSpec, CaseLabelSpec, LogisticSpec
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.symbols import Elements, Plan, card_symbol, case_matrix, logistic_symbols
from lotwake.labels.printing.pictures import label_image, opened, picture

Scans = tuple[str, ...]
"""What a scanner sends for each symbol of one label, symbology identifier first."""
PAGES_LOOKED_AT = 12
_FORM = zxingcpp.BarcodeFormat
_FORMATS = (_FORM.Code128, _FORM.DataMatrix, _FORM.QRCode, _FORM.EAN13, _FORM.ITF)


@dataclass(frozen=True)
class Misprint:
    """One label that does not read as it should. Page and place count from 1; place is 0 for the page as a whole."""

    page: int
    place: int
    what: str

    def __str__(self) -> str:
        where = f"page {self.page}" + (f", label {self.place}" if self.place else "")
        return f"{where}: {self.what}"


@dataclass(frozen=True)
class Proof:
    """How many pages and labels were looked at, and what was found wrong with them."""

    pages: int
    labels: int
    misprints: tuple[Misprint, ...]


def pack_scans(layout: PackLayout, serial: int | None, net_g: int | None = None) -> Scans:
    """Return what the label of one pack must read as."""
    symbols = layout.symbols(serial, net_g)
    if layout.plan is Plan.QR:
        return tuple(_scan(Symbology.QR, write_digital_link(elements, layout.spec.link_stem)) for elements in symbols)
    if layout.plan is Plan.TILL:
        name, rest = symbols
        return _scan(Symbology.EAN_13, gtin13(name[0].value)), _gs1(Symbology.GS1_128, rest)
    matrix = layout.plan in (Plan.DATAMATRIX, Plan.NO_ORIGIN)
    return tuple(_gs1(Symbology.GS1_DATAMATRIX if matrix else Symbology.GS1_128, elements) for elements in symbols)


def case_scans(spec: LogisticSpec) -> Scans:
    """Return what the label of one case or pallet must read as."""
    lines = [_gs1(Symbology.GS1_128, elements) for elements in logistic_symbols(spec)]
    matrix = case_matrix(spec) if isinstance(spec, CaseLabelSpec) else ()
    return (*lines, *([_gs1(Symbology.GS1_DATAMATRIX, matrix)] if matrix else []))


def card_scans(spec: CardSpec) -> Scans:
    """Return what one batch or tray card must read as."""
    return (_gs1(Symbology.GS1_128, card_symbol(spec)),)


def proof(pdf: Path, expected: Sequence[Scans], stock: Stock, dots: PrinterDots, first_place: int = 1) -> Proof:
    """Read back the labels of some pages of a PDF; ``expected`` is what each label must read as, in their order.

    Raises:
        WrongData: when the file cannot be read.
    """
    places: list[Scans] = [()] * (first_place - 1) + list(expected)
    pages = -(-len(places) // stock.places)
    misprints: list[Misprint] = []
    labels = 0
    with opened(pdf) as document:
        if len(document) != pages:
            misprints.append(Misprint(1, 0, f"the file has {len(document)} pages, not {pages}"))
        looked_at = _some(min(pages, len(document)))
        for page in looked_at:
            wanted = places[page * stock.places : (page + 1) * stock.places]
            labels += sum(map(bool, wanted))
            misprints += _page_misprints(picture(document, page, dots), page, wanted, stock, dots)
    return Proof(len(looked_at), labels, tuple(misprints))


def refuse_misprint(found: Proof) -> None:
    """Raise LabelRefused when a proof found a misprint."""
    if found.misprints:
        more = f" And {len(found.misprints) - 1} more." if len(found.misprints) > 1 else ""
        raise LabelRefused(
            f"The labels do not read as the record says, {found.misprints[0]}.{more}",
            "Nothing was sent. Make them again; if it stays so, have the program looked at.",
        )


def _page_misprints(image: Any, page: int, wanted: Sequence[Scans], stock: Stock, dots: PrinterDots) -> list[Misprint]:
    if image.size != stock.page_dots(dots):
        width, height = stock.page_dots(dots)
        size = f"the page is {image.size[0]} x {image.size[1]} dots, not {width} x {height}"
        return [Misprint(page + 1, 0, size)]
    misprints = []
    for place, scans in enumerate(wanted, 1):
        label = label_image(image, place - 1, stock, dots)
        read = Counter(code.symbology_identifier + code.bytes.decode("latin-1") for code in _codes(label))
        for what, scan in _differences(Counter(scans), read):
            misprints.append(Misprint(page + 1, place, f"{what} {scan}"))
    return misprints


def _codes(image: Any) -> list[Any]:
    return list(zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats(_FORMATS)))


def _differences(wanted: Counter[str], read: Counter[str]) -> list[tuple[str, str]]:
    missing = [("there is no", scan) for scan in (wanted - read).elements()]
    return missing + [("there should be no", scan) for scan in (read - wanted).elements()]


def _some(pages: int) -> list[int]:
    """Return the first page, the last, and others evenly between."""
    if pages <= PAGES_LOOKED_AT:
        return list(range(pages))
    return [round(step * (pages - 1) / (PAGES_LOOKED_AT - 1)) for step in range(PAGES_LOOKED_AT)]


def _gs1(symbology: Symbology, elements: Elements) -> str:
    return _scan(symbology, element_string(elements))


def _scan(symbology: Symbology, data: str) -> str:
    return symbology.identifier + data
