"""What a house prints with, from its settings and the files in its folder: stock, printer, words, market, design."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_304, DOTS_600, DOTS_609, PrinterDots
from lotwake.labels.checks.markets import MARKETS, Market
from lotwake.labels.layout.languages import BUILT_IN, Phrases, bilingual, load_phrases, phrases_of
from lotwake.labels.layout.stock import CARD_STOCKS, CASE_A6, CASE_STOCKS, PACK_STOCKS, Stock, load_stock
from lotwake.labels.layout.symbols import Design
from lotwake.labels.printing.ipp import Media
from lotwake.labels.printing.targets import Target, ToFile, ToFolder, ToPrinter, ToQueue
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.settings import is_printer

PROFILES = {203: DOTS_203, 300: DOTS_300, 305: DOTS_304, 600: DOTS_600, 610: DOTS_609}
SHIPPED: Mapping[str, Stock] = {**PACK_STOCKS, **CASE_STOCKS, **CARD_STOCKS}
FILE_ONLY = "file"
"""Said in place of a printer: write the file and send nothing."""


def stocks(desk: Desk) -> dict[str, Stock]:
    """Every label stock of the house by its name, the shipped ones first, then the TOML files in its folder ``stock``.

    A file that is wrong is refused with its name, line and key.
    """
    own = [load_stock(path) for path in sorted(desk.places.stock.glob("*.toml"))]
    return {**SHIPPED, **{stock.name: stock for stock in own}}


def label_stock(desk: Desk, name: str = "") -> Stock:
    """The stock of this name or file in the folder ``stock``, or the pack label stock of the house."""
    wanted = name or desk.settings.stock
    if wanted.endswith(".toml"):
        return load_stock(desk.places.stock / wanted)
    if wanted in SHIPPED and not desk.places.stock.is_dir():
        return SHIPPED[wanted]
    known = stocks(desk)
    if wanted not in known:
        raise CallError(
            f"{'' if name else 'house.toml: '}there is no label stock {wanted!r}.", f"Use one of: {', '.join(known)}."
        )
    return known[wanted]


def case_stock(desk: Desk, name: str = "") -> Stock:
    """The stock of this name, or what case labels and cards are printed on."""
    wanted = name or desk.settings.case_stock
    return label_stock(desk, wanted) if wanted else CASE_A6


def media_of(stock: Stock) -> Media:
    """The size of a page of a stock, as printers are told it."""
    grid = stock.grid
    return Media(grid.page_width_mm, grid.page_height_mm) if grid else Media(stock.width_mm, stock.height_mm)


def label_dots(desk: Desk) -> PrinterDots:
    """The resolution of the house's label printer."""
    return PROFILES[desk.settings.printer_dpi]


def label_market(desk: Desk) -> Market:
    """The market whose rules a pack label is held against."""
    return MARKETS[desk.settings.market]


def label_design(desk: Desk) -> Design:
    """Which kind of symbol a pack carries."""
    return Design[desk.settings.design.upper()]


def label_phrases(desk: Desk) -> Phrases:
    """The fixed words of a label in the house's language or two."""
    words = [
        phrases_of(name) if name in BUILT_IN else load_phrases(desk.places.folder / name)
        for name in desk.settings.languages
    ]
    return words[0] if len(words) == 1 else bilingual(*words)


def label_target(desk: Desk, said: str = "") -> Target | None:
    """Where labels go: what was said, else the house's printer; None when only a file is wanted."""
    text = said or desk.settings.printer
    kind, _, rest = text.partition(":")
    if text in ("", FILE_ONLY):
        return None
    if kind == FILE_ONLY and rest:
        return ToFile(Path(rest))
    if not is_printer(text):
        raise CallError(
            f"{text!r} is no printer.",
            f"Write queue:NAME, ipp://HOST/ipp/print, folder:PATH, {FILE_ONLY}:NAME.pdf, or {FILE_ONLY} to send nothing.",
        )
    if kind == "queue":
        return ToQueue(rest)
    return ToFolder(desk.places.folder / rest) if kind == "folder" else ToPrinter(text)
