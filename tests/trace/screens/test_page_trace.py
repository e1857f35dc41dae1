"""The trace page: both ways at once, walked by keys and by scans, answered, searched, saved and stopped."""

from __future__ import annotations

import asyncio
import json
import time
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import pytest
from screens_house import do, dump, said, work
from screens_stock import Stock, done, idle, label, packing_house, sscc

from lotwake.demo_db.builder import Built
from lotwake.demo_db.scenario import MORNING_AFTER
from lotwake.trace.actions import smoke
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.codes import show_code
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.screens import trace_page
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.program import house_app
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.trace_page import TracePage
from lotwake.trace.screens.trace_rows import reached
from lotwake.trace.screens.widgets import Ledger


@dataclass(frozen=True)
class Sent:
    """A house with 30 packs of the batch: a case at each of two buyers, six packs loose here."""

    stock: Stock
    run: str
    cases: list[str]


@pytest.fixture
def sent(tmp_path: Path) -> Sent:
    stock = packing_house(tmp_path / "house")
    run = stock.packed_run(30)
    cases = stock.cases(run)
    stock.sent(cases[:1])
    stock.sent(cases[1:], buyer="Hill Kitchen", document="DN-8")
    return Sent(stock, run, cases)


def page(app: HouseApp) -> TracePage:
    """The trace page."""
    shown = app.page
    assert isinstance(shown, TracePage)
    return shown


def rows(app: HouseApp) -> list[tuple[str, str]]:
    """Sign and role with what stands in each row."""
    found = page(app).rows
    assert found is not None
    return [(f"{row.cells[0]:1} {row.cells[1]}", row.cells[2]) for row in found.window(0, len(found))]


def test_both_ways_from_a_batch(sent: Sent) -> None:
    """One page shows what went in, the batch, its packs and buyers, what is here, and the weights between them."""
    stock = sent.stock

    async def script(app: HouseApp) -> None:
        await done(app, "/trace\r", f"{stock.batch}\r")
        assert [part for part in rows(app) if "case" not in part[1]] == [
            ("^ from", "Aurora, Haddock"),
            ("  HERE", f"batch {show_code(stock.batch)}"),
            ("v to", f"run {show_code(sent.run)}"),
            ("v to", "Quay Deli"),
            ("v to", "Hill Kitchen"),
            ("  in", "our house"),
        ]
        shown = dump(app)
        assert "BALANCED" in shown
        for text in (
            "BOATS 1",
            "30.0 kg >",
            "-6.0 loss",
            "-15.0 left",
            "PACKS 30",
            "CASES 2",
            "BUYERS 2",
            "6 in house",
        ):
            assert text in shown
        assert "ANSWER  From Haddock landed 23 Nov 2026 by Aurora" in shown

    work(stock.house, script)


def test_a_code_behind_the_word_of_the_page(sent: Sent) -> None:
    """``/trace CODE`` goes to the page and traces the code at once."""

    async def script(app: HouseApp) -> None:
        await do(app, f"/trace {sent.run}\r")
        await idle(app)
        assert show_code(sent.run) in dump(app)
        assert "BALANCED" in dump(app)

    work(sent.stock.house, script)


def test_walk_by_keys_and_back(sent: Sent) -> None:
    """Down marks a row, Enter walks to it, ``-`` walks back."""
    stock = sent.stock

    async def script(app: HouseApp) -> None:
        await done(app, "/trace\r", f"{stock.batch}\r", "down", "\r")
        assert f"RUN {show_code(sent.run)}" in dump(app)
        await done(app, "up", "up", "\r")
        assert f"LOT {show_code(stock.house.lot)}" in dump(app)
        await done(app, "-\r", "-\r")
        assert f"BATCH {show_code(stock.batch)}" in dump(app)
        assert (await done(app, "-\r"))[1].startswith("Nothing was traced before this.")

    work(stock.house, script)


