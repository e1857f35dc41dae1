"""Cases, pallets, dispatches and returns."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import named_id, thing_of, units_and_packs
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.ranges import Serials, counted
from lotwake.trace.records.entries import goods, units
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.stock import loose_packs


def close_case(desk: Desk, contents: Sequence[str], at: datetime | None = None) -> Thing:
    """Put packs (``RUN/1-12``, one or more) into a new case."""
    inside, packs = units_and_packs(desk.records, contents)
    if inside:
        raise CallError("A case holds packs, not other cases.", "Cases go onto a pallet.")
    with desk.entry("close case", at) as entry:
        unit = units.close_case(entry, packs, at or desk.now)
    return Thing(Kind.CASE, unit, units.sscc_text(unit))


def case_up(
    desk: Desk, run: str, cases: int | None = None, case_packs: int | None = None, at: datetime | None = None
) -> list[Thing]:
    """Put the loose packs of a run into cases, in serial order: full cases only, or ``cases`` of them.

    ``case_packs`` None is the product's usual number.
    """
    thing = thing_of(desk.records, run, [Kind.RUN], "casing up")
    usual = desk.records.value(
        "SELECT p.case_packs FROM run r JOIN product p ON p.id = r.product WHERE r.id = ?", thing.id
    )
    size = int(usual) if case_packs is None else case_packs
    if size < 1:
        raise CallError(f"A case cannot hold {size} packs.", "Enter 1 or more.")
    made: list[Thing] = []
    with desk.entry("case up", at) as entry:
        loose = loose_packs(desk.records, thing.id)
        possible = counted(loose) // size
        wanted = possible if cases is None else cases
        if wanted < 1 or wanted > possible:
            raise Refused(
                f"Run {thing.shown} has {counted(loose)} loose packs: {possible} full cases of {size}.",
                "Ask for 1 or more, and no more than that.",
            )
        for parts in _in_cases(loose, size)[:wanted]:
            unit = units.close_case(entry, [(thing.id, part) for part in parts], at or desk.now)
            made.append(Thing(Kind.CASE, unit, units.sscc_text(unit)))
    return made


def _in_cases(loose: Sequence[Serials], size: int) -> list[list[Serials]]:
    cases: list[list[Serials]] = [[]]
    for item in loose:
        first = item.first
        while first <= item.last:
            last = min(item.last, first + size - counted(cases[-1]) - 1)
            cases[-1].append(Serials(first, last))
            first = last + 1
            if counted(cases[-1]) == size:
                cases.append([])
    return cases


def build_pallet(desk: Desk, codes: Sequence[str], at: datetime | None = None) -> Thing:
    """Put cases or pallets onto a new pallet."""
    inside = [_unit(desk, code).id for code in codes]
    with desk.entry("build pallet", at) as entry:
        unit = units.build_pallet(entry, inside, at or desk.now)
    return Thing(Kind.PALLET, unit, units.sscc_text(unit))


def take_off_pallet(desk: Desk, code: str, at: datetime | None = None) -> Thing:
    """A case or pallet leaves the pallet it stands on."""
    thing = _unit(desk, code)
    with desk.entry("take off pallet", at) as entry:
        units.take_off_pallet(entry, thing.id, at or desk.now)
    return thing


def open_case(desk: Desk, code: str, at: datetime | None = None) -> Thing:
    """The packs of a case come out and are loose again."""
    thing = _unit(desk, code)
    with desk.entry("open case", at) as entry:
        units.open_case(entry, thing.id, at or desk.now)
    return thing


def send(
    desk: Desk, buyer: str, contents: Sequence[str], document: str = "", at: datetime | None = None, carrier: str = ""
) -> Thing:
    """Send cases, pallets and loose packs to a buyer."""
    whole, packs = units_and_packs(desk.records, contents)
    moment = at or desk.now
    facts = goods.DispatchFacts(named_id(desk.records, "buyer", buyer), document, moment, carrier)
    with desk.entry("dispatch", moment) as entry:
        dispatch, code = goods.send(entry, facts, whole, packs, desk.day(moment))
    return Thing(Kind.DISPATCH, dispatch, code)


def take_back(
    desk: Desk, buyer: str, contents: Sequence[str], reason: str, at: datetime | None = None, document: str = ""
) -> Thing:
    """Take goods back from a buyer."""
    whole, packs = units_and_packs(desk.records, contents)
    moment = at or desk.now
    facts = goods.ReturnFacts(named_id(desk.records, "buyer", buyer), reason, moment, document)
    with desk.entry("take back", moment, reason) as entry:
        made, code = goods.take_back(entry, facts, whole, packs, desk.day(moment))
    return Thing(Kind.RETURN, made, code)


def _unit(desk: Desk, code: str) -> Thing:
    return thing_of(desk.records, code, [Kind.CASE, Kind.PALLET], "this")
