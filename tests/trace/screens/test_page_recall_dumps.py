"""How recall, origin and places look: text dumps to be read in a diff, at the smallest size and at a larger one.

``LOTWAKE_WRITE_DUMPS=1`` writes them anew; read the difference before it is kept.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from screens_house import dump, work
from screens_seen import faint
from screens_stock import label, packing_house
from test_page_recall import done

from lotwake.trace.actions import places
from lotwake.trace.screens.house_app import HouseApp

DUMPS = Path(__file__).parent / "dumps"
WALK: list[tuple[str, list[str]]] = [
    ("recall-none", ["/recall\r"]),
    ("suspect-empty", ["/suspect\r"]),
    ("suspect-list", ["{label}"]),
    ("suspect-complaints", ["/complaints\r", "{other}\r"]),
    ("suspect-asks", ["/complaints\r", "-\r", "\r"]),
    ("recall-begun", ["1\r"]),
    ("recall-told", ["/told\r", "1\r"]),
    ("call-begun", ["\r"]),
    ("call-figures", ["10\r", "8\r"]),
    ("call-passed-on", ["\r", "3\r"]),
    ("call-rest", ["Ytre Kro, +47 000 00 044, 5\r", "\r"]),
    ("recall-short", ["2\r"]),
    ("count-begun", ["/count\r"]),
    ("count-done", ["*\r"]),
    ("recall-figures", ["\r", "f4"]),
    ("recall-records", ["\r"]),
    ("recall-steps", ["escape", "f4"]),
    ("recall-paused", ["f4", "/pause lunch\r"]),
    ("recall-finished", ["/resume\r", "/silent\r", "/finish\r", "look again\r", "1\r"]),
    ("recall-past", ["f6"]),
    ("origin-asked", ["/origin\r", "{label}"]),
    ("origin-given", ["1\r", "\r"]),
    ("places-all", ["/places\r"]),
    ("places-one", ["1\r"]),
    ("send-out-empty", ["/sendout\r"]),
    ("send-out-missing", ["{label}", "1\r", "1\r"]),
]
"""States in the order they are gone through, with what is typed and scanned to come to each from the one before."""


@pytest.mark.parametrize(("size", "theme"), [((80, 24), "night"), ((120, 40), "day")], ids=["80x24", "120x40"])
def test_recall_pages_look_as_reviewed(tmp_path: Path, size: tuple[int, int], theme: str) -> None:
    """Each state looks as it was reviewed, and every text of it has a contrast of 4.5:1 by day and by night."""
    stock = packing_house(tmp_path / "house")
    run = stock.packed_run(80)
    cases = stock.cases(run)
    stock.sent(cases[:2])
    stock.sent(cases[2:3], buyer="Hill Kitchen", document="DN-8")
    desk = stock.house.desk()
    places.add_place(desk, "Freezer 1", "freezer")
    places.put(desk, "Freezer 1", cases[3:5])
    desk.close()
    changed: list[str] = []
    too_faint: list[tuple[str, tuple[str, str]]] = []

    async def script(app: HouseApp) -> None:
        app.theme = theme
        for name, keys in WALK:
            for key in keys:
                await done(app, key.format(label=label(run, 60), other=f"{run}/3"))
            seen = dump(app)
            too_faint.extend((name, text) for text in faint(app))
            kept = DUMPS / f"page-{name}-{size[0]}x{size[1]}.txt"
            if os.environ.get("LOTWAKE_WRITE_DUMPS"):
                kept.write_text(seen, encoding="utf-8")
            if not kept.exists() or seen != kept.read_text(encoding="utf-8"):
                changed.append(f"{kept.name}\n{seen}")

    work(stock.house, script, size=size)
    assert not changed, "\n".join(changed)
    assert not too_faint
