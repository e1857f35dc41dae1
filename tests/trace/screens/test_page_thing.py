"""What is this, and putting right."""

from __future__ import annotations

import pytest
from screens_house import House, do, dump, said, scan, work

from lotwake.trace.actions import pack, ship, smoke
from lotwake.trace.actions.look import Seen, look
from lotwake.trace.base.codes import show_code
from lotwake.trace.records.facts import LotSeen
from lotwake.trace.records.find import by_code
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict


def seen(house: House, code: str) -> Seen:
    """A thing as it is in the record."""
    desk = house.desk()
    found = look(desk.records, by_code(desk.records, code))
    desk.close()
    return found


def packed(house: House) -> dict[str, str]:
    """The batch packed, cased and sent: the codes of everything, by kind."""
    desk = house.desk()
    smoke.release_batch(desk, house.batch)
    run = pack.start_run(desk, "Hot smoked haddock", [(house.batch, None)], count=30)
    cases = ship.case_up(desk, run.code)
    pallet = ship.build_pallet(desk, [cases[0].code])
    sent = ship.send(desk, "Quay Deli", [pallet.code], "DN-1")
    standing = ship.build_pallet(desk, [cases[1].code])
    back = ship.take_back(desk, "Quay Deli", [cases[0].code], "wrong size")
    desk.close()
    return {
        "lot": house.lot, "batch": house.batch, "run": run.code, "pack": f"{run.code}/3", "case": cases[1].code,
        "pallet": standing.code, "dispatch": sent.code, "return": back.code, "document": "DN-1",
        "gs1": f"]C10109520000000028{'10' + run.code}\x1d217",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("shown", "typed", "packs"),
    [("{run}/29", "/undo it was another\r", "0029"), ("{run}", "/undo 28-29 another box\r", "0028-0029")],
    ids=["pack", "run"],
)
def test_an_end_is_taken_back(house: House, shown: str, typed: str, packs: str) -> None:
    """From the page of a pack, or of its run; what it was before stays to be read there."""
    run = packed(house)["run"]
    desk = house.desk()
    pack.end_packs(desk, f"{run}/28-30", "SAMPLE", "for the laboratory")
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, f"{shown.format(run=run)}\r", "/undo\r")
        assert said(app)[0] is not Verdict.GOOD
        await do(app, typed)
        assert said(app) == (
            Verdict.GOOD, f"{packs} did not end as SAMPLE: in the house again. Both entries stay in the record.",
        )  # fmt: skip
        await do(app, *["down"] * 14)
        assert "SAMPLE is undone; " in dump(app)

    work(house, script)
    assert seen(house, f"{run}").facts.packs == 30


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("lot", ["LOT", "Aurora N-12-X", "41 kg  90.4 lb", "27.4.b Central North Sea"]),
        ("batch", ["BATCH", "RELEASED", "in 30 kg", "brining", "Kiln 1"]),
        ("run", ["RUN", "30 packs", "best before", "23 Jan 2027"]),
        ("pack", ["PACK", "/3", "RETURNED", "Quay Deli"]),
        ("case", ["CASE", "IN HOUSE", "packs 13-24"]),
        ("pallet", ["PALLET", "IN HOUSE", "holds"]),
        ("dispatch", ["DISPATCH", "SENT", "Quay Deli", "DN-1"]),
        ("return", ["RETURN", "wrong size"]),
        ("document", ["DISPATCH", "Quay Deli"]),
        ("gs1", ["PACK", "/7"]),
    ],
)
def test_everything_can_be_looked_at(house: House, kind: str, words: list[str]) -> None:
    """Each kind of thing, scanned or typed, shows its state and facts."""
    codes = packed(house)

    async def script(app: HouseApp) -> None:
        await do(app, f"{codes[kind]}\r")
        shown = dump(app)
        assert app.page.NAME == "thing"
        assert all(word in shown for word in words), shown

    work(house, script)


def test_lines_open_what_they_are_about_and_back_returns(house: House) -> None:
    """Enter on a content line opens that thing; Esc goes back the same way, then to the page before."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.batch))
        lines = [line for line in dump(app).splitlines() if "holds" in line]
        assert show_code(house.lot) in lines[0]
        while "> holds" not in dump(app):
            await do(app, "down")
        await do(app, "\r")
        assert f"LOT  {show_code(house.lot)}" in dump(app)
        await do(app, "escape")
        assert f"BATCH  {show_code(house.batch)}" in dump(app)
        await do(app, "escape")
        assert app.page.NAME == "start"

    work(house, script)


def test_line_without_a_thing_says_so(house: House) -> None:
    """Enter on a plain fact opens nothing and says what would."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.lot), "\r")
        assert said(app)[0] is Verdict.CHECK

    work(house, script)


