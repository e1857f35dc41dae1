"""The origin page: asked by a scan or a document number, who asks and what is kept back, read out, on paper, written down."""

from __future__ import annotations

from pathlib import Path

import pytest
from screens_house import dump, said, work
from screens_stock import GTIN, Stock, done, label, packing_house

from lotwake.trace.screens.asking_page import AskingPage
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


@pytest.fixture
def sold(tmp_path: Path) -> tuple[Stock, str]:
    """A house that has sold a case to each of two buyers."""
    stock = packing_house(tmp_path / "house")
    run = stock.packed_run(30)
    cases = stock.cases(run)
    stock.sent(cases[:1])
    stock.sent(cases[1:], buyer="Hill Kitchen", document="DN-8")
    return stock, run


def test_an_answer_by_scan(sold: tuple[Stock, str]) -> None:
    """A scanned pack is answered; the asker is one of those it went to; Enter writes it down once, every word."""
    stock, run = sold

    async def script(app: HouseApp) -> None:
        await done(app, "/origin\r", label(run, 3))
        assert said(app)[1].startswith("Who asks? 1 somebody unnamed  2 Quay Deli")
        assert "Haddock (Melanogrammus aeglefinus)" in dump(app)
        await done(app, "2\r")
        assert "asked by Quay Deli" in dump(app)
        assert "kept back: buyers" in dump(app)
        assert (await done(app, "\r"))[1].startswith("Answer to Quay Deli is written down")
        assert (await done(app, "\r"))[0] is Verdict.CHECK
        assert "Asked 1 times before" in (await done(app, "f5"))[1]

    work(stock.house, script)
    assert stock.value("SELECT COUNT(*) FROM origin_answer") == 1
    assert stock.value("SELECT asker FROM origin_answer") == "Quay Deli"
    assert "Hill Kitchen" not in str(stock.value("SELECT said FROM origin_answer"))


def test_a_document_number_and_what_is_kept_back(sold: tuple[Stock, str]) -> None:
    """The number of a delivery note asks about all of it; boats are kept back when that is said, on the page of paper too."""
    stock, _ = sold

    async def script(app: HouseApp) -> None:
        await done(app, "/origin\r", "DN-8\r", "Another Shop\r")
        assert "Aurora" in dump(app)
        await done(app, "/keep boats\r")
        assert "Aurora" not in dump(app)
        assert (await done(app, "f7"))[1].startswith("The page is ")
        assert "GIVEN" in dump(app)
        await done(app, "/paper text\r")
        assert (await done(app, "/keep nonsense\r"))[0] is Verdict.CHECK

    work(stock.house, script)
    pdf, text = sorted(stock.house.places.answers.iterdir())
    assert pdf.read_bytes().startswith(b"%PDF")
    assert "Aurora" not in text.read_text(encoding="utf-8")
    assert stock.value("SELECT withheld FROM origin_answer") == "boats"
    assert stock.value("SELECT COUNT(*) FROM origin_answer") == 1


def test_from_the_trace_page(sold: tuple[Stock, str]) -> None:
    """F7 on the trace page offers the page to send as well as the text, and takes the thing along."""
    stock, run = sold

    async def script(app: HouseApp) -> None:
        await done(app, f"/trace {run}\r", "f7", "1\r")
        assert app.page.NAME == "origin"
        assert isinstance(app.page, AskingPage)
        assert "asked by somebody unnamed" in dump(app)
        await done(app, "1\r", "escape", "f7", "2\r")
        assert said(app)[1].startswith("The answer is written into ")

    work(stock.house, script)


def test_a_picture_of_a_bar_code(sold: tuple[Stock, str], tmp_path: Path) -> None:
    """The path of a photographed label asks about the pack in it."""
    zxing = pytest.importorskip("zxingcpp")
    image = pytest.importorskip("PIL.Image")
    stock, run = sold
    symbol = zxing.create_barcode(f"https://id.example/01/{GTIN}/10/{run}/21/3", zxing.BarcodeFormat.QRCode)
    photo = tmp_path / "photo.png"
    image.fromarray(symbol.to_image(scale=6)).save(photo)

    async def script(app: HouseApp) -> None:
        await done(app, "/origin\r", "/picture /none.png\r")
        assert said(app)[1].startswith("There is no file")
        await done(app, f"/picture {photo}\r", "1\r")
        assert "pack " in dump(app)
        assert "Haddock" in dump(app)

    work(stock.house, script)
