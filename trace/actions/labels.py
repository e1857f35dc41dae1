"""Print labels: what they say comes from the record, and every print is in the record before the first label comes out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from lotwake.labels.checks.check import CAUTION, Finding
from lotwake.labels.errors import LabelRefused
from lotwake.labels.layout.card_label import card_label_pdf, lay_out_card
from lotwake.labels.layout.case_label import case_label_pdf, lay_out_case
from lotwake.labels.layout.pack_label import lay_out, pack_label_pdf
from lotwake.labels.layout.spec import CardSpec, CaseLabelSpec, checked_spec
from lotwake.labels.layout.stock import CASE_A6, Stock, first_place_checked
from lotwake.labels.printing.proof import card_scans, case_scans, pack_scans
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_content import card_spec, case_label_spec
from lotwake.trace.actions.label_fit import Fit, fit_to_print
from lotwake.trace.actions.label_jobs import Sent, Sheets, carry_out, settle_job
from lotwake.trace.actions.label_setting import label_design, label_dots, label_stock, label_target
from lotwake.trace.actions.refs import packs_of, thing_of
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.ranges import Serials, counted
from lotwake.trace.records import label_balance
from lotwake.trace.records.entries import packs
from lotwake.trace.records.entries.packs import FIRST, REPRINT
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import FAILED, LAST_STATE

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Printed:
    """Labels that were printed: which packs of which run (or the unit, or the batch of a card), the file they are in, and
    how it stands with the printer.

    ``sent.state`` is PRINTED, WAITING with its reason, or PENDING when nobody knows. ``findings`` is what the market asks
    and the label lacks without being stopped by it; ``caution`` goes with them.
    """

    thing: Thing
    packs: tuple[Serials, ...]
    path: Path
    sent: Sent
    findings: tuple[Finding, ...] = ()
    product: str = ""
    caution: str = CAUTION

    @property
    def count(self) -> int:
        return counted(self.packs) or 1


@dataclass(frozen=True)
class FirstPrint:
    """First labels that are in the record as PENDING and not yet sent."""

    run: Thing
    fit: Fit
    packs: tuple[Serials, ...]
    jobs: tuple[int, ...]
    path: Path
    with_serial: bool
    to: str = ""
    first_place: int = 1


def print_labels(
    desk: Desk,
    run: str,
    count: int,
    out: Path,
    with_serial: bool = True,
    progress: Progress | None = None,
    *,
    to: str = "",
    first_place: int = 1,
) -> Printed:
    """First labels for the next ``count`` packs of a run, as a PDF and to the printer.

    Packs that were made and have no label yet come first; the rest are made now, as far as the fish lasts. ``to`` sends them
    elsewhere than to the house's printer, or with ``file`` nowhere; ``first_place`` is the first label of a begun sheet.
    """
    thing = thing_of(desk.records, run, [Kind.RUN], "printing labels")
    with desk.entry("print labels") as entry:
        made = begin_first_print(desk, entry, thing, count, lambda _parts: out, with_serial, to, first_place)
    return send_first_print(desk, made, progress)


def begin_first_print(
    desk: Desk,
    entry: Entry,
    run: Thing,
    count: int,
    place: Callable[[Sequence[Serials]], Path],
    with_serial: bool = True,
    to: str = "",
    first_place: int = 1,
) -> FirstPrint:
    """Enter the packs and their print, in an entry that may do more; ``place`` says where labels of these packs go.

    Refused before anything is written when the label cannot be made or is not fit to print.
    """
    if count < 1:
        raise CallError(f"{count} labels cannot be printed.", "Enter 1 or more.")
    fit = _fit(desk, run, with_serial, to, first_place)
    waiting = _first(label_balance.unlabelled(desk.records, run.id), count)
    if counted(waiting) < count:
        waiting.append(packs.add_packs(entry, run.id, count - counted(waiting), desk.now))
    out = place(waiting)
    jobs = [packs.print_labels(entry, run.id, part, FIRST, "", out.name, desk.now) for part in waiting]
    return FirstPrint(run, fit, tuple(waiting), tuple(jobs), out, with_serial, to, first_place)


def send_first_print(desk: Desk, made: FirstPrint, progress: Progress | None = None) -> Printed:
    """Make, proof and send labels that were entered, and enter what came of it."""
    sheets = _pack_sheets(desk, made.fit, made.packs, made.with_serial, made.first_place, progress)
    sent = carry_out(desk, sheets, made.jobs, made.run.code, made.path, made.to)
    return Printed(made.run, made.packs, made.path, sent, made.fit.findings, made.fit.spec.product_name)


def settle_print(desk: Desk, number: int, came_out: bool) -> None:
    """Say what came of a print that waits or was cut short, and of those that were entered with it."""
    settle_job(desk, number, came_out)


def reprint_labels(
    desk: Desk,
    text: str,
    reason: str,
    out: Path,
    with_serial: bool = True,
    *,
    to: str = "",
    first_place: int = 1,
) -> Printed:
    """Labels once more for packs ``RUN/1-24``, with the reason; the first ones are to be destroyed."""
    found = packs_of(desk.records, text)
    if found is None:
        raise CallError(f"{text!r} names no packs.", "Write the run and the serials, such as 326-329-014-09/1-24.")
    thing, serials = found
    fit = _fit(desk, thing, with_serial, to, first_place)
    with desk.entry("reprint labels", why=reason) as entry:
        job = packs.print_labels(entry, thing.id, serials, REPRINT, reason, out.name, desk.now)
    return send_first_print(desk, FirstPrint(thing, fit, (serials,), (job,), out, with_serial, to, first_place))


def print_case_labels(desk: Desk, codes: Sequence[str], out: Path, reason: str = "", *, to: str = "") -> list[Printed]:
    """The labels of cases, as one PDF; a ``reason`` allows labels that were printed before."""
    cases = [thing_of(desk.records, code, [Kind.CASE], "a case label") for code in codes]
    specs = [case_label_that_fits(desk, case) for case in cases]
    label_target(desk, to or desk.settings.case_printer)
    again = {case.id for case in cases if _was_printed(desk, "unit", case.id)}
    if again and not reason:
        shown = next(case.shown for case in cases if case.id in again)
        raise Refused(f"Case {shown} has its label already.", "Say why it is printed again.")
    with desk.entry("print case labels", why=reason) as entry:
        jobs = [
            packs.print_unit_label(entry, case.id, REPRINT if case.id in again else FIRST, reason, out.name, desk.now)
            for case in cases
        ]
    write = partial(case_label_pdf, specs, CASE_A6, label_dots(desk))
    sheets = Sheets(CASE_A6, write, lambda: [case_scans(spec) for spec in specs])
    sent = carry_out(desk, sheets, jobs, cases[0].code, out, to or desk.settings.case_printer)
    return [Printed(case, (), out, sent) for case in cases]


def case_label_that_fits(desk: Desk, case: Thing) -> CaseLabelSpec:
    """What the label of a case says; where the fish's origin leaves the words no room, it stands on the packs only."""
    spec = case_label_spec(desk, case)
    try:
        lay_out_case(checked_spec(spec), CASE_A6, label_dots(desk))
    except LabelRefused:
        if spec.origin is None:
            raise
        spec = replace(spec, origin=None)
        lay_out_case(checked_spec(spec), CASE_A6, label_dots(desk))
    return spec


