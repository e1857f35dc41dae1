"""How the pages look: text dumps to be read in a diff, contrast of every text, no colour needed.

``LOTWAKE_WRITE_DUMPS=1`` writes the dumps anew; read the difference before it is kept.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from screens_demo import DemoApp
from screens_seen import Cell, cells, contrast, dump, send, settle
from textual.pilot import Pilot

DUMPS = Path(__file__).parent / "dumps"
STATES: dict[str, list[str]] = {
    "table": [],
    "good": ["24\r"],
    "check": ["/no\r"],
    "stop": ["5000\r"],
    "marked": ["down", "down", "down"],
    "help": ["f2"],
    "finder": ["f3", "vo"],
    "jobs": ["f9"],
    "form": ["/ent\r"],
    "form-wrong": ["/ent\r", "kv\r1,,2"],
    "form-read": ["/ent\r", "kv\r1,2"],
}
SIZES = [(80, 24), (120, 40)]


async def show(app: DemoApp, pilot: Pilot[None], keys: list[str]) -> None:
    """Bring the program into a state."""
    await settle(app)
    await send(app, *keys)
    await pilot.pause()


def test_contrast_measure() -> None:
    """The measure gives 21 for black on white and 4.54 for #767676 on white, as published with WCAG."""
    assert contrast(Cell("x", (0, 0, 0), (255, 255, 255))) == pytest.approx(21)
    assert contrast(Cell("x", (0x76, 0x76, 0x76), (255, 255, 255))) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: "x".join(map(str, size)))
@pytest.mark.parametrize("state", STATES)
def test_dump(tmp_path: Path, state: str, size: tuple[int, int]) -> None:
    """Each state looks as it was reviewed, at the smallest size and at a larger one."""

    async def running() -> str:
        app = DemoApp(tmp_path)
        async with app.run_test(size=size) as pilot:
            await show(app, pilot, STATES[state])
            return dump(app)

    seen = asyncio.run(running())
    kept = DUMPS / f"{state}-{size[0]}x{size[1]}.txt"
    if os.environ.get("LOTWAKE_WRITE_DUMPS"):
        DUMPS.mkdir(exist_ok=True)
        kept.write_text(seen, encoding="utf-8")
    assert seen == kept.read_text(encoding="utf-8")


@pytest.mark.parametrize("theme", ["night", "day"])
def test_contrast_everywhere(tmp_path: Path, theme: str) -> None:
    """Every text on every state of the pages, placeholder and selected row too, has at least 4.5:1."""

    async def running() -> Iterator[tuple[str, Cell]]:
        found = []
        for state, keys in STATES.items():
            app = DemoApp(tmp_path / state, theme=theme)
            async with app.run_test(size=(80, 24)) as pilot:
                await show(app, pilot, keys)
                found += [(state, cell) for cell in cells(app)]
        return iter(found)

    measured = list(asyncio.run(running()))
    assert {state for state, _ in measured} == set(STATES)
    assert any("ode or name" in cell.text for _, cell in measured)
    assert any("> " in cell.text and "row 3" in cell.text for _, cell in measured)
    low = sorted({(round(contrast(cell), 2), state, cell.text.strip()) for state, cell in measured})
    assert low[0][0] >= 4.5, low[:10]


def test_without_colour(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR set every text is grey, and the selected row and the result are still told by signs and words."""
    monkeypatch.setenv("NO_COLOR", "1")

    async def running() -> tuple[str, list[Cell]]:
        app = DemoApp(tmp_path)
        async with app.run_test(size=(80, 24)) as pilot:
            await show(app, pilot, ["down", "5000\r"])
            return dump(app), list(cells(app))

    text, drawn = asyncio.run(running())
    assert " STOP" in text
    assert "> 14:01" in text
    assert all(len(set(cell.ink)) == 1 and len(set(cell.ground)) == 1 for cell in drawn)
    assert min(contrast(cell) for cell in drawn) >= 4.5


@pytest.mark.parametrize("width", [80, 100])
def test_every_key_of_the_bar_is_seen(tmp_path: Path, width: int) -> None:
    """At 80 columns no key is lost from the key bar, however long a page's labels are."""

    async def running() -> str:
        app = DemoApp(tmp_path)
        async with app.run_test(size=(width, 24)) as pilot:
            await show(app, pilot, [])
            return dump(app).splitlines()[-1]

    shown = asyncio.run(running())
    assert [key for key in (*(f"F{n}" for n in range(2, 10)), "Esc") if f" {key} " not in shown] == []


def test_bell_only_for_stop(tmp_path: Path) -> None:
    """A STOP is heard; other results are not."""

    async def running() -> list[str]:
        app, rung = DemoApp(tmp_path), list[str]()
        app.bell = lambda: rung.append(app.line.value)  # type: ignore[method-assign]
        async with app.run_test(size=(80, 24)):
            await settle(app)
            for line in ("24", "5000", "/no"):
                await send(app, line + "\r")
        return rung

    assert len(asyncio.run(running())) == 1
