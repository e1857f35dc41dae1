"""US key data elements per critical tracking event, from 21 CFR part 1 subpart S.

Which event: fish from a boat is first land-based receiving (1.1335), fish from a dealer or a farm is receiving (1.1345),
what is smoked and packed is transformation (1.1350) under a new lot code, which is the run's, and a dispatch is shipping
(1.1340), which makes no new code. The lists were seen in a copy of the rule, those of 1.1350 in a summary of it; what a
product description and a location description hold is from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import day_of, instant_of
from lotwake.trace.base.ranges import counted
from lotwake.trace.recall.extract import Extract
from lotwake.trace.recall.spreadsheet import Column, Row, Sheet, Typed, kg
from lotwake.trace.records.entries.lots import LANDING
from lotwake.trace.records.facts import LotSeen, RunSeen
from lotwake.trace.records.stock import MATERIAL

NOTES = (
    "These are the key data elements of 21 CFR part 1 subpart S (sections 1.1335, 1.1340, 1.1345, 1.1350), as far as the"
    " record holds them. MISSING stands where the rule asks for something the record does not know; the sheet of gaps"
    " lists each of them first.",
    "Enforcement of subpart S begins on 2028-07-20. Until then 21 CFR part 1 subpart J binds: the immediate previous"
    " source and the immediate subsequent recipient of each lot.",
    "A lot code is made at first land-based receiving and at transformation, never at shipping.",
    "Quantity used is what the record says went of a lot into the batch behind the new lot. A batch that was packed in"
    " several runs stands with its whole input at each of them.",
    "Salt, wood, sugar and bags are no listed food and stand in no sheet. Fish in a batch that is not packed yet has no new"
    " lot code yet.",
    "This program records and computes; whether the records satisfy the rule is for the house and a qualified person.",
)
FIRST_RECEIVING, RECEIVING, INPUTS, OUTPUTS, SHIPPING = (
    "First land-based receiving", "Receiving", "Transformation inputs", "Transformation outputs", "Shipping",
)  # fmt: skip


@dataclass(frozen=True)
class Report:
    """One sheet per event, the gaps in them, and what to know about them."""

    sheets: tuple[Sheet, ...]
    gaps: Sheet
    notes: tuple[str, ...] = NOTES


@dataclass(frozen=True)
class Place:
    """A location description: business name, telephone, address."""

    name: str
    phone: str
    address: str

    @property
    def cells(self) -> tuple[str, str, str]:
        return self.name, self.phone, self.address


def report(found: Extract) -> Report:
    """The key data elements of everything asked for."""
    sheets = (
        _sheet(FIRST_RECEIVING, "1.1335", _first_columns(), _first_rows(found)),
        _sheet(RECEIVING, "1.1345", _receiving_columns(), (*_receiving_rows(found), *_return_rows(found))),
        _sheet(INPUTS, "1.1350(a)(1)", _input_columns(), _input_rows(found)),
        _sheet(OUTPUTS, "1.1350(a)(2)", _output_columns(), _output_rows(found)),
        shipping(found),
    )
    return Report(sheets, gaps_of(sheets))


def shipping(found: Extract) -> Sheet:
    """The shipping events alone; ``passed_on`` says which of their elements the recipient must be given."""
    return _sheet(SHIPPING, "1.1340", _shipping_columns(), _shipping_rows(found))


def passed_on(columns: tuple[Column, ...]) -> tuple[Column, ...]:
    """Of the shipping columns, those the recipient must be given (1.1340(b)): all elements but the reference document."""
    return tuple(column for column in columns if column.element not in ("", "(a)(8)"))


def gaps_of(sheets: tuple[Sheet, ...]) -> Sheet:
    """Each needed cell that is empty, with what to do about it."""
    columns = (
        Column("Event"), Column("Section"), Column("Element"), Column("Lot code"), Column("Row", Typed.COUNT),
        Column("What is missing"), Column("What to do"),
    )  # fmt: skip
    rows = [
        (sheet.title, f"21 CFR {sheet.rule}", column.element, _lot_code(sheet, row), place, column.title, column.mend)
        for sheet in sheets
        for place, row in enumerate(sheet.rows, 2)
        for column, value in zip(sheet.columns, row, strict=True)
        if column.needed and value in (None, "")
    ]
    return Sheet("Gaps", columns, tuple(rows))


def lot_code(found: Extract, lot: int) -> str:
    """The traceability lot code of a lot: the supplier's where it came with one, else ours."""
    seen = found.lots[lot]
    return seen.code if _ours(seen) else seen.their_code


