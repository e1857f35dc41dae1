"""What is this? From anything typed, scanned or pasted to the things of the house it names."""

from __future__ import annotations

from lotwake.labels.gs1.scan import ScanData, read_scan
from lotwake.trace.base.codes import looks_like_code, read_code
from lotwake.trace.base.errors import CallError, LotwakeError, NotFound
from lotwake.trace.records import find as record_find
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind, Thing


def find(records: Records, text: str, separator: str = "\x1d") -> list[Thing]:
    """Everything this text names: our codes, former codes, ``RUN/SERIAL``, SSCCs, documents, GS1 strings, Digital Links.

    At least one thing, or an error that says whether the text is mistyped (CallError) or unknown (NotFound).
    """
    bare = text.strip()
    if not is_scan(bare, separator):
        try:
            return record_find.everything(records, bare)
        except LotwakeError as unknown:
            # A bare element string or GTIN has no mark of its own: it is one only when the house knows nothing by this
            # name, and a mistyped code of ours is not taken for the product of somebody else.
            scan = read_scan(bare, stand_in=separator)
            if not scan.elements or (looks_like_code(bare) and _product(records, scan.value("01") or "") is None):
                raise unknown from None
            return _by_elements(records, scan)
    scan = read_scan(bare, stand_in=separator)
    if scan.problems:
        raise CallError(
            f"This is not a right GS1 code: {scan.problems[0].sentence}", "Scan it again, or type the code below it."
        )
    if not scan.elements:
        return record_find.everything(records, scan.text)
    return _by_elements(records, scan)


def is_scan(text: str, separator: str = "\x1d") -> bool:
    """Whether this can only come from a label in GS1 form: marked by a scanner, in brackets, separated, or a web address."""
    return text[:1] in ("]", "(") or any(mark in text for mark in ("://", separator, "^"))


def find_one(records: Records, text: str, separator: str = "\x1d") -> Thing:
    """The one thing this text names; CallError when there are several."""
    found = find(records, text, separator)
    if len(found) > 1:
        several = ", ".join(f"{thing.kind} {thing.shown}" for thing in found)
        raise CallError(f"{text.strip()!r} names several things: {several}.", "Use one of these codes.")
    return found[0]


def _by_elements(records: Records, scan: ScanData) -> list[Thing]:
    sscc, gtin, lot, serial = (scan.value(ai) for ai in ("00", "01", "10", "21"))
    if sscc is not None:
        unit = record_find.unit_of(records, int(sscc))
        if unit is None:
            raise NotFound(f"The SSCC {sscc} is not a case or pallet of this house.", "Whose label is it?")
        return [unit]
    if (card := scan.value("91")) is not None:  # a batch or tray card carries our own code (GS1: company internal)
        return record_find.everything(records, card)
    gtin = gtin or scan.value("02")
    if gtin is None:
        raise NotFound(
            "This GS1 code names neither a product nor a logistic unit.", "Scan the code with the lot in it."
        )
    product = _product(records, gtin)
    if product is None:
        raise NotFound(f"GTIN {gtin} is not a product of this house.", "Whose label is it?")
    if lot is None:
        raise NotFound(
            f"{product}: this code names the product, not the lot.", "Scan the code with the lot in it, AI 10."
        )
    if looks_like_code(lot):
        read_code(lot)
    runs = record_find.product_runs(records, gtin, lot)
    if not runs:
        raise NotFound(f"{product} was never packed under lot {lot}.", "Check the lot on the label.")
    if serial is None:
        return list(runs)
    if not serial.isdecimal():
        raise NotFound(f"{product}, lot {lot}, has no serial {serial!r}.", "Our serials are numbers.")
    return [record_find.pack_of(records, run, int(serial)) for run in runs]


def _product(records: Records, gtin: str) -> str | None:
    """The name of the house's product with this GTIN of 14 digits."""
    name: str | None = records.value("SELECT name FROM product WHERE gtin = ?", gtin)
    return name


TRACEABLE = (Kind.LOT, Kind.BATCH, Kind.RUN, Kind.PACK, Kind.CASE, Kind.PALLET, Kind.DISPATCH, Kind.RETURN)
