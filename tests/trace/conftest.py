"""A small house for tests: built through actions, with a clock that stands where it is put."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from lotwake.trace.actions import (
    correct,
    hold,
    judge,
    origin,
    pack,
    places,
    recall,
    recall_answers,
    receive,
    set_up,
    ship,
    smoke,
)
from lotwake.trace.actions.desk import Desk, open_desk, set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.places import places_at
from lotwake.trace.base.ranges import Serials
from lotwake.trace.process.plan import shipped_plan
from lotwake.trace.records.entries import packs
from lotwake.trace.records.entries.aliases import keep_old_code
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SiteFacts, SourceFacts
from lotwake.trace.records.find import Kind, by_code
from lotwake.trace.records.rights import LEAD, READER

BEGAN = datetime(2026, 11, 24, 5, 0, tzinfo=UTC)
"""06:00 at the house, which lies in Norway."""
SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo", phone="+47 00 00 00 00")
PRODUCT, OTHER_PRODUCT = "Hot smoked haddock", "Cold smoked salmon"
GTIN = "09520000000028"
WEIGHED = ProductFacts("99520000000045", "Hot smoked haddock side", "hot smoked", 1200, 60, "HAD", catch_weight=True)
"""A product whose packs are weighed one by one."""


@dataclass
class House:
    """A desk with short ways to do the usual things; codes go in and come out as text."""

    desk: Desk
    clock: SetClock

    def later(self, hours: float = 1) -> datetime:
        self.clock.at += timedelta(hours=hours)
        return self.clock.at

    def ago(self, hours: float) -> datetime:
        return self.clock.at - timedelta(hours=hours)

    def landing(self, g: int = 50_000, boat: str = "Aurora", received: datetime | None = None) -> str:
        arrival = receive.Arrival("landing", boat, g, species="HAD", area="27.4.b", gear="OTB", received=received)
        return receive.receive(self.desk, arrival, another=True).code

    def material(self, g: int = 10_000, item: str = "bags") -> str:
        return receive.receive(self.desk, receive.Arrival("material", "Bag House", g, item=item)).code

    def batch(self, *inputs: tuple[str, int | None], started: datetime | None = None) -> str:
        given = [smoke.Input(code, g) for code, g in inputs]
        return smoke.start_batch(self.desk, "hot smoked", given, started=started).code

    def released(self, *inputs: tuple[str, int | None]) -> str:
        batch = self.batch(*inputs)
        smoke.release_batch(self.desk, batch)
        return batch

    def run(self, *batches: tuple[str, int | None], count: int = 0, packed: datetime | None = None) -> str:
        return pack.start_run(self.desk, PRODUCT, batches, count=count, packed=packed).code

    def packed_run(self, count: int = 48) -> str:
        """A run of ``count`` packs of 300 g from a landing of its own."""
        batch = self.released((self.landing(300 * count), 300 * count))
        return self.run((batch, None), count=count)

    def weighed_run(self, *weights_g: int) -> str:
        """A run of packs of these weights from a landing of its own."""
        if self.desk.records.value("SELECT 1 FROM product WHERE gtin = ?", WEIGHED.gtin) is None:
            set_up.add_product(self.desk, WEIGHED)
        batch = self.released((self.landing(sum(weights_g)), sum(weights_g)))
        return pack.start_run(self.desk, WEIGHED.name, [(batch, None)], weights_g=weights_g).code

    def case(self, *contents: str) -> str:
        return ship.close_case(self.desk, contents).code

    def send(self, *contents: str, buyer: str = "Quay Deli", document: str = "") -> str:
        return ship.send(self.desk, buyer, contents, document).code


POSTGRES = os.environ.get("LOTWAKE_TEST_POSTGRES", "")
"""The address of a server database beside which others may be made and dropped; empty: the tests run on SQLite only."""


def server_database(name: str, made_from: str = "template1") -> str:
    """A new database on the test server, as a copy of another; its address is given back."""
    from lotwake.trace.records.server import Server

    name = f"lotwake_{name}_{os.environ.get('PYTEST_XDIST_WORKER', 'alone')}"
    server = Server(POSTGRES)
    server.execute_sql(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
    server.execute_sql(f"CREATE DATABASE {name} TEMPLATE {made_from}")
    server.close()
    return f"{POSTGRES.rpartition('/')[0]}/{name}"


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a house with two boats, a farm, a dealer, a supplier, two buyers and two products, and no fish yet."""
    return furnished(tmp_path_factory.mktemp("template") / "house")