def describe_lot(seen: LotSeen) -> str:
    """Species as market name and scientific name, and presentation."""
    return ", ".join(filter(None, (f"{seen.english} ({seen.scientific})", seen.presentation)))


def describe_run(found: Extract, run: int) -> str:
    """Product name, species, packaging size and style."""
    product, seen = found.products[run], found.runs[run]
    species = found.species.get(product.species or "")
    named = "" if species is None else f"{species.english} ({species.scientific})"
    return ", ".join(filter(None, (product.name, named, f"{seen.pack} packs", f"packed in {product.packaging}")))


def house(found: Extract) -> Place:
    """The site, which is the source of the lot codes it makes."""
    return Place(found.site.name, found.site.phone, _address(found.site.address, found.site.country))


def _ours(lot: LotSeen) -> bool:
    """Whether the lot goes under our own code: landed fish, and fish that came without a code."""
    return lot.kind == LANDING or not lot.their_code


def _sheet(title: str, rule: str, columns: tuple[Column, ...], rows: Iterator[Row] | tuple[Row, ...]) -> Sheet:
    return Sheet(title, columns, tuple(rows), rule)


def _lot_code(sheet: Sheet, row: Row) -> str:
    place = next(place for place, column in enumerate(sheet.columns) if "lot code" in column.title.lower())
    return str(row[place] or "")


def _day(found: Extract, instant: str) -> date:
    return day_of(instant_of(instant), found.zone)


def _iso(day: str | None) -> date | None:
    return date.fromisoformat(day) if day else None


def _address(address: str, country: str) -> str:
    return ", ".join(filter(None, (address, country))) if address else ""


def _needed(element: str, title: str, typed: Typed = Typed.TEXT, mend: str = "") -> Column:
    return Column(title, typed, element, True, mend)


def _place_columns(element: str, who: str, mend: str) -> tuple[Column, Column, Column]:
    name, phone, address = (f"{who}{part}" for part in ("", ", telephone", ", address"))
    return _needed(element, name, mend=mend), _needed(element, phone, mend=mend), _needed(element, address, mend=mend)


_MEND_LOT = "Correct the lot: lotwake correct field LOT FIELD VALUE --why REASON."
_MEND_PARTY = "Correct what is known of them: lotwake correct party KIND NAME FIELD VALUE --why REASON."
_MEND_SITE = "The address and telephone number of the house are asked for when it is set up."
_MEND_SENT = "Name the document of the dispatch: lotwake correct field DISPATCH document TEXT --why REASON."


def _document_columns(element: str, mend: str = _MEND_LOT) -> tuple[Column, Column]:
    return _needed(element, "Reference document type", mend=mend), _needed(
        element, "Reference document number", mend=mend
    )


def _first_columns() -> tuple[Column, ...]:
    return (
        _needed("(a)", "Traceability lot code"),
        _needed("(b)", "Species and market name", mend=_MEND_LOT),
        _needed("(c)", "Quantity", Typed.MASS), _needed("(c)", "Unit"),
        _needed("(d)", "Harvest from", Typed.DAY, _MEND_LOT), _needed("(d)", "Harvest to", Typed.DAY, _MEND_LOT),
        _needed("(d)", "Harvest location", mend=_MEND_LOT),
        *_place_columns("(e)", "Receiver and lot code source", _MEND_SITE),
        _needed("(f)", "Landing date", Typed.DAY, _MEND_LOT),
        *_document_columns("(g)"),
        Column("Boat"), Column("Received", Typed.DAY), Column("Fishing trip"), Column("Came in as"),
        Column("Under minimum size kg", Typed.MASS),
    )  # fmt: skip


