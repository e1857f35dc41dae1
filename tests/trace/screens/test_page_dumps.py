"""How the pages of a working house look: text dumps to be read in a diff, at the smallest size and at a larger one.

``LOTWAKE_WRITE_DUMPS=1`` writes them anew; read the difference before it is kept.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from screens_house import House, do, dump, scan, work
from screens_seen import faint

from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.scanner_check import TEST_CODES

DUMPS = Path(__file__).parent / "dumps"
WALK: list[tuple[str, list[str]]] = [
    ("start", []),
    ("start-marked", ["down", "down"]),
    ("landing", ["/landing\r"]),
    ("landing-typing", ["aur\r", "\r", "12,5"]),
    ("landing-wrong", [",5"]),
    ("landing-good", ["\b\b\r", "\r", "\r", "\r", "1,5\r", "\r"]),
    ("landing-doubt", ["aur\r", "\r", "8\r", "\r", "\r", "\r", "\r", "\r"]),
    ("landing-all", ["/another\r", "f4"]),
    ("correct", ["f8", "wei\r", "7,9"]),
    ("correct-good", ["\r", "scale\r"]),
    ("landing-material", ["/choose material\r"]),
    ("batch-choose", ["/batch\r"]),
    ("batch-product", ["0\r"]),
    ("batch-begin", ["2\r", "1\r"]),
    ("batch-hand", ["{lot_scan}"]),
    ("batch-good", ["4,5\r"]),
    ("batch-running", ["{batch_scan}"]),
    ("batch-readings", ["/core 62.8 probe 2 at 07:30\r", "63,1\r", "/loss drying 3.2\r"]),
    ("batch-refused", ["/step\r"]),
    ("batch-released", ["/release\r"]),
    ("batch-held", ["/hold core check missing\r"]),
    ("batch-help", ["f2"]),
    ("thing-lot", ["escape", "/start\r", "{lot_scan}"]),
    ("thing-batch", ["/start\r", "{batch}\r"]),
    ("records", ["/records\r"]),
    ("records-words", ["haddock aurora\r"]),
    ("setup", ["/setup\r"]),
    ("setup-boat", ["1\r"]),
    ("setup-product", ["/choose product\r"]),
    ("setup-right", ["f4"]),
    ("signed-in", ["{card_scan}"]),
    ("scanner", ["/scanner\r"]),
    ("scanner-caps", ["{caps}"]),
    ("scanner-learned", ["{tests}"]),
]
"""States in the order they are gone through, with what is typed and scanned to come to each from the one before."""


@pytest.mark.parametrize(("size", "theme"), [((80, 24), "night"), ((120, 40), "day")], ids=["80x24", "120x40"])
def test_pages_look_as_reviewed(house: House, size: tuple[int, int], theme: str) -> None:
    """Each page and its main states look as they were reviewed; every text has a contrast of 4.5:1 by day and by night."""
    codes = {
        "lot_scan": scan(house.lot),
        "batch_scan": scan(house.batch),
        "batch": house.batch,
        "card_scan": scan(house.card),
        "caps": f"]C1{TEST_CODES[0].data.swapcase()}\r",
        "tests": "".join(f"]C1{code.data}\r" for code in TEST_CODES),
    }
    changed: list[str] = []
    too_faint: list[tuple[str, tuple[str, str]]] = []

    async def script(app: HouseApp) -> None:
        app.theme = theme
        for name, keys in WALK:
            await do(app, *(key.format(**codes) for key in keys))
            if app.page.NAME == "records":
                await do(app)  # the answer comes from another thread
            seen = re.sub(r"\d+\.\d ms between", "0.0 ms between", dump(app))
            too_faint.extend((name, text) for text in faint(app))
            kept = DUMPS / f"page-{name}-{size[0]}x{size[1]}.txt"
            if os.environ.get("LOTWAKE_WRITE_DUMPS"):
                kept.write_text(seen, encoding="utf-8")
            if not kept.exists() or seen != kept.read_text(encoding="utf-8"):
                changed.append(f"{kept.name}\n{seen}")

    work(house, script, size=size)
    assert not changed, "\n".join(changed)
    assert not too_faint


def test_nobody_signed_in_looks_as_reviewed(house: House) -> None:
    """Without an operator the page says so on top and how to sign in below."""

    async def script(app: HouseApp) -> None:
        lines = dump(app).splitlines()
        assert "NOBODY signed in" in lines[0]
        assert lines[-3].startswith(" NOW  looking only: scan your card, or type /as and your initials")

    work(house, script, who=None)
