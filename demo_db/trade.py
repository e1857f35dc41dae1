"""Goods out: twice a week the customers get what they usually take, on pallets when it is much."""

from __future__ import annotations

from functools import partial

from lotwake.demo_db.packing import mixed_cases
from lotwake.demo_db.scenario import CARRIERS, CUSTOMERS, HADDOCK, STORE, Customer
from lotwake.demo_db.season import Season, Sent
from lotwake.trace.actions import ship

PALLET_FROM, PALLET_MOST = 6, 24
TUESDAY, FRIDAY = 1, 4


def ship_day(season: Season, number: int) -> None:
    """The ``number``-th shipping day: every customer whose turn it is."""
    mixed_cases(season)
    for customer in CUSTOMERS:
        if number >= customer.first and (number - customer.first) % customer.every == 0:
            season.diary.put(season.later(10), partial(_serve, season, customer, CARRIERS[number % len(CARRIERS)]))


def _serve(season: Season, customer: Customer, carrier: str) -> None:
    desk = season.by(STORE)
    cases = [case for product, most in customer.cases for case in season.cold.take(product.name, most)]
    packs = [f"{run}/{part.first}-{part.last}" for _, run, part in season.cold.unboxed(customer.loose)]
    if not cases and not packs:
        return
    goods = _palletised(season, [case.sscc for case in cases])
    document = f"HL-{2601 + len(season.sent)}"
    made = ship.send(desk, customer.facts.name, [*goods, *packs], document, carrier=carrier)
    season.sent.append(Sent(made.code, customer.facts.name, tuple(cases)))


def _palletised(season: Season, cases: list[str]) -> list[str]:
    """Few cases go as they are; more go on a pallet; two pallets of one order stand on each other as one unit."""
    if len(cases) < PALLET_FROM:
        return cases
    desk = season.by(STORE)
    stacks = [cases[first : first + PALLET_MOST] for first in range(0, len(cases), PALLET_MOST)]
    pallets = [ship.build_pallet(desk, stack).code for stack in stacks]
    return pallets if len(pallets) == 1 else [ship.build_pallet(desk, pallets).code]


def ready_for_tomorrow(season: Season) -> None:
    """The last evening: a pallet of haddock is made up and stands in the cold store."""
    cases = season.cold.take(HADDOCK.name, 8)
    season.landmarks["pallet made up"] = ship.build_pallet(season.by(STORE), [case.sscc for case in cases]).code