def _asked_lots(found: Extract) -> Iterator[LotSeen]:
    lots = (found.lots[lot] for lot in found.asked.lots)
    return iter(sorted((lot for lot in lots if lot.kind != MATERIAL), key=lambda lot: (lot.received, lot.id)))


def _first_rows(found: Extract) -> Iterator[Row]:
    for lot in _asked_lots(found):
        if lot.kind == LANDING:
            area = f"FAO {lot.area} {lot.area_name}".rstrip() if lot.area else ""
            yield (
                lot.code, describe_lot(lot), kg(lot.g), "kg", _iso(lot.caught_from), _iso(lot.caught_to), area,
                *house(found).cells, _iso(lot.landed_on), "landing note", lot.document,
                f"{lot.sender} {lot.mark}".rstrip(), _day(found, lot.received), lot.trip, lot.received_as,
                None if lot.undersize_g is None else kg(lot.undersize_g),
            )  # fmt: skip


def _receiving_columns() -> tuple[Column, ...]:
    return (
        Column("Paragraph"),
        _needed("(a)(1)", "Traceability lot code", mend=_MEND_LOT),
        _needed("(a)(2)", "Quantity", Typed.MASS), _needed("(a)(2)", "Unit"),
        _needed("(a)(3)", "Product description", mend=_MEND_LOT),
        *_place_columns("(a)(4)", "Immediate previous source", _MEND_PARTY),
        *_place_columns("(a)(5)", "Received at", _MEND_SITE),
        _needed("(a)(6)", "Date received", Typed.DAY),
        *_place_columns("(a)(7)", "Lot code source", _MEND_PARTY),
        *_document_columns("(a)(8)"),
        Column("Our lot or return"),
    )  # fmt: skip


def _receiving_rows(found: Extract) -> Iterator[Row]:
    for lot in _asked_lots(found):
        if lot.kind == LANDING:
            continue
        party, ours = found.sender(lot.id), _ours(lot)
        sender = Place(party.name, party.phone, party.address)
        yield (
            "1.1345(b)" if ours else "1.1345(a)", lot_code(found, lot.id), kg(lot.g), "kg", describe_lot(lot),
            *sender.cells, *house(found).cells, _day(found, lot.received),
            *(house(found) if ours else sender).cells, "delivery note or invoice", lot.document, lot.code,
        )  # fmt: skip


def _return_rows(found: Extract) -> Iterator[Row]:
    """What came back from a buyer is received again, under the code it left with."""
    for (ref, run), items in groupby(sorted(found.back, key=lambda item: (item.by, item.run)), lambda x: (x.by, x.run)):
        back, g = found.returns[ref], found.runs[run].g_of(*(item.serials for item in items))
        buyer = found.buyers[back.buyer_id]
        yield (
            "1.1345(a)", found.runs[run].code, kg(g), "kg", describe_run(found, run), buyer.name, buyer.phone,
            buyer.address, *house(found).cells, _day(found, back.at), *house(found).cells, "return of goods",
            back.document or back.code, back.code,
        )  # fmt: skip


def _input_columns() -> tuple[Column, ...]:
    return (
        Column("New traceability lot code"),
        _needed("(i)", "Input lot code", mend=_MEND_LOT),
        _needed("(ii)", "Product description", mend=_MEND_LOT),
        _needed("(iii)", "Quantity used", Typed.MASS), _needed("(iii)", "Unit"),
        Column("Into batch"), Column("Our lot or run"),
    )  # fmt: skip


@dataclass(frozen=True)
class Input:
    """``g`` grams of a lot, or of packs of an earlier run, that went into a batch behind a run."""

    batch: int
    g: int
    lot: int | None = None
    run: int | None = None


