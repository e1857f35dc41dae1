"""Time runs one way: nothing is used, packed, cased, sent or returned before it could be."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from lotwake.trace.actions import hold, pack, receive, ship, smoke
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.base.errors import LotwakeError, Refused
from lotwake.trace.records.verify import verify


class Season:
    """One of everything, three hours apart; ``at`` says when each was made."""

    def __init__(self, house) -> None:
        self.house, self.desk, self.at = house, house.desk, {}
        self.lot = self.note("lot", house.landing(60_000))
        self.bags = self.note("bags", house.material())
        self.first = self.note("first", house.batch((self.lot, 20_000)))
        self.second = self.note("second", house.batch((self.lot, 10_000)))
        self.note("released", smoke.release_batch(self.desk, self.first))
        self.run = self.note("run", house.run((self.first, 15_000), count=24))
        self.note("more packs", pack.add_packs(self.desk, self.run, 24))
        self.case = self.note("case", house.case(f"{self.run}/1-12"))
        self.open = house.case(f"{self.run}/13-18")
        self.note("opened", ship.open_case(self.desk, self.open))
        self.pallet = self.note("pallet", ship.build_pallet(self.desk, [self.case]).code)
        self.other_case = house.case(f"{self.run}/31-36")
        goods = [self.pallet, self.other_case, f"{self.run}/20-24"]
        self.note("sent", house.send(*goods))
        self.note("back", ship.take_back(self.desk, "Quay Deli", goods, "wrong size"))
        self.note("off", ship.take_off_pallet(self.desk, self.case))

    def note(self, name: str, made):
        self.at[name] = self.house.clock.at
        self.house.later(3)
        return made

    def before(self, name: str) -> datetime:
        return self.at[name] - timedelta(minutes=1)


@pytest.fixture
def season(house) -> Season:
    return Season(house)


TOO_EARLY: dict[str, tuple[str, Callable[[Season, datetime], object]]] = {
    "used before received": ("lot", lambda s, at: s.house.batch((s.lot, 100), started=at)),
    "lost before received": ("lot", lambda s, at: receive.lose_from_lot(s.desk, s.lot, "waste", 1, at)),
    "blended before begun": (
        "second", lambda s, at: s.house.batch((s.second, 100), started=at)),
    "a step before the batch": ("first", lambda s, at: smoke.take_step(s.desk, s.first, "smoking", at)),
    "a reading before the batch": ("first", lambda s, at: smoke.take_readings(s.desk, s.first, "core", [(at, 1)])),
    "a loss before the batch": ("first", lambda s, at: smoke.lose(s.desk, s.first, "trim", 1, at)),
    "released before begun": ("second", lambda s, at: smoke.release_batch(s.desk, s.second, at)),
    "packed before the release": ("released", lambda s, at: s.house.run((s.first, 300), packed=at)),
    "bags before they came": (
        "bags", lambda s, at: pack.start_run(s.desk, "Hot smoked haddock", [], packed=at, materials=[(s.bags, None)])),
    "packs before their run": ("run", lambda s, at: pack.add_packs(s.desk, s.run, 1, at)),
    "ended before packed": ("more packs", lambda s, at: pack.end_packs(s.desk, f"{s.run}/30", "SAMPLE", "lab", at)),
    "reworked before packed": ("run", lambda s, at: s.house.batch((f"{s.run}/19", None), started=at)),
    "reworked before its packs": ("more packs", lambda s, at: s.house.batch((f"{s.run}/30", None), started=at)),
    "cased before packed": ("more packs", lambda s, at: ship.close_case(s.desk, [f"{s.run}/25-30"], at)),
    "cased before unpacked": ("opened", lambda s, at: ship.close_case(s.desk, [f"{s.run}/13-18"], at)),
    "cased before back": ("back", lambda s, at: ship.close_case(s.desk, [f"{s.run}/20"], at)),
    "opened before back": ("back", lambda s, at: ship.open_case(s.desk, s.other_case, at)),
    "opened before off the pallet": ("off", lambda s, at: ship.open_case(s.desk, s.case, at)),
    "on a pallet before off the last": ("off", lambda s, at: ship.build_pallet(s.desk, [s.case], at)),
    "sent before packed": ("more packs", lambda s, at: ship.send(s.desk, "Quay Deli", [f"{s.run}/30"], at=at)),
    "sent before unpacked": ("opened", lambda s, at: ship.send(s.desk, "Quay Deli", [f"{s.run}/13"], at=at)),
    "sent again before back": ("back", lambda s, at: ship.send(s.desk, "Quay Deli", [s.other_case], at=at)),
    "sent loose again before back": ("back", lambda s, at: ship.send(s.desk, "Quay Deli", [f"{s.run}/20"], at=at)),
    "held before received": ("lot", lambda s, at: hold_at(s, at)),
}  # fmt: skip


def hold_at(season: Season, at: datetime) -> object:
    return hold.hold(season.desk, season.lot, "smell", at=at)


@pytest.mark.parametrize("what", TOO_EARLY)
def test_too_early_is_refused_and_in_time_is_not(season: Season, what: str) -> None:
    """A minute before the thing was ready is refused with both times of the house; at that very moment it is taken."""
    name, act = TOO_EARLY[what]
    entries = season.desk.records.value("SELECT COUNT(*) FROM journal")
    with pytest.raises(Refused, match=r" at \d\d Nov 2026 \d\d:\d\d would come before .* at \d\d Nov 2026 \d\d:\d\d\."):
        act(season, season.before(name))
    assert season.desk.records.value("SELECT COUNT(*) FROM journal") == entries
    act(season, season.at[name])
    assert verify(season.desk.records).whole


def test_dispatch_before_closing_and_return_before_dispatch(house) -> None:
    """A case does not leave before it was closed, and does not come back before it left."""
    run = house.packed_run(24)
    house.later(2)
    case = house.case(f"{run}/1-12")
    house.later(2)
    with pytest.raises(Refused, match=f"{case} was closed"):
        ship.send(house.desk, "Quay Deli", [case], at=house.ago(3))
    house.send(case, f"{run}/13")
    house.later(2)
    for goods in (case, f"{run}/13"):
        with pytest.raises(Refused, match="before the dispatch"):
            ship.take_back(house.desk, "Quay Deli", [goods], "wrong size", at=house.ago(3))


def test_a_step_ends_after_it_began(house) -> None:
    """A step, ended at once or later, does not end before it began; only a running one is ended."""
    batch = house.batch((house.landing(), 1_000))
    now, early = house.later(), house.ago(0.5)
    with pytest.raises(Refused, match="its start"):
        smoke.take_step(house.desk, batch, "smoking", now, ended=early)
    smoke.take_step(house.desk, batch, "smoking", now)
    with pytest.raises(Refused, match="its start"):
        smoke.end_step(house.desk, batch, "smoking", early)
    smoke.end_step(house.desk, batch, "smoking", now)
    with pytest.raises(Refused, match="no running step 'smoking'"):
        smoke.end_step(house.desk, batch, "smoking", now)


FUTURE = timedelta(minutes=1)
IN_THE_FUTURE: dict[str, Callable[[Season, datetime], object]] = {
    "a landing": lambda s, at: s.house.landing(received=at),
    "a batch": lambda s, at: s.house.batch((s.lot, 100), started=at),
    "a step": lambda s, at: smoke.take_step(s.desk, s.first, "smoking", s.house.clock.at, at),
    "the end of a step": lambda s, at: smoke.end_step(s.desk, s.first, "smoking", at),
    "one of several readings": lambda s, at: smoke.take_readings(
        s.desk, s.first, "core", [(s.house.clock.at, 1), (at, 2)]),
    "a loss": lambda s, at: smoke.lose(s.desk, s.first, "trim", 1, at),
    "a release": lambda s, at: smoke.release_batch(s.desk, s.second, at),
    "a run": lambda s, at: s.house.run((s.first, 300), packed=at),
    "packs": lambda s, at: pack.add_packs(s.desk, s.run, 1, at),
    "a case": lambda s, at: ship.close_case(s.desk, [f"{s.run}/20"], at),
    "a pallet": lambda s, at: ship.build_pallet(s.desk, [s.case], at),
    "a dispatch": lambda s, at: ship.send(s.desk, "Quay Deli", [s.case], at=at),
    "a return": lambda s, at: ship.take_back(s.desk, "Quay Deli", [s.case], "wrong size", at),
    "a hold": hold_at,
}  # fmt: skip


@pytest.mark.parametrize("what", IN_THE_FUTURE)
def test_nothing_happens_in_the_future(season: Season, what: str) -> None:
    """An entry about a later moment is refused, in the time of the house."""
    with pytest.raises(Refused, match=r"Nov 2026 \d\d:\d\d is in the future; it is"):
        IN_THE_FUTURE[what](season, season.house.clock.at + FUTURE)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"landed_on": date(2026, 11, 25)}, "cannot be after received"),
        ({"caught_from": date(2026, 11, 23), "caught_to": date(2026, 11, 22)}, "end before it began"),
        ({"caught_to": date(2026, 11, 24), "landed_on": date(2026, 11, 23)}, "caught after it was landed"),
    ],
)
def test_days_of_a_landing_are_in_order(house, changes: dict[str, date], says: str) -> None:
    """Fish is caught, then landed, then received, by the days of the house."""
    arrival = Arrival("landing", "Aurora", 1_000, species="HAD", area="27", **changes)  # type: ignore[arg-type]
    with pytest.raises(LotwakeError) as refused:
        receive.receive(house.desk, arrival)
    assert says in str(refused.value)


def test_late_in_the_evening_the_day_is_the_one_of_the_house(house) -> None:
    """At half past midnight at the house it is still the day before in UTC: landed today is right, tomorrow is not."""
    house.clock.at = datetime.fromisoformat("2026-11-24T23:30:00+00:00")
    landed = {"species": "HAD", "area": "27", "landed_on": date(2026, 11, 25)}
    lot = receive.receive(house.desk, Arrival("landing", "Aurora", 1_000, **landed))  # type: ignore[arg-type]
    assert lot.code[1:6] == "26329"
    landed["landed_on"] = date(2026, 11, 26)
    with pytest.raises(Refused, match="cannot be after received"):
        receive.receive(house.desk, Arrival("landing", "Aurora", 1_000, **landed))  # type: ignore[arg-type]


def test_a_typed_minute_is_not_before_the_same_minute_of_the_clock(house) -> None:
    """What the clock stamped in a minute can be followed by what a person types for that minute."""
    house.clock.at += timedelta(seconds=40)
    lot = house.landing()
    house.batch((lot, 1_000), started=house.clock.at.replace(second=0))
