"""US key data elements: their numbers are the record's, and what is missing is found."""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from recall_chain import DEALERS_LOT, Sent, in_season

from lotwake.demo_db.builder import Built
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.send_out import Choice, chosen, send_kde
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.recall import kde
from lotwake.trace.recall.kde import FIRST_RECEIVING, INPUTS, OUTPUTS, RECEIVING, SHIPPING

SEASON = Choice(since=date(2026, 8, 1))


def _rows(desk: Desk, choice: Choice, title: str) -> list[dict[str, Any]]:
    return next(sheet for sheet in kde.report(chosen(desk, choice)).sheets if sheet.title == title).records()


def test_the_events_of_a_chain(sent: Sent) -> None:
    """From one lot code: its own receiving, the transformations it went into, what was shipped and what came back."""
    rows = {
        title: _rows(sent.desk, Choice((sent.landing,)), title)
        for title in (FIRST_RECEIVING, RECEIVING, OUTPUTS, SHIPPING)
    }
    (landed,) = rows[FIRST_RECEIVING]
    assert (landed["Traceability lot code"], landed["Quantity"], landed["Unit"]) == (
        sent.landing,
        Decimal("19.000"),
        "kg",
    )
    assert landed["Harvest location"].startswith("FAO 27.4.b")
    assert [row["New traceability lot code"] for row in rows[OUTPUTS]] == [sent.run, sent.reworked]
    assert [row["Quantity"] for row in rows[OUTPUTS]] == [47, 2]
    (shipped,) = rows[SHIPPING]
    assert (shipped["Quantity"], shipped["Net weight kg"]) == (30, Decimal("9.000"))
    assert shipped["Reference document number"] == sent.dispatch
    (back,) = rows[RECEIVING]
    assert (back["Traceability lot code"], back["Our lot or return"]) == (sent.run, sent.goods_return)
    assert back["Quantity"] == Decimal("3.900")


def test_inputs_of_a_run_and_of_a_reworked_one(sent: Sent) -> None:
    """A run names each lot and reworked run behind it with the record's own grams; materials are left out."""
    rows = _rows(sent.desk, Choice((sent.reworked,)), INPUTS)
    inputs = {(row["New traceability lot code"], row["Input lot code"], row["Quantity used"]) for row in rows}
    assert inputs == {
        (sent.run, sent.landing, Decimal("15.000")),
        (sent.run, sent.second, Decimal("5.001")),
        (sent.reworked, DEALERS_LOT, Decimal("6.000")),
        (sent.reworked, sent.run, Decimal("0.600")),
    }


def test_gaps_are_found_and_come_first(sent: Sent, tmp_path: Path) -> None:
    """The first sheet names each missing element with its section and lot, and the cell itself is marked."""
    made = send_kde(sent.desk, Choice((sent.landing,)), tmp_path / "kde.xlsx")
    book = load_workbook(tmp_path / "kde.xlsx")
    assert book.sheetnames == ["Gaps", FIRST_RECEIVING, RECEIVING, INPUTS, OUTPUTS, SHIPPING, "About"]
    gaps = [[cell.value for cell in row] for row in book["Gaps"].iter_rows(min_row=2)]
    found = {(row[1], row[2], row[5]) for row in gaps if row[3] == sent.landing}
    assert found == {
        ("21 CFR 1.1335", "(d)", "Harvest from"), ("21 CFR 1.1335", "(d)", "Harvest to"),
        ("21 CFR 1.1335", "(g)", "Reference document number"),
    }  # fmt: skip
    assert ("21 CFR 1.1340", "(a)(4)", "Immediate next recipient, address") in {
        (row[1], row[2], row[5]) for row in gaps
    }
    assert len(made.missing) == len(gaps)
    event, _, _, _, place, title, _ = gaps[0]
    titles = [cell.value for cell in book[event][1]]
    assert book[event].cell(place, titles.index(title) + 1).value == "MISSING"


def test_a_code_that_looks_like_a_formula_stays_text(sent: Sent, tmp_path: Path) -> None:
    """A dealer's lot code that begins with = is text in every sheet."""
    send_kde(sent.desk, Choice((sent.bought,)), tmp_path / "kde.xlsx")
    page = load_workbook(tmp_path / "kde.xlsx")[RECEIVING]
    cells = [cell for row in page.iter_rows() for cell in row if cell.value == DEALERS_LOT]
    assert cells
    assert {cell.data_type for cell in cells} == {"s"}