def test_walk_by_scans_alone(sent: Sent) -> None:
    """A case, then a pack of it: each scan traces anew, the card walks back."""

    async def script(app: HouseApp) -> None:
        await done(app, "]C0CMDTRACE\r", sscc(sent.cases[0]))
        assert f"CASE {sent.cases[0]}" in dump(app)
        await done(app, label(sent.run, 3))
        assert f"PACK {show_code(sent.run)}/3" in dump(app)
        await done(app, "]C0CMDBEFORE\r")
        assert f"CASE {sent.cases[0]}" in dump(app)

    work(sent.stock.house, script)


def test_the_marked_row_lights_up_its_chain(sent: Sent) -> None:
    """With the first buyer marked, ``^`` stands at the fish, the batch, the run and his case; not at the other buyer's."""

    async def script(app: HouseApp) -> None:
        await done(app, "/trace\r", f"{sent.stock.batch}\r", "/find quay\r")
        signs = {what: sign[0] for sign, what in rows(app)}
        assert [what for what, sign in signs.items() if sign == "^"] == [
            "Aurora, Haddock",
            f"batch {show_code(sent.stock.batch)}",
            f"run {show_code(sent.run)}",
            f"case ...{sent.cases[0][-6:]}",
        ]
        assert "v" not in signs.values()
        assert "> " in dump(app)

    work(sent.stock.house, script)


def test_reached_ends_on_a_circle() -> None:
    """Hops that lead round, which a damaged record could hold, do not hang the page."""
    one, two, three = ((Kind.BATCH, number) for number in (1, 2, 3))
    assert reached(one, {one: [two], two: [three], three: [one]}) == {two, three}
    assert reached(None, {one: [two]}) == frozenset()


def test_answer_first_for_a_pack_from_another_page(sent: Sent) -> None:
    """A pack that another page hands over is answered at once: sentences, other buyers of its run, the entries behind."""

    async def script(app: HouseApp) -> None:
        run = int(sent.stock.value("SELECT id FROM run WHERE code = ?", sent.run) or 0)
        app.open("trace", Thing(Kind.PACK, run, sent.run, 3))
        await do(app)
        await idle(app)
        await idle(app)
        shown = dump(app)
        for text in (
            f"Pack {show_code(sent.run)}/3: Hot smoked haddock, packed 24 Nov 2026.",
            "Other packs of the same run went to Hill Kitchen.",
            "Nothing is missing in this chain.",
            "batch released",
            "core up to 71.8 C",
            "document DN-7",
        ):
            assert text in shown.replace("\n  ", " "), text
        await do(app, "f4")
        assert "chain" in dump(app)

    work(sent.stock.house, script)


def test_contact_on_and_off(sent: Sent) -> None:
    """F6 adds batches of the same brine, marked CONTACT and without weight; the balance stays as it was."""
    stock = sent.stock
    desk = stock.house.desk()
    smoke.note_contact(desk, "brine", "tank 1", [stock.batch, stock.either])
    desk.close()

    async def script(app: HouseApp) -> None:
        await done(app, "/trace\r", f"{stock.batch}\r")
        strip = [line for line in dump(app).splitlines() if "kg >" in line]
        await done(app, "f6")
        met = [part for part in rows(app) if part[0].endswith("met")]
        assert met == [("v met", f"batch {show_code(stock.either)}")]
        assert "CONTACT" in dump(app)
        assert [line for line in dump(app).splitlines() if "kg >" in line] == strip
        await done(app, "/contact\r")
        assert not [part for part in rows(app) if part[0].endswith("met")]

    work(stock.house, script)


