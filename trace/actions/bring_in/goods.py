"""Entering cases, pallets, dispatches and returns, each from all of its rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from lotwake.trace.actions.bring_in.making import Making
from lotwake.trace.actions.bring_in.rows import Row
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.entries import goods, units
from lotwake.trace.records.entries.goods import DispatchFacts, ReturnFacts

Said = TypeVar("Said", str, int)


def case(making: Making, rows: Sequence[Row]) -> None:
    contents = [_packs(making, row) for row in rows]
    made = units.close_case(making.entry, contents, rows[0].moment("closed"), _sscc(making, rows))
    if own := rows[0].text("case"):
        making.names.keep(making.entry, own, "case", made)


def pallet(making: Making, rows: Sequence[Row]) -> None:
    inside = [_unit(making, row) for row in rows]
    made = units.build_pallet(making.entry, inside, rows[0].moment("built"), _sscc(making, rows))
    if own := rows[0].text("pallet"):
        making.names.keep(making.entry, own, "pallet", made)


def dispatch(making: Making, rows: Sequence[Row]) -> None:
    buyer = making.names.named("buyer", _same("buyer", [row.text("buyer") for row in rows]))
    carrier = _same("carrier", [row.text("carrier") for row in rows])
    document, at = rows[0].text("document"), rows[0].moment("at")
    inside, loose = _goods(making, rows)
    facts = DispatchFacts(buyer, document, at, carrier)
    goods.send(making.entry, facts, inside, loose, making.desk.day(at))


def take_back(making: Making, rows: Sequence[Row]) -> None:
    buyer = making.names.named("buyer", _same("buyer", [row.text("buyer") for row in rows]))
    reason = _same("reason", [row.text("reason") for row in rows])
    document, at = rows[0].text("document"), rows[0].moment("at")
    inside, loose = _goods(making, rows)
    made, _ = goods.take_back(
        making.entry, ReturnFacts(buyer, reason, at, document), inside, loose, making.desk.day(at)
    )
    making.names.keep(making.entry, document, "return", made)


def _goods(making: Making, rows: Sequence[Row]) -> tuple[list[int], list[tuple[int, Serials]]]:
    for row in rows:
        if bool(row.text("unit")) == bool(row.text("run")):
            raise CallError("A row names either a unit or loose packs of a run.", "Fill one of the two.")
    inside = [_unit(making, row) for row in rows if row.text("unit")]
    return inside, [_packs(making, row) for row in rows if row.text("run")]


def _unit(making: Making, row: Row) -> int:
    return making.names.thing(row.text("unit"), "case", "pallet")[1]


def _packs(making: Making, row: Row) -> tuple[int, Serials]:
    _, run = making.names.thing(row.text("run"), "run")
    return run, Serials(row.number("first"), row.number("last"))


def _sscc(making: Making, rows: Sequence[Row]) -> int:
    """The SSCC the rows give, or a new one that no other row gives."""
    given = [sscc for row in rows if (sscc := row.whole("sscc")) is not None]
    return _same("sscc", given) if given else units.new_sscc(making.entry, making.names.is_given)


def _same(column: str, said: Sequence[Said]) -> Said:
    """What all rows of one thing say alike."""
    if len(set(said)) > 1:
        raise CallError(f"Its rows differ in {column}: {', '.join(map(str, dict.fromkeys(said)))}.", "Make them alike.")
    return said[0]
