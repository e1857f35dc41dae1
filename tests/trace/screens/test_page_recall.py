"""The recall pages: a whole drill and a recall by keys and scans, interrupted, refused, and finished with its report."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path

import pytest
from screens_house import House, do, dump, said, work
from screens_stock import Stock, idle, label, packing_house, sscc
from screens_terminal import terminal

from lotwake.demo_db.builder import Built
from lotwake.demo_db.scenario import MORNING_AFTER
from lotwake.trace.actions import places
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.actions.receive import Arrival, lose_from_lot, receive
from lotwake.trace.base.clock import SetClock
from lotwake.trace.recall.board import DONE, board
from lotwake.trace.recall.replies import State
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.recalls import case_of, open_case
from lotwake.trace.screens.asking_page import AskingPage
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


@dataclass(frozen=True)
class Sent:
    """A house with 80 packs of one batch: two cases at Quay Deli, one at Hill Kitchen, three here, 8 packs loose."""

    stock: Stock
    run: str
    cases: list[str]


@pytest.fixture
def sent(tmp_path: Path) -> Sent:
    stock = packing_house(tmp_path / "house")
    run = stock.packed_run(80)
    cases = stock.cases(run)
    stock.sent(cases[:2])
    stock.sent(cases[2:3], buyer="Hill Kitchen", document="DN-8")
    return Sent(stock, run, cases)


async def done(app: HouseApp, *typed: str) -> tuple[Verdict | None, str]:
    """Type and scan one after the other, on whatever page that leads to; what the page says is given back."""
    for text in typed:
        await do(app, text)
        if isinstance(app.page, AskingPage):
            await idle(app)
    return said(app)


def state_of(house: House, case: int = 1) -> RecallState:
    """A case as the record has it afterwards."""
    desk = house.desk()
    seen = look_at(desk, case_of(desk.records, case))
    desk.close()
    return seen


def test_a_drill_by_keys_and_scans(sent: Sent) -> None:
    """From a scanned pack to the signed report: calls by digits, a count by scans, a check, and nothing is on hold."""
    stock = sent.stock

    async def script(app: HouseApp) -> None:
        assert "No drill has been finished here yet" in dump(app)
        await done(app, "/suspect\r", label(sent.run, 60), "\r")
        assert said(app)[1].startswith("A drill, or a recall")
        await done(app, "1\r")
        assert app.page.NAME == "recall"
        shown = dump(app)
        assert "NEXT  Make the notices and the call sheet, then ring Quay Deli" in shown
        for text in ("WHERE THE 80 PACKS, 24 kg ARE", "TO TELL", "ring now", "count it", "goal 4:00"):
            assert text in shown
        await done(app, "f7")
        assert "5 papers" not in shown
        assert "papers are in recalls/" in said(app)[1]
        await done(app, "/told\r", "1\r")
        assert said(app)[1].startswith("Quay Deli was told by telephone.")
        await done(app, "\r", "10\r", "8\r", "\r", "6\r")
        assert "8 of 8 passed on" in dump(app)
        assert (await done(app, "Ytre Kro, +47 000 00 044, 8\r"))[1].startswith(
            "Quay Deli: 24 of 24 packs answered for."
        )
        assert "> TO TELL      Hill Kitchen" in dump(app)
        await done(app, "\r", "*\r")
        assert app.page.NAME == "recall"
        await done(app, "\r")
        assert app.page.NAME == "tally"
        await done(app, *(sscc(case) for case in sent.cases[3:]), "*\r", "\r")
        assert "Everything is accounted for: finish and sign." in dump(app)
        await done(app, "down", "/check\r", "1\r")
        assert "Level A asks Quay Deli, Hill Kitchen." in said(app)[1]
        assert ": effective." in (await done(app, "/checked effective read our e-mail\r"))[1]
        await done(app, "/finish\r", "1\r")
        assert said(app)[1].startswith("The report is ")
        await done(app, "f6")
        assert "100 %" in dump(app)
        await done(app, "escape", "escape", "escape", "escape")

    work(stock.house, script)
    state = state_of(stock.house)
    assert (state.case.signed, state.total.accounted, state.total.made, state.held) == ("Signe Kvist", 80, 80, ())
    assert [check.result for check in state.checks].count("effective") == 1
    assert [(sub.name, sub.packs) for call in state.calls for sub in call.subs] == [("Ytre Kro", 8)]
    folder = stock.house.places.recalls / state.case.code
    assert (folder / f"{state.case.code}-report.pdf").read_bytes().startswith(b"%PDF")
    assert len(list(folder.glob("*-mail.txt"))) == 2


def test_a_recall_in_earnest_holds_and_rings_sub_buyers(sent: Sent) -> None:
    """A recall puts what is here on hold, asks those a buyer passed packs on to, and says what to do with each stock."""
    stock = sent.stock

    async def script(app: HouseApp) -> None:
        await done(app, f"/suspect {stock.batch}\r", "\r", "2\r", "1\r", "2\r")
        assert "On hold: 1." in said(app)[1]
        assert "RECALL in earnest" in dump(app)
        await done(app, "\r", "4\r", "20\r", "Ytre Kro, , 20\r")
        shown = dump(app)
        assert "4: back or destroy" in shown
        assert "> TO TELL      Hill Kitchen" in shown
        assert "find one" in shown
        await done(app, "down", "down", "\r", "5\r", "\r", "\r", "\r")
        assert said(app)[1].startswith("15 of 20 packs are not named.")
        assert "Ytre Kro: 5 of 20 packs" in (await done(app, "2\r"))[1]
        assert "look for 15" in dump(app)
        assert (await done(app, "/dispatch\r", "quay\r", sscc(sent.cases[3])))[0] is Verdict.STOP

    work(stock.house, script)
    sub = state_of(stock.house).calls[-1].subs or state_of(stock.house).calls[0].subs
    assert (sub[0].state, sub[0].stock) == (State.SHORT, 5)


def test_scope_is_asked_widened_and_narrowed(sent: Sent) -> None:
    """A scan says whether it is in the scope and where; the scope grows and shrinks with a reason, and the clock pauses."""
    stock = sent.stock
    other = stock.packed_run(20, stock.either)

    async def script(app: HouseApp) -> None:
        await done(app, f"/suspect {sent.run}\r", "\r", "1\r")
        assert "IS in the scope, all" in (await done(app, sscc(sent.cases[0])))[1]
        assert said(app)[1].endswith("By the record: Quay Deli.")
        assert "NOT in the scope" in (await done(app, f"{other}\r"))[1]
        assert (await done(app, "/widen\r"))[0] is Verdict.CHECK
        await done(app, f"/widen {other} because the same table\r")
        assert "100 packs now" in said(app)[1]
        await done(app, f"/narrow {other} because washed down between\r")
        assert "80 packs now" in said(app)[1]
        await done(app, "/pause lunch\r")
        assert "PAUSED" in dump(app)
        assert (await done(app, "/told e-mail\r"))[0] is Verdict.STOP
        await done(app, "/resume\r", "f4", "f4")
        assert "the same table" in dump(app)

    work(stock.house, script, size=(120, 40))
    assert [scope.why for scope in state_of(stock.house).scopes][1:] == ["the same table", "washed down between"]


def test_what_cannot_be_is_refused_and_nothing_is_lost(sent: Sent) -> None:
    """An empty scope, more packs than were sent and a wrong sub-buyer are refused in a sentence; figures typed so far stay."""
    stock = sent.stock
    desk = stock.house.desk()
    gone = receive(
        desk, Arrival("landing", "Aurora", 9_000, "HAD", area="27.4.b", received=desk.now), another=True
    ).code
    lose_from_lot(desk, gone, "waste", 9_000)
    desk.close()

    async def script(app: HouseApp) -> None:
        assert "No batch" in (await done(app, "/suspect\r", "/equipment Kiln 1 from 01:00 to 02:00\r"))[1]
        await done(app, f"{gone}\r", "\r")
        assert "scope is empty" in (await done(app, "1\r"))[1]
        assert "knows no equipment" in (await done(app, "/instrument Probe 9\r"))[1]
        assert "the instrument Probe 9" not in dump(app)
        await done(app, "-\r", f"{sent.run}\r", "\r", "1\r", "\r", "20\r")
        verdict, words = await done(app, "5\r")
        assert (verdict, words.startswith("Quay Deli has 24 packs")) == (Verdict.STOP, True)
        assert "25 is 1 too many" in words
        await done(app, "4\r")
        assert (await done(app, "Ytre Kro\r"))[0] is Verdict.CHECK
        assert (await done(app, "Ytre Kro, 1, 5\r"))[0] is Verdict.STOP
        await done(app, "Ytre Kro, 1, 4\r")

    work(stock.house, script)
    (reply,) = state_of(stock.house).replies
    assert (reply.stock, reply.sold, reply.subs) == (20, 4, (("Ytre Kro", "1", 4),))


def test_answers_lot_by_lot(sent: Sent) -> None:
    """F6 or the code of a lot asks about that lot alone; the buyer waits until every lot is answered for."""
    stock = sent.stock
    other = stock.packed_run(24, stock.either)
    stock.sent(stock.cases(other))

    async def script(app: HouseApp) -> None:
        await done(app, "/suspect\r", f"{sent.run}\r", f"{other}\r", "\r", "1\r", "\r")
        assert "48 packs, all lots" in dump(app)
        await done(app, f"{other}\r")
        assert "24 packs, lot" in dump(app)
        await done(app, "20\r", "\r", "\r", "4\r")
        assert "WAITING      Quay Deli" in dump(app)
        for key in ("up", "up", "up", "down", "down"):
            if "> WAITING      Quay Deli" not in dump(app):
                await done(app, key)
        await done(app, "\r", label(sent.run, 3), "*\r")
        assert "ANSWERED     Quay Deli" in dump(app)

    work(stock.house, script)
    assert [(reply.run is not None, reply.stock) for reply in state_of(stock.house).replies] == [(True, 20), (True, 24)]


def test_a_buyer_without_a_telephone(sent: Sent) -> None:
    """The row says that a number is to be found; ``/phone`` on the call puts it right for good."""
    stock = sent.stock
    desk = stock.house.desk()
    with desk.entry("test: the number is lost") as entry:
        entry.change("buyer", {"name": "Quay Deli"}, "phone", "")
    desk.close()

    async def script(app: HouseApp) -> None:
        await done(app, f"/suspect {sent.run}\r", "\r", "1\r")
        assert "find one" in dump(app)
        assert "Quay Deli has no telephone number." in dump(app)
        await done(app, "\r")
        assert "no telephone number: find one" in dump(app)
        await done(app, "/phone +47 000 00 077\r")
        assert "TELEPHONE +47 000 00 077" in dump(app)

    work(stock.house, script)
    assert state_of(stock.house).calls[0].phone == "+47 000 00 077"


def test_a_power_cut_in_a_call_and_in_a_count(sent: Sent) -> None:
    """A second start shows the drill on the start page, its call with the figures typed, and its count with what was found."""
    stock = sent.stock

    async def begun(app: HouseApp) -> None:
        await done(app, f"/suspect {sent.run}\r", "\r", "1\r", "\r", "10\r", "3\r")
        app.drafts.flush()  # what a running program does 150 ms after a key

    async def counted(app: HouseApp) -> None:
        assert "RECALL" in dump(app)
        await done(app, "\r")
        assert app.page.NAME == "recall"
        await done(app, "\r")
        assert "> 10" not in dump(app)
        assert "11  not named yet" not in dump(app)
        await done(app, "\r", "*\r", "Ytre Kro, 2, 3\r", "\r", "*\r", "\r", sscc(sent.cases[4]))
        app.drafts.flush()

    async def finished(app: HouseApp) -> None:
        await done(app, "/recall\r", "/count\r")
        assert "FOUND 12 of 44" in dump(app)
        assert (await done(app, "/enter\r"))[1].startswith("32 packs were not found.")
        await done(app, "2\r")
        assert "NOT FOUND" in dump(app)

    for script in (begun, counted, finished):
        work(stock.house, script)
    state = state_of(stock.house)
    assert [(reply.stock, reply.sold, reply.destroyed) for reply in state.replies[:1]] == [(10, 3, 11)]
    assert state.total.unaccounted == 32


def test_a_killed_program_goes_on_where_it_was(sent: Sent, tmp_path: Path) -> None:
    """After ``kill -9`` in a call the program opens with the drill on top, and the call still has its figures."""
    folder = sent.stock.house.places.folder
    begun = [f"/suspect {sent.run}\r", "\r", "1\r", "\r", "10\r", "3\r"]
    with terminal(tmp_path, script="screens_recording.py", arguments=[str(folder)]) as shown:
        for text, seen in zip(
            begun, ("Enter begins", "in earnest", "DRILL (practice)", "SAY", ">2", ">3"), strict=True
        ):
            shown.write(text.encode())
            shown.wait_for(seen)
        time.sleep(0.6)  # a draft is on disk 150 ms after the key
        shown.process.kill()
        shown.process.wait()
    with terminal(tmp_path, script="screens_recording.py", arguments=[str(folder)]) as shown:
        shown.wait_for("is under way", since=0)
        for text, seen in (("\r", "DRILL (practice)"), ("\r", "SAY")):
            shown.write(text.encode())
            shown.wait_for(seen)
        shown.wait_for("not entered yet")
        shown.write(b"\r*\r\r")
        shown.wait_for("24 of 24 packs answered for")
    (reply,) = state_of(sent.stock.house).replies
    assert (reply.stock, reply.sold, reply.returned, reply.destroyed) == (10, 3, 0, 11)


def test_figures_open_their_records(sent: Sent) -> None:
    """Each figure opens the records behind it, and those open the thing; Esc leads back."""
    stock = sent.stock

    async def script(app: HouseApp) -> None:
        await done(app, f"/suspect {sent.run}\r", "\r", "1\r", "f4")
        assert "with buyers, not answered" in dump(app)
        await done(app, "down", "\r")
        assert "sent to Quay Deli, document DN-7" in dump(app)
        await done(app, "\r")
        assert app.page.NAME == "thing"
        assert "DISPATCH" in dump(app)
        await do(app, "escape")
        await done(app, "escape", "escape")
        assert "TO TELL" in dump(app)

    work(stock.house, script, size=(120, 40))


def test_silent_buyers_are_named_again(sent: Sent) -> None:
    """Twenty minutes after a call that nobody took, the page and the row say to ring again."""
    stock = sent.stock

    async def script(app: HouseApp) -> None:
        await done(app, f"/suspect {sent.run}\r", "\r", "1\r", "/silent\r")
        assert "ring at" in dump(app)
        stock.house.clock.at = stock.house.clock.at.replace(minute=stock.house.clock.at.minute + 25)
        await app.look_for_changes()
        await do(app)
        assert "RING AGAIN NOW" in dump(app)
        assert "RING AGAIN: Quay Deli" in dump(app)

    work(stock.house, script)


def test_where_it_lies_in_the_house(sent: Sent) -> None:
    """What is in the house stands on the board by place; the count names the place of each case."""
    stock = sent.stock
    desk = stock.house.desk()
    places.add_place(desk, "Freezer 1", "freezer")
    places.put(desk, "Freezer 1", sent.cases[3:5])
    desk.close()

    async def script(app: HouseApp) -> None:
        await done(app, f"/suspect {sent.run}\r", "\r", "1\r")
        shown = dump(app)
        assert "Freezer 1                     24" in shown
        assert "no place named                20" in shown
        await done(app, "/count\r")
        assert dump(app).count("Freezer 1") == 2

    work(stock.house, script)


def test_every_row_names_what_is_next(sent: Sent) -> None:
    """No row of the board is without its next thing, at any step of a drill."""
    stock = sent.stock
    seen: list[str] = []

    async def script(app: HouseApp) -> None:
        await done(app, f"/suspect {sent.run}\r", "\r", "1\r")
        for typed in (["/told letter\r"], ["\r", "20\r", "\r", "\r", "\r", "2\r"], ["/count 40\r"]):
            await done(app, *typed)
            desk = stock.house.desk()
            under_way = open_case(desk.records)
            assert under_way is not None
            seen.extend(line.next for line in board(look_at(desk, under_way)))
            desk.close()

    work(stock.house, script)
    assert len(seen) >= 9
    assert all(seen)
    assert DONE not in seen[:3]


def test_a_drawn_drill_on_the_season(season_copy: Built) -> None:
    """A drill is drawn on a lived-in house and worked to its report by keys alone: every buyer is rung in calling order."""
    house = House(season_copy.places, SetClock(MORNING_AFTER), "", "", "", "", "")

    async def script(app: HouseApp) -> None:
        await done(app, "/suspect\r", "/draw 7\r")
        assert "Drawn among" in said(app)[1]
        await done(app, "f7")
        desk = house.desk()
        under_way = open_case(desk.records)
        assert under_way is not None
        buyers = len(look_at(desk, under_way).calls)
        desk.close()
        assert buyers > 3
        for _ in range(buyers):
            await done(app, "\r", "\r", "*\r")
            assert "sold" in dump(app) or app.page.NAME == "call"
            await done(app, "\r")
        assert app.page.NAME == "recall"
        assert "Everything is accounted for" in dump(app) or "Count what is in the house" in dump(app)
        await done(app, "/finish\r")
        await done(app, *(["1\r"] if "gaps remain" in said(app)[1] else []), "1\r")

    work(house, script)
    state = state_of(house)
    assert state.case.ended
    assert state.answered == len(state.calls)
    assert sum(vars(state.total).values()) == state.total.made
    assert list((house.places.recalls / state.case.code).glob("*-report.pdf"))
