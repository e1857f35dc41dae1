"""Writing and reading the record through: an old log book brought in, verify, four stations at once, labels."""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path

from bring_in_rows import ROWS_OF_A_BATCH, START, plain_sqlite_s, write_book
from figures import Report
from histories import SITE
from label_speed import DOTS_203, LEAST_AGAINST_USUAL, ROLL_100X60, SPEC, ours, us_per_label, usual
from stations import LIMITS, at_once, given_twice, said, small_house

from lotwake.labels.layout.pack_label import checked_spec, lay_out
from lotwake.trace.actions.bring_in.load import bring_in
from lotwake.trace.actions.desk import set_up_house
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.records.verify import verify

HERE = Path(__file__).parent
SECONDS, SERIALS = 2.0, 4_000
LABELS = 2_000
VERIFIED_A_MINUTE = 1_000_000


def log_book(folder: Path, rows: int, report: Report) -> None:
    """Rows a second through the rules, and rows a second verified; both of the processor."""
    book = folder / "book"
    book.mkdir()
    write_book(book, max(1, rows // ROWS_OF_A_BATCH))
    plain_s = plain_sqlite_s(book, folder / "plain.db")
    clock = SetClock(START + timedelta(hours=6) * (rows // ROWS_OF_A_BATCH + 10))
    desk = set_up_house(places_at(folder / "house"), SITE, "SK", "Signe Kvist", clock)
    began, busy = time.perf_counter(), time.process_time()
    outcome = bring_in(desk, book)
    took_s, busy_s = time.perf_counter() - began, time.process_time() - busy
    brought = sum(outcome.counts.values())
    busy = time.process_time()
    found = verify(desk.records)
    verify_s = time.process_time() - busy
    desk.close()
    assert outcome.kept
    assert found.whole
    report.add("rows of a log book a second, through the rules", brought / busy_s, "", 5_000.0, at_least=True)
    report.add("the same against plain SQLite without any rule", took_s / plain_s, "x", 200.0)
    report.add("records verified in a minute", found.rows / verify_s * 60, "", VERIFIED_A_MINUTE, at_least=True)


def four_stations(folder: Path, report: Report) -> None:
    """Four stations that write as fast as they can."""
    desk, run = small_house(places_at(folder))
    alone_ms, _ = said("SQLite's own waiting", at_once(folder, run, queued=False, seconds=SECONDS))
    saturated = at_once(folder, run, seconds=SECONDS)
    longest_ms, share = said("in a queue", saturated)
    many = at_once(folder, run, rounds=SERIALS // 10 // 4)
    report.add("four stations: locked out", sum(work.refused for work in saturated + many), "", 0)
    report.add("four stations: the longest wait", longest_ms, "ms", LIMITS["longest wait, ms"])
    report.add("four stations: the longest wait without the queue", alone_ms, "ms")
    report.add("four stations: slowest to fastest", share, "x", LIMITS["slowest station to the fastest"], at_least=True)
    report.add("four stations: serials given twice", given_twice(desk, saturated + many), "", 0)
    desk.close()


def labels(report: Report) -> None:
    """Labels with checks, layout and bars, against pictures of bar codes placed on a page."""
    layout = lay_out(checked_spec(SPEC), LABELS, ROLL_100X60, DOTS_203)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "labels.pdf"
        usual_us = us_per_label(usual, layout, 20, out)
        ours_us = us_per_label(ours, layout, LABELS, out)
    report.add("labels a second", 1e6 / ours_us, "")
    report.add("labels against the usual way", usual_us / ours_us, "x", LEAST_AGAINST_USUAL, at_least=True)


def start_up(report: Report) -> None:
    """The program to its first frame, against an empty Textual program: ``start_up.py`` by itself."""
    ran = subprocess.run([sys.executable, str(HERE / "start_up.py")], capture_output=True, text=True, check=False)
    found = re.search(r"ratio ([\d.]+) \(limit ([\d.]+)\)", ran.stdout)
    assert found is not None, ran.stdout + ran.stderr
    report.add("start to first frame, against an empty program", float(found[1]), "x", float(found[2]))


def measure(folder: Path, rows: int, report: Report) -> None:
    """All figures of writing."""
    for name in ("book", "stations"):
        (folder / name).mkdir()
    log_book(folder / "book", rows, report)
    four_stations(folder / "stations" / "house", report)
    labels(report)
    start_up(report)
