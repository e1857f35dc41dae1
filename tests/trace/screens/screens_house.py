"""A small house for the tests of the pages, built through actions, and a way to work in it by keys and scans."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from screens_seen import dump, send, settle

from lotwake.trace.actions import receive, set_up, smoke
from lotwake.trace.actions.desk import Desk, open_desk, set_up_house
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SiteFacts, SourceFacts
from lotwake.trace.records.verify import verify
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.program import house_app
from lotwake.trace.screens.result import Result, Verdict
from lotwake.trace.screens.widgets.result_strip import ResultStrip

MORNING = datetime(2026, 11, 24, 5, tzinfo=UTC)  # 06:00 at the house
SITE = SiteFacts("Skerry Smokehouse", "Quay 1, Skerry", "NO", "9520000", "Europe/Oslo", phone="+47 000 00 001")


@dataclass(frozen=True)
class House:
    """Where it is, its clock, and the codes of what is in it: two landings, salt, and a batch of the first landing."""

    places: Places
    clock: SetClock
    lot: str
    other_lot: str
    salt: str
    batch: str
    card: str

    def choose(self, settings: str) -> None:
        """Write house.toml, with the server that has the record where there is one."""
        path = self.places.settings
        kept = path.read_text(encoding="utf-8") if path.exists() else ""
        lines = [line for line in kept.splitlines(keepends=True) if line.startswith("database")]
        path.write_text("".join(lines) + settings, encoding="utf-8")

    def desk(self) -> Desk:
        """The house as Signe sees it afterwards."""
        return open_desk(self.places, "SK", self.clock)


def small_house(folder: Path, morning: datetime = MORNING) -> House:
    """Two people, two boats, a farm, a dealer, a supplier, a buyer, a kiln, two products; fish from yesterday, a batch now."""
    clock = SetClock(morning - timedelta(hours=24))
    desk = set_up_house(places_at(folder), SITE, "SK", "Signe Kvist", clock)
    odd = set_up.add_operator(desk, "OD", "Odd Dahl")
    for facts in (
        SourceFacts("boat", "Aurora", "N-12-X"),
        SourceFacts("boat", "Kittiwake", "N-40-X"),
        SourceFacts("farm", "Inner Bay Farm"),
        SourceFacts("dealer", "North Quay Fish"),
    ):
        set_up.add_source(desk, facts)
    set_up.add_supplier(desk, "Salt House")
    set_up.add_buyer(desk, BuyerFacts("Quay Deli", "+47 000 00 002"))
    set_up.add_equipment(desk, "Kiln 1", "smokehouse")
    set_up.add_product(
        desk, ProductFacts("9520000000028", "Hot smoked haddock", "hot smoked", 300, 60, "HAD", storage="Keep frozen")
    )
    set_up.add_product(desk, ProductFacts("9520000000035", "Cold smoked salmon", "cold smoked", 200, 21, "SAL"))
    lot = receive.receive(
        desk,
        Arrival("landing", "Aurora", 41_000, "HAD", area="27.4.b", gear="OTB", presentation="gutted", core_c100=120),
    )
    clock.at += timedelta(hours=1)
    other = receive.receive(desk, Arrival("landing", "Kittiwake", 20_500, "HAD", area="27.4.b", presentation="gutted"))
    salt = receive.receive(desk, Arrival("material", "Salt House", 25_000, item="salt", their_code="S-77"))
    clock.at = morning
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(lot.code, 30_000)], "Hot smoked haddock", "Kiln 1")
    clock.at = morning + timedelta(hours=2)
    smoke.take_step(desk, batch.code, "brining", morning, morning + timedelta(minutes=20))
    smoke.take_step(desk, batch.code, "smoking", morning + timedelta(minutes=50))
    desk.close()
    return House(desk.places, clock, lot.code, other.code, salt.code, batch.code, odd.code)


Script = Callable[[HouseApp], Awaitable[None]]


def work(house: House, script: Script, who: str | None = "SK", size: tuple[int, int] = (80, 24)) -> None:
    """Work in the program; afterwards no fault may have been kept, and the record must be whole."""

    async def running() -> None:
        desk = open_desk(house.places, who, house.clock)
        app = house_app(desk)
        async with app.run_test(size=size):
            await settle(app)
            await script(app)
            await settle(app)
            app.drafts.close()
        desk.close()

    asyncio.run(running())
    faults = house.places.folder / "faults.log"
    assert not faults.exists(), faults.read_text(encoding="utf-8")
    desk = house.desk()
    verdict = verify(desk.records)
    desk.close()
    assert verdict.whole, verdict.problems


async def do(app: HouseApp, *typed: str) -> None:
    """Type and scan, and let the page finish what it does with it."""
    for text in typed:
        await send(app, text)
        await asyncio.sleep(0.01)
    await settle(app, draw_s=0.05)


def scan(code: str) -> str:
    """What a scanner types for this code."""
    return f"]C0{code}\r"


def result(app: HouseApp) -> Result | None:
    """What the strip of the page says."""
    return app.page.query_one(ResultStrip).result


def said(app: HouseApp) -> tuple[Verdict | None, str]:
    """Verdict and words of the result, its next step with them."""
    shown = result(app)
    return (None, "") if shown is None else (shown.verdict, f"{shown.sentence} {shown.next_step}")


__all__ = ["House", "Script", "do", "dump", "result", "said", "scan", "small_house", "work"]
