"""The packing page: from a batch scan to labels, checked back, voided, printed again, cased up; by keys and by scans."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from screens_house import do, dump, said, scan, work
from screens_stock import FLAKES_GTIN, Stock, done, idle, label, packing_house

from lotwake.trace.actions import labels
from lotwake.trace.records.entries import packs as pack_entries
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.pack_words import unusual
from lotwake.trace.screens.result import Verdict


@pytest.fixture
def stock(tmp_path: Path) -> Stock:
    return packing_house(tmp_path / "house")


def run_code(stock: Stock) -> str:
    """The code of the newest run."""
    return str(stock.value("SELECT code FROM run ORDER BY id DESC LIMIT 1"))


def test_four_keys_from_batch_scan_to_labels(stock: Stock) -> None:
    """After the batch scan three keys print 24 labels: run, fish, packs, print and file are all there."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.batch))
        keys = "24\r"
        assert len(keys) <= 4
        verdict, words = await done(app, keys)
        assert (verdict, words[:30]) == (Verdict.GOOD, "24 labels printed  0001 to 002")
        assert "F8 voids them" in words

    work(stock.house, script)
    seen = stock.run_of(run_code(stock))
    assert (seen.packs, seen.in_g, seen.product) == (24, 24 * 300, "Hot smoked haddock")
    (made,) = stock.prints()
    assert (made.state, str(made.packs), made.who) == ("PRINTED", "0001-0024", "SK")
    files = list(stock.house.places.printed.glob("*.pdf"))
    assert [path.name for path in files] == [f"{seen.code}-0001-0024.pdf"]
    assert files[0].read_bytes().startswith(b"%PDF-")


def test_by_keys_alone_from_the_list(stock: Stock) -> None:
    """Without a scanner the batch is chosen from the list of what waits, and the run goes on where it stopped."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", "1\r", "4\r")
        await idle(app)
        verdict, words = await done(app, "6\r")
        assert (verdict, words[:29]) == (Verdict.GOOD, "6 labels printed  0005 to 001")

    work(stock.house, script)
    assert [str(seen.packs) for seen in stock.prints()] == ["0005-0010", "0001-0004"]
    assert stock.value("SELECT COUNT(*) FROM run") == 1


def test_by_scans_alone(stock: Stock) -> None:
    """Batch card, number card, a label read back, the void card: no key is pressed."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), scan("CMD24"))
        assert await done(app, label(run_code(stock), 7)) == (
            Verdict.GOOD,
            "The label reads back: 0007. It says what the table prints. Go on.",
        )
        verdict, words = await done(app, scan("CMDVOID"))
        assert (verdict, words[:32]) == (Verdict.GOOD, "24 packs void  0001-0024: label ")
        verdict, words = await done(app, scan("CMDREPEAT"))
        assert (verdict, words[:31]) == (Verdict.GOOD, "24 labels printed  0025 to 0048")

    work(stock.house, script)
    assert [seen.state for seen in stock.prints()] == ["PRINTED", "VOID"]
    assert stock.run_of(run_code(stock)).packs == 24


@pytest.mark.parametrize(
    ("scanned", "words"),
    [
        (lambda run: label(run, 99), "Serial 0099 is no pack of run"),
        (lambda run: label(run, 2, best_before="270124"), "This label says 270124 in (15)"),
        (lambda run: label(run, 2, gtin=FLAKES_GTIN), f"This label says {FLAKES_GTIN} in (01)"),
        (lambda _run: label("32632900102", 2), "This label says 32632900102 in (10)"),
    ],
)
def test_a_wrong_label_is_stopped(stock: Stock, scanned: Callable[[str], str], words: str) -> None:
    """A label that is read back must be the table's own in product, lot, date and serial."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "4\r")
        verdict, heard = await done(app, scanned(run_code(stock)))
        assert (verdict, heard[: len(words)]) == (Verdict.STOP, words)

    work(stock.house, script)


@pytest.mark.parametrize(
    ("count", "last", "asked"), [(24, 0, False), (99, 0, False), (100, 0, True), (48, 24, False), (49, 24, True)]
)
def test_which_numbers_are_unusual(count: int, last: int, asked: bool) -> None:
    """More than twice the last print, or three digits for a first one, is asked for twice."""
    assert bool(unusual(count, last)) is asked


def test_an_unusual_number_is_typed_twice(stock: Stock) -> None:
    """The first time it is only echoed; another number in between forgets it."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "4\r")
        assert (await done(app, "40\r"))[1].startswith("40 labels? Type 40 again to print them.")
        assert (await done(app, "30\r"))[1].startswith("30 labels?")
        assert (await done(app, "40\r"))[1].startswith("40 labels?")
        assert len(stock.prints()) == 1
        assert (await done(app, "40\r"))[0] is Verdict.GOOD

    work(stock.house, script)
    assert [seen.count for seen in stock.prints()] == [40, 4]


