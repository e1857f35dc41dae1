"""The papers of a recall or drill as files: letters, e-mail texts, the call sheet, the report."""

from __future__ import annotations

from pathlib import Path

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.recall_notices import note_papers, notices
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.recall.notices import letter_text
from lotwake.trace.recall.state import RecallState
from lotwake.trace.records.journal import head
from lotwake.trace.records.recalls import CaseSeen


def folder_of(desk: Desk, case: CaseSeen) -> Path:
    """Where the papers of a case lie in the house, unless somebody wants them elsewhere."""
    return desk.places.recalls / case.code


def make_notices(desk: Desk, case: CaseSeen, folder: Path) -> tuple[RecallState, list[Path]]:
    """Write letters, call sheet and e-mail texts into ``folder`` and note that they were made.

    The files are given back: letters, call sheet, then a text for each buyer. Refused when nobody has any of it.
    """
    from lotwake.trace.recall.paper_notices import write_call_sheet, write_letters  # the PDF library only when used

    state = look_at(desk, case)
    note_papers(desk, case, state)
    letters = notices(desk, state)
    _make_room(folder)
    texts = {
        folder / f"{case.code}-{number:02d}-mail.txt": letter_text(letter) for number, letter in enumerate(letters, 1)
    }
    sheets = [folder / f"{case.code}-letters.pdf", folder / f"{case.code}-call-sheet.pdf"]
    write_letters(letters, sheets[0])
    write_call_sheet(state, letters[0].house.name, sheets[1])
    for path, text in texts.items():
        try:
            path.write_text(text, encoding="utf-8")
        except OSError as error:
            raise _cannot_write(path, error) from error
    return look_at(desk, case), [*sheets, *texts]


def make_report(desk: Desk, state: RecallState, out: Path) -> Path:
    """Write the report of a case as it stands in ``state``."""
    from lotwake.trace.recall.paper_drill import write_report  # the PDF library only when used

    _make_room(out.parent)
    house = str(desk.records.value("SELECT name FROM site ORDER BY id LIMIT 1"))
    write_report(state, house, head(desk.records), out)
    return out


def _make_room(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _cannot_write(folder, error) from error


def _cannot_write(path: Path, error: OSError) -> MachineFailed:
    return MachineFailed(f"{path} cannot be written: {error.strerror}.", "Choose another folder, or make room.")
