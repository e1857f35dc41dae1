"""Four stations that write to one record as fast as they can: who waits how long, and is any number given out twice?

    python tests/bench/stations.py                        SQLite: 4 seconds each way, then 100,000 serials
    python tests/bench/stations.py --url postgresql://... the same on an empty database of a server

Not collected by pytest. The longest wait is set against the database's own waiting without the queue, in this one run. The
exit code is 1 if a limit is broken.
"""

from __future__ import annotations

import argparse
import multiprocessing
import sys
import tempfile
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

from lotwake.trace.actions import pack, receive, set_up, ship, smoke
from lotwake.trace.actions.desk import Desk, open_desk, set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import LotwakeError
from lotwake.trace.base.places import Places, places_at
from lotwake.trace.base.ranges import Serials, merged
from lotwake.trace.records.entries.house import ProductFacts, SiteFacts, SourceFacts
from lotwake.trace.records.verify import verify

BEGAN = SetClock(datetime(2026, 11, 24, 5, tzinfo=UTC))
STATIONS = 4
LIMITS = {
    "locked out": 0,  # entries that a person is told to make again
    "longest wait, ms": 500.0,
    "slowest station to the fastest": 0.3,  # at least
    "given twice": 0,
}


@dataclass
class Work:
    """What one station did: the serials it was given, the cases it closed, its waits in ms, and its refusals."""

    serials: list[tuple[int, int]]
    cases: list[str]
    waits_ms: list[float]
    refused: int


def small_house(places: Places) -> tuple[Desk, str]:
    """A house with one run that has fish for a million packs."""
    desk = set_up_house(
        places, SiteFacts("Skerry", "Quay 1", "NO", "9520000", "Europe/Oslo"), "SK", "Signe Kvist", BEGAN
    )
    set_up.add_source(desk, SourceFacts("boat", "Aurora", "N-12-X"))
    set_up.add_product(desk, ProductFacts("09520000000028", "Smoked haddock", "hot smoked", 100, 60, "HAD"))
    lot = receive.receive(desk, receive.Arrival("landing", "Aurora", 100_000_000, species="HAD", area="27"))
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(lot.code, 100_000_000)])
    smoke.release_batch(desk, batch.code)
    return desk, pack.start_run(desk, "Smoked haddock", [(batch.code, None)]).code


def station(folder: Path, run: str, queued: bool, seconds: float, rounds: int, ready: Any, answers: Any) -> None:
    """Once all are ready, pack ten and, every tenth time, case them, until the time is over or so many rounds are done."""
    desk = open_desk(places_at(folder), "SK", BEGAN)
    if not queued:
        desk.records.file = None
    done = Work([], [], [], 0)
    ready.wait()
    until = time.monotonic() + seconds
    while len(done.waits_ms) < rounds and time.monotonic() < until:
        began = time.perf_counter()
        try:
            made = pack.add_packs(desk, run, 10)
            done.waits_ms.append((time.perf_counter() - began) * 1000)
            done.serials.append((made.first, made.last))
            if len(done.serials) % 10 == 0:
                done.cases.append(ship.close_case(desk, [f"{run}/{made.first}-{made.last}"]).code)
        except LotwakeError as error:
            done.refused += 1
            sys.stderr.write(f"{error}\n")
    desk.close()
    answers.put(done)


def at_once(folder: Path, run: str, queued: bool = True, seconds: float = 3_600, rounds: int = 10**9) -> list[Work]:
    """Let all stations work at the same time."""
    context = multiprocessing.get_context("spawn")
    answers, ready = context.Queue(), context.Barrier(STATIONS)
    args = (folder, run, queued, seconds, rounds, ready, answers)
    stations = [context.Process(target=station, args=args) for _ in range(STATIONS)]
    for each in stations:
        each.start()
    done = [answers.get() for _ in stations]
    for each in stations:
        each.join()
    return done


def said(name: str, done: list[Work]) -> tuple[float, float]:
    """Print one line; the longest wait and the share of the slowest station are given back."""
    waits = sorted(wait for work in done for wait in work.waits_ms)
    counts = sorted(len(work.waits_ms) for work in done)
    middle, late = waits[len(waits) // 2], waits[int(len(waits) * 0.99)]
    share = counts[0] / counts[-1]
    sys.stdout.write(
        f"{name:24} {len(waits):7} entries  p50 {middle:6.1f}  p99 {late:7.1f}  longest {waits[-1]:7.1f} ms"
        f"  slowest/fastest {share:.2f}  refused {sum(work.refused for work in done)}\n"
    )
    return waits[-1], share


def given_twice(desk: Desk, done: list[Work]) -> int:
    """How many serials and cases were given to two, or are not in the record as they were given."""
    ranges = sorted(Serials(*given) for work in done for given in work.serials)
    cases = [case for work in done for case in work.cases]
    stored = desk.records.rows("SELECT first, last FROM pack_range ORDER BY first")
    missing = {(item.first, item.last) for item in ranges} - set(stored)
    overlaps = sum(a.last >= b.first for a, b in pairwise(Serials(*item) for item in stored))
    holes = len(merged([Serials(*item) for item in stored])) - 1
    return overlaps + len(missing) + holes + len(cases) - len(set(cases))


def main() -> int:
    """Measure and print; 1 when a limit is broken."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--url", default="", help="an empty database of a server")
    parser.add_argument("--seconds", type=float, default=4.0)
    parser.add_argument("--serials", type=int, default=100_000)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        places = places_at(Path(folder))
        if args.url:
            places.settings.write_text(f'database = "{args.url}"\n', encoding="utf-8")
        desk, run = small_house(places)
        if not args.url:
            said("SQLite's own waiting", at_once(places.folder, run, queued=False, seconds=args.seconds))
        saturated = at_once(places.folder, run, seconds=args.seconds)
        longest_ms, share = said("in a queue" if not args.url else "on the server", saturated)
        began = time.perf_counter()
        many = at_once(places.folder, run, rounds=args.serials // 10 // STATIONS)
        took_s = time.perf_counter() - began
        said(f"{args.serials:,} serials", many)
        twice = given_twice(desk, saturated + many)
        whole = verify(desk.records).whole
        desk.close()
    found = {
        "locked out": sum(work.refused for work in saturated + many),
        "longest wait, ms": longest_ms,
        "slowest station to the fastest": share,
        "given twice": twice,
    }
    broken = [
        name for name, value in found.items() if (value < LIMITS[name] if "slowest" in name else value > LIMITS[name])
    ]
    sys.stdout.write(
        f"{args.serials:,} serials in {took_s:.1f} s; given twice: {twice}; the record is whole: {whole}\n"
    )
    for name in broken:
        sys.stdout.write(f"BROKEN: {name} is {found[name]:.2f}, the limit {LIMITS[name]}\n")
    return 1 if broken or not whole else 0


if __name__ == "__main__":
    sys.exit(main())
