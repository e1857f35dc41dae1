"""The small house with released batches to pack, for the tests of packing, goods and trace pages."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from screens_house import House, do, said, small_house

from lotwake.trace.actions import hold, pack, receive, set_up, ship, smoke
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts
from lotwake.trace.records.facts import RunSeen, runs
from lotwake.trace.records.find import by_code
from lotwake.trace.records.packing import PrintSeen, recent_prints
from lotwake.trace.screens.asking_page import AskingPage
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict

GTIN, FLAKES_GTIN = "09520000000028", "09520000000042"


@dataclass(frozen=True)
class Stock:
    """The house at 09:00, and its batches.

    ``batch``: 24 kg of haddock, to be packed as ``Hot smoked haddock`` (80 packs of 300 g, 12 in a case); ``either``: 9 kg
    that may become two products; ``running``, ``held`` and ``salmon`` (no product fits) may not be packed.
    """

    house: House
    batch: str
    either: str
    running: str
    held: str
    salmon: str

    def packed_run(self, count: int = 30, batch: str = "") -> str:
        """A run of ``batch`` with so many packs, without labels."""
        desk = self.house.desk()
        run = pack.start_run(desk, "Hot smoked haddock", [(batch or self.batch, count * 300)], count=count)
        desk.close()
        return run.code

    def cases(self, run: str) -> list[str]:
        """The full cases of a run."""
        desk = self.house.desk()
        made = [case.code for case in ship.case_up(desk, run)]
        desk.close()
        return made

    def sent(self, goods: list[str], buyer: str = "Quay Deli", document: str = "DN-7") -> str:
        """Goods that left."""
        desk = self.house.desk()
        made = ship.send(desk, buyer, goods, document)
        desk.close()
        return made.code

    def prints(self) -> list[PrintSeen]:
        """The label prints, the newest first."""
        desk = self.house.desk()
        seen = recent_prints(desk.records, 100)
        desk.close()
        return seen

    def run_of(self, code: str) -> RunSeen:
        """A run as the record has it."""
        desk = self.house.desk()
        thing = by_code(desk.records, code)
        seen = runs(desk.records, [thing.id])[thing.id]
        desk.close()
        return seen

    def value(self, sql: str, *values: object) -> object:
        """One value of the record."""
        desk = self.house.desk()
        found: object = desk.records.value(sql, *values)
        desk.close()
        return found


def packing_house(folder: Path) -> Stock:
    """Everything ready to be packed."""
    house = small_house(folder)
    desk = house.desk()
    set_up.add_product(desk, ProductFacts(FLAKES_GTIN, "Haddock flakes", "hot smoked", 150, 30, "HAD", case_packs=24))
    set_up.add_buyer(desk, BuyerFacts("Hill Kitchen", "+47 000 00 003"))
    salmon_lot = receive.receive(desk, Arrival("farmed", "Inner Bay Farm", 20_000, "SAL", their_code="F-1"))
    made = {}
    for name, smoking, inputs in (
        ("either", "hot smoked", [(house.other_lot, 10_000)]),
        ("running", "hot smoked", [(house.other_lot, 5_000)]),
        ("held", "hot smoked", [(house.other_lot, 5_000)]),
        ("salmon", "hot smoked", [(salmon_lot.code, 10_000)]),
    ):
        made[name] = smoke.start_batch(desk, smoking, [smoke.Input(*one) for one in inputs]).code
    house.clock.at += timedelta(hours=1)
    smoke.end_step(desk, house.batch, "smoking", desk.now)
    smoke.take_readings(desk, house.batch, "core", [(desk.now - timedelta(minutes=30), 6500), (desk.now, 7180)])
    smoke.lose(desk, house.batch, "drying", 6_000)
    smoke.lose(desk, made["either"], "drying", 1_000)
    for code in (house.batch, made["either"], made["held"], made["salmon"]):
        smoke.release_batch(desk, code)
    hold.hold(desk, made["held"], "core check missing")
    desk.close()
    return Stock(house, house.batch, **made)


def label(run: str, serial: int, gtin: str = GTIN, best_before: str = "270123") -> str:
    """What the label of a pack says to a scanner, in the order of GS1: fixed lengths first, the serial last."""
    return f"]C101{gtin}15{best_before}10{run}\x1d21{serial:04d}\r"


def sscc(code: str) -> str:
    """What a case label says to a scanner."""
    return f"]C100{code}\r"


async def idle(app: HouseApp) -> None:
    """Wait until the page has finished what it does in the background."""
    page = app.page
    assert isinstance(page, AskingPage)
    for _ in range(1000):
        await asyncio.sleep(0.01)
        if not page.doing:
            break
    else:
        raise AssertionError(f"{page.doing} never ended")
    await do(app)


async def done(app: HouseApp, *typed: str) -> tuple[Verdict | None, str]:
    """Type and scan one after the other, wait for the work each sets off, and give back what the page says."""
    for text in typed:
        await do(app, text)
        await idle(app)
    return said(app)