def test_a_printer_that_is_away_is_said(stock: Stock) -> None:
    """Labels that did not come out are never called printed: the page says why they wait, and the start page lists them."""
    settings = stock.house.places.settings
    settings.write_text(f'{settings.read_text() if settings.exists() else ""}printer = "ipp://127.0.0.1:9/ipp"\n')

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.batch))
        verdict, sentence, *_ = await done(app, "4\r")
        assert verdict is Verdict.CHECK
        assert "4 labels made" in sentence
        await do(app, "/start\r")
        assert "wait for the printer" in dump(app)

    work(stock.house, script)
    assert [seen.state for seen in stock.prints()] == ["WAITING"]


def test_keypad_signs(stock: Stock) -> None:
    """``+`` prints one more, ``*`` as many as last time, ``-`` voids the last."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "4\r", "*\r", "+\r", "-\r")

    work(stock.house, script)
    assert [(seen.count, seen.state) for seen in stock.prints()] == [(1, "VOID"), (4, "PRINTED"), (4, "PRINTED")]


@pytest.mark.parametrize(
    ("keys", "verdict", "words"),
    [
        (["held"], Verdict.STOP, "is on hold: core check missing."),
        (["running"], Verdict.STOP, "is not released for packing."),
        (["salmon"], Verdict.STOP, "No product of the house is hot smoked and of the fish in batch"),
        (["batch", "81\r"], Verdict.STOP, "81 packs are more than the 80 that can still be made of batch"),
        (["batch", "0\r"], Verdict.CHECK, "0 labels are none."),
        (["batch", "\r"], Verdict.CHECK, "How many labels?"),
        (["batch", "-\r"], Verdict.CHECK, "No label was printed for this batch today."),
        (["*\r"], Verdict.CHECK, "There is no last number to repeat."),
        (["24\r"], Verdict.CHECK, "There is no line 24 to choose."),
        (["batch", "/loss drying\r"], Verdict.CHECK, "A loss is a kind and a weight."),
        (["batch", "/loss drying 25\r"], Verdict.STOP, "has 24 kg left; 25 kg is 1 kg too much."),
        (["batch", "/case\r"], Verdict.CHECK, "There are no packs of this batch today."),
        (["batch", "/case rest\r"], Verdict.CHECK, "There are no packs of this batch today."),
        (["batch", "/yes\r"], Verdict.CHECK, "No print is unsettled."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_printed(
    stock: Stock, keys: list[str], verdict: Verdict, words: str
) -> None:
    """Each refusal is one sentence, and neither a run nor a label comes of it."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        heard = await done(app, *(key if "\r" in key else scan(getattr(stock, key)) for key in keys))
        assert heard[0] is verdict
        assert words in heard[1]

    work(stock.house, script)
    assert stock.prints() == []
    assert stock.value("SELECT COUNT(*) FROM run") == 0


@pytest.mark.parametrize(
    ("keys", "product"),
    [
        (["2\r"], "Hot smoked haddock"),
        (["\r"], "Haddock flakes"),
        (["down", "\r"], "Hot smoked haddock"),
        ([f"]E0{FLAKES_GTIN[1:]}\r"], "Haddock flakes"),
        ([scan("CMD2")], "Hot smoked haddock"),
    ],
    ids=["number", "enter", "arrow", "its code", "number card"],
)
def test_the_product_is_chosen_when_there_are_several(stock: Stock, keys: list[str], product: str) -> None:
    """By number, by arrows or by scanning; with the choice of the marked one, labels still take four keys at most."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.either))
        assert "which product?" in dump(app)
        await do(app, *keys)
        assert (await done(app, "10\r"))[0] is Verdict.GOOD

    work(stock.house, script)
    (made,) = stock.prints()
    assert (made.product, made.count) == (product, 10)


def test_two_products_of_one_batch(stock: Stock) -> None:
    """Each product of a batch has a run of its own, filled with just what its packs need."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.either), f"]E0{FLAKES_GTIN[1:]}\r")
        await done(app, "10\r")
        await do(app, "f6", "]E09520000000028\r")
        await done(app, "5\r")

    work(stock.house, script)
    filled = "SELECT SUM(g) AS g FROM flow GROUP BY child ORDER BY child"
    assert stock.value(f"SELECT group_concat(g) FROM ({filled})") == "1500,1500"


