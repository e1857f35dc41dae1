"""The packing page where packs are weighed one by one: a weight and Enter is a pack with its label."""

from __future__ import annotations

from pathlib import Path

import pytest
from screens_house import do, dump, said, scan, work
from screens_stock import Stock, done, packing_house

from lotwake.trace.actions import set_up
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.verify import verify
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict

SIDE = "Hot smoked haddock side"


@pytest.fixture
def stock(tmp_path: Path) -> Stock:
    made = packing_house(tmp_path / "house")
    desk = made.house.desk()
    set_up.add_product(desk, ProductFacts("99520000000045", SIDE, "hot smoked", 1200, 60, "HAD", catch_weight=True))
    desk.close()
    return made


def weights(stock: Stock) -> list[int]:
    desk = stock.house.desk()
    found = [g for (g,) in desk.records.rows("SELECT net_g FROM pack_weight ORDER BY serial")]
    assert verify(desk.records).whole
    desk.close()
    return found


async def on_table(app: HouseApp, stock: Stock) -> None:
    await do(app, "/pack\r", scan(stock.batch))
    await do(app, "]C10199520000000045\r")


@pytest.mark.parametrize(
    ("keys", "made"),
    [
        (["1185\r"], [1185]),
        (["1185\r", "1240\r", "*\r"], [1185, 1240, 1240]),
        (["1,21\r", "1.305 kg\r", "990 g\r"], [1210, 1305, 990]),
        (["90\r", "90\r"], [90]),
        (["90\r", "1190\r"], [1190]),
    ],
    ids=["grams", "the same again", "as a scale types it", "unusual twice", "unusual corrected"],
)
def test_weight_and_enter(stock: Stock, keys: list[str], made: list[int]) -> None:
    """A number is grams, a decimal number kilograms; an unusual weight is typed twice; ``*`` is one of the same weight."""

    async def script(app: HouseApp) -> None:
        await on_table(app, stock)
        for typed in keys:
            await done(app, typed)
        verdict, words = said(app)
        assert (verdict, "1 label of" in words) == (Verdict.GOOD, True), words

    work(stock.house, script)
    assert weights(stock) == made


@pytest.mark.parametrize(
    ("keys", "verdict", "words"),
    [
        (["+\r"], Verdict.CHECK, "has a weight of its own"),
        (["*\r"], Verdict.CHECK, "no last number to repeat"),
        (["\r"], Verdict.CHECK, "What does the pack weigh?"),
        (["90\r"], Verdict.CHECK, "A pack of 90 g? Type it again"),
        (["60 kg\r"], Verdict.STOP, "more than is left"),
        (["0\r"], Verdict.CHECK, "A pack of 0 g?"),
    ],
)
def test_what_makes_no_pack(stock: Stock, keys: list[str], verdict: Verdict, words: str) -> None:
    """Without a weight that can be, nothing is entered and the page says what it waits for."""

    async def script(app: HouseApp) -> None:
        await on_table(app, stock)
        await do(app, *keys)
        assert (said(app)[0], words in said(app)[1]) == (verdict, True), said(app)

    work(stock.house, script)
    assert weights(stock) == []


def test_the_last_one_is_void_and_its_fish_weighed_again(stock: Stock) -> None:
    """F8 voids the last label; its grams are free for the pack that is weighed next."""

    async def script(app: HouseApp) -> None:
        await on_table(app, stock)
        await done(app, "1185\r")
        await do(app, "/void\r")
        await done(app, "1190\r")
        assert "1 label of 1.19 kg printed  0002" in said(app)[1]
        assert "grams + Enter" in dump(app)

    work(stock.house, script)
    assert weights(stock) == [1185, 1190]
    desk = stock.house.desk()
    assert desk.records.value("SELECT SUM(g) FROM flow f JOIN run r ON r.id = f.child") == 1190
    desk.close()
