"""The packing table: a released batch lies on it, packs are made of it and labelled, and a bad label is voided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from lotwake.labels.gs1.dates import write_date
from lotwake.labels.gs1.elements import Element
from lotwake.labels.gs1.measures import NET_KG, weight_g
from lotwake.labels.gs1.scan import read_scan
from lotwake.trace.actions import labels
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_fit import look_at
from lotwake.trace.actions.label_seen import LabelSeen, pack_seen
from lotwake.trace.actions.labels import Printed, Progress
from lotwake.trace.actions.pack import new_run, pour
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.ranges import Serials, common, counted, in_words
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries import packs
from lotwake.trace.records.entries.batches import lose_from_work
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.facts import BatchSeen, RunSeen, batches, runs
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.label_balance import unlabelled
from lotwake.trace.records.packing import batches_of_run, possible_products, run_of_the_day
from lotwake.trace.records.stock import REJECT, VOID, batch_left_g, loose_packs, open_hold_above, run_left_g, run_packs


@dataclass(frozen=True)
class Table:
    """A batch on the packing table.

    ``products`` it may be packed as; ``product`` the one that is packed, None while it has to be chosen; ``run`` the run
    of the day, None before its first pack. ``left_g`` grams neither packed nor lost, of batch and run; ``waiting`` packs
    that were made and have no label; ``loose`` packs of the run in no case.
    """

    batch: Thing
    facts: BatchSeen
    products: tuple[ProductFacts, ...]
    product: ProductFacts | None = None
    run: RunSeen | None = None
    left_g: int = 0
    waiting: int = 0
    loose: int = 0

    @property
    def run_thing(self) -> Thing | None:
        return None if self.run is None else Thing(Kind.RUN, self.run.id, self.run.code)

    @property
    def packed(self) -> int:
        """Packs of the run."""
        return 0 if self.run is None else self.run.packs

    @property
    def possible(self) -> int:
        """Labels that can still be printed: packs that wait for one, and packs the fish lasts for."""
        return 0 if self.product is None else self.waiting + self.left_g // self.product.net_g

    @property
    def weighed(self) -> bool:
        """Whether every pack is weighed by itself."""
        if self.run is not None:
            return self.run.catch_weight
        return self.product is not None and bool(self.product.catch_weight)


def lay_out(desk: Desk, code: str, product: str = "") -> Table:
    """Put a released batch on the table, by its code or by the code of a run that was filled from it.

    The product is ``product``, else the one it was smoked for, else the only possible one. Refused when the batch may not
    be packed; when it is used up it may lie here still, for its labels and cases.
    """
    batch = _batch_of(desk, code)
    facts = batches(desk.records, [batch.id])[batch.id]
    _must_be_packable(desk, batch, facts)
    products = possible_products(desk.records, batch.id)
    if not products:
        raise Refused(
            f"No product of the house is {facts.smoking} and of the fish in batch {batch.shown}.",
            "A label says only what the batch was: add the product in set-up first.",
        )
    names = [known.name for known in products]
    if product and product not in names:
        raise Refused(f"Batch {batch.shown} cannot be packed as {product}.", f"It can be: {', '.join(names)}.")
    wanted = product or (facts.product if facts.product in names else names[0] if len(names) == 1 else "")
    chosen = next((known for known in products if known.name == wanted), None)
    table = Table(batch, facts, tuple(products), left_g=facts.left_g)
    return table if chosen is None else _with_run(desk, table, chosen)


def _batch_of(desk: Desk, code: str) -> Thing:
    thing = thing_of(desk.records, code, [Kind.BATCH, Kind.RUN], "the packing table")
    if thing.kind is Kind.BATCH:
        return thing
    sources = batches_of_run(desk.records, thing.id)
    if len(sources) != 1:
        shown = ", ".join(map(show_code, sources)) or "no batch"
        raise CallError(f"Run {thing.shown} was filled from {shown}.", "Scan the card of the batch you pack now.")
    return thing_of(desk.records, sources[0], [Kind.BATCH], "the packing table")


def _must_be_packable(desk: Desk, batch: Thing, facts: BatchSeen) -> None:
    hold = open_hold_above(desk.records, [batch.id])
    if hold is not None:
        what = "is rejected" if hold.kind == REJECT else "is on hold"
        raise Refused(f"{show_code(hold.code)} {what}: {hold.reason}.", "Nothing made from it may be packed.")
    if facts.released is None:
        raise Refused(f"Batch {batch.shown} is not released for packing.", "Release it first, by name.")


def _with_run(desk: Desk, table: Table, product: ProductFacts) -> Table:
    thing = run_of_the_day(desk.records, table.batch.id, product.name, desk.today.isoformat())
    if thing is None:
        return Table(table.batch, table.facts, table.products, product, left_g=table.facts.left_g)
    run = runs(desk.records, [thing.id])[thing.id]
    return Table(
        batch=table.batch,
        facts=table.facts,
        products=table.products,
        product=product,
        run=run,
        left_g=table.facts.left_g + run.left_g,
        waiting=counted(unlabelled(desk.records, run.id)),
        loose=counted(loose_packs(desk.records, run.id)),
    )


def may_be_packed(desk: Desk, code: str) -> bool:
    """Whether nothing holds this batch."""
    batch = thing_of(desk.records, code, [Kind.BATCH], "the packing table")
    return open_hold_above(desk.records, [batch.id]) is None


def best_before(desk: Desk, table: Table) -> date | None:
    """The date on the labels of this table."""
    if table.run is not None:
        return date.fromisoformat(table.run.best_before)
    return None if table.product is None else desk.today + timedelta(days=table.product.life_days)


class _Undone(Exception):
    """Takes an entry back that was made to see what would come of it."""


def preview(desk: Desk, table: Table) -> LabelSeen:
    """The next label of this table, exactly as it would be printed, also when something found keeps it from printing.

    Nothing is entered. Refused, with the reason, when such a label cannot be made.
    """
    if table.product is None:
        raise CallError("What is packed?", "Choose the product first.")
    try:
        with desk.entry("look at a label") as entry:
            run = table.run_thing or new_run(desk, entry, table.product.name, desk.now)
            if table.run is None:
                pour(desk, entry, table.batch.id, run.id, min(table.product.net_g, table.left_g))
            fit = look_at(desk, run)
            raise _Undone
    except _Undone:
        return pack_seen(desk, fit, table.packed + 1)


def pack_and_print(
    desk: Desk,
    batch: str,
    product: str,
    count: int,
    progress: Progress | None = None,
    weights_g: Sequence[int] = (),
) -> Printed:
    """Make the next ``count`` packs of a batch and print their labels into the house's folder of printed files; where packs
    are weighed one by one, a pack for each of ``weights_g``, or labels for ``count`` that were weighed and wait for them.

    Run, fish, packs and print are one entry: all of it is in the record before the first label comes out, or nothing is.
    The file is named after the run and the serials.
    """
    desk.places.printed.mkdir(parents=True, exist_ok=True)
    with desk.entry("pack and print labels") as entry:
        table = lay_out(desk, batch, product)
        if table.product is None:
            raise CallError("What is packed?", "Choose the product first.")
        must_be_enough(table, count - len(weights_g), weights_g)
        run = table.run_thing or new_run(desk, entry, table.product.name, desk.now)
        _fill(desk, entry, table, run, _new_g(table, count, weights_g))
        made = labels.begin_first_print(
            desk, entry, run, count, lambda parts: _file(desk, run, parts), weights_g=weights_g
        )
    return labels.send_first_print(desk, made, progress)


def must_be_enough(table: Table, count: int, weights_g: Sequence[int] = ()) -> None:
    """Refused when the fish does not last for so many besides those that wait, or for packs of these weights."""
    if table.weighed and count > table.waiting:
        raise CallError("Each of these packs has a weight of its own.", "Weigh the pack and give its grams.")
    if sum(weights_g) > table.left_g:
        raise Refused(
            f"{show_mass(sum(weights_g))} is more than is left of batch {table.batch.shown}: {show_mass(table.left_g)}.",
            "Weigh again, or put another batch on the table.",
        )
    if count > table.possible:
        raise Refused(
            f"{count} packs are more than the {table.possible} that can still be made of batch {table.batch.shown}:"
            f" {show_mass(table.left_g)} left.",
            "Type a smaller number, or put another batch on the table.",
        )


def _new_g(table: Table, count: int, weights_g: Sequence[int]) -> int:
    assert table.product is not None
    return sum(weights_g) if table.weighed else max(0, count - table.waiting) * table.product.net_g


def _fill(desk: Desk, entry: Entry, table: Table, run: Thing, new_g: int) -> None:
    """Only as much of the batch as the new packs need goes into the run; the rest stays free for another product."""
    short_g = new_g - run_left_g(desk.records, run.id)
    if short_g > 0:
        pour(desk, entry, table.batch.id, run.id, short_g)


def _file(desk: Desk, run: Thing, parts: Sequence[Serials], suffix: str = "") -> Path:
    stem = f"{run.code}-{min(parts).first:04d}-{max(parts).last:04d}{suffix}"
    return _free(desk.places.printed, stem)


def _free(folder: Path, stem: str) -> Path:
    """A file of this name that is not there yet: a file that was printed is never written over."""
    path, number = folder / f"{stem}.pdf", 1
    while path.exists():
        number += 1
        path = folder / f"{stem}-{number}.pdf"
    return path


def print_again(desk: Desk, run: Thing, part: Serials, reason: str) -> Printed:
    """Labels once more for these packs, into the house's folder of printed files."""
    desk.places.printed.mkdir(parents=True, exist_ok=True)
    out = _file(desk, run, [part], "-again")
    return labels.reprint_labels(desk, f"{run.code}/{part.first}-{part.last}", reason, out)


