"""Bring a folder in: read and order all rows, enter them by the rules of the record, keep all of it or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, islice
from pathlib import Path

from lotwake.labels.errors import LabelError
from lotwake.trace.actions.bring_in import goods, house, work
from lotwake.trace.actions.bring_in.forms import Times
from lotwake.trace.actions.bring_in.making import Making
from lotwake.trace.actions.bring_in.names import Names, Waits
from lotwake.trace.actions.bring_in.problems import Problem, Problems
from lotwake.trace.actions.bring_in.rows import Place, Row
from lotwake.trace.actions.bring_in.sheets import BY_NAME, Step
from lotwake.trace.actions.bring_in.shelf import Shelf, Task, open_shelf
from lotwake.trace.actions.bring_in.staging import stage
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import CallError, NotFound, Refused

CHUNK = 500
"""How many things one line of the journal covers."""

Progress = Callable[[str, int, int], None]
"""Told what is being done, how much of it is, and how much there is (0 while that is not known)."""

_ALONE: Mapping[Step, Callable[[Making, Row], None]] = {
    Step.SOURCE: house.source,
    Step.SUPPLIER: house.supplier,
    Step.BUYER: house.buyer,
    Step.EQUIPMENT: house.equipment,
    Step.PRODUCT: house.product,
    Step.EARLIER_HOLD_RELEASE: work.hold_release,
    Step.LOT: work.lot,
    Step.BATCH: work.batch,
    Step.BATCH_INPUT: work.batch_input,
    Step.BATCH_RELEASE: work.batch_release,
    Step.PROCESS_STEP: work.process_step,
    Step.READING: work.reading,
    Step.RUN: work.run,
    Step.RUN_BATCH: work.run_batch,
    Step.RUN_INPUT: work.run_input,
    Step.PACKS: work.run_packs,
    Step.LOSS: work.loss,
    Step.HOLD: work.hold,
    Step.HOLD_RELEASE: work.hold_release,
}
_TOGETHER: Mapping[Step, Callable[[Making, Sequence[Row]], None]] = {
    Step.CASE: goods.case,
    Step.PALLET: goods.pallet,
    Step.DISPATCH: goods.dispatch,
    Step.RETURN: goods.take_back,
}


@dataclass(frozen=True)
class Outcome:
    """What came of it: rows in each file, the problems found with how many ``more`` there are, and whether it was kept."""

    dry_run: bool
    counts: Mapping[str, int]
    problems: tuple[Problem, ...]
    more: int
    kept: bool

    @property
    def clean(self) -> bool:
        return not self.problems


class _TakeBack(Exception):
    """Ends the transaction without keeping anything."""


def _silent(_what: str, _done: int, _total: int) -> None:
    """Nobody listens."""


def bring_in(desk: Desk, folder: Path, dry_run: bool = False, progress: Progress = _silent) -> Outcome:
    """Bring the old log book in ``folder`` into the record: every row, or none when one is bad or for a ``dry_run``.

    Raises NotFound when there is no such folder or nothing in it, Refused when no lead is at work, MachineFailed when disk
    or database fail; bad rows are in the outcome.
    """
    if desk.operator is None:
        raise Refused("Nobody is at work, so nothing can be brought in.", "Say who you are: --as INITIALS.")
    desk = desk.as_lead("bring in an old log book")
    problems = Problems()
    with open_shelf() as shelf:
        counts = stage(folder, Times(desk.now, desk.zone), shelf, problems, lambda done: progress("reading", done, 0))
        try:
            with desk.records.transaction():
                _enter_all(desk, f"old log book {folder.name}", shelf, problems, progress)
                if dry_run or problems:
                    raise _TakeBack
        except _TakeBack:
            pass
    found, more = problems.listed()
    return Outcome(dry_run, counts, found, more, kept=not dry_run and not found)


def _enter_all(desk: Desk, why: str, shelf: Shelf, problems: Problems, progress: Progress) -> None:
    names = Names(desk.records, desk.zone, shelf, problems)
    groups = _together(shelf.in_order())
    done = 0
    while chunk := list(islice(groups, CHUNK)):
        with desk.entry("bring in", why=why) as entry:
            making = Making(desk, names, entry)
            if not _enter_in_one(making, chunk):
                for step, rows in chunk:
                    _enter(making, step, rows, problems)
        done += sum(len(rows) for _, rows in chunk)
        progress("entering", done, shelf.tasks)


def _together(tasks: Iterator[Task]) -> Iterator[tuple[Step, list[Row]]]:
    """Rows of one case, pallet, dispatch or return together, every other row by itself."""
    for (step, _owner), group in groupby(tasks, key=lambda task: (task.step, task.owner)):
        rows = [task.row for task in group]
        if step in _TOGETHER:
            yield step, rows
        else:
            yield from ((step, [row]) for row in rows)


def _enter_in_one(making: Making, chunk: Sequence[tuple[Step, list[Row]]]) -> bool:
    """Enter everything as one part. When anything is refused nothing of it is kept, and False is given back: then each is
    entered as a part of its own, which takes longer and finds what is wrong."""
    try:
        with making.part():
            for step, rows in chunk:
                _make(making, step, rows)
    except (Waits, Refused, CallError, NotFound, LabelError):
        return False
    return True


def _make(making: Making, step: Step, rows: list[Row]) -> None:
    if step in _TOGETHER:
        _TOGETHER[step](making, rows)
    else:
        _ALONE[step](making, rows[0])


def _enter(making: Making, step: Step, rows: list[Row], problems: Problems) -> None:
    making.names.doubt = None
    try:
        with making.part():
            _make(making, step, rows)
    except Waits as waits:
        _leave_out(rows, waits.root, problems)
    except Refused as refusal:
        # Perhaps only because a bad row before it is missing: then it is not reported as wrong itself.
        _leave_out(rows, making.names.doubt, problems, making.names.in_old_words(str(refusal), rows[0]))
    except (CallError, NotFound, LabelError) as wrong:
        _leave_out(rows, None, problems, making.names.in_old_words(str(wrong), rows[0]))


def _leave_out(rows: list[Row], root: Place | None, problems: Problems, reason: str = "") -> None:
    """Rows that are not entered: they wait for the row at ``root``, or are wrong themselves."""
    first = rows[0]
    if root is None:
        problems.add(first.place, reason)
    else:
        for row in rows:
            problems.wait(row.place, root)
    sheet = BY_NAME[first.place.file.removesuffix(".csv")]
    problems.spoil(sheet, first.named(sheet.keys), root or first.place)
