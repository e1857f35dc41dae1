"""Cases, pallets, dispatches and returns: by keys alone, by scans alone, with drafts and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from screens_house import do, dump, said, scan, work
from screens_stock import Stock, done, label, packing_house, sscc

from lotwake.trace.actions import hold
from lotwake.trace.actions.ship import build_pallet, open_case
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict

CASE_PACKS = (
    "SELECT group_concat(n) FROM (SELECT SUM(last - first + 1) AS n FROM content WHERE until IS NULL GROUP BY unit)"
)


@pytest.fixture
def stock(tmp_path: Path) -> Stock:
    return packing_house(tmp_path / "house")


# Cases and pallets


def test_case_by_scans_alone(stock: Stock) -> None:
    """Pack after pack is scanned, the last one taken off and the case closed by cards; its label is printed."""
    run = stock.packed_run(14)

    async def script(app: HouseApp) -> None:
        await do(app, "/cases\r", *(label(run, number) for number in range(1, 14)))
        assert "1 pack more than a case usually holds." in dump(app)
        verdict, words = await done(app, scan("CMDVOID"))
        assert (verdict, words[:19]) == (Verdict.GOOD, "Off the list: 0013 ")
        verdict, words = await done(app, scan("CMDCLOSE"))
        assert (verdict, words[:14]) == (Verdict.GOOD, "1 case closed ")

    work(stock.house, script)
    assert stock.value(CASE_PACKS) == "12"
    assert stock.value("SELECT COUNT(*) FROM label_print WHERE unit IS NOT NULL") == 1
    assert len(list(stock.house.places.printed.glob("*.pdf"))) == 1


@pytest.mark.parametrize(
    ("keys", "cases"),
    [
        (["{run}\r", "\r"], "12,12"),
        (["{run}\r", "/close\r"], "30"),
        (["{run}/1-12\r", "\r"], "12"),
        (["{run}/1-4\r", "{run}/7-9\r", "\r"], "7"),
    ],
    ids=["whole run", "whole run in one", "a range", "two ranges"],
)
def test_cases_by_keys_alone(stock: Stock, keys: list[str], cases: str) -> None:
    """A run is cased up in full cases, or what was named goes into one case."""
    run = stock.packed_run(30)

    async def script(app: HouseApp) -> None:
        await do(app, "/cases\r")
        verdict, _words = await done(app, *(key.format(run=run) for key in keys))
        assert verdict is Verdict.GOOD
        assert app.drafts.names() == []

    work(stock.house, script)
    assert stock.value(CASE_PACKS) == cases


def test_the_last_cases_are_opened_again(stock: Stock) -> None:
    """F8 with an empty list opens what was closed last; the packs are loose again."""
    run = stock.packed_run(30)

    async def script(app: HouseApp) -> None:
        await do(app, "/cases\r")
        await done(app, f"{run}\r", "\r")
        assert (await done(app, "f8"))[1].startswith("2 cases are open again")

    work(stock.house, script)
    assert stock.value(CASE_PACKS) is None


def test_a_case_is_opened_by_scanning_it(stock: Stock) -> None:
    """A case on the list is opened by /open; packs cannot be."""
    run = stock.packed_run(24)
    cases = stock.cases(run)

    async def script(app: HouseApp) -> None:
        await do(app, "/cases\r", sscc(cases[0]), scan("CMDOPEN"))
        assert said(app)[1].startswith(f"Case {cases[0]} is open again")
        await do(app, f"{run}/1\r", "/open\r")
        assert said(app)[1].startswith("Only cases can be opened.")

    work(stock.house, script)
    assert stock.value(CASE_PACKS) == "12"


def test_pallet_built_and_undone(stock: Stock) -> None:
    """Cases that are scanned go onto a pallet with Enter; ``-`` takes them off again."""
    cases = stock.cases(stock.packed_run(24))

    async def script(app: HouseApp) -> None:
        await do(app, "/cases\r", *map(sscc, cases))
        assert "PALLET  2 scanned, 24 packs, 7.2 kg" in dump(app)
        assert (await done(app, "\r"))[1].endswith("built: 2 on it, 24 packs. wrong? F8 takes everything off it")
        assert stock.value("SELECT COUNT(*) FROM unit_content WHERE until IS NULL") == 2
        assert (await done(app, "-\r"))[1].startswith("Everything is off pallet")

    work(stock.house, script)
    assert stock.value("SELECT COUNT(*) FROM unit_content WHERE until IS NULL") == 0


def test_case_label_once_more(stock: Stock) -> None:
    """F5 prints the label of the last case again, with the reason."""
    run = stock.packed_run(12)

    async def script(app: HouseApp) -> None:
        await do(app, "/cases\r")
        await done(app, f"{run}\r", "\r")
        await do(app, "f5")
        assert (await done(app, "2\r"))[1].startswith("1 case label printed again")

    work(stock.house, script)
    assert stock.value("SELECT group_concat(kind || ' ' || reason) FROM label_print WHERE unit IS NOT NULL") == (
        "first ,reprint torn"
    )


@pytest.mark.parametrize(
    ("page", "keys", "verdict", "words"),
    [
        ("cases", ["{run}/25-26\r"], Verdict.STOP, "are not loose here. They were never made, or are void."),
        ("cases", ["{run}/1-2\r"], Verdict.STOP, "By the record they are in case {first}."),
        ("cases", ["{run}/20-21\r", "{run}/21-22\r"], Verdict.CHECK, "Packs 0021 are on the list already."),
        ("cases", ["{first}\r", "{first}\r"], Verdict.CHECK, "Case {first} is on the list already."),
        ("cases", ["{first}\r", "{run}/20\r"], Verdict.CHECK, "The list holds cases for a pallet;"),
        ("cases", ["{lot}\r"], Verdict.CHECK, "is a lot. Scan a pack, a case or a pallet,"),
        ("cases", ["\r"], Verdict.CHECK, "Nothing is on the list."),
        ("cases", ["f8"], Verdict.CHECK, "The list is empty, and nothing was made here since."),
        ("cases", ["f5"], Verdict.STOP, "No case was closed here since, and none is on the list."),
        ("cases", ["/pallet\r"], Verdict.CHECK, "There are no cases on the list."),
        ("cases", ["{first}\r", "/close\r"], Verdict.CHECK, "There are no packs on the list."),
        ("dispatch", ["zzz\r"], Verdict.CHECK, "No buyer is called zzz."),
        ("dispatch", ["9\r"], Verdict.CHECK, "There is no buyer 9 in the list."),
        ("dispatch", ["quay\r", "\r"], Verdict.CHECK, "Nothing is on the list."),
        ("dispatch", ["quay\r", "/document\r"], Verdict.CHECK, "Which document?"),
        ("dispatch", ["{first}\r", "/send\r"], Verdict.CHECK, "To whom?"),
        ("dispatch", ["quay\r", "f8"], Verdict.CHECK, "The list is empty, and nothing was sent here since."),
        ("returns", ["{first}\r"], Verdict.STOP, "Case {first} is in the house."),
        ("returns", ["quay\r", "\r"], Verdict.CHECK, "Nothing is on the list."),
    ],
)  # fmt: skip
def test_refusals(stock: Stock, page: str, keys: list[str], verdict: Verdict, words: str) -> None:
    """What cannot go on a list is said at the scan, while the person holds it; nothing moves."""
    run = stock.packed_run(24)
    (first,) = stock.cases(run)[:1]
    names = {"run": run, "first": first, "lot": stock.house.lot}
    before = stock.value("SELECT COUNT(*) FROM journal")

    async def script(app: HouseApp) -> None:
        heard = await done(app, f"/{page}\r", *(key.format(**names) for key in keys))
        assert heard[0] is verdict
        assert words.format(**names) in heard[1]

    if "20" in "".join(keys):
        open_second_case(stock)
        before = stock.value("SELECT COUNT(*) FROM journal")
    work(stock.house, script)
    assert stock.value("SELECT COUNT(*) FROM journal") == before


def open_second_case(stock: Stock) -> None:
    """The packs of the second case are loose."""
    desk = stock.house.desk()
    last = desk.records.value("SELECT MAX(sscc) FROM unit")
    open_case(desk, f"{last:018d}")
    desk.close()


# Dispatch


def test_dispatch_by_keys_alone(stock: Stock) -> None:
    """A part of the buyer's name, cases, the document; the first Enter says what would leave, the second sends."""
    cases = stock.cases(stock.packed_run(24))

    async def script(app: HouseApp) -> None:
        await do(app, "/dispatch\r", "deli\r", *(f"{case}\r" for case in cases), "/document DN-12\r")
        assert "TO Quay Deli   2 scanned, 24 packs, 7.2 kg" in dump(app)
        assert (await done(app, "\r"))[0] is Verdict.CHECK
        verdict, words = await done(app, "\r")
        assert (verdict, words[:39]) == (Verdict.GOOD, "Sent to Quay Deli: 24 packs, 7.2 kg. di")

    work(stock.house, script)
    assert stock.value("SELECT document FROM dispatch") == "DN-12"
    assert stock.value("SELECT COUNT(*) FROM dispatch_line") == 2


