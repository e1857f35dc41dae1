"""Reading one CSV file row by row: encoding, separator, header, fields. Only one row is held at a time."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from io import TextIOWrapper
from itertools import chain
from pathlib import Path

from lotwake.labels.errors import LabelError
from lotwake.trace.actions.bring_in.forms import Times, Value
from lotwake.trace.actions.bring_in.rows import BadRow, Place, Row
from lotwake.trace.actions.bring_in.sheets import Column, Sheet
from lotwake.trace.base.errors import LotwakeError

SEPARATORS = ",;\t"
_LONGEST_HEADER = 20_000
# Line ends and tabs inside a field become spaces; every other control character, and every byte that is not UTF-8 (read
# as a lone surrogate), is refused.
_FOREIGN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")


def read_sheet(path: Path, sheet: Sheet, times: Times) -> Iterator[Row | BadRow]:
    """Every row of a file that is not empty. Lines are counted as they stand in the file, inside quoted fields too."""
    with path.open(encoding="utf-8-sig", errors="surrogateescape", newline="") as stream:
        top = stream.readline(_LONGEST_HEADER)
        separator = max(SEPARATORS, key=lambda mark: _known_in(_split(top, mark), sheet))
        names = [_plain(cell) for cell in _split(top, separator)]
        if faults := list(_header_faults(top, names, sheet)):
            for fault in faults:
                yield BadRow(Place(sheet.file, 1), fault)
            return
        columns = {column.name: column for column in sheet.columns}
        yield from _rows(stream, top, separator, [columns[name] for name in names], sheet, times)


def _split(top: str, separator: str) -> list[str]:
    """The cells of the header; none when its quotes are wrong."""
    try:
        return next(csv.reader([top], delimiter=separator, strict=True), [])
    except csv.Error:
        return []


def _plain(cell: str) -> str:
    return "_".join(cell.replace("-", " ").replace("_", " ").lower().split())


def _known_in(cells: Sequence[str], sheet: Sheet) -> int:
    return len({_plain(cell) for cell in cells} & {column.name for column in sheet.columns})


def _header_faults(top: str, names: Sequence[str], sheet: Sheet) -> Iterator[str]:
    if not top.strip():
        yield "The file is empty. Its first line names the columns; see `lotwake bring-in --format`."
        return
    if foreign := _foreign_in(top):
        yield foreign
        return
    if not names:
        yield "The quotes in the header are wrong. Write the names of the columns without quotes."
        return
    known = [column.name for column in sheet.columns]
    for name in dict.fromkeys(names):
        if name not in known:
            near = get_close_matches(name, known, n=1)
            hint = f"Did you mean {near[0]}?" if near else f"There are: {', '.join(known)}."
            yield f"There is no column {name!r} in {sheet.file}. {hint}"
        elif names.count(name) > 1:
            yield f"The column {name} stands in the header {names.count(name)} times. Keep one of them."
    missing = [column.name for column in sheet.columns if column.needed and column.name not in names]
    if missing:
        yield f"The header lacks {', '.join(missing)}. These columns are needed in {sheet.file}."


def _rows(
    stream: TextIOWrapper, top: str, separator: str, columns: Sequence[Column], sheet: Sheet, times: Times
) -> Iterator[Row | BadRow]:
    reader = csv.reader(chain([top], stream), delimiter=separator, strict=True)
    next(reader)
    while True:
        place = Place(sheet.file, reader.line_num + 1)
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            if "expected after" in str(error):
                yield BadRow(place, "A quote stands inside a field. Write it twice, and put the field in quotes.")
                continue
            yield BadRow(place, "A quote that opens in this row is never closed; the rest of the file was not read.")
            return
        if any(cells):
            yield _row(place, cells, columns, sheet, times)


def _row(place: Place, cells: Sequence[str], columns: Sequence[Column], sheet: Sheet, times: Times) -> Row | BadRow:
    faults: list[str] = []
    values: dict[str, Value] = {}
    if len(cells) != len(columns):
        faults.append(
            f"The row has {len(cells)} fields and the header {len(columns)}. Put the fields below their columns."
        )
    elif foreign := _foreign_in("\n".join(cells)):
        faults.append(foreign)
    else:
        faults += _read_fields(cells, columns, times, values)
        faults += _weight_faults(values, sheet)
        if sheet.when and sheet.keys and not faults and not any(key in values for key in sheet.keys):
            faults.append(f"The row names no {sheet.thing}. Fill {' or '.join(sheet.keys)}.")
    if faults:
        return BadRow(place, " ".join(faults), _named(cells, columns, sheet))
    return Row(place, values)


def _read_fields(
    cells: Sequence[str], columns: Sequence[Column], times: Times, values: dict[str, Value]
) -> Iterator[str]:
    """Read every field into ``values``; what is wrong with any of them is given back."""
    for cell, column in zip(cells, columns, strict=True):
        text = " ".join(cell.split())
        if text:
            try:
                values[column.name] = column.form.read(text, times)
            except (LotwakeError, LabelError) as error:
                yield f"{column.name}: {error}"
        elif column.needed:
            yield f"The column {column.name} is empty; it is needed."


def _weight_faults(values: dict[str, Value], sheet: Sheet) -> Iterator[str]:
    """See that there is one weight, and put it under ``g``."""
    if "kg" in values and "g" in values:
        yield "Both kg and g are filled. Fill one of the two."
    elif "kg" in values:
        values["g"] = values.pop("kg")
    elif sheet.weighed and "g" not in values:
        yield "The weight is missing. Fill kg or g."


def _foreign_in(text: str) -> str | None:
    """What is wrong with the characters of a text, if anything is."""
    found = _FOREIGN.search(text)
    if found is None:
        return None
    code = ord(found[0])
    if code >= 0xD800:
        return f"The byte 0x{code - 0xDC00:02X} behind {_before(text, found)} is not UTF-8. Save the file as UTF-8."
    return f"A control character (0x{code:02X}) stands behind {_before(text, found)}. Take it out."


def _before(text: str, found: re.Match[str]) -> str:
    before = re.split(r"[\r\n]", text[: found.start()])[-1][-20:]
    return repr(before) if before else "the start of a field"


def _named(cells: Sequence[str], columns: Sequence[Column], sheet: Sheet) -> tuple[str, ...]:
    """What a bad row would have named, as far as it can be told."""
    texts = {column.name: " ".join(cell.split()) for cell, column in zip(cells, columns, strict=False)}
    return tuple(texts[key] for key in sheet.keys if texts.get(key))