def test_hold_and_lift(house: House) -> None:
    """A lot is held and freed from here, by name and with reasons; the batch made from it is held with it."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.lot), "/hold smells of diesel\r")
        assert said(app)[0] is Verdict.GOOD
        await do(app, scan(house.batch))
        assert "HELD" in dump(app)
        await do(app, scan(house.lot), "/lift it was the quay\r")
        assert said(app)[0] is Verdict.GOOD

    work(house, script)
    hold = seen(house, house.lot).holds[0]
    assert (hold.reason, hold.released_by, hold.released_why) == ("smells of diesel", "Signe Kvist", "it was the quay")


def test_reject_is_final(house: House) -> None:
    """A rejected lot cannot be freed."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.other_lot), "/reject rotten\r")
        assert "REJECTED" in dump(app)
        await do(app, "/lift no\r")
        assert said(app)[0] is Verdict.STOP

    work(house, script)


@pytest.mark.parametrize(
    ("line", "field", "now"),
    [
        ("/fix weight 40,5 kg because weighed again\r", "g", 40_500),
        ("/fix weight 40 because weighed again\r", "g", 40_000),
        ("/fix species COD because mixed up\r", "species", "COD"),
        ("/fix boat Kittiwake because wrong boat\r", "sender", "Kittiwake"),
        ("/fix temperature 35.6 F because misread\r", "core_c100", 200),
        ("/fix landed-on 22 Nov because late\r", "landed_on", "2026-11-22"),
    ],
)
def test_fix_in_one_line(house: House, line: str, field: str, now: object) -> None:
    """A field is corrected in one line with its reason."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.lot), line)
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, script)
    found = seen(house, house.lot)
    assert isinstance(found.facts, LotSeen)
    assert getattr(found.facts, field) == now
    assert len(found.corrections) == 1


@pytest.mark.parametrize(
    ("code", "keys", "words"),
    [
        ("lot", ["area\r", "27.7.e\r", "chart\r"], "Area of"),
        ("lot", ["boat\r", "kittiwake\r", "slip\r"], "is Kittiwake now"),
        ("batch", ["started\r", "05:55\r", "late entry\r"], "is 24 Nov 2026 05:55 now"),
        ("batch", ["prod\r", "Cold smoked salmon\r", "slip\r"], "is Cold smoked salmon now"),
        ("salt", ["item\r", "sea salt\r", "label\r"], "is sea salt now"),
    ],
)
def test_fix_by_the_form(house: House, code: str, keys: list[str], words: str) -> None:
    """The form offers the fields with what they say now, and corrects one."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(getattr(house, code)), "/fix\r")
        assert app.page.NAME == "correct"
        await do(app, *keys)
        verdict, text = said(app)
        assert verdict is Verdict.GOOD, text
        assert words in text
        assert app.page.NAME == "thing"

    work(house, script)
    assert seen(house, getattr(house, code)).corrections


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("/fix weight 40\r", "and why"),
        ("/fix colour red because\r", "and why"),
        ("/fix colour red because new\r", "cannot be corrected"),
        ("/fix weight 20 kg because less\r", "more than it had"),
    ],
)
def test_fix_that_cannot_be(house: House, line: str, words: str) -> None:
    """A correction without a reason, of nothing, or against the rules changes nothing."""

    async def script(app: HouseApp) -> None:
        await do(app, scan(house.lot), line)
        assert said(app)[0] in (Verdict.CHECK, Verdict.STOP)
        assert words in said(app)[1]

    work(house, script)
    assert not seen(house, house.lot).corrections


def test_case_is_not_corrected_by_a_field(house: House) -> None:
    """A thing without correctable fields says what to do instead."""
    codes = packed(house)

    async def script(app: HouseApp) -> None:
        await do(app, f"{codes['case']}\r", "/fix\r")
        assert said(app)[0] is Verdict.CHECK
        assert "Open, take off or take back instead" in said(app)[1]

    work(house, script)