def test_dispatch_by_scans_alone(stock: Stock) -> None:
    """The buyer by a number card, cases and loose packs by their labels, the sending by its card."""
    run = stock.packed_run(14)
    (case,) = stock.cases(run)

    async def script(app: HouseApp) -> None:
        await do(app, "/dispatch\r", scan("CMD2"), sscc(case), label(run, 13))
        assert (await done(app, scan("CMDSEND")))[0] is Verdict.GOOD

    work(stock.house, script)
    assert stock.value("SELECT b.name FROM dispatch d JOIN buyer b ON b.id = d.buyer") == "Quay Deli"
    assert stock.value("SELECT COUNT(*) FROM dispatch_packs") == 1


def test_the_second_enter_counts_only_when_nothing_came_between(stock: Stock) -> None:
    """After Enter another case was scanned: Enter asks again, with the new amount."""
    cases = stock.cases(stock.packed_run(24))

    async def script(app: HouseApp) -> None:
        await do(app, "/dispatch\r", "deli\r", sscc(cases[0]), "\r", sscc(cases[1]), "\r")
        assert said(app)[1].startswith("2 scanned, 24 packs, 7.2 kg to Quay Deli. Enter again sends it.")

    work(stock.house, script)
    assert stock.value("SELECT COUNT(*) FROM dispatch") == 0