def label_cases(desk: Desk, cases: Sequence[Thing], reason: str = "") -> list[Printed]:
    """The labels of cases, into the house's folder of printed files."""
    desk.places.printed.mkdir(parents=True, exist_ok=True)
    out = _free(desk.places.printed, f"{cases[0].code}{'-again' if reason else ''}")
    return labels.print_case_labels(desk, [case.code for case in cases], out, reason)


def label_batch(desk: Desk, batch: Thing, trays: int = 0, reason: str = "") -> Printed:
    """The card of a batch, or one for each of so many trays, into the house's folder of printed files."""
    desk.places.printed.mkdir(parents=True, exist_ok=True)
    out = _free(desk.places.printed, f"{batch.code}{'-again' if reason else ''}")
    return labels.print_card(desk, batch.code, out, trays, reason)


def not_void(desk: Desk, run: Thing, parts: Sequence[Serials]) -> list[Serials]:
    """Those of these serials that are packs; Refused when none is."""
    here = common(parts, run_packs(desk.records, run.id))
    if not here:
        raise Refused(f"Packs {in_words(parts)} are void already.", "Nothing to do.")
    return here


def void_packs(desk: Desk, run: Thing, parts: Sequence[Serials], reason: str) -> list[Serials]:
    """These labels belong to no packs: their serials are void and their fish can be packed again.

    What is void already is left alone.
    """
    with desk.entry("void packs", why=reason) as entry:
        here = not_void(desk, run, parts)
        for part in here:
            packs.end_packs(entry, run.id, part, VOID, reason, desk.now)
    return here