def test_reprint_asks_why(stock: Stock) -> None:
    """F5 asks for the reason; a number chooses one, a text is one; named packs can be printed again alone."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "4\r")
        await do(app, "f5")
        assert "1 smeared" in dump(app)
        assert (await done(app, "2\r"))[1].startswith("Printed again  0001-0004")
        assert (await done(app, "/void 4\r", "/reprint 2-4 wet hands\r"))[1].startswith("Printed again  0002-0003")

    work(stock.house, script)
    assert [(seen.state, seen.note) for seen in stock.prints()] == [
        ("REPRINTED", "wet hands"),
        ("REPRINTED", "torn"),
        ("PRINTED", ""),
    ]


def test_esc_leaves_a_question(stock: Stock) -> None:
    """Esc drops the question and stays on the page; the next number is a number again."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "4\r")
        await do(app, "f5", "escape")
        assert said(app)[1].startswith("Left as it was.")
        await done(app, "2\r")

    work(stock.house, script)
    assert [seen.state for seen in stock.prints()] == ["PRINTED", "PRINTED"]


def test_void_some_of_an_earlier_print(stock: Stock) -> None:
    """``/void 2-3 smeared`` voids these serials with the reason, and their fish can be packed again."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "40\r", "/void 2-3 smeared\r")
        assert "of 80" not in dump(app)
        assert "packed 38 of about 80" in dump(app)
        verdict, words = await done(app, "/void 2-3\r")
        assert (verdict, words[:34]) == (Verdict.STOP, "Packs 0002-0003 are void already. ")

    work(stock.house, script)
    (made,) = stock.prints()
    assert (made.state, made.void) == ("PRINTED", 2)
    assert stock.value("SELECT reason FROM pack_end") == "smeared"


@pytest.mark.parametrize(
    ("void", "undo"),
    [("f8", "/undo\r"), ("/void 2-3 smeared\r", "/undo they are clean\r"), ("/void 2-3\r", "/undo 2-3 clean\r"),
     ("f8", scan("CMDUNDO"))],
    ids=["all", "reason", "serials", "card"],
)  # fmt: skip
def test_void_labels_are_on_packs_after_all(stock: Stock, void: str, undo: str) -> None:
    """The way back is offered with the result and taken by one word; the labels count as printed again."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "40\r", void)
        assert "Wrong? /undo" in said(app)[1]
        verdict, words = await done(app, undo)
        assert (verdict, "again  0" in words) == (Verdict.GOOD, True), words
        assert "packed 40 of about 80" in dump(app)
        assert (await done(app, "/undo\r"))[1].startswith("Nothing was voided here")

    work(stock.house, script)
    (made,) = stock.prints()
    assert (made.state, made.void) == ("PRINTED", 0)


def test_loss_and_cases_from_here(stock: Stock) -> None:
    """A loss is named in kilograms; full cases are closed and labelled, the rest on request."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        await done(app, scan(stock.batch), "30\r")
        assert "2 full   case 6 of 12" in dump(app)
        assert (await done(app, "/loss waste 1,2\r"))[1].startswith("1.2 kg waste named for batch")
        assert (await done(app, "/case\r"))[1].startswith("2 cases closed  09")
        assert (await done(app, "/case\r"))[1].startswith("6 packs are loose; a full case is 12.")
        assert (await done(app, "/case rest\r"))[1].startswith("1 case closed  09")

    work(stock.house, script)
    assert stock.value("SELECT SUM(g) FROM loss WHERE kind = 'waste'") == 1200
    in_cases = "SELECT SUM(last - first + 1) AS n FROM content GROUP BY unit"
    assert stock.value(f"SELECT group_concat(n) FROM ({in_cases})") == "12,12,6"
    assert stock.value("SELECT COUNT(*) FROM label_print WHERE unit IS NOT NULL") == 3


def test_the_label_is_seen_before_it_is_printed(stock: Stock) -> None:
    """F4 shows the label as it would be printed, then in words with what was found and the caution, and enters nothing."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.batch), "f4")
        shown = dump(app)
        assert "100 x 60 mm, 203 dpi   reads back, modules 0.25 mm" in shown
        assert "PRINTS   " in shown
        assert sum(0x1FB00 <= ord(sign) <= 0x1FB3B for sign in shown) > 200
        await do(app, "f4")
        shown = dump(app)
        for text in (
            "There is no word on cooking",
            "[use: CXS 1-1985, from memory]",
            "local codes and a qualified person",
            "Hot smoked haddock",
            "300 g",
            "best before 23 Jan 2027",
        ):
            assert text in shown
        await do(app, "f4")
        assert "serials" in dump(app)

    work(stock.house, script)
    assert stock.value("SELECT COUNT(*) FROM run") == 0


