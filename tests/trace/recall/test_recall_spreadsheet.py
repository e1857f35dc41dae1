"""Spreadsheets: typed cells, missing ones marked, and nothing in them that is executed."""

from __future__ import annotations

import csv
import io
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from openpyxl import load_workbook

from lotwake.trace.base.errors import Refused
from lotwake.trace.recall import spreadsheet
from lotwake.trace.recall.spreadsheet import MISSING, Column, Sheet, Typed, csv_bytes, kg, write_xlsx

MADE = datetime(2026, 11, 24, 6, tzinfo=UTC)
DANGEROUS = ["=1+1", "+47 000 00 001", "-5", "@SUM(A1)", "\t=1", "\r=1", '=HYPERLINK("http://x.example")']
COLUMNS = (
    Column("Name", element="(a)", needed=True), Column("Day", Typed.DAY, "(b)", True), Column("Mass", Typed.MASS, "(c)", True),
    Column("Packs", Typed.COUNT), Column("Note"),
)  # fmt: skip


def _book(*sheets: Sheet) -> Any:
    out = io.BytesIO()
    write_xlsx(out, sheets, MADE, "A test")
    return load_workbook(io.BytesIO(out.getvalue()))


def _rows(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))


def test_cells_are_typed() -> None:
    """Days are dates, masses and counts are numbers, and they are shown as such."""
    page = _book(Sheet("One", COLUMNS, (("x", date(2026, 11, 24), kg(12_345), 48, ""),)))["One"]
    name, day, mass, packs, note = page[2]
    assert (name.data_type, day.is_date, mass.data_type, packs.data_type, note.value) == ("s", True, "n", "n", None)
    assert day.value.date() == date(2026, 11, 24)
    assert (mass.value, mass.number_format, packs.value) == (12.345, "0.000", 48)
    assert (page.freeze_panes, page.auto_filter.ref) == ("A2", "A1:E2")


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_text_becomes_a_formula(text: str) -> None:
    """A text that a spreadsheet would execute stays a text: marked as one in XLSX, behind a quote in CSV."""
    sheet = Sheet("One", (Column(text), Column("B")), ((text, "plain"),))
    page = _book(sheet)["One"]
    for cell in (page["A1"], page["A2"]):
        assert cell.data_type == "s"
        assert cell.quotePrefix
        assert cell.value == text.replace("\r", "\n")  # XML reads a carriage return as the end of a line
    heading, row = _rows(csv_bytes(sheet))
    assert heading[0] == row[0] == f"'{text}"
    assert row[1] == "plain"


def test_missing_cells_are_marked() -> None:
    """A cell that a rule asks for says so when it is empty, whatever its type; another one stays empty."""
    sheet = Sheet("One", COLUMNS, (("", None, None, None, None),))
    row = [cell.value for cell in _book(sheet)["One"][2]]
    assert row == [MISSING, MISSING, MISSING, None, None]
    assert _rows(csv_bytes(sheet))[1] == [MISSING, MISSING, MISSING, "", ""]


def test_letters_survive() -> None:
    """Letters of any language come through both forms; what XML cannot hold becomes a replacement character."""
    sheet = Sheet("One", (Column("Å"),), (("Tåkelur 鯖",), ("a\x00b\x1dc",)))
    page = _book(sheet)["One"]
    assert [cell.value for cell in page["A"]] == [
        "Å",
        "Tåkelur 鯖",
        "a\N{REPLACEMENT CHARACTER}b\N{REPLACEMENT CHARACTER}c",
    ]
    assert [row[0] for row in _rows(csv_bytes(sheet))][:2] == ["Å", "Tåkelur 鯖"]


@pytest.mark.parametrize("g", [0, 1, 999, 1000, 12_345, 99_999_999])
def test_grams_become_kilograms_exactly(g: int) -> None:
    """No gram is lost on the way to kilograms."""
    assert kg(g) * 1000 == g
    assert kg(g).as_tuple().exponent == -3
    assert isinstance(kg(g), Decimal)


def test_a_sheet_that_is_too_long_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """More rows than a sheet can hold are refused with what to do, not cut off."""
    monkeypatch.setattr(spreadsheet, "MOST_ROWS", 2)
    with pytest.raises(Refused, match="fewer days"):
        _book(Sheet("One", (Column("A"),), (("1",), ("2",), ("3",))))
