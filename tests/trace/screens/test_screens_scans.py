"""Scans on every page of the real program through a pseudo-terminal: none lost, none doubled, no key astray.

``LOTWAKE_SCANS=10000`` makes the long run before an upgrade of Textual.
"""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import cycle, islice
from pathlib import Path
from statistics import quantiles

import pytest
from screens_house import House
from screens_stock import Stock, packing_house
from screens_terminal import Terminal, terminal

from lotwake.trace.base.codes import CodeKind, make_code, show_code
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.program import pages

SCANS = int(os.environ.get("LOTWAKE_SCANS", "200"))
pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are POSIX")
FORMS = ("]C1", "]d2", "]Q3", "]C0")
IN_A_VISIT = 4
LAST = f"]C0{make_code(CodeKind.RUN, date(2026, 2, 1), 999)}"


@dataclass(frozen=True)
class Visit:
    """A page gone to by its word, and the scans made there; the last is of something the house knows."""

    page: str
    scans: tuple[str, ...]


def visits(stock: Stock, run: str, case: str) -> Iterator[Visit]:
    """Pages round and round; unknown runs in several forms of code, each once, then a known thing."""
    known = cycle([f"]C0{stock.batch}", f"]C0{stock.house.lot}", f"]C0{run}", f"]C100{case}"])
    number = 1000
    for page in cycle(pages(DraftStore(stock.house.places.drafts, print))):
        scans = []
        for form in FORMS[: IN_A_VISIT - 1]:
            number += 1
            code = make_code(CodeKind.RUN, date(2026, 1, 1 + number % 28), number)
            # The demonstration GTIN prefix 952 (GS1); the runs are invented and in no record. GS stands between.
            scans.append(f"{form}010952000000002810{code}\x1d17270101")
        yield Visit(page, (*scans, next(known)))


def heard_scans(shown: Terminal) -> tuple[list[str], list[str], set[str]]:
    """Scans in order, everything else in order, and the pages that took a scan."""
    rows = [row.split(" ", 2) for row in shown.heard()]
    scans = [text for _page, kind, text in rows if kind == "scan"]
    rest = [f"{kind} {text}" for _page, kind, text in rows if kind != "scan"]
    return scans, rest, {page for page, kind, _text in rows if kind == "scan"}


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Stock, str, str]:
    """A house with packs and cases, left alone by the scans: they only show and choose."""
    stock = packing_house(tmp_path_factory.mktemp("scans") / "house")
    run = stock.packed_run(30)
    return stock, run, stock.cases(run)[0]


def journal_size(house: House) -> object:
    """How many entries there are."""
    desk = house.desk()
    count: object = desk.records.value("SELECT COUNT(*) FROM journal")
    desk.close()
    return count


@pytest.mark.parametrize("a_key_s", [0.0, 0.001], ids=["full burst", "1 ms a key"])
def test_scans_on_every_page(tmp_path: Path, kept: tuple[Stock, str, str], a_key_s: float) -> None:
    """Every scan reaches a page whole, once, in order; nothing else happens: no command, no line, no entry."""
    house, sent, waits_s = kept[0].house, list[str](), list[float]()
    before = journal_size(house)
    rounds = list(islice(visits(*kept), -(-SCANS // IN_A_VISIT)))
    with terminal(tmp_path, script="screens_recording.py", arguments=[str(house.places.folder)]) as shown:
        for visit in rounds:
            if a_key_s:
                shown.write(f"/{visit.page}\r".encode())
                shown.be_quiet()
                waits_s += [typed_and_seen(shown, scan, a_key_s) for scan in visit.scans[:-1]]
                shown.write(f"{visit.scans[-1]}\r".encode())
            else:
                shown.write("\r".join([f"/{visit.page}", *visit.scans, ""]).encode())
            sent += visit.scans
        shown.write(f"{LAST}\r".encode())
        shown.wait_for(show_code(LAST[3:]), within_s=60 + SCANS / 5)
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
        scans, rest, reached = heard_scans(shown)
    assert [row for row in rest if row.startswith("broke")] == []
    assert scans == [*sent, LAST]
    assert rest == [f"line /{visit.page}" for visit in rounds]
    assert reached >= {visit.page for visit in rounds}
    assert journal_size(house) == before
    if waits_s:
        half, late = (1000 * quantiles(waits_s, n=20)[at] for at in (9, 18))
        print(f"{len(sent)} scans; last key to painted, ms: p50 {half:.0f}, p95 {late:.0f}")  # noqa: T201 (the measure)


def typed_and_seen(shown: Terminal, scan: str, a_key_s: float) -> float:
    """Seconds from the last key of a scan until its answer is painted; every page checks what the house does not know."""
    for key in scan:
        shown.write(key.encode())
        time.sleep(a_key_s)
    shown.read()
    mark = len(shown.output)
    shown.write(b"\r")
    begun_s = time.monotonic()
    shown.wait_for(" CHECK ", since=mark)
    return time.monotonic() - begun_s
