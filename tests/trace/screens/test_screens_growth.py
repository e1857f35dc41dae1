"""A program that runs all day does not grow."""

from __future__ import annotations

import asyncio
import gc
from pathlib import Path

from screens_demo import DemoApp
from screens_seen import send, settle

ROUNDS = 500
WARM_UP = 60


async def _round(app: DemoApp, number: int) -> None:
    """One of: a scan, a typed line, a focus change, help, finder, a page change and back."""
    turns = (["]C1012\r"], ["24\r"], ["f2", "escape"], ["f3", "v", "escape"], ["/ent\r", "\t\t", "escape"])
    await send(app, *turns[number % len(turns)], draw_s=0)


def test_objects_do_not_grow(tmp_path: Path) -> None:
    """Over 500 rounds of scans, lines, focus and page changes, help and finder, objects grow by under 2 %."""

    async def running() -> tuple[int, int, int]:
        app = DemoApp(tmp_path)
        async with app.run_test(size=(80, 24)):
            await settle(app)
            for number in range(WARM_UP):
                await _round(app, number)
            app.table.heard.clear()
            gc.collect()
            before = len(gc.get_objects())
            for number in range(ROUNDS):
                await _round(app, number)
            heard = len(app.table.heard)
            app.table.heard.clear()
            gc.collect()
            return before, len(gc.get_objects()), heard

    before, after, heard = asyncio.run(running())
    assert heard == ROUNDS // 5 * 2
    assert after - before < 0.02 * before, f"{before} objects became {after}"
