"""First pass: read every file of a folder, and put each row where it belongs in time."""

from __future__ import annotations

from collections.abc import Callable
from difflib import get_close_matches
from pathlib import Path

from lotwake.trace.actions.bring_in.forms import Times
from lotwake.trace.actions.bring_in.problems import Problems
from lotwake.trace.actions.bring_in.read import read_sheet
from lotwake.trace.actions.bring_in.rows import BadRow, Place, Row
from lotwake.trace.actions.bring_in.sheets import BY_NAME, SHEETS, Sheet, Step
from lotwake.trace.actions.bring_in.shelf import BATCH_RELEASE, GIVEN_SSCC, Shelf
from lotwake.trace.base.errors import NotFound
from lotwake.trace.base.moments import instant_text

_BREATH = 2_000


def files_in(folder: Path, problems: Problems) -> dict[str, Path]:
    """The CSV files of a folder by the name of their sheet; a file of another name is a problem, not left out in silence."""
    if not folder.is_dir():
        raise NotFound(f"There is no folder {folder}.", "Name the folder with the CSV files of the old log book.")
    found: dict[str, Path] = {}
    for path in sorted(path for path in folder.iterdir() if path.suffix.lower() == ".csv" and path.is_file()):
        name = path.stem.lower()
        if name not in BY_NAME:
            near = get_close_matches(name, BY_NAME, n=1)
            hint = f"Did you mean {near[0]}.csv?" if near else "See `lotwake bring-in --format`."
            problems.add(Place(path.name, 1), f"No file of an old log book is called so. {hint}")
        elif name in found:
            problems.add(Place(path.name, 1), f"There is a file {found[name].name} too. Keep one of them.")
        else:
            found[name] = path
    if not found and not problems:
        raise NotFound(f"There are no CSV files in {folder}.", "See `lotwake bring-in --format` for their names.")
    return found


def stage(
    folder: Path, times: Times, shelf: Shelf, problems: Problems, breathe: Callable[[int], None]
) -> dict[str, int]:
    """Put all rows on the shelf; the number of rows in each file is given back. ``breathe`` hears how many it were."""
    paths = files_in(folder, problems)
    counts: dict[str, int] = {}
    done = 0
    for sheet in (sheet for sheet in SHEETS if sheet.name in paths):
        counts[sheet.file] = 0
        for row in read_sheet(paths[sheet.name], sheet, times):
            if isinstance(row, BadRow):
                problems.add(row.place, row.reason)
                problems.spoil(sheet, row.named, row.place)
            else:
                _place(sheet, row, shelf, problems)
            counts[sheet.file] += 1
            done += 1
            if done % _BREATH == 0:
                breathe(done)
    return counts


def _place(sheet: Sheet, row: Row, shelf: Shelf, problems: Problems) -> None:
    named = row.named(sheet.keys)
    if sheet.part_of:
        _place_part(sheet, row, named[0], shelf, problems)
        return
    moment = instant_text(row.moment(sheet.when)) if sheet.when else ""
    owner = row.place.line
    before = shelf.name(sheet.thing, named[0], moment, row.place) if sheet.when and sheet.keys else None
    if before is not None:
        if not sheet.grouped:
            problems.add(row.place, f"The {sheet.thing} {named[0]} is in line {before.place.line} already.")
            return
        if before.moment != moment:
            said = f"The {sheet.thing} {named[0]} has another time here than in line {before.place.line}."
            problems.add(row.place, f"{said} Its rows must agree.")
            problems.spoil(sheet, named, row.place)
            return
        owner = before.place.line
    shelf.put(moment, sheet.step, owner, row)
    _place_more(sheet, row, moment, shelf)


def _place_part(sheet: Sheet, row: Row, code: str, shelf: Shelf, problems: Problems) -> None:
    owner = shelf.thing(sheet.thing, code)
    if owner is not None:
        shelf.put(owner.moment, sheet.step, owner.place.line, row)
    elif root := problems.spoiler(sheet.thing, code) or problems.loser(sheet.thing):
        problems.wait(row.place, root)
    else:
        problems.add(row.place, f"There is no {sheet.thing} called {code} in these files.")


def _place_more(sheet: Sheet, row: Row, moment: str, shelf: Shelf) -> None:
    """What a row says beside the thing it makes."""
    line = row.place.line
    if sheet.step is Step.BATCH and "released" in row.values:
        released = row.maybe_moment("released")
        at = instant_text(released) if released else moment
        shelf.name(BATCH_RELEASE, row.text("batch"), at, row.place)
        shelf.put(at, Step.BATCH_RELEASE, line, row)
    elif sheet.step is Step.RUN:
        if row.text("batch"):
            shelf.put(moment, Step.RUN_BATCH, line, row)
        shelf.put(moment, Step.PACKS, line, row)
    elif sheet.step in (Step.CASE, Step.PALLET):
        for sscc in row.named(("sscc",)):
            shelf.name(GIVEN_SSCC, sscc, moment, row.place)
    elif sheet.step is Step.HOLD and "released_at" in row.values:
        released_at = instant_text(row.moment("released_at"))
        step = Step.EARLIER_HOLD_RELEASE if released_at > moment else Step.HOLD_RELEASE
        shelf.put(released_at, step, line, row)
