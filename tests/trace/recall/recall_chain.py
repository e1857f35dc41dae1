"""A small house in which something was mixed, reworked, sent, sent back and corrected."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from lotwake.demo_db.builder import Built
from lotwake.trace.actions import correct, pack, receive, ship, smoke
from lotwake.trace.actions.desk import Desk, open_desk

Answer = TypeVar("Answer")
DEALERS_LOT = "=X-77"
"""A lot code that a spreadsheet would take for a formula."""


@dataclass(frozen=True)
class Sent:
    """The codes of a chain: two landings and a dealer's lot, two batches, two runs, a case, a pallet, a dispatch."""

    desk: Desk
    landing: str
    second: str
    bought: str
    batch: str
    blend: str
    run: str
    reworked: str
    case: str
    pallet: str
    dispatch: str
    goods_return: str


def make_chain(house: Any) -> Sent:
    """48 packs of ``run`` from two landings; two of them reworked into ``blend`` with a dealer's fish."""
    desk = house.desk
    landing, second = house.landing(20_000), house.landing(12_345, boat="Brisling")
    arrival = receive.Arrival("bought-in", "Fish Round", 10_000, species="HAD", their_code=DEALERS_LOT, document="N-5")
    bought = receive.receive(desk, arrival).code
    batch = house.batch((landing, 15_000), (second, 5_001), (house.material(), None))
    smoke.lose(desk, batch, "drying", 3_001)
    house.later()
    smoke.release_batch(desk, batch)
    run = house.run((batch, 14_400), count=48)
    pack.end_packs(desk, f"{run}/48", "VOID", "smeared")
    pack.end_packs(desk, f"{run}/47", "DESTROYED", "dropped")
    blend = house.released((bought, 6_000), (f"{run}/45-46", None))
    reworked = house.run((blend, 600), count=2)
    case, other = house.case(f"{run}/1-12"), house.case(f"{run}/13-24")
    pallet = ship.build_pallet(desk, [case, other]).code
    house.later()
    dispatch = house.send(pallet, f"{run}/30-35")
    house.later()
    back = ship.take_back(desk, "Quay Deli", [case, f"{run}/33"], "wrong size").code
    correct.correct(desk, landing, "g", "19 kg", "misread")
    return Sent(desk, landing, second, bought, batch, blend, run, reworked, case, pallet, dispatch, back)


def in_season(season: Built, ask: Callable[[Desk], Answer], who: str | None = None) -> Answer:
    """What ``ask`` answers at a desk of the demo season."""
    desk = open_desk(season.places, who)
    try:
        return ask(desk)
    finally:
        desk.close()
