"""What went wrong, met or was put right in the season: the part of the story that a record is kept for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import partial

from lotwake.demo_db.plans import hot_smoking_read_closer
from lotwake.demo_db.scenario import (
    ADVISER,
    FLAKES,
    HADDOCK,
    LAST_DAY,
    LEAD,
    PROBES,
    SMOKEHOUSES,
    SPARE_LOGGER,
    STORE,
    TANKS,
    THERMOMETERS,
)
from lotwake.demo_db.season import Batch, Season
from lotwake.demo_db.smokehouse import (
    THERMOMETERS_FAIL_DAY,
    THERMOMETERS_MENDED_DAY,
    Load,
    Then,
    read_core,
    release,
)
from lotwake.demo_db.stores import Boxed
from lotwake.trace.actions import correct, hold, judge, pack, receive, ship, smoke
from lotwake.trace.actions.desk import Desk
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import Kind, thing_at
from lotwake.trace.records.stock import unit_contents

CORRECTED_LANDING = ("2026-09-17", "Tåkelur")
CORRECTED_DAY = date(2026, 9, 17)
CORRECTED_G, CORRECTED_TEXT = 213_000, "213 kg"
CORRECTED_BUYER, CORRECTED_PHONE = "Mosebru Grocer", "+47 000 00 606"

LOGGER_STOPS_DAY, LOGGER_STOPS_AFTER = THERMOMETERS_FAIL_DAY, timedelta(minutes=100)
LOGGER_READ_DAY = THERMOMETERS_MENDED_DAY

SAMPLE_LOST_DAY = date(2026, 11, 20)

SHARED_BRINE_DAYS = (date(2026, 11, 12), date(2026, 11, 17), date(2026, 11, 18))
SHARED_BRINE_SPECIES, SHARED_TANK = "HER", TANKS[0]

FLAKES_DAYS = (date(2026, 9, 25), date(2026, 10, 16), date(2026, 11, 6), date(2026, 11, 20))
LEAKY_DAY, LEAKY_CASES = date(2026, 11, 6), 2
WRONG_DATE_DAY = date(2026, 11, 20)

RETURN_DAY, RETURN_PRODUCT = date(2026, 10, 29), "Hot smoked mackerel"
CRUSHED_PACKS = 3

MIXED_LOAD_DAY, MIXED_LOAD_G = date(2026, 11, 5), 30_000

REJECTED_LOT = "SK1342"
REJECTED_CORE_C100 = 940

HELD_LANDING = ("2026-11-11", "Nordskvett")


def put_in_diary(season: Season) -> None:
    """Everything of this kind that has its fixed day."""
    diary = season.diary
    diary.put(diary.moment(CORRECTED_DAY, "11:05"), partial(_correct_weight, season))
    diary.put(diary.moment(SHARED_BRINE_DAYS[-1], "17:30"), partial(_shared_brine, season))
    diary.put(diary.moment(RETURN_DAY, "10:15"), partial(_return, season))
    diary.put(diary.moment(date(2026, 11, 3), "13:20"), partial(_correct_phone, season))
    diary.put(diary.moment(LAST_DAY, "14:40"), partial(_open_hold, season))


def _lot_of(desk: Desk, landing: tuple[str, str]) -> str:
    day, boat = landing
    code = desk.records.value(
        "SELECT l.code FROM lot l JOIN source s ON s.id = l.source WHERE l.landed_on = ? AND s.name = ?", day, boat
    )
    return str(code)


def _correct_weight(season: Season) -> None:
    """The scale ticket says 213 kg; 231 was typed."""
    code = _lot_of(season.desk, CORRECTED_LANDING)
    done = correct.correct(
        season.by(LEAD), code, "weight", CORRECTED_TEXT, "figures exchanged; the scale ticket says 213"
    )
    season.ice.lot(code).g -= int(done.was or 0) - CORRECTED_G
    season.landmarks["corrected landing"] = code


def _correct_phone(season: Season) -> None:
    correct.correct_party(season.by(LEAD), "buyer", CORRECTED_BUYER, "phone", CORRECTED_PHONE, "they have a new number")


def met_by(season: Season, load: Load) -> tuple[Load, Then | None]:
    """A load as the day will treat it, and what is to be done once its batch has a code."""
    first = load.smokehouse == SMOKEHOUSES[0]
    if season.today == LOGGER_STOPS_DAY and first:
        silent_from = next(step.started for step in load.steps if step.plan.core_every_min) + LOGGER_STOPS_AFTER
        return replace(load, silent_from=silent_from, signed=False), partial(_logger_stops, season)
    if season.today == SAMPLE_LOST_DAY and first:
        return replace(load, results_come=False), _remembered(season, "batch awaiting its salt result")
    if season.today == LAST_DAY and not first:
        return load, _remembered(season, "batch running at the end")
    return load, None


def _remembered(season: Season, name: str) -> Then:
    def note(batch: Batch, _load: Load) -> None:
        season.landmarks[name] = batch.code

    return note


def _logger_stops(season: Season, batch: Batch, load: Load) -> None:
    """The core thermometers fall silent while the fish smokes: the batch is held until there is other evidence."""
    season.landmarks["held and released batch"] = batch.code
    diary = season.diary
    diary.put(diary.moment(season.today, "17:10"), partial(_hold_batch, season, batch))
    diary.put(diary.moment(LOGGER_READ_DAY, "07:50"), partial(_other_logger, season, batch, load))


def _hold_batch(season: Season, batch: Batch) -> None:
    desk = season.by(LEAD)
    hold.hold(desk, batch.code, "core thermometers stopped during smoking; no proof of 62.8 C for 30 min")
    tomorrow = season.today + timedelta(days=1)
    for name in THERMOMETERS:
        judge.calibrate(desk, name, "no reading in steam: water in the plug", passed=False, due_on=tomorrow)


def _other_logger(season: Season, batch: Batch, load: Load) -> None:
    """A spare logger lay in the same fish; a qualified person looks at its curve, and the batch is released by name."""
    desk = season.by(LEAD)
    for step in load.steps:
        if step.plan.core_every_min:
            read_core(season, batch, step, PROBES[1:], step.minutes, name=SPARE_LOGGER)
    for name in THERMOMETERS:
        judge.calibrate(desk, name, "plug renewed; 0.1 C low in ice water", True, season.today + timedelta(days=35))
    judge.note_deviation(
        desk, batch.code, "core-heat", "water in the plugs of both core thermometers, silent during the second hour of smoking",
        f"batch held; {SPARE_LOGGER}, which lay in the coldest place, was read out; plugs renewed; read every 10 min from now",
    )  # fmt: skip
    why = f"{SPARE_LOGGER}, read out today, has the core above 62.8 C for more than 30 min"
    hold.release(desk, batch.code, ADVISER, why)
    release(season, batch, by_name=ADVISER, note=why)
    judge.adopt(desk, hot_smoking_read_closer())


def _shared_brine(season: Season) -> None:
    """One herring brine served four batches of two landings; it was kept cold and topped up with salt in between."""
    codes = [
        code for day, species, code in season.brined if species == SHARED_BRINE_SPECIES and day in SHARED_BRINE_DAYS
    ]
    smoke.note_contact(
        season.by(LEAD), "brine", f"herring brine in {SHARED_TANK}, mixed 12 Nov, topped up 17 Nov", codes
    )
    for number, code in enumerate(codes, 1):
        season.landmarks[f"shared brine, batch {number}"] = code


Packs = tuple[str, int]
"""Packs as a person types them, ``RUN/1-16``, and their grams."""


def rework_due(season: Season) -> list[Packs]:
    """Packs that go into the flakes made today."""
    if season.today == LEAKY_DAY:
        return [
            packs for case in season.cold.take(HADDOCK.name, LEAKY_CASES) for packs in _opened(season, case, HADDOCK)
        ]
    if season.today == WRONG_DATE_DAY:
        return [packs for case in season.cold.take(FLAKES.name, 1) for packs in _opened(season, case, FLAKES)]
    return []


def _opened(season: Season, case: Boxed, product: ProductFacts) -> list[Packs]:
    desk = season.by(STORE)
    inside = [
        (thing_at(desk.records, Kind.RUN, run).code, part) for run, part in unit_contents(desk.records, int(case.sscc))
    ]
    ship.open_case(desk, case.sscc)
    season.landmarks[f"run taken back on {season.today}"] = inside[0][0]
    return [(f"{run}/{part.first}-{part.last}", part.count * product.net_g) for run, part in inside]


def _return(season: Season) -> None:
    """A case comes back crushed: three packs are destroyed, the rest is loose and sold again."""
    desk = season.by(STORE)
    sent, case = next(
        (sent, case) for sent in reversed(season.sent) for case in sent.cases if case.product == RETURN_PRODUCT
    )
    inside = unit_contents(desk.records, int(case.sscc))
    made = ship.take_back(desk, sent.buyer, [case.sscc], "case crushed on the way")
    season.landmarks.update({"return": made.code, "returned case": case.sscc, "dispatch of the return": sent.code})
    ship.open_case(desk, case.sscc)
    back = [(RETURN_PRODUCT, thing_at(desk.records, Kind.RUN, run).code, part) for run, part in inside]
    season.cold.loose = back + season.cold.loose
    for _, run, part in season.cold.unboxed(CRUSHED_PACKS, RETURN_PRODUCT):
        pack.end_packs(desk, f"{run}/{part.first}-{part.last}", "DESTROYED", "crushed, bags open")


def reject_warm(season: Season, code: str, g: int) -> None:
    """Bought-in fish arrives warm: rejected at the door and named as waste."""
    hold.hold(season.by(LEAD), code, "core 9.4 C on arrival, ice melted", reject=True)
    receive.lose_from_lot(season.by(LEAD), code, "waste", g, note="sent to the rendering bin")
    season.landmarks["rejected lot"] = code


def _open_hold(season: Season) -> None:
    """The laboratory telephones: histamine of one herring landing must be measured again. Nothing of it moves."""
    code = _lot_of(season.desk, HELD_LANDING)
    hold.hold(season.by(LEAD), code, "first histamine result is being repeated by the laboratory")
    season.landmarks["held landing"] = code