def test_buyers_narrow_while_typing(stock: Stock) -> None:
    """The list of buyers follows what is typed, and the arrows choose from it."""

    async def script(app: HouseApp) -> None:
        await do(app, "/dispatch\r", "kit")
        assert "Hill Kitchen" in dump(app)
        assert "Quay Deli" not in dump(app)
        await do(app, "\r")
        assert "TO Hill Kitchen" in dump(app)
        await do(app, "f6", "down", "\r")
        assert "TO Quay Deli" in dump(app)

    work(stock.house, script)


def test_a_dispatch_is_taken_back(stock: Stock) -> None:
    """F8 right after sending takes everything back by an entry that says so."""
    cases = stock.cases(stock.packed_run(24))

    async def script(app: HouseApp) -> None:
        await do(app, "/dispatch\r", "deli\r", *map(sscc, cases), "\r", "\r")
        assert (await done(app, "f8"))[1].startswith("Dispatch ")

    work(stock.house, script)
    assert stock.value("SELECT reason LIKE '%by mistake' FROM goods_return") == 1
    assert stock.value("SELECT COUNT(*) FROM return_line") == 2


@pytest.mark.parametrize("held", ["hold", "pallet", "sent"])
def test_what_may_not_leave_is_stopped_at_the_scan(stock: Stock, held: str) -> None:
    """Held, standing on a pallet or sent already: STOP, with the reason, and it is not on the list."""
    run = stock.packed_run(12)
    (case,) = stock.cases(run)
    desk = stock.house.desk()
    if held == "hold":
        hold.hold(desk, run, "smell")
    elif held == "pallet":
        build_pallet(desk, [case])
    desk.close()
    if held == "sent":
        stock.sent([case])
    words = {"hold": "is on hold: smell.", "pallet": "stands on pallet", "sent": "was sent to Quay Deli."}[held]

    async def script(app: HouseApp) -> None:
        await do(app, "/dispatch\r", "deli\r", sscc(case))
        assert said(app)[0] is Verdict.STOP
        assert words in said(app)[1]
        assert "nothing scanned" in dump(app)

    work(stock.house, script)


