"""The program at work on a long record: scan to screen, a cold call of the shell, entries a second, the common source.

Limits in seconds are set against processor time, which other work on the machine changes little; the clock's time is beside it.
"""

from __future__ import annotations

import asyncio
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from figures import Report
from histories import House
from shapes import best_ms
from textual import events

from lotwake.trace.actions import receive
from lotwake.trace.actions.common_source import common_source_of
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.clock import SetClock
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.page import Page
from lotwake.trace.screens.program import house_app
from lotwake.trace.screens.trace_page import TracePage

ENTRIES = 200
POLL_S = 0.004
"""How often the page is looked at: looking takes time of the processor itself."""
_NAMED = {"\r": "enter", "/": "slash"}
COMPLAINTS = 10
_CALL = (
    "import sys; from datetime import datetime; from lotwake.trace.base.clock import SetClock;"
    "from lotwake.trace.cli.main import main; sys.exit(main(sys.argv[2:], SetClock(datetime.fromisoformat(sys.argv[1]))))"
)


def measure(house: House, size: str, report: Report) -> None:
    """All figures of a day's work on this history."""
    walls, busy = (sorted(times) for times in zip(*asyncio.run(_scanned(house)), strict=True))
    late = int(len(busy) * 0.95)
    report.add(f"scan to painted answer, {size}, 95 of 100: processor", busy[late], "ms", 100.0)
    report.add(f"scan to painted answer, {size}, 95 of 100: clock", walls[late], "ms")
    wall_s, busy_s = cold_s(house)
    report.add(f"a trace from a cold shell, {size}: processor", busy_s, "s", 0.3)
    report.add(f"a trace from a cold shell, {size}: clock", wall_s, "s")
    desk = open_desk(house.places, "SK", SetClock(house.now))
    first = house.packs[0].id
    around = [(first + n, 1) for n in range(COMPLAINTS)]
    report.add(
        f"common source of {COMPLAINTS} complaints, {size}: processor",
        best_ms(lambda: common_source_of(desk, around), clock=time.process_time), "ms", 250.0,
    )  # fmt: skip
    entries(desk, report)
    desk.close()


async def _scanned(house: House) -> list[tuple[float, float]]:
    """Milliseconds, by the clock and of the processor, from the first key of a scan to the painted answer of the trace page."""
    app = house_app(open_desk(house.places, "SK", SetClock(house.now)))
    taken: list[tuple[float, float]] = []
    async with app.run_test(size=(80, 24)) as pilot:
        _type(app, "/trace\r")
        while not isinstance(app.page, TracePage):
            await pilot.pause()
        for thing in house.packs + house.lots:
            text = thing.code if thing.serial is None else f"{thing.code}/{thing.serial}"
            began, busy = time.perf_counter(), time.process_time()
            _type(app, f"{text}\r")
            while not _answered(app.page, thing.id):
                await asyncio.sleep(POLL_S)
            await _painted(app)
            taken.append(((time.perf_counter() - began) * 1000, (time.process_time() - busy) * 1000))
            await pilot.pause()
        app.drafts.close()
    return taken


def _type(app: HouseApp, text: str) -> None:
    """All keys at once, as a scanner delivers them."""
    for mark in text:
        app.post_message(events.Key(_NAMED.get(mark, mark), mark))


def _answered(page: Page, ref: int) -> bool:
    return isinstance(page, TracePage) and page.subject is not None and page.subject.id == ref and not page.doing


async def _painted(app: HouseApp) -> None:
    done = asyncio.Event()
    app.call_after_refresh(done.set)
    await done.wait()


def cold_s(house: House, times: int = 5) -> tuple[float, float]:
    """The best seconds, by the clock and of the processor, of a forward trace in a process of its own, from start to end."""
    words = ["--at", str(house.places.folder), "trace", "forward", house.lots[0].code, "--json"]
    call = [sys.executable, "-c", _CALL, house.now.isoformat(), *words]
    walls, busy = [], []
    for _ in range(times):
        before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run(call, check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        walls.append(time.perf_counter() - began)
        busy.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(walls), min(busy)


def entries(desk: Desk, report: Report) -> None:
    """Landings entered one by one, against rows of a bare SQLite file committed one by one, both to the disk."""
    began = time.perf_counter()
    for number in range(ENTRIES):
        fish = receive.Arrival("landing", "Aurora", 5_000 + number, species="HAD", area="27")
        receive.receive(desk, fish, another=True)
    ours_s = (time.perf_counter() - began) / ENTRIES
    with tempfile.TemporaryDirectory() as folder:
        plain = sqlite3.connect(Path(folder) / "plain.db", isolation_level=None)
        plain.execute("PRAGMA journal_mode = wal")
        plain.execute("PRAGMA synchronous = full")
        plain.execute("CREATE TABLE line (text TEXT)")
        began = time.perf_counter()
        for number in range(ENTRIES):
            plain.execute("INSERT INTO line VALUES (?)", (f"line {number}",))
        plain_s = (time.perf_counter() - began) / ENTRIES
        plain.close()
    report.add("entries a second", 1 / ours_s, "")
    report.add("an entry against a bare commit", ours_s / plain_s, "x", 10.0)