def cut_short(stock: Stock) -> str:
    """A print of four packs that was sent when the power went."""
    run = stock.packed_run(4)
    desk = stock.house.desk()
    ref = int(desk.records.value("SELECT id FROM run WHERE code = ?", run))
    with desk.entry("print labels") as entry:
        pack_entries.print_labels(entry, ref, pack_entries.Serials(1, 4), "first", "", "lost.pdf", desk.now)
    desk.close()
    return run


@pytest.mark.parametrize(
    ("answer", "state", "next_serials"),
    [("/yes\r", "PRINTED", "0005-0006"), ("1\r", "PRINTED", "0005-0006"), ("/no\r", "FAILED", "0001-0002")],
)
def test_after_a_crash_it_asks_what_came_out(stock: Stock, answer: str, state: str, next_serials: str) -> None:
    """A pending print is asked about; labels that did not come out are printed first next time."""
    cut_short(stock)

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r")
        verdict, words = said(app)
        assert (verdict, words[:29]) == (Verdict.CHECK, "Did labels 0001-0004 of run 3")
        await do(app, answer)
        await done(app, scan(stock.batch), "2\r")

    work(stock.house, script)
    latest, first = stock.prints()
    assert (first.state, str(latest.packs)) == (state, next_serials)


def test_another_number_is_no_answer(stock: Stock) -> None:
    """While it asks what came out, a number that is no answer prints nothing."""
    cut_short(stock)

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", "24\r")
        assert said(app)[1].startswith("24 is none of the answers.")

    work(stock.house, script)
    assert len(stock.prints()) == 1


def test_a_long_print_is_shown_and_stopped(stock: Stock, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page counts while it prints, takes /stop meanwhile, and the packs of a stopped print wait for labels."""

    def endless(*args: object, **_options: object) -> None:
        progress = args[-1]
        assert callable(progress)
        for number in range(10_000):
            progress(number, 10_001)
            time.sleep(0.002)

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.batch))
        with monkeypatch.context() as patched:
            patched.setattr(labels, "pack_label_pdf", endless)
            await do(app, "24\r")
            await asyncio.sleep(0.1)
            assert "of 10001   /stop stops it" in dump(app)
            await do(app, "12\r")
            assert said(app)[1].startswith("Printing 24 labels is still going on.")
            await do(app, "/stop\r")
            await idle(app)
            assert said(app)[0] is Verdict.STOP
            assert said(app)[1].startswith("Stopped after")
        assert "24 wait for labels" in dump(app)
        await done(app, "12\r")

    work(stock.house, script)
    latest, first = stock.prints()
    assert (first.state, latest.state, str(latest.packs)) == ("FAILED", "PRINTED", "0001-0012")


def test_the_table_outlives_the_program(stock: Stock) -> None:
    """What lay on the table lies there after a restart."""

    async def first(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.batch))

    async def second(app: HouseApp) -> None:
        await do(app, "/pack\r")
        assert (await done(app, "2\r"))[0] is Verdict.GOOD

    work(stock.house, first)
    work(stock.house, second)
    assert [seen.count for seen in stock.prints()] == [2]


def test_looking_only_prints_nothing(stock: Stock) -> None:
    """Nobody signed in: the page shows what is there and refuses to print."""

    async def script(app: HouseApp) -> None:
        await do(app, "/pack\r", scan(stock.batch))
        verdict, words = await done(app, "4\r")
        assert (verdict, words[:21]) == (Verdict.STOP, "Nobody is at work, so")

    work(stock.house, script, who=None)
    assert stock.prints() == []
