"""Jobs on their way to paper: proofed, put where they were wanted, sent once, and settled.

A job is the file of all labels that were entered together; it has the number of the first of them. While it is under way
its file lies in the folder ``spool`` of the house; it leaves when the record says what came out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from lotwake.labels.errors import LabelNotWritten
from lotwake.labels.layout.stock import Stock
from lotwake.labels.printing.ipp import Media
from lotwake.labels.printing.pictures import give_out
from lotwake.labels.printing.proof import Scans, proof, refuse_misprint
from lotwake.labels.printing.spool import Spool, State
from lotwake.labels.printing.targets import Job, Target
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_setting import label_dots, label_target, media_of
from lotwake.trace.base.errors import CallError, MachineFailed, NotFound, Refused
from lotwake.trace.base.hidden import made_visible
from lotwake.trace.records.entries import packs
from lotwake.trace.records.find import Kind
from lotwake.trace.records.packing import PrintSeen, prints_of_job
from lotwake.trace.records.stock import FAILED, PENDING, PRINTED, WAITING

_STATES = {State.SENT: PRINTED, State.WAITING: WAITING, State.UNSURE: PENDING}


@dataclass(frozen=True)
class Sheets:
    """Labels that are ready to be made: ``write`` makes their PDF, ``expected`` says what each must read as."""

    stock: Stock
    write: Callable[[Path], None]
    expected: Callable[[], Sequence[Scans]]
    first_place: int = 1


@dataclass(frozen=True)
class Sent:
    """How it stands with a job: PRINTED, WAITING with the reason, or PENDING when nobody knows what came out.

    ``target`` is where it was sent, empty for a file; ``again`` is True when it had arrived before and was left alone;
    ``files`` are those that were written beside.
    """

    job: int
    state: str
    target: str = ""
    reason: str = ""
    again: bool = False
    files: tuple[Path, ...] = ()


def carry_out(desk: Desk, sheets: Sheets, prints: Sequence[int], name: str, out: Path, to: str = "") -> Sent:
    """Make the file of a job that was entered, proof it, put it to ``out``, and send it; enter what came of it.

    ``name`` is the thing it is for. A file that does not read as the record says goes nowhere. Raises as ``label_target``,
    what the labels raise, and MachineFailed; the record then says FAILED and why.
    """
    job = min(prints)
    file = _place(desk, f"{name}-{job}", sheets.stock)
    try:
        target = label_target(desk, to)
        desk.places.spool.mkdir(parents=True, exist_ok=True)
        sheets.write(file)
        refuse_misprint(proof(file, sheets.expected(), sheets.stock, label_dots(desk), sheets.first_place))
        files = give_out(file, out, label_dots(desk))
    except BaseException as error:
        if file.is_file():
            file.unlink()
        _note(desk, prints, FAILED, made_visible(str(error)) or type(error).__name__)
        if isinstance(error, OSError):
            said = f"The labels could not be written: {error.strerror or error}."
            raise MachineFailed(said, "Choose another place; the packs keep their numbers.") from error
        raise
    if target is None:
        _note(desk, prints, PRINTED, "")
        file.unlink(missing_ok=True)
        return Sent(job, PRINTED, files=files)
    return replace(_send(desk, prints, name, file, target), files=files)


def send_job(desk: Desk, number: int, to: str = "") -> Sent:
    """Send a job that waits, to the house's printer or to another; one that broke off is sent when it certainly did not
    arrive. Refused when it is settled, or when its file is gone."""
    seen = _open_job(desk, number)
    usual = "" if seen[0].thing.kind is Kind.RUN else desk.settings.case_printer
    target = label_target(desk, to or usual)
    if target is None:
        raise CallError(
            "No printer was named.", "Say --to, or set printer in house.toml; --to file:NAME.pdf writes a file."
        )
    name = _name_of(seen)
    file = next(desk.places.spool.glob(f"{name}-{seen[0].job}_*.pdf"), None)
    if file is None:
        raise Refused(
            f"The file of job {seen[0].job} was never made whole, so nothing was sent.",
            f"Say so: lotwake label settle {seen[0].job} not. Then print the labels again.",
        )
    return _send(desk, [item.id for item in seen], name, file, target)


def settle_job(desk: Desk, number: int, came_out: bool) -> list[PrintSeen]:
    """Say what came of a job that waits or broke off: all its labels came out, or none did and its packs wait for labels."""
    seen = _open_job(desk, number)
    name = f"{_name_of(seen)}-{seen[0].job}"
    desk.places.spool.mkdir(parents=True, exist_ok=True)
    Spool(desk.places.spool).settle(name, came_out)
    _note(desk, [item.id for item in seen], PRINTED if came_out else FAILED, "said by hand")
    for file in desk.places.spool.glob(f"{name}_*.pdf"):
        file.unlink()
    return seen


def _open_job(desk: Desk, number: int) -> list[PrintSeen]:
    seen = prints_of_job(desk.records, number)
    if not seen:
        raise NotFound(f"There is no print job {number}.", "lotwake label jobs lists those that are open.")
    states = desk.records.rows(
        "SELECT s.state FROM label_state s WHERE s.id IN (SELECT MAX(id) FROM label_state WHERE print IN"
        f" ({', '.join('?' * len(seen))}) GROUP BY print)",
        *(item.id for item in seen),
    )
    if any(state not in (PENDING, WAITING) for (state,) in states):
        raise Refused(f"Print job {seen[0].job} is settled already: {states[0][0]}.", "Nothing to do.")
    return seen


def _send(desk: Desk, prints: Sequence[int], name: str, file: Path, target: Target) -> Sent:
    job = min(prints)
    size = file.stem.rpartition("_")[2].removesuffix("mm").split("x")
    media = Media(float(size[0]), float(size[1]))
    try:
        outcome = Spool(desk.places.spool).send(Job(f"{name}-{job}", file, media), target)
    except LabelNotWritten as error:
        _note(desk, prints, WAITING, error.sentence)
        return Sent(job, WAITING, target.shown, error.sentence)
    state = _STATES[outcome.state]
    _note(desk, prints, state, outcome.reason or outcome.target)
    if state == PRINTED:
        file.unlink(missing_ok=True)
    return Sent(job, state, outcome.target, outcome.reason, outcome.again)


def _place(desk: Desk, name: str, stock: Stock) -> Path:
    """Where the file of a job lies while it is under way; its page size is in its name, for whoever sends it later."""
    size = media_of(stock)
    return desk.places.spool / f"{name}_{size.width_mm:g}x{size.height_mm:g}mm.pdf"


def _name_of(seen: Sequence[PrintSeen]) -> str:
    return seen[0].thing.code


def _note(desk: Desk, prints: Sequence[int], state: str, note: str) -> None:
    with desk.entry(f"labels {state.lower()}", why=note) as entry:
        for number in prints:
            packs.label_outcome(entry, number, state, note, desk.now)