def print_card(
    desk: Desk, code: str, out: Path, trays: int = 0, reason: str = "", *, stock: str = "", to: str = ""
) -> Printed:
    """The card that goes with a batch through the house, or one for each of its trays; a ``reason`` allows it again."""
    batch = thing_of(desk.records, code, [Kind.BATCH], "a card")
    paper = card_stock(desk, stock)
    specs = cards(desk, batch, trays)
    for spec in specs:
        lay_out_card(checked_spec(spec), paper, label_dots(desk))
    label_target(desk, to or desk.settings.case_printer)
    again = _was_printed(desk, "batch", batch.id)
    if again and not reason:
        raise Refused(f"Batch {batch.shown} has its card already.", "Say why it is printed again.")
    with desk.entry("print card", why=reason) as entry:
        job = packs.print_card(entry, batch.id, REPRINT if again else FIRST, reason, out.name, desk.now)
    sheets = Sheets(
        paper, partial(card_label_pdf, specs, paper, label_dots(desk)), lambda: list(map(card_scans, specs))
    )
    return Printed(batch, (), out, carry_out(desk, sheets, [job], batch.code, out, to or desk.settings.case_printer))


def cards(desk: Desk, batch: Thing, trays: int) -> list[CardSpec]:
    """The one card of a batch, or one for each tray."""
    return [card_spec(desk, batch, f"{tray} of {trays}") for tray in range(1, trays + 1)] or [card_spec(desk, batch)]


def card_stock(desk: Desk, name: str = "") -> Stock:
    """The stock cards are printed on: the one named, else the A6 stock of case labels."""
    return label_stock(desk, name) if name else CASE_A6


def _fit(desk: Desk, run: Thing, with_serial: bool, to: str, first_place: int) -> Fit:
    """The label of a run, fit to print, with a printer and a place on the sheet that can be."""
    label_target(desk, to)
    first_place_checked(label_stock(desk), first_place)
    return fit_to_print(desk, run) if with_serial else fit_to_print(desk, run, None)


def _pack_sheets(
    desk: Desk,
    fit: Fit,
    parts: Sequence[Serials],
    with_serial: bool,
    first_place: int,
    progress: Progress | None,
) -> Sheets:
    numbers = [serial for part in parts for serial in range(part.first, part.last + 1)]
    serials: list[int | None] = [*numbers] if with_serial else [None] * len(numbers)
    stock, dots, design = fit.layout.stock, fit.layout.dots, label_design(desk)

    def write(file: Path) -> None:
        pack_label_pdf(fit.spec, serials, stock, dots, file, progress, design=design, first_place=first_place)

    def expected() -> list[tuple[str, ...]]:
        # The longest number decides the layout, as it does in the file.
        layout = lay_out(fit.spec, max(numbers) if with_serial else None, stock, dots, design)
        return [pack_scans(layout, serial) for serial in serials]

    return Sheets(stock, write, expected, first_place)


def _was_printed(desk: Desk, column: str, ref: int) -> bool:
    """Whether a label of this unit or card of this batch came out or is under way."""
    return (
        desk.records.value(f"SELECT 1 FROM label_print p WHERE p.{column} = ? AND {LAST_STATE} <> ?", ref, FAILED)
        is not None
    )


def _first(ranges: Sequence[Serials], count: int) -> list[Serials]:
    taken: list[Serials] = []
    for item in ranges:
        room = count - counted(taken)
        if room > 0:
            taken.append(Serials(item.first, min(item.last, item.first + room - 1)))
    return taken
