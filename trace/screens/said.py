"""Values as these pages say them: both units where people use two, times short where the day is clear."""

from __future__ import annotations

import re
from datetime import datetime
from decimal import Decimal

from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.moments import day_of, instant_of, read_moment, show_moment
from lotwake.trace.base.units import GRAMS_PER_UNIT, parse_mass_g, show_mass, show_temperature

_AT = re.compile(r"(.*?)(?:^|\s)at\s+(.+)", re.IGNORECASE)


def read_kg(text: str) -> int:
    """A weighed mass in grams; a bare number is kilograms."""
    return parse_mass_g(text, "kg")


def said_mass(grams: int) -> str:
    """``41 kg  90.4 lb``."""
    return f"{show_mass(grams)}  {Decimal(grams) / GRAMS_PER_UNIT['lb']:.1f} lb"


def said_temperature(centi_c: int) -> str:
    """``1.5 C  34.7 F``."""
    return f"{show_temperature(centi_c)}  {show_temperature(centi_c, 'F')}"


def kg(grams: int) -> str:
    """A column of kilograms: ``41.0``, three decimals only where grams were weighed."""
    shown = f"{Decimal(grams).scaleb(-3):.3f}"
    return shown[:-2] if shown.endswith("00") else shown


def short_moment(desk: Desk, stored: str) -> str:
    """A stored instant in the time of the house: ``05:40`` today, else ``24 Nov 05:40``."""
    moment = instant_of(stored)
    local = moment.astimezone(desk.zone)
    if day_of(moment, desk.zone) == desk.today:
        return f"{local:%H:%M}"
    return f"{local:%d %b %H:%M}" if local.year == desk.today.year else show_moment(moment, desk.zone)


def split_at(desk: Desk, text: str) -> tuple[str, datetime | None]:
    """``62.8 at 05:40`` is ``62.8`` and that moment at the house; without ``at`` there is no moment."""
    form = _AT.fullmatch(text.strip())
    if form is None:
        return text.strip(), None
    return form[1].strip(), read_moment(form[2], desk.now, desk.zone)
