"""The landing page: all four kinds of lots by keys alone, its defaults, doubts and corrections."""

from __future__ import annotations

from typing import Any

import pytest
from screens_house import House, do, dump, said, scan, work

from lotwake.trace.actions import set_up
from lotwake.trace.actions.receive import Arrival, receive
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.records.entries.house import SourceFacts
from lotwake.trace.records.facts import LotSeen
from lotwake.trace.records.find import Kind
from lotwake.trace.records.lists import Wanted, things
from lotwake.trace.screens.help_screen import HelpScreen
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.widgets import Form

pytestmark = pytest.mark.on_both

AURORA_AS_USUAL = ["aur\r", "\r", "39\r", "\r", "\r", "\r", "1,5\r", "\r"]


def newest_lot(house: House) -> LotSeen:
    """The lot that was written last."""
    desk = house.desk()
    lots = [item.facts for item in things(desk.records, Kind.LOT, Wanted(), 20)]
    desk.close()
    return max((lot for lot in lots if isinstance(lot, LotSeen)), key=lambda lot: lot.id)


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        (
            AURORA_AS_USUAL,
            {"kind": "landing", "sender": "Aurora", "species": "HAD", "g": 39_000, "area": "27.4.b", "gear": "03.12",
             "presentation": "gutted", "core_c100": 150, "landed_on": "2026-11-24", "method": "caught at sea"},
        ),
        (
            ["kit\r", "atl cod\r", "90.4 lb\r", "27.7.e\r", "\t", "wings\r", "35.6 F\r", "yesterday\r"],
            {"sender": "Kittiwake", "species": "COD", "g": 41_005, "area": "27.7.e", "gear": None,
             "presentation": "wings", "core_c100": 200, "landed_on": "2026-11-23"},
        ),
        (
            ["f6", "inner\r", "SAL\r", "120\r", "gut\r", "\r", "F-7\r", "\r"],
            {"kind": "farmed", "sender": "Inner Bay Farm", "species": "SAL", "g": 120_000, "presentation": "gutted",
             "their_code": "F-7", "method": "farmed", "core_c100": None},
        ),
        (
            ["/choose bought-in\r", "nor\r", "NQ-12\r", "MAC\r", "55,5\r", "whole\r", "\r", "\r"],
            {"kind": "bought-in", "sender": "North Quay Fish", "species": "MAC", "g": 55_500, "their_code": "NQ-12"},
        ),
        (
            ["/choose material\r", "\r", "\r", "10\r", "S-78\r", "\r"],
            {"kind": "material", "sender": "Salt House", "item": "salt", "g": 10_000, "their_code": "S-78"},
        ),
        (
            ["f4", *AURORA_AS_USUAL, "20 Nov\r", "22 Nov\r", "froz\r", "NO-7\r", "0,4\r", "\r", "07:10\r", "LN-5\r",
             "in crates\r"],
            {"caught_from": "2026-11-20", "caught_to": "2026-11-22", "received": "2026-11-24T06:10:00Z",
             "document": "LN-5", "note": "in crates", "received_as": "frozen", "trip": "NO-7", "undersize_g": 400},
        ),
    ],
    ids=["landing with what is usual", "another landing", "farmed", "bought-in", "material", "all fields"],
)  # fmt: skip
def test_lot_by_keys_alone(house: House, keys: list[str], expected: dict[str, Any]) -> None:
    """What was typed or offered is in the record, and the page says the weight and the new code."""

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", *keys)
        verdict, words = said(app)
        assert verdict is Verdict.GOOD, words
        assert app.drafts.names() == []

    work(house, script)
    lot = newest_lot(house)
    assert {name: getattr(lot, name) for name in expected} == expected


def test_result_names_weight_and_code(house: House) -> None:
    """The result can be written on the boxes: weight, fish, boat, code."""

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", *AURORA_AS_USUAL)
        words = said(app)[1]
        assert words.startswith(f"39 kg Haddock from Aurora is lot {show_code(newest_lot(house).code)}.")

    work(house, script)


def test_second_landing_of_the_day_is_asked_about(house: House) -> None:
    """A landing that is there already is CHECK and not entered; /another enters it all the same."""

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", *AURORA_AS_USUAL, *AURORA_AS_USUAL)
        verdict, words = said(app)
        assert verdict is Verdict.CHECK
        assert "/another" in words
        first = newest_lot(house)
        await do(app, "/another\r")
        assert said(app)[0] is Verdict.GOOD
        assert newest_lot(house).id == first.id + 1

    work(house, script)


def test_doubt_is_settled_by_a_card(house: House) -> None:
    """The command card does the same as the word."""

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", *AURORA_AS_USUAL, *AURORA_AS_USUAL, scan("CMDANOTHER"))
        assert said(app)[0] is Verdict.GOOD

    work(house, script)


