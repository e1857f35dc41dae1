"""Values as people type them at the shell, and the parts of a call that many commands share."""

from __future__ import annotations

import re
from argparse import ArgumentParser, Namespace, _ActionsContainer
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import read_day, read_moment
from lotwake.trace.base.units import parse_mass_g, parse_temperature_centi_c

if TYPE_CHECKING:
    from lotwake.trace.actions.desk import Desk

WHEN = "when it happened, in the house's time: '24 Nov 05:40', 05:40, now (default: now)"


_EACH_WEIGHT = re.compile(r"[^\s;]+(?:\s+(?:kg|g|lb|oz)\b)?", re.IGNORECASE)


def kg(text: str) -> int:
    """A weighed mass in grams; a bare number is kilograms."""
    return parse_mass_g(text, "kg")


def mass(text: str) -> int:
    """A mass in grams that must carry its unit: ``300 g``."""
    return parse_mass_g(text)


def temperature(text: str) -> int:
    """Hundredths of a degree Celsius; a bare number is Celsius."""
    return parse_temperature_centi_c(text)


def whole(text: str) -> int:
    """A count."""
    if not (text.strip().isascii() and text.strip().isdigit()):
        raise CallError(f"{text!r} is not a whole number.", "Write digits only, such as 24.")
    return int(text)


@dataclass(frozen=True)
class Portion:
    """A code with the grams taken of it; None when no weight was given."""

    code: str
    g: int | None


def portion(text: str) -> Portion:
    """``CODE=KG``, or the code alone."""
    code, mark, weight = text.rpartition("=")
    return Portion(code.strip(), kg(weight)) if mark else Portion(text.strip(), None)


def weights(text: str) -> list[int]:
    """Grams of packs in turn: ``312 298 305``, ``0.312 kg 1.2 kg``; bare numbers are grams."""
    return [parse_mass_g(item, "g") for item in _EACH_WEIGHT.findall(text)]


def add_weights(parser: _ActionsContainer) -> None:
    """The option with the net weights of packs that are weighed one by one."""
    parser.add_argument(
        "--weights", type=weights, default=[], metavar="'G G ...'",
        help="net weight of each pack in turn, where packs are weighed one by one: '312 298 305'",
    )  # fmt: skip


def add_when(parser: ArgumentParser) -> None:
    """The option that says when it happened."""
    parser.add_argument("--when", metavar="TIME", help=WHEN)


def add_why(parser: ArgumentParser) -> None:
    """The reason, which is asked for."""
    parser.add_argument("--why", metavar="REASON", required=True, help="the reason, in a few words")


def moment(desk: Desk, text: str | None) -> datetime | None:
    """A typed moment at the house, or None when none was typed."""
    return None if text is None else read_moment(text, desk.now, desk.zone)


def when(desk: Desk, args: Namespace) -> datetime | None:
    """What ``--when`` said."""
    return moment(desk, args.when)


def day(desk: Desk, text: str | None) -> date | None:
    """A typed day at the house, or None when none was typed."""
    return None if text is None else read_day(text, desk.today)