def inputs_of(found: Extract, run: int) -> Iterator[Input]:
    """The listed food that went into the batches a run was packed from, through blends, down to lots and reworked runs."""
    reached, waiting = {run}, [run]
    while waiting:
        work = waiting.pop(0)
        for parent, g in found.parents_of.get(work, {}).items():
            if parent in found.runs:
                yield Input(work, g, run=parent)
            elif parent not in reached:
                reached.add(parent)
                waiting.append(parent)
        for lot, used_g in found.lots_into.get(work, {}).items():
            if used_g and found.lots[lot].kind != MATERIAL:
                yield Input(work, used_g, lot=lot)


def _input_rows(found: Extract) -> Iterator[Row]:
    for run in _asked_runs(found):
        for item in inputs_of(found, run):
            batch = found.batches[item.batch].code
            new, unit = found.runs[run].code, "kg"
            if item.lot is not None:
                lot = found.lots[item.lot]
                yield new, lot_code(found, lot.id), describe_lot(lot), kg(item.g), unit, batch, lot.code
            elif item.run is not None:
                code = found.runs[item.run].code
                yield new, code, describe_run(found, item.run), kg(item.g), unit, batch, code


def _asked_runs(found: Extract) -> list[int]:
    return sorted(run for run in found.runs if run in found.asked.works)


def _output_columns() -> tuple[Column, ...]:
    return (
        _needed("(i)", "New traceability lot code"),
        *_place_columns("(ii)", "Transformed at, lot code source", _MEND_SITE),
        _needed("(iii)", "Date completed", Typed.DAY),
        _needed("(iv)", "Product description"),
        _needed("(v)", "Quantity", Typed.COUNT), _needed("(v)", "Unit"),
        *_document_columns("(vi)", "Packs come from released batches, whose records are named here."),
        Column("Net weight kg", Typed.MASS),
    )  # fmt: skip


def _output_rows(found: Extract) -> Iterator[Row]:
    for run in _asked_runs(found):
        seen = found.runs[run]
        parents = sorted(found.parents_of.get(run, {}).keys() & found.batches.keys())
        batches = ", ".join(show_code(found.batches[parent].code) for parent in parents)
        yield (
            seen.code, *house(found).cells, _day(found, found.finished.get(run, seen.packed)), describe_run(found, run),
            seen.packs, _pack_unit(seen), "batch record", batches, kg(seen.packs_g),
        )  # fmt: skip


def _pack_unit(run: RunSeen) -> str:
    return f"packs of {run.pack}"


def _shipping_columns() -> tuple[Column, ...]:
    return (
        _needed("(a)(1)", "Traceability lot code"),
        _needed("(a)(2)", "Quantity", Typed.COUNT), _needed("(a)(2)", "Unit"),
        _needed("(a)(3)", "Product description"),
        *_place_columns("(a)(4)", "Immediate next recipient", _MEND_PARTY),
        *_place_columns("(a)(5)", "Shipped from", _MEND_SITE),
        _needed("(a)(6)", "Date shipped", Typed.DAY),
        *_place_columns("(a)(7)", "Lot code source", _MEND_SITE),
        *_document_columns("(a)(8)", _MEND_SENT),
        Column("Net weight kg", Typed.MASS), Column("Our dispatch"),
    )  # fmt: skip


def _shipping_rows(found: Extract) -> Iterator[Row]:
    by_run = sorted(found.sent, key=lambda item: (found.dispatches[item.by].at, item.by, item.run))
    for (dispatch, run), items in groupby(by_run, lambda item: (item.by, item.run)):
        serials = [item.serials for item in items]
        sent, seen = found.dispatches[dispatch], found.runs[run]
        buyer = found.buyers[sent.buyer_id]
        weight: Decimal = kg(seen.g_of(*serials))
        yield (
            seen.code, counted(serials), _pack_unit(seen), describe_run(found, run), buyer.name, buyer.phone, buyer.address,
            *house(found).cells, _day(found, sent.at), *house(found).cells, *document_of(sent.document, sent.code),
            weight, sent.code,
        )  # fmt: skip


def document_of(document: str, code: str) -> tuple[str, str]:
    """Type and number of the document goods left with; without one, the dispatch note under our own number is it."""
    return ("document sent with the goods", document) if document else ("dispatch note", code)