def test_wrong_weight_is_put_right_at_once(house: House) -> None:
    """F8 right after the entry corrects a field with a reason; both values stay in the record."""

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", *AURORA_AS_USUAL, "f8", "wei\r", "38,5\r", "scale was wet\r")
        verdict, words = said(app)
        assert verdict is Verdict.GOOD
        assert "is 38.5 kg now" in words
        assert "It said 39 kg" in words
        assert app.page.NAME == "landing"

    work(house, script)
    assert newest_lot(house).g == 38_500


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        (["aur\r", "\r", "12,345"], "could mean"),
        (["aur\r", "\r", "12 stone"], "not a unit"),
        (["zzz"], "not in the list"),
        (["aur\r", "\r", "5\r", "north sea somewhere"], "No FAO area"),
    ],
)
def test_reason_is_shown_while_typing(house: House, keys: list[str], words: str) -> None:
    """What cannot be read is refused in the form, with the reason, before Enter."""

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", *keys)
        shown = " ".join(dump(app).split())
        assert "CHECK" in shown
        assert words in shown

    work(house, script)


def test_landing_from_the_future_is_refused(house: House) -> None:
    """A day after today is told and nothing is entered; the form keeps what was typed."""

    async def script(app: HouseApp) -> None:
        before = newest_lot(house).id
        await do(app, "/landing\r", *AURORA_AS_USUAL[:-1], "tomorrow\r")
        assert said(app)[0] in (Verdict.STOP, Verdict.CHECK)
        assert newest_lot(house).id == before
        assert "Aurora" in dump(app)

    work(house, script)


def test_draft_waits_for_the_next_day(house: House) -> None:
    """A half-filled form survives the program, and says that it is not entered."""

    async def first(app: HouseApp) -> None:
        await do(app, "/landing\r", "aur\r", "\r", "39")

    async def second(app: HouseApp) -> None:
        await do(app, "/landing\r")
        assert "draft" in said(app)[1]
        assert "39 kg" in dump(app)

    work(house, first)
    work(house, second)


def test_label_of_somebody_else_is_scanned_into_its_field(house: House) -> None:
    """With the cursor in the sender's lot code a scan is that code: the lot of a GS1 label, or the text as read."""

    async def script(app: HouseApp) -> None:
        await do(app, "/choose bought-in\r") if app.page.NAME == "landing" else await do(app, "/landing\r", "f6", "f6")
        await do(app, "nor\r", "]C1010952123456788110LOT-9\r", "MAC\r", "5\r", "\t", "\t", "\r")
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    assert newest_lot(house).their_code == "LOT-9"


@pytest.mark.on_file
@pytest.mark.parametrize(
    ("hinder", "words"),
    [
        ("PRAGMA max_page_count = {pages}", "The disk is full."),
        ("PRAGMA query_only = 1", "The record can be read but not written."),
    ],
    ids=["full", "read-only"],
)
def test_what_the_disk_did_not_take_stays_a_draft(house: House, hinder: str, words: str) -> None:
    """On a full disk, or a file that may only be read, the form keeps every field, and so does the draft on disk."""

    async def script(app: HouseApp) -> None:
        records = app.desk.records
        records.run(hinder.format(pages=records.value("PRAGMA page_count")))
        with pytest.raises(MachineFailed):  # noqa: PT012 - until the pages of the file that are there are filled too
            for _ in range(200):
                receive(app.desk, Arrival("landing", "Aurora", 1_000, "HAD", area="27.4.b"), another=True)
        await do(app, "/landing\r", "f4", *AURORA_AS_USUAL, *["\r"] * 7, "LN-9\r", "in crates\r")
        assert said(app)[0] is Verdict.STOP, said(app)
        assert said(app)[1].startswith(words)
        assert "LN-9" in dump(app)
        app.drafts.flush()
        kept = "".join(path.read_text(encoding="utf-8") for path in house.places.drafts.rglob("*") if path.is_file())
        assert "LN-9" in kept

    work(house, script)


def test_help_from_an_empty_field(house: House) -> None:
    """``?`` in an empty field shows the keys of the page; in one that is begun it is a letter like any other."""

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", "?")
        assert isinstance(app.screen, HelpScreen)
        assert "/another" in dump(app)
        await do(app, "escape", "au?")
        assert not isinstance(app.screen, HelpScreen)
        assert "au?" in dump(app)

    work(house, script)


def test_what_enter_takes_is_seen_whole(house: House) -> None:
    """Beside an empty field stands all of what Enter would take, and a boat is found without the signs of its name."""
    desk = house.desk()
    set_up.add_source(desk, SourceFacts("boat", "Ærfugl Nordøya Sør"))
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r")
        shown = " ".join(dump(app).split())
        assert "Enter: HAD Haddock, Melanogrammus aeglefinus" in shown
        await do(app, "nordoya sor")
        assert "Enter: Ærfugl Nordøya Sør" in dump(app)

    work(house, script)


def test_a_draft_is_forgotten_when_asked(house: House) -> None:
    """``/empty`` empties every field of the form and drops its draft, and nothing is entered."""
    before = newest_lot(house).id

    async def script(app: HouseApp) -> None:
        await do(app, "/landing\r", "kit\r", "\r", "12", "/empty\r")
        assert said(app)[0] is not Verdict.GOOD  # a word behind a number is no command
        await do(app, *["\b"] * 8, "/empty\r")
        assert said(app) == (Verdict.GOOD, "The form is empty. Nothing was entered.")
        assert set(app.page.query_one(Form).texts().values()) == {""}
        assert app.drafts.get("landing") is None

    work(house, script)
    assert newest_lot(house).id == before