def lose_at_table(desk: Desk, table: Table, kind: str, g: int) -> Thing:
    """Name grams lost while packing: of the batch as far as it has them, else of its run."""
    run = table.run_thing
    thing = table.batch
    if run is not None and batch_left_g(desk.records, thing.id) < g <= run_left_g(desk.records, run.id):
        thing = run
    with desk.entry("name a loss") as entry:
        lose_from_work(entry, thing.id, kind, g, desk.now, "")
    return thing


def read_back(desk: Desk, table: Table, scanned: str) -> str:
    """Compare a label that was scanned with what the table prints; what was read is given back in words.

    Every element on it must be the table's own: GTIN, lot, date, and a serial of a pack that is not void. Refused, with
    what is different, otherwise.
    """
    if table.run is None or table.product is None:
        raise CallError("No label was printed for this batch today.", "Print one first, then scan it.")
    scan = read_scan(scanned, stand_in=desk.settings.separator)
    if scan.problems or not scan.elements:
        raise Refused("The label does not read as GS1 data.", "Print it again; look at the print head and the setting.")
    day = date.fromisoformat(table.run.best_before)
    wanted = {"01": table.product.gtin, "10": table.run.code, "15": write_date(day), "17": write_date(day)}
    for element in scan.elements:
        if wanted.get(element.ai, element.value) != element.value:
            raise Refused(
                f"This label says {element.value} in ({element.ai}); the table prints {wanted[element.ai]}.",
                "It belongs to another run: keep the two apart.",
            )
    serial = scan.value("21")
    if serial is None:
        return "without a serial"
    packs_now = run_packs(desk.records, table.run.id)
    if not (serial.isdecimal() and any(part.first <= int(serial) <= part.last for part in packs_now)):
        raise Refused(
            f"Serial {serial} is no pack of run {show_code(table.run.code)}.", "It is void: destroy the label."
        )
    _must_weigh_so(table.run, int(serial), scan.elements)
    return f"{int(serial):04d}"


def _must_weigh_so(run: RunSeen, serial: int, elements: Sequence[Element]) -> None:
    weighs_g = run.g_of(Serials(serial, serial))
    for element in elements:
        if run.catch_weight and element.ai.startswith(NET_KG) and weight_g(element.ai, element.value) != weighs_g:
            raise Refused(
                f"This label says {show_mass(weight_g(element.ai, element.value))}; by the record pack {serial} weighs"
                f" {show_mass(weighs_g)}.",
                "Weigh it again; print its label again, or correct its weight.",
            )
