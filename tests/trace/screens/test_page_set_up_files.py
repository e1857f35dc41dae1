"""The set-up page on what stands in files: settings, label stock and phrases, by keys alone, the rest left as it was."""

from __future__ import annotations

import pytest
from screens_house import House, do, dump, said, work

from lotwake.trace.screens.house_app import HouseApp

SETTINGS = '# ours\noperator = "SK"\nmarket = "eu"  # for now\n\n[keys]\nhelp = "f11"\n'


@pytest.fixture
def files(house: House) -> House:
    """The small house with a commented house.toml."""
    house.places.settings.write_text(SETTINGS)
    return house


def test_a_setting_holds_at_once_and_comments_stay(files: House) -> None:
    """A setting is chosen by a part of its name; the packing table knows the new stock at once."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "/choose setting\r", "market\r", "us\r")
        assert said(app)[1].startswith("market is us now. It said eu before.")
        await do(app, "stock\r", "roll 70 x 40 mm\r")
        assert "labels 70 x 40 mm" in dump(app).splitlines()[0]
        await do(app, "market\r", "mars\r")
        assert said(app)[1].startswith("house.toml, line 3: market = 'mars' is not known.")

    work(files, script)
    written = files.places.settings.read_text()
    assert written.startswith(SETTINGS.replace('"eu"', '"us"').split("\n[keys]")[0])
    assert written.rstrip().endswith('[keys]\nhelp = "f11"')
    assert 'stock = "roll 70 x 40 mm"' in written


def test_a_stock_is_added_put_right_and_calibrated(files: House) -> None:
    """It begins as another one, a measure is put right, F7 makes its page; what cannot be is told with file and line."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "/choose stock\r", "our roll\r", "58\r", "60\r", "\r", "\r", "\r")
        assert said(app)[1].startswith("The stock our roll is in our-roll.toml.")
        await do(app, "f4", "our\r", "shift_up\r", "0,5\r")
        assert said(app)[1].startswith("shift_up_mm of our roll is 0,5 now. It said 0 before.")
        await do(app, "our\r", "margin\r", "30\r")
        assert said(app)[1].startswith("our-roll.toml, line 4: margin_mm 30 leaves nothing")
        await do(app, "\b\b", "/paper our roll\r")
        assert said(app)[1].startswith("A calibration page for our roll is in calibration-our-roll.pdf.")

    work(files, script)
    assert "shift_up_mm = 0.5" in (files.places.stock / "our-roll.toml").read_text()
    assert (files.places.printed / "calibration-our-roll.pdf").is_file()


def test_a_phrase_is_changed_in_a_file_of_the_house(files: House) -> None:
    """French of the house begins as French; the page says how labels come to use it."""

    async def script(app: HouseApp) -> None:
        await do(app, "/setup\r", "/choose phrase\r", "french\r", "pack_number\r", "Pack\r")
        assert said(app)[1].startswith("pack_number says Pack now. Labels use it when the setting languages names")

    work(files, script)
    assert 'pack_number = "Pack"' in (files.places.folder / "french.toml").read_text("utf-8")
