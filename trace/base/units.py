"""Masses, temperatures and plain numbers as people type them, and back.

A comma or a point is a decimal mark; spaces may group thousands. What can be read in two ways ("1.234,5",
"12,345 kg") is refused instead of guessed. Mass becomes whole grams and temperature whole hundredths of a degree
Celsius: both are counted, so neither is ever a float.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Decimal

from lotwake.trace.base.errors import CallError

GRAMS_PER_UNIT = {
    "g": Decimal(1),
    "kg": Decimal(1000),
    "t": Decimal(1_000_000),
    # International avoirdupois pound and ounce (1959 agreement), exact.
    "lb": Decimal("453.59237"),
    "oz": Decimal("28.349523125"),
}
_MASS_NAMES = {
    **{unit: unit for unit in GRAMS_PER_UNIT},
    **dict.fromkeys(("gram", "grams", "gr"), "g"),
    **dict.fromkeys(("kgs", "kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("lbs", "pound", "pounds"), "lb"),
    **dict.fromkeys(("ounce", "ounces"), "oz"),
    **dict.fromkeys(("tonne", "tonnes"), "t"),
}
_METRIC = ("g", "kg", "t")
_MOST_G = 100_000_000
COLDEST_CENTI_C, HOTTEST_CENTI_C = -10_000, 40_000
"""Outside -100 to 400 C a decimal mark was lost: no cold store, kiln or probe of a smokehouse goes there."""

_NUMBER = re.compile(r"([+-]?)(\d{1,3}(?:[ \u00a0\u202f]\d{3})+|\d+)(?:([.,])(\d+))?", re.ASCII)
_QUANTITY = re.compile(r"(?P<number>[^a-z°]*?)\s*(?P<unit>(?:°\s*)?[a-z]*)\.?", re.IGNORECASE)


def parse_number(text: str) -> Decimal:
    """The number a person typed, with a point or a comma as decimal mark; CallError when it could be read two ways."""
    plain = text.strip().replace("−", "-")
    match = _NUMBER.fullmatch(plain)
    if match is None:
        raise CallError(f"{text!r} is not a clear number.", "Write it as 12.5 or 12,5, without thousands marks.")
    sign, whole, mark, decimals = match.groups()
    whole = re.sub(r"\D", "", whole)
    if mark == "," and len(decimals) == 3 and len(whole) <= 3 and whole.strip("0"):
        raise CallError(
            f"{text!r} could mean {whole}.{decimals} or {whole}{decimals}.",
            f"Write {whole}.{decimals} or {whole}{decimals}.",
        )
    return Decimal(f"{sign}{whole}.{decimals}" if decimals else f"{sign}{whole}")


def _number_and_unit(text: str) -> tuple[Decimal, str]:
    match = _QUANTITY.fullmatch(text.strip())
    if match is None:
        raise CallError(f"{text!r} is not a number with a unit.", "Write it as 41 kg, 300 g or 62.8 C.")
    if not match["number"]:
        raise CallError(f"{text!r} has no number.", "Write it as 41 kg, 300 g or 62.8 C.")
    unit = match["unit"].replace("°", "").strip().lower()
    return parse_number(match["number"]), unit


def parse_mass_g(text: str, unit: str | None = None) -> int:
    """The mass a person typed, in whole grams.

    ``unit`` is taken when none was typed; without it a bare number is refused. Pounds and ounces are rounded to the
    gram; a metric mass finer than a gram is refused. CallError for anything unclear, negative or beyond 100 t.
    """
    number, typed = _number_and_unit(text)
    name = _MASS_NAMES.get(typed or unit or "")
    if name is None:
        said = f"{typed!r} is not a unit of mass." if typed else f"{text!r} has no unit."
        raise CallError(said, "Write kg, g, lb or oz behind the number, as in 41 kg.")
    grams = number * GRAMS_PER_UNIT[name]
    if not 0 <= grams <= _MOST_G:
        raise CallError(f"A mass of {text.strip()} cannot be.", "It must lie between 0 and 100 tonnes.")
    if name in _METRIC and grams != grams.to_integral_value():
        raise CallError(f"{text!r} is finer than one gram.", "Mass is kept in whole grams.")
    return int(grams.to_integral_value(ROUND_HALF_EVEN))


def show_mass(grams: int) -> str:
    """A mass for people: grams below one kilogram, else kilograms with no idle zeros ("300 g", "41.5 kg")."""
    if abs(grams) < 1000:
        return f"{grams} g"
    return f"{Decimal(grams).scaleb(-3).normalize():f} kg"


def show_pack(net_g: int, catch_weight: bool) -> str:
    """What one pack weighs, for people: ``300 g``, or ``about 1.2 kg (weighed)`` where each has its own weight."""
    return f"about {show_mass(net_g)} (weighed)" if catch_weight else show_mass(net_g)


def parse_temperature_centi_c(text: str, unit: str = "C") -> int:
    """The temperature a person typed, in hundredths of a degree Celsius, rounded to the nearest; a number without a
    unit is in ``unit`` ("C" or "F").

    145 F is 62.78 C here, below the 62.8 C that rules print beside it: type a limit in the unit of its rule. CallError
    for anything unclear, or outside -100 to 400 C.
    """
    number, typed = _number_and_unit(text)
    scale = (typed or unit).upper()
    if scale not in ("C", "F"):
        raise CallError(f"{typed!r} is not a temperature scale.", "Write C or F behind the number, as in 62.8 C.")
    celsius = number if scale == "C" else (number - 32) * 5 / 9
    centi = int((celsius * 100).to_integral_value(ROUND_HALF_EVEN))
    if not COLDEST_CENTI_C <= centi <= HOTTEST_CENTI_C:
        raise CallError(f"{text.strip()} cannot be a temperature here.", "Was the decimal mark left out?")
    return centi


def show_temperature(centi_c: int, unit: str = "C") -> str:
    """A temperature for people with one decimal, or two where the second is not zero ("62.8 C", "62.78 C").

    In Fahrenheit ("F") one decimal is shown: a tenth of a degree F is finer than any probe in use.
    """
    if unit == "F":
        return f"{Decimal(centi_c) / 100 * 9 / 5 + 32:.1f} F"
    shown = f"{Decimal(centi_c).scaleb(-2):.2f}"
    return f"{shown.removesuffix('0')} C"
