"""What only a lead does on the pages: who is asked for a PIN, what a scan does to the question, and what is shown."""

from __future__ import annotations

import asyncio

import pytest
from screens_house import House, do, dump, said, scan, work
from screens_seen import send

from lotwake.trace.actions import set_up
from lotwake.trace.records.facts import batches
from lotwake.trace.records.find import by_code
from lotwake.trace.records.journal import head
from lotwake.trace.records.rights import READER
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.pin_screen import PinScreen
from lotwake.trace.screens.result import Verdict

pytestmark = pytest.mark.on_both

PIN = "270418"


@pytest.fixture
def with_pin(house: House) -> House:
    """Signe has a PIN."""
    desk = house.desk()
    set_up.set_pin(desk, "SK", PIN)
    desk.close()
    return house


async def by_hand(app: HouseApp, digits: str) -> None:
    """Type as a hand does, digit by digit; faster keys are a scanner's."""
    for digit in digits:
        await send(app, digit)
        await asyncio.sleep(0.06)
    await do(app, "\r")


def _released(house: House) -> bool:
    desk = house.desk()
    ref = by_code(desk.records, house.batch).id
    status = batches(desk.records, [ref])[ref].status
    desk.close()
    return status == "RELEASED"


def test_a_release_asks_for_the_pin(with_pin: House) -> None:
    """The digits are not shown, and with the right ones the release is made; the next act is asked for again."""

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", scan(with_pin.batch), "/release\r")
        assert isinstance(app.screen, PinScreen)
        assert "The PIN of SK is needed to release a batch." in dump(app)
        await do(app, "2", "7")
        await asyncio.sleep(0.1)
        await do(app, "0", "4")
        assert "* * * *" in dump(app)
        assert not any(digits in dump(app) for digits in ("2704", "2 7 0 4"))
        await asyncio.sleep(0.1)
        await by_hand(app, "18")
        assert said(app)[0] is Verdict.GOOD, said(app)
        assert app.desk.proof == ""
        await do(app, f"/thing {with_pin.other_lot}\r", "/fix weight 20 kg because misread\r")
        assert isinstance(app.screen, PinScreen)
        await do(app, "escape")
        assert said(app) == (Verdict.CHECK, "Left as it was; no PIN was typed. Nothing was entered.")

    work(with_pin, script)
    assert _released(with_pin)


def test_a_wrong_pin_is_told_and_written_down(with_pin: House) -> None:
    """Wrong digits release nothing; the try is in the journal, and after three of them one has to wait."""

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", scan(with_pin.batch))
        before = head(app.desk.records).seq
        for told in ("Try again.", "Try again.", "The next try has to wait 30 s."):
            await do(app, "/release\r")
            await by_hand(app, "111222")
            assert said(app) == (Verdict.CHECK, f"That is not the PIN of SK. {told}")
        await do(app, "/release\r")
        await by_hand(app, PIN)
        assert "3 wrong PINs for SK" in said(app)[1]
        assert head(app.desk.records).seq == before + 3

    work(with_pin, script)
    assert not _released(with_pin)


@pytest.mark.parametrize("burst", [scan(PIN), f"]C1{PIN}\r", scan("126")])
def test_a_scan_does_not_fill_it(with_pin: House, burst: str) -> None:
    """A scan closes the question and is taken as a scan, even one that holds the PIN."""

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", scan(with_pin.batch), "/release\r", "2", burst)
        assert not isinstance(app.screen, PinScreen)

    work(with_pin, script)
    assert not _released(with_pin)


def test_a_burst_without_a_mark_does_not_fill_it(with_pin: House) -> None:
    """What a scanner types without its identifier is too fast for a hand: it is reported, not taken as a PIN."""

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", scan(with_pin.batch), "/release\r", f"{PIN}\r")
        assert said(app)[0] is Verdict.CHECK
        assert "scan" in said(app)[1].lower()

    work(with_pin, script)
    assert not _released(with_pin)


def test_the_line_is_told_who_may(house: House) -> None:
    """Somebody on the line is not asked for anything: the sentence says whose work it is."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.card), "/batch\r", scan(house.batch), "/release\r")
        assert said(app)[0] is Verdict.STOP
        assert "OD has the role line and may not release a batch" in said(app)[1]
        await do(app, "/core 61\r")
        assert said(app)[0] is Verdict.GOOD

    work(house, script)


def test_a_reader_looks_only(house: House) -> None:
    """A reader signs in and sees the pages; what would be written down is refused."""
    desk = house.desk()
    set_up.set_role(desk, "OD", READER)
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.card), "/batch\r", scan(house.batch), "/core 61\r")
        assert "role reader" in said(app)[1]

    work(house, script)


def test_roles_and_pins_on_the_set_up_page(house: House) -> None:
    """A lead gives a role and a PIN typed twice; another one is set only with the old one."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "/role OD lead\r")
        assert said(app)[1].startswith("Odd Dahl is lead now.")
        await do(app, "/pin sk\r")
        await by_hand(app, PIN)
        await by_hand(app, "270419")
        assert "The two differ" in said(app)[1]
        await do(app, "/pin sk\r")
        await by_hand(app, PIN)
        await by_hand(app, PIN)
        assert said(app)[1].startswith("Signe Kvist has a PIN now.")
        await do(app, "/pin sk\r")
        await by_hand(app, PIN)
        await by_hand(app, "834507")
        await by_hand(app, "834507")
        assert said(app)[1].startswith("Signe Kvist has a PIN now."), said(app)
        await do(app, "/pin sk none\r")
        await by_hand(app, "834507")
        assert said(app)[1].startswith("Signe Kvist has no PIN now."), said(app)

    work(house, script)
