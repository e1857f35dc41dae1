"""The records page: anything by code, boat, date, buyer, species."""

from __future__ import annotations

import asyncio
from datetime import date

import pytest
from screens_house import House, do, dump, said, work

from lotwake.trace.base.codes import show_code
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.records_page import Question, read_question
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.widgets import Ledger

TODAY = date(2026, 11, 24)


async def found(app: HouseApp, *typed: str) -> str:
    """The page after a question, when its answer is there."""
    before = app.page.query_one("#records-head").render() if app.page.NAME == "records" else None
    await do(app, *typed)
    for _ in range(200):
        if app.page.NAME != "records" or app.page.query_one("#records-head").render() != before:
            break
        await asyncio.sleep(0.01)
    await do(app)
    return dump(app)


@pytest.mark.parametrize(
    ("typed", "there", "absent"),
    [
        ("aurora", ["lot"], ["other_lot", "salt", "batch"]),
        ("HADDOCK kittiwake", ["other_lot"], ["lot", "salt", "batch"]),
        ("gadus", [], ["lot"]),
        ("smoked", ["batch"], ["lot"]),
        ("23 Nov", ["lot", "other_lot", "salt"], ["batch"]),
        ("24 Nov", ["batch"], ["lot"]),
        ("20 Nov to today, haddock", ["lot", "other_lot", "batch"], ["salt"]),
        ("salt", ["salt"], ["lot"]),
    ],
)
def test_words_and_days(house: House, typed: str, there: list[str], absent: list[str]) -> None:
    """Boat, species, product and days find what fits, and nothing else."""

    async def script(app: HouseApp) -> None:
        await found(app, "/records\r")
        shown = await found(app, f"{typed}\r")
        for name in there:
            assert show_code(getattr(house, name)) in shown, name
        for name in absent:
            assert show_code(getattr(house, name)) not in shown, name

    work(house, script)


def test_enter_opens_and_coming_back_keeps_the_list(house: House) -> None:
    """A row is opened with Enter; Esc comes back to the same answer."""

    async def script(app: HouseApp) -> None:
        await found(app, "/records\r")
        await found(app, "aurora\r")
        await do(app, "\r")
        assert f"LOT  {show_code(house.lot)}" in dump(app)
        shown = await found(app, "escape")
        assert app.page.NAME == "records"
        assert "with aurora" in shown

    work(house, script)


def test_code_is_opened_at_once(house: House) -> None:
    """A code typed here opens what it names; a mistyped one is told."""

    async def script(app: HouseApp) -> None:
        await found(app, "/records\r")
        await do(app, "12632700136\r")
        assert said(app)[0] is Verdict.CHECK
        await do(app, f"{house.lot}\r")
        assert app.page.NAME == "thing"

    work(house, script)


def test_other_kinds(house: House) -> None:
    """F6 and the word look through one kind only."""

    async def script(app: HouseApp) -> None:
        await found(app, "/records\r")
        shown = await found(app, "/choose batches\r")
        assert show_code(house.batch) in shown
        assert show_code(house.lot) not in shown
        await do(app, "/choose boats\r")
        assert said(app)[0] is Verdict.CHECK
        await found(app, "f6")
        assert "RUNS" in dump(app)
        assert app.page.query_one(Ledger).selected_row is None

    work(house, script)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("", Question()),
        ("haddock Aurora", Question(("haddock", "Aurora"))),
        ("24 Nov", Question((), TODAY, TODAY)),
        ("yesterday to today", Question((), date(2026, 11, 23), TODAY)),
        ("26 Nov to 20 Nov 2026, deli", Question(("deli",), date(2025, 11, 26), date(2026, 11, 20))),
        ("North to South", Question(("North", "to", "South"))),
    ],
)
def test_question(text: str, meant: Question) -> None:
    """Words and days are told apart; a day without a year is the latest."""
    assert read_question(text, TODAY) == meant