def test_the_season_adds_up(season: Built, tmp_path: Path) -> None:
    """In the workbook of the whole season, typed cells add up to what the record's own rows say: grams and packs."""
    path = tmp_path / "kde.xlsx"
    sums = {
        FIRST_RECEIVING: "SELECT SUM(g) FROM lot WHERE kind = 'landing'",
        RECEIVING: "SELECT SUM(g) FROM lot WHERE kind IN ('farmed', 'bought-in')",
        OUTPUTS: """SELECT (SELECT SUM(last - first + 1) FROM pack_range)
          - (SELECT SUM(last - first + 1) FROM pack_end WHERE kind = 'VOID')""",
        SHIPPING: """SELECT (SELECT SUM(c.last - c.first + 1) FROM dispatch_line l JOIN dispatch d ON d.id = l.dispatch
          JOIN content c ON c.unit = l.unit AND c.since <= d.at AND COALESCE(c.until, '9') > d.at)
          + (SELECT SUM(last - first + 1) FROM dispatch_packs)""",
    }  # fmt: skip

    def ask(desk: Desk) -> dict[str, int]:
        send_kde(desk, SEASON, path)
        return {title: desk.records.value(sql) for title, sql in sums.items()}

    expected = in_season(season, ask)
    book = load_workbook(path)
    for title, total in expected.items():
        head, *rows = book[title].iter_rows()
        place = [cell.value for cell in head].index("Quantity")
        returned = [row for row in rows if title == RECEIVING and row[0].value and str(row[-1].value).startswith("5")]
        cells = [row[place] for row in rows if row not in returned]
        assert all(cell.data_type == "n" for cell in cells)
        unit = 1 if title in (OUTPUTS, SHIPPING) else 1000
        assert sum(round(cell.value * unit) for cell in cells) == total, title
    day = next(book[FIRST_RECEIVING].iter_rows(min_row=2))[10]
    assert isinstance(day.value, datetime)
    assert day.is_date


def test_inputs_of_the_season_are_the_records(season: Built) -> None:
    """Each lot, batch and amount among the inputs is a row of the record."""

    def ask(desk: Desk) -> tuple[list[dict[str, Any]], Counter[tuple[str, str, int]]]:
        sql = """SELECT l.code, b.code, SUM(u.g) FROM lot_use u JOIN lot l ON l.id = u.lot JOIN batch b ON b.id = u.work
          WHERE l.kind <> 'material' GROUP BY l.code, b.code"""
        return _rows(desk, SEASON, INPUTS), Counter(desk.records.rows(sql))

    rows, used = in_season(season, ask)
    lots = [row for row in rows if row["Our lot or run"].startswith("1")]
    assert len(lots) > 100
    for row in lots:
        assert (row["Our lot or run"], row["Into batch"], int(row["Quantity used"] * 1000)) in used


def test_days_choose_what_happened_on_them(sent: Sent) -> None:
    """A choice by days takes both days whole, in the house's time, and nothing of other days."""
    today = sent.desk.today
    assert len(_rows(sent.desk, Choice(since=today, until=today), SHIPPING)) == 1
    with pytest.raises(NotFound, match="other days"):
        chosen(sent.desk, Choice(until=today - timedelta(days=1)))


@pytest.mark.parametrize(
    "choice",
    [
        Choice(),
        Choice(("12624400136",), since=date(2026, 11, 24)),
        Choice(since=date(2026, 11, 24), until=date(2026, 11, 23)),
    ],
)
def test_a_choice_that_says_nothing_or_too_much_is_refused(sent: Sent, choice: Choice) -> None:
    """Neither codes nor days, both, or days the wrong way round: a sentence says what to give."""
    with pytest.raises(CallError):
        chosen(sent.desk, choice)


@pytest.mark.parametrize("name", ["kde", "kde.pdf", "records.db", ".xlsx"])
def test_the_name_of_the_file_must_say_what_it_is(sent: Sent, tmp_path: Path, name: str) -> None:
    """A name without a known end is refused before anything is written."""
    with pytest.raises(CallError, match="does not end"):
        send_kde(sent.desk, Choice((sent.run,)), tmp_path / name)
    assert list(tmp_path.glob("*.part")) == []
    assert not (tmp_path / name).exists()
