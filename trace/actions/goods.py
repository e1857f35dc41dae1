"""What lies in front of a person who closes cases, builds pallets, sends or takes back: each thing with its packs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.refs import packs_of
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.ranges import Serials, common, counted, in_words, without
from lotwake.trace.records.facts import RunSeen, runs
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.seen import IN_HOUSE, SENT
from lotwake.trace.records.stock import (
    loose_packs,
    open_hold_above,
    packs_away,
    unit_contents,
    unit_dispatch,
    unit_parent,
    units_within,
)

UNITS = (Kind.CASE, Kind.PALLET)


@dataclass(frozen=True)
class Good:
    """Something to be moved. ``text`` names it for the actions (``RUN/1-24``, an SSCC); ``state`` IN HOUSE, SENT, ...

    ``inside``: the packs by run; ``buyer`` who has it, if it was sent; ``units``: itself and every unit in it.
    """

    text: str
    thing: Thing
    product: str
    inside: tuple[tuple[int, Serials], ...]
    g: int
    state: str
    buyer: str = ""
    units: tuple[int, ...] = ()

    @property
    def packs(self) -> int:
        return counted(serials for _, serials in self.inside)

    @property
    def is_unit(self) -> bool:
        return self.thing.kind in UNITS

    @property
    def texts(self) -> list[str]:
        """What names it for an entry; a run stands for its loose packs."""
        if self.is_unit:
            return [self.text]
        return [f"{self.thing.code}/{part.first}-{part.last}" for _, part in self.inside]

    @property
    def shown(self) -> str:
        """``case 0952...`` or ``packs 0001-0012 of 326-328-001-41``."""
        if self.is_unit:
            return f"{self.thing.kind} {self.thing.code}"
        return f"{in_words(s for _, s in self.inside)} of {show_code(self.thing.code)}"


def look_at(desk: Desk, text: str) -> Good:
    """What a scanned or typed text names: a case, a pallet, packs, or a whole run with its loose packs.

    Raises:
        CallError: it names something else.
    """
    if found := packs_of(desk.records, text):
        run, serials = found
        return _packs(desk, run, [serials])
    thing = find_one(desk.records, text, desk.settings.separator)
    if thing.kind in UNITS:
        return _unit(desk, thing)
    if thing.kind is Kind.RUN:
        return _packs(desk, thing, loose_packs(desk.records, thing.id))
    raise CallError(f"{thing.shown} is a {thing.kind}.", "Scan a pack, a case or a pallet, or type packs as RUN/1-12.")


def _packs(desk: Desk, run: Thing, parts: Sequence[Serials]) -> Good:
    seen = runs(desk.records, [run.id])[run.id]
    if not parts:
        raise Refused(f"Run {run.shown} has no loose packs.", "They are in cases, or were sent.")
    away = [part for _, gone in packs_away(desk.records, run.id) for part in gone]
    state = SENT if counted(common(parts, away)) else IN_HOUSE
    buyer = _buyer_of_packs(desk, run.id, parts) if state == SENT else ""
    first, last = min(parts).first, max(parts).last
    text = f"{run.code}/{first}-{last}" if counted(parts) == last - first + 1 else run.code
    inside = tuple((run.id, part) for part in parts)
    return Good(text, run, seen.product, inside, seen.g_of(*parts), state, buyer)


def _unit(desk: Desk, thing: Thing) -> Good:
    units = units_within(desk.records, thing.id)
    inside = tuple(part for unit in units for part in unit_contents(desk.records, unit))
    seen = runs(desk.records, {run for run, _ in inside})
    dispatch = unit_dispatch(desk.records, thing.id)
    return Good(
        text=thing.code,
        thing=thing,
        product=_product_of(list(seen.values())),
        inside=inside,
        g=sum(seen[run].g_of(serials) for run, serials in inside),
        state=IN_HOUSE if dispatch is None else SENT,
        buyer="" if dispatch is None else _buyer_of(desk, dispatch),
        units=tuple(units),
    )


def _product_of(seen: Sequence[RunSeen]) -> str:
    names = dict.fromkeys(run.product for run in seen)
    return next(iter(names), "empty") if len(names) < 2 else f"{len(names)} products"


def _buyer_of(desk: Desk, dispatch: int) -> str:
    return str(
        desk.records.value("SELECT b.name FROM dispatch d JOIN buyer b ON b.id = d.buyer WHERE d.id = ?", dispatch)
    )


def _buyer_of_packs(desk: Desk, run: int, parts: Sequence[Serials]) -> str:
    for dispatch, gone in packs_away(desk.records, run):
        if counted(common(parts, gone)):
            return _buyer_of(desk, dispatch)
    return ""


def must_be_new(good: Good, before: Iterable[Good]) -> None:
    """Refused when any of it is on the list already."""
    for other in before:
        if good.thing == other.thing and good.is_unit:
            raise CallError(f"{good.shown.capitalize()} is on the list already.", "It counts once.")
        if other.is_unit and good.is_unit and set(good.units) & set(other.units):
            raise CallError(f"{good.shown.capitalize()} is on the list with {other.shown}.", "It counts once.")
        for run, serials in good.inside:
            twice = common([serials], [part for held, part in other.inside if held == run])
            if twice:
                raise CallError(f"Packs {in_words(twice)} are on the list already.", f"With {other.shown}.")


def must_be_at_hand(desk: Desk, good: Good) -> None:
    """Refused unless it is in the house, free to be moved and not on hold."""
    hold = open_hold_above(desk.records, sorted({run for run, _ in good.inside}))
    if hold is not None:
        raise Refused(f"{show_code(hold.code)} is on hold: {hold.reason}.", f"Put {good.shown} aside; it may not move.")
    if good.state == SENT:
        raise Refused(
            f"{good.shown.capitalize()} was sent to {good.buyer}.", "If it came back, enter the return first."
        )
    if good.is_unit:
        parent = unit_parent(desk.records, good.thing.id)
        if parent is not None:
            raise Refused(f"{good.shown.capitalize()} stands on pallet {parent:018d}.", "Scan the pallet instead.")
        if not good.inside:
            raise Refused(f"{good.shown.capitalize()} is empty.", "Its packs were taken out.")
        return
    run = good.thing
    missing = without([part for _, part in good.inside], loose_packs(desk.records, run.id))
    if missing:
        raise Refused(
            f"Packs {in_words(missing)} of run {run.shown} are not loose here.", _where(desk, run.id, missing)
        )


def _where(desk: Desk, run: int, missing: Sequence[Serials]) -> str:
    """Where the first of these packs is, for the person who holds it."""
    unit = desk.records.value(
        "SELECT unit FROM content WHERE run = ? AND first <= ? AND last >= ? AND until IS NULL",
        run, missing[0].first, missing[0].first,
    )  # fmt: skip
    return "They were never made, or are void." if unit is None else f"By the record they are in case {unit:018d}."
