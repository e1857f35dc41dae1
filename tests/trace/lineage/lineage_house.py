"""A small invented house on either kind of database, and a way to undo everything a test wrote into it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from lotwake.labels.gs1.keys import make_gtin13
from lotwake.trace.actions import set_up
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.base.settings import Settings
from lotwake.trace.records.database import Records, create_records
from lotwake.trace.records.entries.house import (
    BuyerFacts,
    ProductFacts,
    SiteFacts,
    SourceFacts,
    add_area,
    add_species,
    open_house,
)
from lotwake.trace.records.journal import Said, entry
from lotwake.trace.records.server import Server, create_on_server

BOATS, FARM, DEALER, SUPPLIER = ("Aurora", "Sea Thrift", "Marit"), "Deep Fjord", "North Dealer", "Salt Works"
BUYERS = ("Quay Deli", "Hill Kitchen", "Lamp Street Shop")
PRODUCTS = {"Smoked haddock": 300, "Smoked bits": 120}
SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")


@dataclass
class SmallHouse:
    """A desk and the clock on its wall."""

    desk: Desk
    clock: SetClock

    def later(self, minutes: int = 1) -> None:
        """Time passes."""
        self.clock.at += timedelta(minutes=minutes)

    @contextmanager
    def undone(self) -> Iterator[None]:
        """Whatever is written inside is taken back afterwards."""
        before = self.clock.at
        with self.desk.records.database.atomic() as transaction:
            try:
                yield
            finally:
                transaction.rollback()
                self.clock.at = before


def house_in(folder: Path, at: datetime) -> SmallHouse:
    """A new house in an empty folder, on SQLite."""
    return _furnished(create_records(places_at(folder).records), folder, at)


def house_on_postgres(url: str, folder: Path, at: datetime) -> SmallHouse:
    """The same house on a PostgreSQL server; the database behind ``url`` is emptied first."""
    server = Server(url)
    server.execute_sql("DROP SCHEMA public CASCADE")
    server.execute_sql("CREATE SCHEMA public")
    server.close()
    return _furnished(create_on_server(url), folder, at)


def _furnished(records: Records, folder: Path, at: datetime) -> SmallHouse:
    clock = SetClock(at)
    with entry(records, clock, Said("open the house", 1, at, SITE.zone)) as making:
        open_house(making, SITE, "SK", "Signe Kvist", at.date())
        add_species(making, "HAD", "Melanogrammus aeglefinus", "Haddock", False, "FAO ASFIS")
        add_area(making, "27.4.b", "Central North Sea", "FAO")
    desk = Desk(records, clock, places_at(folder), Settings(), ZoneInfo(SITE.zone)).taken_by("SK")
    for boat in BOATS:
        set_up.add_source(desk, SourceFacts("boat", boat, f"N-{len(boat)}-X"))
    set_up.add_source(desk, SourceFacts("farm", FARM))
    set_up.add_source(desk, SourceFacts("dealer", DEALER))
    set_up.add_supplier(desk, SUPPLIER)
    for number, buyer in enumerate(BUYERS):
        set_up.add_buyer(desk, BuyerFacts(buyer, f"+47 00 0{number}"))
    for number, (name, net_g) in enumerate(PRODUCTS.items(), 1):
        gtin = make_gtin13(SITE.company_prefix, number)
        set_up.add_product(desk, ProductFacts(gtin, name, "hot smoked", net_g, 60, "HAD"))
    return SmallHouse(desk, clock)
