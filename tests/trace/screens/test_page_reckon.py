"""The reckon page: every calculation by keys alone, its answer with formula, source and caution, and bad numbers."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from screens_house import House, do, dump, said, work
from screens_seen import cells
from test_screens_look import contrast

from lotwake.trace.actions.reckoning.every import CALCULATIONS
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.reckon_form import asked_by
from lotwake.trace.screens.result import Verdict

DUMPS = Path(__file__).parent / "dumps"
WALK: list[tuple[str, list[str]]] = [
    ("reckon-list", ["/reckon\r"]),
    ("reckon-brine", ["1\r", "8"]),
    ("reckon-brine-answer", ["0\r", "1000\r", "\r", "\r", "\r"]),
    ("reckon-held", ["f6", "/choose held\r", "0:20,10:65,45:66\r", "\r", "\r", "\r", "\r", "\r"]),
    ("reckon-wrong", ["f6", "/choose wps\r", "2,5; 2,8\r", "65\r", "\r", "\r"]),
]
"""States in the order they are gone through, with what is typed to come to each from the one before."""


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: "x".join(map(str, size)))
def test_reckon_looks_as_reviewed(house: House, size: tuple[int, int]) -> None:
    """Each state looks as it was reviewed, and every text has a contrast of 4.5:1."""
    changed: list[str] = []
    faint: list[tuple[str, str]] = []

    async def script(app: HouseApp) -> None:
        app.theme = "day" if size == (80, 24) else "night"
        for name, keys in WALK:
            await do(app, *keys)
            seen = dump(app)
            faint.extend((name, cell.text) for cell in cells(app) if contrast(cell) < 4.5)
            kept = DUMPS / f"page-{name}-{size[0]}x{size[1]}.txt"
            if os.environ.get("LOTWAKE_WRITE_DUMPS"):
                kept.write_text(seen, encoding="utf-8")
            if not kept.exists() or seen != kept.read_text(encoding="utf-8"):
                changed.append(f"{kept.name}\n{seen}")

    work(house, script, size=size)
    assert not changed, "\n".join(changed)
    assert not faint


@pytest.mark.parametrize(
    ("name", "keys", "answer"),
    [
        ("brine", ["80\r", "1000\r", "\r", "\r", "\r"], "267.684 kg salt"),
        ("brine-density", ["10\r", "\r"], "1070.7 kg/m3"),
        ("brine-top-up", ["100\r", "\r", "60\r", "80\r", "\r", "\r"], "kg salt"),
        ("wps", ["2,5\r", "65\r", "\r", "\r"], "3.7037 %"),
        ("water-activity", ["3.5\r"], "0.980 (upper estimate)"),
        ("lethality", ["65\r", "9.3\r", "\r"], "2.004 equivalent minutes at 70 C"),
        ("held", ["0:65,10:65,40:66\r", "\r", "\r", "30\r", "\r", "\r"], "held 40.0 min"),
        ("cooling", ["0:57.2,20:40,40:21.1\r", "\r", "\r", "\r", "\r"], "57.2 to 21.1 C"),
        ("ice", ["100\r", "25\r", "0\r", "0.8\r"], "25.00 kg of ice"),
        ("yield", ["41\r", "33.5\r", "81.5;82;80.9\r", "\r", "\r"], "yield 81.71 %"),
        ("check-digit", ["629104150021\r"], "check digit 3"),
        ("tne", ["450\r"], "TNE 13.5 g"),
        ("figure-height", ["eu\r", "300\r", "\r", "\r"], "at least 4"),
        ("species", ["MAC\r"], "Atlantic mackerel"),
        ("area", ["27\r"], "Atlantic, Northeast"),
        ("gear", ["SV\r"], "Boat seines"),
    ],
)
def test_answer_by_keys_alone(house: House, name: str, keys: list[str], answer: str) -> None:
    """The numbers typed give the answer of the published case, with its source under it."""

    async def script(app: HouseApp) -> None:
        await do(app, "/reckon\r", f"/choose {name}\r", *keys)
        seen = dump(app)
        assert answer in seen, seen
        await do(app, *["down"] * 9)
        assert "  source   " in seen + dump(app)

    work(house, script)


@pytest.mark.parametrize(
    ("name", "keys", "words"),
    [
        ("brine", ["80\r", "1000\r", "50\r", "\r", "\r"], "exclude each other"),
        ("brine-top-up", ["\r", "\r", "60\r", "80\r", "\r", "\r"], "Nothing is given for Brine kg or Brine litres"),
        ("brine", ["180\r", "\r", "\r", "\r", "\r"], "cannot be"),
        ("figure-height", ["eu\r", "\r", "\r", "\r"], "Give nominal g."),
    ],
)
def test_what_cannot_be_is_said_and_kept(house: House, name: str, keys: list[str], words: str) -> None:
    """Numbers that cannot be give a sentence in the words of the form, and stay in their fields."""

    async def script(app: HouseApp) -> None:
        await do(app, "/reckon\r", f"/choose {name}\r", *keys)
        assert said(app)[0] is Verdict.CHECK
        assert words in said(app)[1]
        typed = next(key.strip() for key in keys if key.strip())
        assert typed in dump(app)

    work(house, script)


def test_every_calculation_has_a_form() -> None:
    """Each calculation asks for something, and no two fields of a form have one name."""
    for calculation in CALCULATIONS:
        names = [argument.name for argument in asked_by(calculation).arguments]
        assert names
        assert len(names) == len(set(names))
