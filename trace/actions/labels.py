"""Print labels: what they say comes from the record, and every print is in the record before the first label comes out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from lotwake.labels.checks.check import CAUTION, Finding
from lotwake.labels.layout.card_label import card_label_pdf
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.stock import first_place_checked
from lotwake.labels.printing.proof import card_scans, case_scans, pack_scans
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_fit import LONGEST_SERIAL, Fit, fit_to_print
from lotwake.trace.actions.label_jobs import Sent, Sheets, carry_out, settle_job
from lotwake.trace.actions.label_laid import laid_cards, laid_unit, must_print
from lotwake.trace.actions.label_open import printed_before, refuse_while_open
from lotwake.trace.actions.label_setting import label_dots, label_stock, label_target
from lotwake.trace.actions.refs import packs_of, thing_of
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.ranges import Serials, counted
from lotwake.trace.records import label_balance
from lotwake.trace.records.entries import packs
from lotwake.trace.records.entries.packs import FIRST, REPRINT
from lotwake.trace.records.facts import runs
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry

Progress = Callable[[int, int], None]
MOST_COPIES = 20
"""Labels of one case or pallet: one for each side, and some to spare."""


@dataclass(frozen=True)
class Printed:
    """Labels that were printed: which packs of which run (or the unit, or the batch of a card), the file they are in, and
    how it stands with the printer.

    ``weights_g`` of each pack, where they were weighed one by one.
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
    weights_g: tuple[int, ...] = ()

    @property
    def count(self) -> int:
        return counted(self.packs) or 1


@dataclass(frozen=True)
class FirstPrint:
    """First labels that are in the record as PENDING and not yet sent. ``weights_g`` of each pack, where they are weighed
    one by one."""

    run: Thing
    fit: Fit
    weights_g: tuple[int, ...]
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
    weights_g: Sequence[int] = (),
    to: str = "",
    first_place: int = 1,
) -> Printed:
    """First labels for the next ``count`` packs of a run, as a PDF and to the printer.

    Packs that were made and have no label yet come first; the rest are made now, as far as the fish lasts. Where packs are
    weighed one by one, ``weights_g`` makes a pack for each and labels these; ``count`` labels those that wait. ``to`` sends
    them elsewhere than to the house's printer, or with ``file`` nowhere; ``first_place`` is the first label of a begun sheet.
    """
    thing = thing_of(desk.records, run, [Kind.RUN], "printing labels")
    with desk.entry("print labels") as entry:
        made = begin_first_print(
            desk, entry, thing, count, lambda _parts: out, with_serial, to, first_place, weights_g=weights_g
        )
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
    *,
    weights_g: Sequence[int] = (),
) -> FirstPrint:
    """Enter the packs and their print, in an entry that may do more; ``place`` says where labels of these packs go.

    With ``weights_g`` a pack is made for each of them and none that waits is labelled: the label belongs to the pack that
    is on the scale. Refused, and nothing kept, when the label cannot be made or is not fit to print.
    """
    count = len(weights_g) or count
    if count < 1:
        raise CallError(f"{count} labels cannot be printed.", "Enter 1 or more.")
    waiting = [] if weights_g else _first(label_balance.unlabelled(desk.records, run.id), count)
    if counted(waiting) < count:
        waiting.append(packs.add_packs(entry, run.id, count - counted(waiting), desk.now, weights_g))
    weights = _weights(desk, run, waiting)
    fit = _fit(desk, run, with_serial, to, first_place, weights)
    out = place(waiting)
    jobs = [packs.print_labels(entry, run.id, part, FIRST, "", out.name, desk.now) for part in waiting]
    return FirstPrint(run, fit, weights, tuple(waiting), tuple(jobs), out, with_serial, to, first_place)


def _weights(desk: Desk, run: Thing, parts: Sequence[Serials]) -> tuple[int, ...]:
    """What each of these packs weighs, where they were weighed one by one; nothing where all weigh the same."""
    seen = runs(desk.records, [run.id])[run.id]
    return tuple(seen.mass.each(parts)) if seen.catch_weight else ()


def send_first_print(desk: Desk, made: FirstPrint, progress: Progress | None = None) -> Printed:
    """Make, proof and send labels that were entered, and enter what came of it."""
    sheets = _pack_sheets(made, progress)
    sent = carry_out(desk, sheets, made.jobs, made.run.code, made.path, made.to)
    return Printed(
        made.run, made.packs, made.path, sent, made.fit.findings, made.fit.spec.product_name, weights_g=made.weights_g
    )


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
    weights = _weights(desk, thing, [serials])
    fit = _fit(desk, thing, with_serial, to, first_place, weights)
    refuse_while_open(desk, thing, serials)
    with desk.entry("reprint labels", why=reason) as entry:
        job = packs.print_labels(entry, thing.id, serials, REPRINT, reason, out.name, desk.now)
    return send_first_print(
        desk, FirstPrint(thing, fit, weights, (serials,), (job,), out, with_serial, to, first_place)
    )


