"""Tables that a person sorts: typed columns, written as XLSX or CSV, with nothing in them a spreadsheet would execute.

A text that begins with ``=``, ``+``, ``-``, ``@``, a tab or a carriage return can be taken for a formula when the file is
opened (OWASP, CSV injection). In XLSX such a text is stored as text with the quote mark that keeps it text; in CSV a single
quote is put in front of it.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Any, BinaryIO, cast

from lotwake.trace.base.errors import Refused

if TYPE_CHECKING:
    from openpyxl import Workbook

Value = str | int | Decimal | date | None
Row = tuple[Value, ...]
MISSING = "MISSING"
"""What stands in a cell the rule asks for and the record does not know."""
MOST_ROWS = 1_048_575
"""Rows below the heading that an XLSX sheet can hold."""

_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r")
# Characters XML 1.0 cannot hold; a text from a record may carry one from a scanner.
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_WIDEST = 48


class Typed(StrEnum):
    """What the cells of a column are."""

    TEXT = "text"
    DAY = "day"
    MASS = "kg"
    COUNT = "count"


_FORMATS = {Typed.DAY: "yyyy-mm-dd", Typed.MASS: "0.000", Typed.COUNT: "0"}


@dataclass(frozen=True)
class Column:
    """A column. ``element`` names the paragraph that asks for it; ``needed``: an empty cell is a gap; ``mend``: how to
    close that gap."""

    title: str
    typed: Typed = Typed.TEXT
    element: str = ""
    needed: bool = False
    mend: str = ""


@dataclass(frozen=True)
class Sheet:
    """Rows under columns. An empty text counts as no value."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    rule: str = ""

    @property
    def elements(self) -> tuple[str, ...]:
        """The paragraphs its columns answer, each once."""
        return tuple(dict.fromkeys(column.element for column in self.columns if column.element))

    def records(self) -> list[dict[str, Value]]:
        """The rows with the titles as keys."""
        titles = [column.title for column in self.columns]
        return [dict(zip(titles, row, strict=True)) for row in self.rows]


def kg(g: int) -> Decimal:
    """Whole grams as kilograms with three decimals."""
    return Decimal(g).scaleb(-3).quantize(Decimal("0.001"))


def shown(column: Column, value: Value) -> Value:
    """What is written for a value: ``MISSING`` where one is needed, nothing where none is."""
    if value is None or value == "":
        return MISSING if column.needed else None
    return value


def neutral(text: str) -> str:
    """The text as a CSV cell that no spreadsheet executes."""
    return f"'{text}" if text.startswith(_STARTS_FORMULA) else text


def csv_bytes(sheet: Sheet) -> bytes:
    """A sheet as CSV (RFC 4180), UTF-8 with a mark in front so that a spreadsheet reads the letters right."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([neutral(column.title) for column in sheet.columns])
    for row in sheet.rows:
        cells = [shown(*cell) for cell in zip(sheet.columns, row, strict=True)]
        writer.writerow(
            ["" if cell is None else neutral(cell) if isinstance(cell, str) else str(cell) for cell in cells]
        )
    return out.getvalue().encode("utf-8-sig")


def write_xlsx(file: BinaryIO, sheets: Sequence[Sheet], made: datetime, title: str) -> None:
    """A workbook with these sheets: headings that stay, filters, typed cells. Refused when a sheet is too long for it."""
    for sheet in sheets:
        if len(sheet.rows) > MOST_ROWS:
            raise Refused(
                f"{sheet.title} has {len(sheet.rows):,} rows; a spreadsheet holds {MOST_ROWS:,}.", "Ask for fewer days."
            )
    from openpyxl import Workbook  # only when a workbook is wanted: it takes longer to load than most commands run

    book = Workbook(write_only=True)
    book.properties.title, book.properties.creator = title, "Lotwake"
    book.properties.created = made.replace(tzinfo=None)
    for sheet in sheets:
        _write_sheet(book, sheet)
    book.save(file)


def _write_sheet(book: Workbook, sheet: Sheet) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    page: Any = book.create_sheet(sheet.title[:31])
    page.freeze_panes = "A2"
    last = get_column_letter(len(sheet.columns))
    page.auto_filter.ref = f"A1:{last}{len(sheet.rows) + 1}"
    for place, column in enumerate(sheet.columns, 1):
        texts = (len(str(row[place - 1] or "")) for row in sheet.rows[:200])
        page.column_dimensions[get_column_letter(place)].width = min(_WIDEST, max([len(column.title), *texts]) + 3)
    bold = Font(bold=True)
    headings = [_cell(page, column, column.title) for column in sheet.columns]
    for heading in headings:
        heading.font, heading.number_format = bold, "General"
    page.append(headings)
    missing = Font(bold=True, color="9C0006")
    for row in sheet.rows:
        cells = [_cell(page, column, shown(column, value)) for column, value in zip(sheet.columns, row, strict=True)]
        for cell in cells:
            if cell.value == MISSING:
                cell.font = missing
        page.append(cells)


def _cell(page: Any, column: Column, value: Value) -> Any:
    from openpyxl.cell import WriteOnlyCell

    if isinstance(value, str):
        cell = WriteOnlyCell(page, None)
        cell.value = _NOT_IN_XML.sub("\N{REPLACEMENT CHARACTER}", value)
        cell.data_type = "s"  # whatever it begins with: a text from the record is never a formula
        cell.quotePrefix = value.startswith(_STARTS_FORMULA)
        return cell
    cell = WriteOnlyCell(page, cast(Any, value))  # its type information forgets decimals and days
    if column.typed in _FORMATS and value is not None:
        cell.number_format = _FORMATS[column.typed]
    return cell