@pytest.fixture(scope="session")
def server_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same house with its record on a server."""
    folder = tmp_path_factory.mktemp("server-template") / "house"
    folder.mkdir()
    (folder / "house.toml").write_text(f'database = "{server_database("template")}"\n', encoding="utf-8")
    return furnished(folder)


@pytest.fixture(scope="session")
def on_server() -> Callable[..., str]:
    """Makes a database on the test server, perhaps as a copy of another, and gives the line of house.toml that names it."""

    def made(name: str, made_from: str = "") -> str:
        template = made_from.split('"')[1].rpartition("/")[2] if made_from else "template1"
        return f'database = "{server_database(name, template)}"\n'

    return made


@pytest.fixture
def new_server_database() -> str:
    """The address of an empty database on the test server."""
    if not POSTGRES:
        pytest.skip("LOTWAKE_TEST_POSTGRES names no server to test on")
    return server_database("new")


def furnished(folder: Path) -> Path:
    desk = set_up_house(places_at(folder), SITE, "SK", "Signe Kvist", SetClock(BEGAN))
    for facts in (
        SourceFacts("boat", "Aurora", "N-12-X", "NO"),
        SourceFacts("boat", "Brisling", "N-13-X", "NO"),
        SourceFacts("farm", "Still Bay"),
        SourceFacts("dealer", "Fish Round"),
    ):
        set_up.add_source(desk, facts)
    set_up.add_supplier(desk, "Bag House")
    for name in ("Quay Deli", "Hill Kitchen"):
        set_up.add_buyer(desk, BuyerFacts(name, "+47 00 00 00 01"))
    set_up.add_equipment(desk, "Kiln 1", "smokehouse")
    set_up.add_product(desk, ProductFacts(GTIN, PRODUCT, "hot smoked", 300, 60, "HAD"))
    set_up.add_product(desk, ProductFacts("9520000000035", OTHER_PRODUCT, "cold smoked", 200, 30, "SAL"))
    desk.close()
    return folder


def live_in(house: House) -> None:
    """Let every kind of thing happen once, so that no table of the record is empty."""
    desk = house.desk
    bags, lot = house.material(), house.landing(60_000)
    first, second = house.batch((lot, 20_000)), house.batch((lot, 11_000), (bags, None))
    smoke.take_step(desk, first, "smoking", desk.now)
    smoke.end_step(desk, first, "smoking", desk.now)
    smoke.take_readings(desk, first, "core", [(desk.now, 6_280), (desk.now, 6_300)], "P1")
    smoke.lose(desk, first, "drying", 2_000)
    receive.lose_from_lot(desk, lot, "waste", 100)
    smoke.note_contact(desk, "brine", "tank 1", [first, second])
    smoke.release_batch(desk, first)
    run = pack.start_run(desk, PRODUCT, [(first, None)], 48, materials=[(bags, 100)]).code
    pack.end_packs(desk, f"{run}/48", "VOID", "smeared")
    house.batch((lot, 1_000), (f"{run}/47", None))
    case, other = house.case(f"{run}/1-12"), house.case(f"{run}/13-24")
    pallet = ship.build_pallet(desk, [case, other]).code
    ship.take_off_pallet(desk, other)
    ship.open_case(desk, other)
    house.send(pallet, f"{run}/30-35")
    ship.take_back(desk, "Quay Deli", [case, f"{run}/33"], "wrong size")
    hold.hold(desk, second, "salt")
    hold.release(desk, second, "Signe Kvist", "measured again")
    correct.correct(desk, lot, "g", "59 kg", "misread")
    with desk.entry("print and name") as entry:
        ref = by_code(desk.records, run).id
        packs.print_labels(entry, ref, Serials(1, 2), packs.FIRST, "", "file", desk.now)
        keep_old_code(entry, "R-5", Kind.RUN, ref)
    house.weighed_run(1_100, 1_250, 1_300)
    places.add_place(desk, "Freezer 1", "freezer")
    places.put(desk, "Freezer 1", [other, lot])
    _prove(house, lot)
    _call_back(desk, run)
    _set_up_people(desk)


def _set_up_people(desk: Desk) -> None:
    """A second lead whose PIN was tried wrong, and somebody who only reads."""
    set_up.add_operator(desk, "LB", "Lise Berg", LEAD)
    set_up.set_pin(desk, "LB", "270418")
    set_up.set_role(desk, set_up.add_operator(desk, "RI", "Rita Innes").initials, READER)
    with suppress(CallError):
        desk.taken_by("LB").with_pin("111222")


def _call_back(desk: Desk, run: str) -> None:
    """An origin answer, and a recall with everything that can happen in one."""
    thing = origin.asked_about(desk, run)
    origin.record_answer(desk, thing, origin.answer_origin(desk, thing, "somebody"))
    state = recall.begin(desk, "recall", recall.from_codes(desk, [run]), recall.Terms("salt too low"))
    recall_answers.told(desk, state.case, "Quay Deli", "telephone")
    answer = recall_answers.Answer(sold=2, subs=(("Stall", "+47 00 00 00 09", 1),))
    recall_answers.take_reply(desk, state.case, "Quay Deli", answer)
    recall_answers.take_sub_reply(desk, state.case, "Quay Deli", "Stall", recall_answers.Answer(sold=1))
    recall_answers.draw_checks(desk, state.case, "A", 1)
    recall_answers.check_result(desk, state.case, "Quay Deli", "effective")
    recall_answers.pause(desk, state.case, "the power went")
    recall_answers.resume(desk, state.case)
    recall_answers.finish(desk, state.case)


def _prove(house: House, lot: str) -> None:
    """A plan that was not met, what was done about it, a release by name, a review, and an instrument that was checked."""
    desk = house.desk
    plan = judge.adopt(desk, shipped_plan("Hot smoking, simple smokehouse"))
    set_up.add_product(
        desk,
        ProductFacts("9520000000042", "Haddock to heat", "hot smoked", 300, 60, "HAD", plan=plan.name, keeping="chilled",
                     serving="to be cooked"),
    )  # fmt: skip
    batch = house.batch((lot, 2_000))
    for limit in ("core-heat", "cooling", "brine-time"):
        judge.note_deviation(desk, batch, limit, "nobody wrote it down", "sampled and tested")
    smoke.release_batch(desk, batch, note="results below every limit", by_name="Dr. Inger Holm")
    judge.review(desk, batch, "read through")
    set_up.add_equipment(desk, "probe 1", "thermometer")
    judge.calibrate(desk, "probe 1", "0.1 C high in ice water", True, desk.today + timedelta(days=30))


@pytest.fixture(scope="session")
def lived_in(template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a house in which everything has happened once."""
    folder = tmp_path_factory.mktemp("lived-in") / "house"
    shutil.copytree(template, folder)
    clock = SetClock(BEGAN + timedelta(hours=1))
    desk = open_desk(places_at(folder), "SK", clock)
    live_in(House(desk, clock))
    desk.close()
    return folder


@pytest.fixture(params=["file", "server"] if POSTGRES else ["file"])
def house(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[House]:
    """A fresh house; the clock stands an hour after it was opened. With a test server, each test runs there too."""
    folder = tmp_path / "house"
    if request.param == "server":
        if request.node.get_closest_marker("on_file"):
            pytest.skip("this is about the file of an SQLite record")
        shutil.copytree(request.getfixturevalue("server_template"), folder)
        address = (folder / "house.toml").read_text(encoding="utf-8").split('"')[1]
        new = server_database("house", address.rpartition("/")[2])
        (folder / "house.toml").write_text(f'database = "{new}"\n', encoding="utf-8")
    else:
        shutil.copytree(request.getfixturevalue("template"), folder)
    clock = SetClock(BEGAN + timedelta(hours=1))
    desk = open_desk(places_at(folder), "SK", clock)
    yield House(desk, clock)
    desk.close()


@pytest.fixture
def desk(house: House) -> Desk:
    """The desk of a fresh house."""
    return house.desk
