"""What a calculation takes, and how its answer is written for people and for machines."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from math import floor, log10
from typing import Any, Protocol

from lotwake.trace.base.units import parse_number, parse_temperature_centi_c
from lotwake.trace.process.basis import Basis


class OneOf(Protocol):
    """Arguments of which at most one is given."""

    def add_argument(self, *names: str, **how: Any) -> Any: ...


class Takes(OneOf, Protocol):
    """What a calculation tells its arguments to: a parser of the shell, or a form."""

    def add_mutually_exclusive_group(self, *, required: bool = False) -> OneOf: ...


@dataclass(frozen=True)
class Answer:
    """``values`` are the JSON keys; ``put_in`` and ``result`` say the same for people, with units."""

    values: Mapping[str, Any]
    put_in: str
    result: str | tuple[str, ...]
    basis: Basis
    notes: tuple[str, ...] = ()

    def data(self) -> dict[str, Any]:
        """The values, then formula, source, and cautions and notes where there are any."""
        told = {"formula": self.basis.formula, "source": self.basis.source, "caution": self.basis.caution}
        return {**self.values, **{key: text for key, text in told.items() if text}, **self._noted()}

    def _noted(self) -> dict[str, list[str]]:
        return {"notes": list(self.notes)} if self.notes else {}

    def lines(self) -> Iterator[str]:
        """Result first, then what was put in, how, and by whom."""
        yield from (self.result,) if isinstance(self.result, str) else self.result
        yield f"  from     {self.put_in}"
        if self.basis.formula:
            yield f"  formula  {self.basis.formula}"
        yield f"  source   {self.basis.source}"
        yield from (f"  note     {note}" for note in self.notes)
        if self.basis.caution:
            yield f"  CAUTION  {self.basis.caution}"


@dataclass(frozen=True)
class Calculation:
    """One calculation: its name, one line of help, its arguments, and the reckoning itself."""

    name: str
    help: str
    arguments: Callable[[Takes], None]
    reckon: Callable[[Namespace], Answer]


def number(text: str) -> float:
    """An argument that is a number, point or comma as decimal mark; CallError if it is unclear."""
    return float(parse_number(text))


def exact(text: str) -> Decimal:
    """An argument that is counted, as a decimal."""
    return parse_number(text)


def celsius(text: str) -> float:
    """An argument that is a temperature, Celsius unless it says F; degrees C."""
    return parse_temperature_centi_c(text) / 100


def tidy(value: float, decimals: int) -> float:
    """The value rounded to so many decimals, or to three significant digits where that keeps more."""
    if value == 0:
        return 0.0
    return round(value, max(decimals, 2 - floor(log10(abs(value)))))
