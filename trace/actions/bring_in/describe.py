"""An old log book in CSV files: how they are written.

Put the old book into one folder, one CSV file for each kind of thing. Only the files you have are needed; every other
*.csv in the folder is reported. Bring in the folder whole: every row is kept, or none.

  - UTF-8 text. Fields are parted by comma, semicolon or tab; a field with one of these in it stands in double quotes.
  - The first line names the columns, in any order. A column that is not needed may be left out or left empty.
  - Numbers take a decimal point or comma. A weight is in the column kg or in g; 1,234 is refused in kg as unclear.
  - A line break inside a field becomes a space; other control characters are refused.
  - Days are 2026-11-24, times 2026-11-24 05:40 in the time of the house, or with their own offset (...05:40:00+01:00).
    A day without a time means its first minute. Give times where you have them: they decide what came before what.
  - Things are named by their code in the old book. Each gets a code of ours, and is found by its old code ever after.
    A lot, batch, run, case or pallet that was in the record before may be named too, by its code here or its old one.
  - Rows are entered in the order of their times, and answer to the same rules as what is typed: enough mass, right order
    in time, nothing on hold. At the same time lots come before batches, batches before runs, runs before losses, cases,
    pallets, dispatches, returns and holds, and within one file the upper row before the lower.
  - A batch counts as released when `released` says so, or when a run was packed from it.
  - Packs of a run have the serials from 1. A case that has an SSCC keeps it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lotwake.trace.actions.bring_in.sheets import SHEETS, Sheet

RULES = __doc__ or ""


def as_text() -> Iterator[str]:
    """The description for people, line by line."""
    yield from RULES.rstrip().splitlines()
    for sheet in SHEETS:
        yield ""
        yield f"{sheet.file}: {sheet.what}"
        width = max(len(column.name) for column in sheet.columns)
        for column in sheet.columns:
            needed = "needed" if column.needed else ""
            example = f" Example: {column.example}" if column.example else ""
            yield f"  {column.name:{width}}  {column.form.says:12}  {needed:6}  {column.meaning}.{example}"


def as_data() -> list[dict[str, Any]]:
    """The files and columns as plain data."""
    return [{"file": sheet.file, "what": sheet.what, "columns": _columns(sheet)} for sheet in SHEETS]


def _columns(sheet: Sheet) -> list[dict[str, Any]]:
    return [
        {
            "column": column.name,
            "form": column.form.says,
            "needed": column.needed,
            "meaning": column.meaning,
            "example": column.example,
        }
        for column in sheet.columns
    ]