def test_a_list_outlives_the_program(stock: Stock) -> None:
    """Buyer, document and goods are there after a restart, without what has left meanwhile."""
    cases = stock.cases(stock.packed_run(24))

    async def first(app: HouseApp) -> None:
        await do(app, "/dispatch\r", "deli\r", "/document DN-3\r", *map(sscc, cases))

    async def second(app: HouseApp) -> None:
        await do(app, "/dispatch\r")
        assert said(app)[1].startswith("This list is from before; it is not entered yet. 1 of it moved")
        assert "TO Quay Deli   1 scanned, 12 packs, 3.6 kg" in dump(app)
        await done(app, "/send\r")

    work(stock.house, first)
    stock.sent([cases[0]], buyer="Hill Kitchen")
    work(stock.house, second)
    assert stock.value("SELECT COUNT(*) FROM dispatch WHERE document = 'DN-3'") == 1


# Returns


def test_return_by_scans_alone(stock: Stock) -> None:
    """The first case says who had it; the reason is chosen by a card."""
    cases = stock.cases(stock.packed_run(24))
    stock.sent(cases)
    stock.house.clock.at = stock.house.clock.at.replace(hour=14)

    async def script(app: HouseApp) -> None:
        await do(app, "/returns\r", sscc(cases[0]))
        assert "FROM Quay Deli" in dump(app)
        await do(app, scan("CMDTAKE"))
        assert "2 too warm" in dump(app)
        verdict, words = await done(app, scan("CMD2"))
        assert (verdict, words[:37]) == (Verdict.GOOD, "Back from Quay Deli: 12 packs, 3.6 kg")

    work(stock.house, script)
    assert stock.value("SELECT reason FROM goods_return") == "too warm"
    assert stock.value("SELECT COUNT(*) FROM return_line") == 1


def test_return_of_loose_packs_by_keys_alone(stock: Stock) -> None:
    """Buyer by name, packs by serials, a reason of one's own."""
    run = stock.packed_run(10)
    stock.sent([f"{run}/1-10"])

    async def script(app: HouseApp) -> None:
        await do(app, "/returns\r", "deli\r", f"{run}/3-4\r", "\r")
        assert (await done(app, "crushed by the lift\r"))[0] is Verdict.GOOD

    work(stock.house, script)
    assert stock.value("SELECT reason FROM goods_return") == "crushed by the lift"
    assert stock.value("SELECT first || '-' || last FROM return_packs") == "3-4"


def test_a_return_goes_to_whom_it_was_sent(stock: Stock) -> None:
    """Goods that another buyer had are stopped."""
    cases = stock.cases(stock.packed_run(12))
    stock.sent(cases)

    async def script(app: HouseApp) -> None:
        await do(app, "/returns\r", "hill\r", sscc(cases[0]))
        assert said(app)[0] is Verdict.STOP
        assert "was sent to Quay Deli." in said(app)[1]

    work(stock.house, script)