@pytest.mark.parametrize(
    ("keys", "verdict", "words"),
    [
        (["nonsense\r"], Verdict.CHECK, "The house knows nothing called 'nonsense'."),
        (["{batch}\r", "/find zzz\r"], Verdict.CHECK, "No row of this trace has 'zzz' in it."),
        (["{batch}\r", "99\r"], Verdict.CHECK, "The house knows nothing called '99'."),
        (["{batch}\r", "\r"], Verdict.CHECK, "This is where you are."),
        (["{batch}\r", "/find our house\r", "\r"], Verdict.CHECK, "6 packs are in our house."),
        (["f4"], Verdict.CHECK, "Nothing is traced yet."),
        (["f7"], Verdict.CHECK, "Nothing is traced yet."),
        (["/save\r"], Verdict.CHECK, "Nothing is traced yet."),
        (["/stop\r"], Verdict.CHECK, "Nothing is being worked on."),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said(sent: Sent, keys: list[str], verdict: Verdict, words: str) -> None:
    """One sentence, and the trace stands as it was."""

    async def script(app: HouseApp) -> None:
        heard = await done(app, "/trace\r", *(key.format(batch=sent.stock.batch) for key in keys))
        assert (heard[0], heard[1][: len(words)]) == (verdict, words)

    work(sent.stock.house, script)


def test_jumps(sent: Sent) -> None:
    """A number goes to that row, /find to the next with the text and round, a document number traces its dispatch."""

    async def script(app: HouseApp) -> None:
        await done(app, "/trace\r", f"{sent.stock.batch}\r", "3\r")
        ledger = app.page.query_one("#trace-chain", Ledger)
        assert ledger.selected == 2
        await done(app, "/find case\r")
        first = ledger.selected
        await done(app, "/find case\r", "/find case\r")
        assert ledger.selected == first
        await done(app, "DN-8\r")
        assert "DISPATCH" in dump(app)

    work(sent.stock.house, script)


def test_saved_as_data_and_text(sent: Sent) -> None:
    """/save writes both chains, balance and answer as JSON and the whole as text; F7 only the answer with its entries."""

    async def script(app: HouseApp) -> None:
        assert (await done(app, "/trace\r", f"{sent.stock.batch}\r", "/save\r"))[0] is Verdict.GOOD
        assert (await done(app, "f7", "2\r"))[0] is Verdict.GOOD

    work(sent.stock.house, script)
    folder = sent.stock.house.places.traces
    data = json.loads((folder / f"{sent.stock.batch}.json").read_text(encoding="utf-8"))
    assert data["balance"]["fish"]["packs_g"] == 9_000
    assert data["balanced"] is True
    assert data["forward"]["buyers"] == ["Hill Kitchen", "Quay Deli"]
    assert data["back"]["boats"] == ["Aurora"]
    text = (folder / f"{sent.stock.batch}.txt").read_text(encoding="utf-8")
    assert "HERE  batch" in text
    answer = (folder / f"{sent.stock.batch}-answer.txt").read_text(encoding="utf-8")
    assert "With 2 buyers" in answer
    assert "batch released" in answer


def test_another_stations_entry_shows(sent: Sent) -> None:
    """What somebody else writes appears without a key, and the marked row stays."""

    async def script(app: HouseApp) -> None:
        await done(app, "/trace\r", f"{sent.stock.batch}\r", "/find hill\r")
        sent.stock.sent([f"{sent.run}/25-30"], document="DN-9")
        await app.look_for_changes()
        await idle(app)
        assert [what for _, what in rows(app)].count("Quay Deli") == 2
        assert "our house" not in [what for _, what in rows(app)]
        assert app.page.query_one("#trace-chain", Ledger).selected == 4

    work(sent.stock.house, script)


def test_another_trace_takes_the_place_of_one_that_goes_on(sent: Sent, monkeypatch: pytest.MonkeyPatch) -> None:
    """A code scanned while a trace still runs is traced at once; the first is stopped and nothing is said of it."""
    real = trace_page.trace_both
    stopped: list[bool] = []

    def slow(desk: object, thing: Thing, *more: object) -> object:
        asked = more[-1]
        assert callable(asked)
        for _ in range(500 if thing.code == sent.run else 0):
            if asked():
                stopped.append(True)
                break
            time.sleep(0.01)
        return real(desk, thing, *more)  # type: ignore[arg-type]

    async def script(app: HouseApp) -> None:
        monkeypatch.setattr(trace_page, "trace_both", slow)
        await done(app, "/trace\r")
        await do(app, f"{sent.run}\r")
        await asyncio.sleep(0.05)
        await do(app, f"{sent.stock.batch}\r")
        await idle(app)
        assert f"BATCH {show_code(sent.stock.batch)}   BALANCED" in dump(app)
        assert "stopped" not in dump(app)

    work(sent.stock.house, script)
    assert stopped == [True]


def test_a_long_trace_is_stopped(sent: Sent, monkeypatch: pytest.MonkeyPatch) -> None:
    """While a trace runs the page takes keys; /stop ends it with a sentence and keeps what stood there."""
    real = trace_page.trace_both

    def slow(*args: object, **_more: object) -> object:
        stopped = args[-1]
        assert callable(stopped)
        for _ in range(500):
            if stopped():
                break
            time.sleep(0.01)
        return real(*args)  # type: ignore[arg-type]

    async def script(app: HouseApp) -> None:
        await done(app, "/trace\r", f"{sent.stock.batch}\r")
        with monkeypatch.context() as patched:
            patched.setattr(trace_page, "trace_both", slow)
            await do(app, f"{sent.run}\r")
            await asyncio.sleep(0.05)
            assert f"Tracing {show_code(sent.run)} ...   /stop stops it" in dump(app)
            await do(app, "down", "/stop\r")
            await idle(app)
        assert said(app) == (Verdict.STOP, "The trace was stopped. Scan or type it again to look it up.")
        assert f"BATCH {show_code(sent.stock.batch)}" in dump(app)

    work(sent.stock.house, script)


def test_a_wide_trace_of_a_season(season: Built) -> None:
    """The salt of a season reaches over a thousand things: traced and shown, and its last row reached, at once."""
    desk = open_desk(season.places, clock=SetClock(MORNING_AFTER))
    uses = "SELECT l.code FROM lot l JOIN lot_use u ON u.lot = l.id GROUP BY l.id ORDER BY COUNT(*) DESC LIMIT 1"
    salt = desk.records.value(uses)

    async def running() -> tuple[int, float, float]:
        app = house_app(desk)
        async with app.run_test(size=(80, 24)):
            begun = time.perf_counter()
            await done(app, "/trace\r", f"{salt}\r")
            traced_s = time.perf_counter() - begun
            found = page(app).rows
            assert found is not None
            begun = time.perf_counter()
            app.page.query_one("#trace-chain", Ledger).action_step(10**9)
            await do(app)
            marked_s = time.perf_counter() - begun
            assert f" {len(found)} of {len(found):,}   case" in dump(app)
            app.drafts.close()
        return len(found), traced_s, marked_s

    length, traced_s, marked_s = asyncio.run(running())
    desk.close()
    assert length > 1000
    assert traced_s < 5
    assert marked_s < 1


def test_a_wide_lot_shows_its_first_rows_and_its_buyers(sent: Sent, monkeypatch: pytest.MonkeyPatch) -> None:
    """A lot that went into too much to list: first batches and runs, then all its buyers."""
    monkeypatch.setattr(trace_page, "first_of_wide", partial(trace_page.first_of_wide, most=0))
    monkeypatch.setattr(trace_page, "trace_both", partial(trace_page.trace_both, most=0))
    seen: list[int] = []
    whole = TracePage.on_first_rows

    def heard(shown: TracePage, message: trace_page.FirstRows) -> None:
        seen.append(len(message.rows))
        whole(shown, message)

    monkeypatch.setattr(TracePage, "on_first_rows", heard)

    async def script(app: HouseApp) -> None:
        lot = app.desk.records.value("SELECT l.code FROM lot l JOIN lot_use u ON u.lot = l.id")
        await done(app, "/trace\r", f"{lot}\r")
        kinds = [what.split()[0] for _, what in rows(app)]
        assert "case" not in kinds
        assert {"batch", "run"} <= set(kinds)
        assert {what for sign, what in rows(app)[-2:]} == {"Quay Deli", "Hill Kitchen"}
        assert seen

    work(sent.stock.house, script)
