"""Which elements each symbol of a label holds: fixed lengths first, so that separators are saved."""

from __future__ import annotations

from enum import Enum

from lotwake.labels.gs1.dates import write_date
from lotwake.labels.gs1.elements import Element, fixed_first
from lotwake.labels.gs1.keys import gtin14
from lotwake.labels.gs1.measures import NET_KG, weight_element
from lotwake.labels.layout import phrases
from lotwake.labels.layout.spec import CardSpec, CaseLabelSpec, FishOrigin, LabelSpec, LogisticSpec

Elements = tuple[Element, ...]
SERIAL_AI = "21"
CARD_AI = "91"  # company internal information: nobody outside reads our batch codes


class Plan(Enum):
    """How a pack's elements are spread over symbols, best first."""

    ONE = "all in one line symbol"
    TWO = "name and date, then lot and number"
    NO_DATE = "in one line symbol, the date in words only"
    DATAMATRIX = "all in a GS1 DataMatrix"
    NO_ORIGIN = "in a GS1 DataMatrix, the fish's origin in words only"
    QR = "all in a QR code with a Digital Link"
    TILL = "the number of the product as EAN-13, which every till reads, date, lot and number in a line symbol"


LINES = (Plan.ONE, Plan.TWO, Plan.NO_DATE)
ON_LINES = (*LINES, Plan.TILL)


class Design(Enum):
    """What kind of symbol a pack carries; the value is the plans tried, best first."""

    AUTO = (*LINES, Plan.DATAMATRIX, Plan.NO_ORIGIN)
    LINE = LINES
    DATAMATRIX = (Plan.DATAMATRIX, Plan.NO_ORIGIN)
    QR = (Plan.QR,)
    TILL = (Plan.TILL,)


def pack_symbols(spec: LabelSpec, serial: int | None, net_g: int, plan: Plan) -> tuple[Elements, ...]:
    """Return the elements of each symbol of a pack.

    ``net_g`` is used for a pack of catch weight only, and ``spec.origin`` where there is a 2D symbol. A weight stands with
    the GTIN that it needs, so that one scan gives both.
    """
    gtin = (Element("01", gtin14(spec.gtin)),)
    weight = (Element(*weight_element(net_g)),) if spec.catch_weight else ()
    date = _date(spec)
    number = (Element(SERIAL_AI, phrases.serial_text(serial)),) if serial else ()
    lot = (Element("10", spec.lot), *number)
    if plan is Plan.TWO:
        return (*gtin, *weight, *date), lot
    if plan is Plan.TILL:
        return gtin, fixed_first((*weight, *date, *lot))
    if plan is Plan.NO_DATE:
        date = ()
    origin = origin_elements(spec.origin) if plan in (Plan.DATAMATRIX, Plan.QR) else ()
    return (fixed_first((*gtin, *weight, *date, *lot, *origin)),)


def varies(elements: Elements) -> bool:
    """Whether a symbol with these elements differs from pack to pack."""
    return any(element.ai == SERIAL_AI or element.ai.startswith(NET_KG) for element in elements)


def case_symbols(spec: CaseLabelSpec) -> tuple[Elements, ...]:
    """Return the elements of each line symbol, top to bottom: content and count, date and lot, SSCC."""
    content = (Element("02", gtin14(spec.gtin)), Element("37", str(spec.pack_count)))
    lot = (*_date(spec), Element("10", spec.lot))
    return content, lot, sscc_symbol(spec)


def sscc_symbol(spec: LogisticSpec) -> Elements:
    """Return the number of a logistic unit, the lowest of its symbols."""
    return (Element("00", spec.sscc),)


def logistic_symbols(spec: LogisticSpec) -> tuple[Elements, ...]:
    """Return the elements of each line symbol of a case or pallet, top to bottom; of a mixed one its number alone."""
    return case_symbols(spec) if isinstance(spec, CaseLabelSpec) else (sscc_symbol(spec),)


def case_matrix(spec: CaseLabelSpec) -> Elements:
    """Return everything about the case and its fish for one DataMatrix: with an origin, or a weight of its own, for which
    three lines as wide as A6 have no room. Nothing without either.

    The origin AIs need the content's GTIN beside them (GS1 Barcode Syntax Dictionary), so it is repeated here.
    """
    if spec.origin is None and not spec.catch_weight:
        return ()
    content, lot, sscc = case_symbols(spec)
    weight = (Element(*weight_element(spec.net_g)),) if spec.catch_weight else ()
    return fixed_first((*sscc, *content, *weight, *lot, *origin_elements(spec.origin)))


def card_symbol(spec: CardSpec) -> Elements:
    """Return the code of a batch or tray card as company internal information, and what else the card carries."""
    return (Element(CARD_AI, spec.code), *(Element(ai, value) for ai, value in spec.more))


def origin_elements(origin: FishOrigin | None) -> Elements:
    """Return catch area, dates, species, gear and method as far as they are given."""
    if origin is None:
        return ()
    days = [day for day in (origin.caught_from, origin.caught_to) if day]
    if len(days) == 2 and days[0] == days[1]:
        days.pop()
    values = (
        ("7005", origin.catch_area),
        ("7007", "".join(map(write_date, days))),
        ("7008", origin.species),
        ("7009", origin.gear),
        ("7010", origin.method),
    )
    return tuple(Element(ai, value) for ai, value in values if value)


def _date(spec: LabelSpec | CaseLabelSpec) -> Elements:
    days = (("15", spec.best_before), ("17", spec.use_by))
    return tuple(Element(ai, write_date(day)) for ai, day in days if day)
