"""Measurements as people type them and as the record keeps them: ``62.8 C`` is 6280 hundredths of a degree."""

from __future__ import annotations

from decimal import Decimal

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import instrument_id
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.base.moments import instant_text, read_moment
from lotwake.trace.base.units import (
    parse_mass_g,
    parse_number,
    parse_temperature_centi_c,
    show_mass,
    show_temperature,
)
from lotwake.trace.records.entries.batches import READING_KINDS

_SIGNS = {"deg100": "degrees", "pct100": "%", "ppm": "ppm", "aw10000": "aw"}
_SCALES = {"deg100": (100, 100), "pct100": (100, 100), "ppm": (1, 1000), "aw10000": (10_000, 1)}
"""How many stored units are one of the unit people use, and the most of it that can be."""


def reading_value(kind: str, text: str) -> int:
    """The stored value of a typed measurement of this kind (see ``READING_KINDS``); CallError when it is unclear.

    A bare number is Celsius, kilograms, brine degrees or per cent, by the kind.
    """
    unit = READING_KINDS.get(kind)
    if unit is None:
        raise CallError(f"The kind of reading {kind!r} is not known.", f"Use one of: {', '.join(READING_KINDS)}.")
    if unit == "c100":
        return parse_temperature_centi_c(text)
    if unit == "g":
        return parse_mass_g(text, "kg")
    scale, most = _SCALES[unit]
    stored = parse_number(text.strip().removesuffix("%")) * scale
    if not 0 <= stored <= most * scale or stored != stored.to_integral_value():
        decimals = len(str(scale)) - 1
        raise CallError(
            f"A {kind} of {text.strip()} cannot be.", f"It lies between 0 and {most}, with {decimals} decimals at most."
        )
    return int(stored)


def show_reading(value: int, unit: str) -> str:
    """A stored measurement for people: ``62.8 C``, ``41 kg``, ``3.5 %``."""
    if unit == "c100":
        return show_temperature(value)
    if unit == "g":
        return show_mass(value)
    return f"{(Decimal(value) / _SCALES[unit][0]).normalize():f} {_SIGNS[unit]}"


def typed_reading(desk: Desk, number: int, field: str, text: str) -> int | str:
    """The stored form of a corrected ``value``, ``at``, ``probe`` or instrument (``equipment``) of this measurement."""
    kind = desk.records.value("SELECT kind FROM reading WHERE id = ?", number)
    if kind is None:
        raise NotFound(f"There is no reading {number}.", "Look at the batch for the numbers of its readings.")
    if field == "value":
        return reading_value(kind, text)
    if field == "equipment":
        return instrument_id(desk.records, text)
    return instant_text(read_moment(text, desk.now, desk.zone)) if field == "at" else text.strip()
