"""The set-up page: everyone and everything the house deals with, added and put right by keys alone."""

from __future__ import annotations

from typing import Any

import pytest
from screens_house import House, do, dump, said, scan, work

from lotwake.trace.records import lists
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict

pytestmark = pytest.mark.on_both


@pytest.mark.parametrize(
    ("keys", "rows", "expected"),
    [
        (["1\r", "Fulmar\r", "N-9-X\r", "NO\r", "\r", "\r", "\r", "+47 1\r"], lambda r: lists.sources(r, "boat"),
         {"name": "Fulmar", "mark": "N-9-X", "flag": "NO", "phone": "+47 1"}),
        (["2\r", "Outer Bay\r", "\r", "\r", "\r"], lambda r: lists.sources(r, "farm"), {"name": "Outer Bay"}),
        (["/choose dealer\r", "South Quay\r", "\r", "\r", "\r"], lambda r: lists.sources(r, "dealer"),
         {"name": "South Quay"}),
        (["4\r", "Wood Yard\r", "\r", "\r"], lists.suppliers, {"name": "Wood Yard"}),
        (["5\r", "Hill Hotel\r", "+47 2\r", "\r", "\r"], lists.buyers, {"name": "Hill Hotel", "phone": "+47 2"}),
        (["6\r", "Smoked cod\r", "9520000000042\r", "hot\r", "250\r", "30\r", "cod\r", "\r", "\r", "Keep cold\r", "\r",
          "\r", "\r", "\r", "\r"], lists.products,
         {"name": "Smoked cod", "gtin": "09520000000042", "net_g": 250, "life_days": 30, "species": "COD",
          "packaging": "air", "case_packs": 12, "storage": "Keep cold"}),
        (["7\r", "Tank 2\r", "brine\r"], lists.equipment, {"name": "Tank 2", "kind": "brine tank"}),
        (["8\r", "bn\r", "Berit Nes\r", "\r"], lists.operators,
         {"initials": "BN", "name": "Berit Nes", "role": "line"}),
    ],
    ids=["boat", "farm", "dealer", "supplier", "buyer", "product", "equipment", "operator"],
)  # fmt: skip
def test_add_by_keys_alone(house: House, keys: list[str], rows: Any, expected: dict[str, Any]) -> None:
    """Each kind is chosen by its number or name and added through its form."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", *keys)
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    desk = house.desk()
    made = next(row for row in rows(desk.records) if row.name == expected["name"])
    desk.close()
    assert {name: getattr(made, name) for name in expected} == expected


def test_new_operator_signs_in(house: House) -> None:
    """Who was just added can sign in with the card number the page says."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "8\r", "bn\r", "Berit Nes\r", "\r")
        card = said(app)[1].split("card of code ")[1].split(".")[0]
        await do(app, scan(card.replace("-", "")))
        assert "BN Berit Nes" in dump(app).splitlines()[0]

    work(house, script)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        (["6\r", "X\r", "9520000000043"], "check digit"),
        (["6\r", "X\r", "9520000000042\r", "hot\r", "250\r", "0"], "whole number"),
        (["5\r", "Hill Hotel\r", "\r"], "Phone is empty"),
    ],
)
def test_reason_is_shown_in_the_form(house: House, keys: list[str], words: str) -> None:
    """A wrong value is refused in its field with the reason."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", *keys)
        assert words in " ".join(dump(app).split())

    work(house, script)


def test_same_boat_twice(house: House) -> None:
    """A boat that is known is refused; the form keeps what was typed."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "1\r", "Aurora\r", "N-12-X\r", *["\r"] * 5)
        verdict, words = said(app)
        assert verdict is Verdict.STOP
        assert "known already" in words
        assert "N-12-X" in dump(app)

    work(house, script)


def test_put_right(house: House) -> None:
    """F4 puts a telephone number right, with the reason; what it said is told."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "5\r", "f4", "quay\r", "phone\r", "+47 99\r", "new number\r")
        verdict, words = said(app)
        assert verdict is Verdict.GOOD
        assert "+47 000 00 002" in words

    work(house, script)
    desk = house.desk()
    assert lists.buyers(desk.records)[0].phone == "+47 99"
    desk.close()


@pytest.mark.parametrize("line", ["13\r", "0\r", "/choose ship\r", "f4"])
def test_line_that_is_not_there(house: House, line: str) -> None:
    """A number or name that is not in the list is told."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", line)
        assert said(app)[0] is Verdict.CHECK

    work(house, script)


def test_escape_goes_to_the_list_then_back(house: House) -> None:
    """Esc leaves the form for the list, then the page; the draft is kept."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "1\r", "Ful", "escape")
        assert "how many" in dump(app)
        await do(app, "escape")
        assert app.page.NAME == "start"
        await do(app, "/setup\r", "1\r")
        assert "Ful" in dump(app)

    work(house, script)
