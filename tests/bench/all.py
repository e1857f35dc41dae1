"""Every bench in one run, each figure beside its limit.

    python tests/bench/all.py                    a small house of a year and a middling one of ten: about three minutes
    python tests/bench/all.py --large            ten years of a big plant (8 million rows): some ten minutes, 4 GB of memory
    python tests/bench/all.py --write-readme     and put the table into the README
    python tests/bench/all.py --url postgresql://...   and the trace statements on an empty database of a server

Ratios hold on any machine; times are the best or the median of several, or of the processor alone. The exit code is 1 when
one figure is on the wrong side of its limit.
"""

from __future__ import annotations

import argparse
import os
import platform
import sqlite3
import sys
import tempfile
from pathlib import Path

import at_work
import on_server
import shapes
import trace_growth
import writing
from figures import Report, table, write_between_marks
from histories import CASES, PACKS, SIZES, House, filled

README = Path(__file__).parents[2] / "README.md"
ROWS = {"M": 20_000, "L": 100_000}
"""Rows of the old log book that is brought in."""


def bytes_a_pack(house: House, size: str, report: Report) -> None:
    """What a pack takes on disk with all that belongs to it."""
    house.records.run("PRAGMA wal_checkpoint(TRUNCATE)")
    packs = SIZES[size][0] * CASES * PACKS
    report.add(f"on disk for each pack, all in, {size}", house.path.stat().st_size / packs, "bytes", 25.0)


def run(sizes: list[str], url: str, report: Report) -> str:
    """Measure everything; what was measured on is given back."""
    last = sizes[-1]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        houses = {size: filled(size, folder) for size in sizes}
        trace_growth.measure(houses, report)
        bytes_a_pack(houses[last], last, report)
        for house in houses.values():
            house.records.close()
        at_work.measure(houses[last], last, report)
        for part in ("shapes", "writing"):
            (folder / part).mkdir()
        shapes.measure(folder / "shapes", report)
        writing.measure(folder / "writing", ROWS[last], report)
        if url:
            on_server.measure(houses, url, report)
    small, large = (houses[size].rows for size in sizes)
    return (
        f"S is a year of a small house ({small:,} rows), {last} ten years of a larger one ({large:,} rows); CPython\n"
        f"{platform.python_version()}, SQLite {sqlite3.sqlite_version}, {os.cpu_count()} processors with"
        f" {os.getloadavg()[0]:.0f} at work at the end. Made by `python tests/bench/all.py`."
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--large", action="store_true", help="ten years of a big plant instead of a middling one")
    parser.add_argument("--write-readme", action="store_true", help="put the table into the README")
    parser.add_argument("--url", default="", help="an empty database of a PostgreSQL server")
    args = parser.parse_args()
    report = Report()
    measured_on = run(["S", "L" if args.large else "M"], args.url, report)
    if args.write_readme:
        write_between_marks(README, ["", measured_on, "", *table(report.figures), ""])
    return report.verdict()


if __name__ == "__main__":
    sys.exit(main())
