"""How weights, dates and serial numbers are written on a label."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from decimal import ROUND_DOWN, Decimal

NO_BREAK = "\u00a0"
GRAMS_PER_OUNCE = Decimal("28.349523125")  # exact: the international avoirdupois ounce
OUNCES_PER_POUND = 16

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_UNIT_AFTER_NUMBER = re.compile(r"(?<=\d) (?=(?:g|kg|ml|l|mm|cm|h|min|days?|hours?|minutes?|oz|lb|%|°C|C|°F|F)\b|%|°)")

_HYPHEN_AS_MINUS = re.compile(r"(?<![^\s(])-(?=\d)")


def shown_date(day: date, months: Sequence[str] = _MONTHS) -> str:
    """Return a date as ``25 Nov 2026``, which no reader takes for another day, with no break inside."""
    return f"{day.day}{NO_BREAK}{months[day.month - 1]}{NO_BREAK}{day.year}"


def shown_weight(net_g: int) -> str:
    """Return whole grams as ``300 g``, from a kilogram on as ``1.25 kg``, with no break inside."""
    if net_g < 1000:
        return f"{net_g}{NO_BREAK}g"
    whole, rest = divmod(net_g, 1000)
    decimals = f"{rest:03d}".rstrip("0")
    return f"{whole}{'.' + decimals if decimals else ''}{NO_BREAK}kg"


def shown_dual_weight(net_g: int) -> str:
    """Return the weight as ``10.5 oz (300 g)``: ounces under a pound, pounds above, to three figures and never up.

    That a conversion may be rounded down but not up is from memory of the guides to 21 CFR 101.7.
    """
    ounces = Decimal(net_g) / GRAMS_PER_OUNCE
    value, unit = (ounces, "oz") if ounces < OUNCES_PER_POUND else (ounces / OUNCES_PER_POUND, "lb")
    step = Decimal(1).scaleb(max(-2, value.adjusted() - 2))
    rounded = value.quantize(step, ROUND_DOWN)
    shown = f"{rounded:f}".rstrip("0").rstrip(".") if "." in f"{rounded:f}" else f"{rounded:f}"
    return f"{shown}{NO_BREAK}{unit} ({shown_weight(net_g)})"


def serial_text(serial: int) -> str:
    """Return a pack's serial number as AI (21) and the label carry it: four digits, six from 10000 on.

    An even number of digits is what a barcode holds in the least space.
    """
    return f"{serial:04d}" if serial < 10_000 else f"{serial:06d}"


def unbroken(text: str) -> str:
    """Return the text with no break between a number and its unit, and a minus sign that is seen before a number."""
    return _HYPHEN_AS_MINUS.sub("\u2212", _UNIT_AFTER_NUMBER.sub(NO_BREAK, text))


def in_one_piece(text: str) -> str:
    """Return the text with every space made unbreakable."""
    return text.replace(" ", NO_BREAK)
