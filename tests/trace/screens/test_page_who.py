"""Who is at the keyboard, and how the program starts and refuses to."""

from __future__ import annotations

from pathlib import Path

import pytest
from screens_house import House, do, dump, said, scan, work

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.base.places import places_at
from lotwake.trace.records.history import last_lines
from lotwake.trace.screens import program
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


def test_somebody_is_shown_from_the_start(house: House) -> None:
    """Who was named when the program was opened stands in the top line."""

    async def script(app: HouseApp) -> None:
        assert "SK Signe Kvist" in dump(app).splitlines()[0]

    work(house, script)


@pytest.mark.parametrize("how", ["/as od\r", "card", "typed"])
@pytest.mark.parametrize("page", ["start", "landing", "batch", "records", "setup"])
def test_sign_in_on_every_page(house: House, page: str, how: str) -> None:
    """Initials, a scanned card and a typed card number sign in on any page, which stays."""

    async def script(app: HouseApp) -> None:
        assert "NOBODY signed in" in dump(app)
        assert "looking only" in dump(app)
        await do(app, f"/{page}\r")
        line = {"card": scan(house.card), "typed": f"/as {house.card}\r"}.get(how, how)
        await do(app, line)
        assert said(app) == (
            Verdict.GOOD,
            "OD Odd Dahl is at work now. Entries carry this name. Somebody else? /as INITIALS",
        )
        assert page == app.page.NAME
        assert "looking only" not in dump(app)
        assert app.desk.operator is not None
        assert app.desk.operator.initials == "OD"

    work(house, script, who=None)


def test_entries_carry_who_is_at_work(house: House) -> None:
    """After one scan the next entry is the other person's."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.batch), "f6", "/core 61\r", scan(house.card), "/core 62\r")

    work(house, script)
    desk = house.desk()
    assert [(line.who, line.act) for line in last_lines(desk.records, 2)] == [("SK", "read core"), ("OD", "read core")]
    desk.close()


def test_nobody_signed_in_only_looks(house: House) -> None:
    """Without an operator every page opens, and an entry is refused with the way to sign in."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.batch), "f6", "/core 61\r")
        verdict, words = said(app)
        assert verdict is Verdict.STOP
        assert "Nobody is at work" in words
        assert "/as" in words

    work(house, script, who=None)


@pytest.mark.parametrize(("typed", "words"), [("/as XX\r", "There are: OD, SK"), ("/as\r", "Whose initials?")])
def test_sign_in_that_cannot_be(house: House, typed: str, words: str) -> None:
    """Initials nobody has are told, with those there are; who was at work stays."""

    async def script(app: HouseApp) -> None:
        await do(app, typed)
        verdict, text = said(app)
        assert verdict is Verdict.CHECK
        assert words in text
        assert app.desk.operator is not None

    work(house, script)


def test_house_that_is_not_there(tmp_path: Path) -> None:
    """A folder without a house is told before the terminal is touched."""
    with pytest.raises(NotFound, match="There is no house at"):
        program.run(places_at(tmp_path / "nowhere"), None)


def test_initials_nobody_has(house: House) -> None:
    """Initials nobody has are told before the terminal is touched."""
    with pytest.raises(NotFound, match="XX"):
        program.run(house.places, "XX", house.clock)


def test_settings_that_give_a_key_to_nothing(house: House) -> None:
    """A key for a command that does not exist is told with its name."""
    house.choose('[keys]\nvodi = "f10"\n')
    with pytest.raises(CallError, match="vodi"):
        program.run(house.places, None, house.clock)


def test_settings_are_followed(house: House) -> None:
    """Theme and keys of the house hold in the program."""
    house.choose('theme = "night"\n[keys]\nhelp = "f10"\n')

    async def script(app: HouseApp) -> None:
        assert app.theme == "night"
        assert "F10 Help" in dump(app)

    work(house, script)


def test_fault_is_kept_and_told(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """A mistake of the program is one sentence on the page, with its details in the house's folder."""

    async def script(app: HouseApp) -> None:
        monkeypatch.setattr(app.page, "on_line", lambda _text: 1 / 0)
        await do(app, "anything\r")
        verdict, words = said(app)
        assert verdict is Verdict.STOP
        assert "faults.log" in words

    with pytest.raises(AssertionError, match="ZeroDivisionError"):
        work(house, script)
