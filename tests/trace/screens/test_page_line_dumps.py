"""How packing, goods and trace look: text dumps to be read in a diff, at the smallest size and at a larger one.

``LOTWAKE_WRITE_DUMPS=1`` writes them anew; read the difference before it is kept.
"""

from __future__ import annotations

import os
import re
from datetime import timedelta
from pathlib import Path

import pytest
from screens_house import dump, scan, work
from screens_seen import faint
from screens_stock import Stock, done, label, packing_house, sscc

from lotwake.trace.screens.asking_page import AskingPage
from lotwake.trace.screens.house_app import HouseApp

DUMPS = Path(__file__).parent / "dumps"
WALK: list[tuple[str, list[str]]] = [
    ("pack-choose", ["/pack\r"]),
    ("pack-product", ["{either_scan}"]),
    ("pack-table", ["{batch_scan}"]),
    ("pack-typing", ["2", "4"]),
    ("pack-printed", ["\r"]),
    ("pack-echo", ["50\r"]),
    ("pack-read-back", ["{label}"]),
    ("pack-void", ["/void 2-3 smeared\r"]),
    ("pack-why", ["f5"]),
    ("pack-again", ["1\r"]),
    ("pack-label", ["f4"]),
    ("pack-label-words", ["f4"]),
    ("pack-held", ["f4", "{held_scan}"]),
    ("pack-help", ["{batch_scan}", "f2"]),
    ("cases-waiting", ["escape", "/cases\r"]),
    ("cases-full", ["{run}\r"]),
    ("cases-closed", ["\r"]),
    ("labels-case", ["f4"]),
    ("labels-words", ["f4"]),
    ("labels-jobs", ["f4"]),
    ("cases-pallet", ["/cases\r", "{case}\r"]),
    ("dispatch-buyer", ["-\r", "/dispatch\r"]),
    ("dispatch-typing", ["d", "e"]),
    ("dispatch-list", ["\r", "{case_scan}", "{run}/20\r", "/document DN-12\r"]),
    ("dispatch-sure", ["\r"]),
    ("dispatch-sent", ["\r"]),
    ("returns-scan", ["/returns\r"]),
    ("returns-list", ["{case_scan}"]),
    ("returns-why", ["\r"]),
    ("returns-back", ["1\r"]),
    ("trace-empty", ["/trace\r"]),
    ("trace-batch", ["{batch}\r"]),
    ("trace-marked", ["/find deli\r"]),
    ("trace-answer", ["f4"]),
    ("trace-pack", ["{label}"]),
    ("trace-pack-chain", ["f4"]),
    ("trace-contact", ["f6"]),
    ("trace-refused", ["126-329-001-99\r"]),
]
"""States in the order they are gone through, with what is typed and scanned to come to each from the one before."""


@pytest.mark.parametrize(("size", "theme"), [((80, 24), "night"), ((120, 40), "day")], ids=["80x24", "120x40"])
def test_line_pages_look_as_reviewed(tmp_path: Path, size: tuple[int, int], theme: str) -> None:
    """Each state looks as it was reviewed, and every text of it has a contrast of 4.5:1 by day and by night.

    The time that a trace took is left out.
    """
    stock = packing_house(tmp_path / "house")
    changed: list[str] = []
    too_faint: list[tuple[str, tuple[str, str]]] = []

    async def script(app: HouseApp) -> None:
        app.theme = theme
        for name, keys in WALK:
            codes = known(stock)
            for key in keys:
                if name.startswith("returns"):
                    stock.house.clock.at += timedelta(minutes=1)
                await done(app, key.format(**codes))
            seen = re.sub(r"\d+\.\d\d s\b", "0.00 s", dump(app))
            too_faint.extend((name, text) for text in faint(app))
            kept = DUMPS / f"page-{name}-{size[0]}x{size[1]}.txt"
            if os.environ.get("LOTWAKE_WRITE_DUMPS"):
                kept.write_text(seen, encoding="utf-8")
            if not kept.exists() or seen != kept.read_text(encoding="utf-8"):
                changed.append(f"{kept.name}\n{seen}")
        assert isinstance(app.page, AskingPage)

    work(stock.house, script, size=size)
    assert not changed, "\n".join(changed)
    assert not too_faint


def known(stock: Stock) -> dict[str, str]:
    """The codes that keys may name, as far as the things are made."""
    run = str(stock.value("SELECT code FROM run ORDER BY id DESC LIMIT 1"))
    case = f"{stock.value('SELECT MIN(sscc) FROM unit') or 0:018d}"
    return {
        "batch": stock.batch,
        "batch_scan": scan(stock.batch),
        "either_scan": scan(stock.either),
        "held_scan": scan(stock.held),
        "run": run,
        "label": label(run, 4),
        "case": case,
        "case_scan": sscc(case),
    }