def print_case_labels(
    desk: Desk, codes: Sequence[str], out: Path, reason: str = "", *, to: str = "", copies: int = 1
) -> list[Printed]:
    """The labels of cases and pallets, as one PDF, each as often as ``copies`` says; a ``reason`` allows labels that came out
    before.

    Refused for a label that cannot be read where it is used, and while an earlier print of one still waits.
    """
    if not 1 <= copies <= MOST_COPIES:
        raise CallError(f"{copies} labels for each case cannot be.", f"Write 1 to {MOST_COPIES}.")
    cases = [thing_of(desk.records, code, [Kind.CASE, Kind.PALLET], "a case label") for code in codes]
    laid = [laid_unit(desk, case) for case in cases]
    must_print(laid)
    label_target(desk, to or desk.settings.case_printer)
    again = {case.id for case in cases if printed_before(desk, case, reason)}
    with desk.entry("print case labels", why=reason) as entry:
        jobs = [
            packs.print_unit_label(entry, case.id, REPRINT if case.id in again else FIRST, reason, out.name, desk.now)
            for case in cases
        ]
    specs, stock = [each.spec for each in laid], laid[0].stock
    write = partial(case_label_pdf, specs, stock, label_dots(desk), copies=copies)
    sheets = Sheets(stock, write, lambda: [case_scans(spec) for spec in specs for _ in range(copies)])
    sent = carry_out(desk, sheets, jobs, cases[0].code, out, to or desk.settings.case_printer)
    return [Printed(case, (), out, sent, each.findings) for case, each in zip(cases, laid, strict=True)]


def print_card(
    desk: Desk, code: str, out: Path, trays: int = 0, reason: str = "", *, stock: str = "", to: str = ""
) -> Printed:
    """The card that goes with a batch through the house, or one for each of its trays; a ``reason`` allows it again.

    Refused as case labels are.
    """
    batch = thing_of(desk.records, code, [Kind.BATCH], "a card")
    laid = laid_cards(desk, batch, trays, stock)
    must_print(laid)
    label_target(desk, to or desk.settings.case_printer)
    again = printed_before(desk, batch, reason)
    with desk.entry("print card", why=reason) as entry:
        job = packs.print_card(entry, batch.id, REPRINT if again else FIRST, reason, out.name, desk.now)
    specs, paper = [each.spec for each in laid], laid[0].stock
    write = partial(card_label_pdf, specs, paper, label_dots(desk))
    sheets = Sheets(paper, write, lambda: list(map(card_scans, specs)))
    sent = carry_out(desk, sheets, [job], batch.code, out, to or desk.settings.case_printer)
    return Printed(batch, (), out, sent)


def _fit(desk: Desk, run: Thing, with_serial: bool, to: str, first_place: int, weights_g: Sequence[int]) -> Fit:
    """The label of a run, fit to print, with a printer and a place on the sheet that can be."""
    label_target(desk, to)
    first_place_checked(label_stock(desk), first_place)
    return fit_to_print(desk, run, LONGEST_SERIAL if with_serial else None, max(weights_g, default=0))


def _pack_sheets(made: FirstPrint, progress: Progress | None) -> Sheets:
    fit, weights, first_place = made.fit, made.weights_g, made.first_place
    numbers = [serial for part in made.packs for serial in range(part.first, part.last + 1)]
    serials: list[int | None] = [*numbers] if made.with_serial else [None] * len(numbers)
    stock, dots = fit.layout.stock, fit.layout.dots

    def write(file: Path) -> None:
        pack_label_pdf(
            fit.spec,
            serials,
            stock,
            dots,
            file,
            progress,
            weights_g=weights,
            design=fit.design,
            first_place=first_place,
        )

    def expected() -> list[tuple[str, ...]]:
        # The longest number decides the layout, as it does in the file.
        layout = fit.for_serial(max(numbers) if made.with_serial else None)
        each = weights or [None] * len(serials)
        return [pack_scans(layout, serial, net_g) for serial, net_g in zip(serials, each, strict=True)]

    return Sheets(stock, write, expected, first_place)


def _first(ranges: Sequence[Serials], count: int) -> list[Serials]:
    taken: list[Serials] = []
    for item in ranges:
        room = count - counted(taken)
        if room > 0:
            taken.append(Serials(item.first, min(item.last, item.first + room - 1)))
    return taken
