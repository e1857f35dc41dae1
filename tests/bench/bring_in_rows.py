"""How fast an old log book comes in, against writing the same rows with nothing but SQLite's ``executemany``.

Run it from a shell, with the program installed:

    python tests/bench/bring_in_rows.py --rows 100000

It makes an invented book of about that many rows in a temporary folder, brings it in through the rules of the record,
checks the journal, and prints rows a second, the ratio to plain SQLite in the same run, and the peak memory.
"""

from __future__ import annotations

import argparse
import csv
import resource
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from pathlib import Path

from lotwake.trace.actions.bring_in.load import bring_in
from lotwake.trace.actions.bring_in.sheets import BY_NAME
from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.records.entries.house import SiteFacts
from lotwake.trace.records.verify import verify

Fields = dict[str, str | int]
START = datetime(2016, 1, 4, 5, tzinfo=UTC)
BOATS, BUYERS, CASES_IN_RUN, PACKS_IN_CASE = 12, 40, 10, 12
ROWS_OF_A_BATCH = 46
"""One lot, one batch and its two inputs, a step, eight readings, a loss, a run, ten cases of two rows, ten dispatch rows
and a pallet row, about."""


def rows_of(batches: int) -> Iterator[tuple[str, Fields]]:
    """The rows of a book with this many batches: the name of the file, and the fields."""
    for n in range(BOATS):
        yield "sources", {"kind": "boat", "name": f"Boat {n}", "mark": f"N-{n}-X"}
    for n in range(BUYERS):
        yield "buyers", {"name": f"Buyer {n}", "phone": f"+47 00 00 00 {n:02d}"}
    yield "suppliers", {"name": "Bag House"}
    yield "equipment", {"name": "Kiln 1", "kind": "smokehouse"}
    yield (
        "products",
        {
            "gtin": "9520000000028",
            "name": "Hot smoked haddock",
            "smoking": "hot smoked",
            "net_g": 300,
            "life_days": 60,
            "species": "HAD",
        },
    )
    for n in range(batches):
        yield from _rows_of_batch(n, START + timedelta(hours=6) * n)


def _rows_of_batch(n: int, at: datetime) -> Iterator[tuple[str, Fields]]:
    lot, batch, run = f"H-{n}", f"B-{n}", f"R-{n}"
    yield (
        "lots",
        {
            "lot": lot,
            "kind": "landing",
            "sender": f"Boat {n % BOATS}",
            "received": _said(at),
            "kg": "60.5",
            "species": "HAD",
            "area": "27.4.b",
            "gear": "OTB",
            "another": "yes",
        },
    )
    yield "batches", {"batch": batch, "smoking": "hot smoked", "started": _said(at, 60), "equipment": "Kiln 1"}
    yield "batch_inputs", {"batch": batch, "input": lot, "kg": "40"}
    yield "batch_inputs", {"batch": batch, "input": f"H-{n - 1}" if n else lot, "kg": "10"}
    yield "steps", {"batch": batch, "step": "smoking", "started": _said(at, 90), "ended": _said(at, 200)}
    for minute in range(8):
        fields: Fields = {"batch": batch, "kind": "core", "at": _said(at, 150 + 5 * minute), "value": f"6{minute}.5"}
        yield "readings", fields
    yield "losses", {"of": batch, "kind": "drying", "kg": "10", "at": _said(at, 210)}
    packs = CASES_IN_RUN * PACKS_IN_CASE
    yield "runs", {"run": run, "product": "9520000000028", "packed": _said(at, 240), "packs": packs, "batch": batch}
    for case in range(CASES_IN_RUN):
        first = case * PACKS_IN_CASE + 1
        half = PACKS_IN_CASE // 2
        for start in (first, first + half):
            fields = {"case": f"C-{n}-{case}", "run": run, "first": start, "last": start + half - 1}
            yield "cases", {**fields, "closed": _said(at, 250)}
    yield "pallets", {"pallet": f"P-{n}", "unit": f"C-{n}-0", "built": _said(at, 255)}
    for case in range(CASES_IN_RUN):
        unit = f"C-{n}-{case}" if case else f"P-{n}"
        fields = {"document": f"DN-{n}-{case // 5}", "buyer": f"Buyer {(n + case // 5) % BUYERS}"}
        yield "dispatches", {**fields, "at": _said(at, 300), "unit": unit}


def _said(at: datetime, minutes: int = 0) -> str:
    return (at + timedelta(minutes=minutes)).strftime("%Y-%m-%d %H:%M")


def write_book(folder: Path, batches: int) -> None:
    """Write the files of a book."""
    writers: dict[str, csv.DictWriter[str]] = {}
    with ExitStack() as files:
        for name, fields in rows_of(batches):
            if name not in writers:
                stream = files.enter_context((folder / f"{name}.csv").open("w", encoding="utf-8", newline=""))
                columns = [column.name for column in BY_NAME[name].columns]
                writers[name] = csv.DictWriter(stream, columns, restval="")
                writers[name].writeheader()
            writers[name].writerow(fields)


def plain_sqlite_s(folder: Path, target: Path) -> float:
    """Seconds in which SQLite alone takes the same rows as text, one table for each file, in one transaction."""
    connection = sqlite3.connect(target)
    connection.execute("PRAGMA journal_mode = wal")
    started = time.perf_counter()
    with connection:
        for path in sorted(folder.glob("*.csv")):
            with path.open(encoding="utf-8", newline="") as stream:
                rows = csv.reader(stream)
                columns = next(rows)
                connection.execute(f"CREATE TABLE {path.stem} ({', '.join(f'[{name}]' for name in columns)})")
                marks = ", ".join("?" * len(columns))
                connection.executemany(f"INSERT INTO {path.stem} VALUES ({marks})", rows)
    connection.close()
    return time.perf_counter() - started


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rows", type=int, default=100_000)
    wanted: int = parser.parse_args().rows
    batches = max(1, wanted // ROWS_OF_A_BATCH)
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        book = top / "book"
        book.mkdir()
        write_book(book, batches)
        plain_s = plain_sqlite_s(book, top / "plain.db")
        clock = SetClock(START + timedelta(hours=6) * (batches + 10))
        site = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")
        desk = set_up_house(places_at(top / "house"), site, "SK", "Signe Kvist", clock)
        started = time.perf_counter()
        outcome = bring_in(desk, book)
        took_s = time.perf_counter() - started
        whole = verify(desk.records).whole
        desk.close()
    rows = sum(outcome.counts.values())
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    out = sys.stdout.write
    for problem in outcome.problems[:10]:
        out(f"{problem}\n")
    out(f"rows {rows:,}  kept {outcome.kept}  record whole {whole}\n")
    out(f"through the rules {took_s:.1f} s, {rows / took_s:,.0f} rows/s\n")
    out(f"plain SQLite {plain_s:.2f} s, {rows / plain_s:,.0f} rows/s; ratio {took_s / plain_s:.1f}\n")
    out(f"peak memory {peak_mb:.0f} MB\n")


if __name__ == "__main__":
    main()
