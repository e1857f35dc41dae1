"""Send out what authorities and buyers ask for: read in one state of the record, written as whole files."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any, BinaryIO

from lotwake.trace.actions.desk import Desk, operator_named
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, MachineFailed, NeedsAttention, NotFound
from lotwake.trace.base.moments import instant_text, show_day
from lotwake.trace.base.settings import without_password
from lotwake.trace.lineage import trace as lineage
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.recall import day_record, dispatch_note, eu_lot, kde, plan_document, written
from lotwake.trace.recall.epcis_out import epcis_document
from lotwake.trace.recall.epcis_rules import document_problems
from lotwake.trace.recall.extract import Asked, Extract, asked_by_chains, asked_by_days, extract
from lotwake.trace.recall.spreadsheet import Column, Sheet, csv_bytes, write_xlsx
from lotwake.trace.recall.written import Block
from lotwake.trace.records import lists
from lotwake.trace.records.find import Kind
from lotwake.trace.records.history import last_before, lines_between

Fill = Callable[[BinaryIO], None]
_EARLIEST = date(1990, 1, 1)


@dataclass(frozen=True)
class Choice:
    """What to send: the chains of these ``codes``, or what happened from the day ``since`` to the day ``until``."""

    codes: tuple[str, ...] = ()
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True)
class SentOut:
    """What was written: the ``files``, how many of each thing are in them, and what is missing, one line each."""

    files: tuple[Path, ...]
    counts: Mapping[str, int]
    missing: tuple[str, ...]
    notes: tuple[str, ...] = ()


def send_kde(desk: Desk, choice: Choice, out: Path) -> SentOut:
    """US key data elements: ``.xlsx`` with a sheet for each event, or ``.csv``, then one file for each sheet."""
    _kind(out, ".xlsx", ".csv")
    report = kde.report(chosen(desk, choice))
    about = Sheet("About", (Column("About this file"),), tuple((note,) for note in report.notes))
    sheets = (report.gaps, *report.sheets, about)
    files = _sheets(desk, sheets, out, "Key data elements")
    missing = tuple(f"{row[0]} {row[3] or '(no lot code)'}: {row[5]} ({row[2]})" for row in report.gaps.rows)
    return SentOut(files, {sheet.title: len(sheet.rows) for sheet in report.sheets}, missing, report.notes)


def send_eu(desk: Desk, choice: Choice, out: Path) -> SentOut:
    """EU lot information: ``.json`` for another program, ``.csv`` or ``.xlsx`` for a person."""
    kind = _kind(out, ".json", ".csv", ".xlsx")
    found = chosen(desk, choice)
    data = eu_lot.as_data(found)
    files = _json(out, data) if kind == ".json" else _sheets(desk, (eu_lot.as_sheet(found),), out, "Lot information")
    missing = tuple(f"{show_code(code)}: {gap.field} ({gap.why})" for code, gap in eu_lot.lacking_of(found))
    return SentOut(files, {"lots": len(data["lots"]), "pack lots": len(data["pack_lots"])}, missing, (eu_lot.NOTE,))


def send_epcis(desk: Desk, choice: Choice, out: Path, serials: bool = False) -> SentOut:
    """EPCIS 2.0 events as ``.json`` or ``.jsonld``; ``serials``: every pack by its serial.

    Raises NeedsAttention when what the record holds cannot be told in right events; nothing is written then.
    """
    _kind(out, ".json", ".jsonld")
    document = epcis_document(chosen(desk, choice), desk.now, serials)
    if problems := document_problems(document):
        raise NeedsAttention(f"The record cannot be told as EPCIS events: {problems[0]}", "Run `lotwake verify`.")
    counts: dict[str, int] = {}
    for event in document["epcisBody"]["eventList"]:
        name = "error declarations" if "errorDeclaration" in event else event["type"]
        counts[name] = counts.get(name, 0) + 1
    return SentOut(_json(out, document), counts, ())


def send_note(desk: Desk, code: str, out: Path) -> SentOut:
    """The dispatch note of a dispatch: ``.json`` for the buyer's system, ``.pdf``, ``.txt`` or ``.md`` to read."""
    _kind(out, ".json", ".pdf", ".txt", ".md")
    with desk.records.snapshot():
        sent = thing_of(desk.records, code, [Kind.DISPATCH], "a dispatch note")
        nothing: frozenset[int] = frozenset()
        found = extract(
            desk.records,
            desk.zone,
            Asked(nothing, nothing, nothing, frozenset((sent.id,)), nothing, only_these_runs=False),
        )
    note = dispatch_note.dispatch_note(found, sent.id)
    if out.suffix.lower() == ".json":
        files = _json(out, dispatch_note.as_data(found, note))
    else:
        files = _paper(out, dispatch_note.as_blocks(found, note), f"Dispatch note {sent.shown}")
    lots = [item.lot for item in note.goods]
    gaps = [(note.code, gap) for gap in note.missing] + [(lot.lot, gap) for lot in lots for gap in lot.missing]
    gaps += [(part.fish.lot, gap) for lot in lots for part in lot.earlier for gap in part.fish.missing]
    missing = dict.fromkeys(f"{show_code(lot)}: {gap.field} ({gap.why})" for lot, gap in gaps)
    return SentOut(files, {"lots": len(lots), "packs": sum(item.packs for item in note.goods)}, tuple(missing))


def send_plan(desk: Desk, out: Path) -> SentOut:
    """The traceability plan: ``.md``, ``.txt`` or ``.pdf``."""
    _kind(out, ".md", ".txt", ".pdf")
    with desk.records.snapshot():
        facts = _plan_facts(desk)
    files = _paper(out, plan_document.plan(facts), f"Traceability plan of {facts.site.name}")
    return SentOut(files, {"products": len(facts.products)}, plan_document.blanks(facts))


def send_day(desk: Desk, day: date, out: Path) -> SentOut:
    """The record of one day with the hash its journal ended with: ``.pdf``, ``.txt`` or ``.md``."""
    _kind(out, ".pdf", ".txt", ".md")
    ends = _midnight(desk, day + timedelta(days=1))
    with desk.records.snapshot():
        last = last_before(desk.records, ends)
        lines = lines_between(desk.records, _midnight(desk, day), ends)
        house = lists.site(desk.records).name
    if last is None or not lines:
        raise NotFound(f"Nothing was entered on {show_day(day)}.", "Ask for another day.")
    blocks = day_record.day_record(day_record.DayFacts(house, day, tuple(lines), last), desk.zone)
    files = _paper(out, blocks, f"Record of {show_day(day)}")
    return SentOut(files, {"entries": len(lines)}, ())


def chosen(desk: Desk, choice: Choice) -> Extract:
    """Everything about what was chosen. CallError when nothing or too much is chosen, NotFound when there is nothing."""
    with desk.records.snapshot():
        return extract(desk.records, desk.zone, _asked(desk, choice))


def _asked(desk: Desk, choice: Choice) -> Asked:
    days = choice.since is not None or choice.until is not None
    if bool(choice.codes) == days:
        said = "Codes and days do not go together." if days else "It is not said what to send."
        raise CallError(said, "Give codes of lots, batches, runs, cases or dispatches, or --from DAY and --to DAY.")
    if not days:
        things = [find_one(desk.records, code, desk.settings.separator) for code in choice.codes]
        ways = (Direction.BACK, Direction.FORWARD)
        return asked_by_chains(lineage.trace(desk.records, thing, way) for thing in things for way in ways)
    since, until = choice.since or _EARLIEST, choice.until or desk.today
    if since > until:
        raise CallError(f"{show_day(since)} is after {show_day(until)}.", "Give the first day first.")
    asked = asked_by_days(desk.records, _midnight(desk, since), _midnight(desk, until + timedelta(days=1)))
    if not (asked.lots or asked.works or asked.units or asked.dispatches or asked.returns):
        raise NotFound(f"Nothing is written down from {show_day(since)} to {show_day(until)}.", "Ask for other days.")
    return asked


def _midnight(desk: Desk, day: date) -> str:
    return instant_text(datetime.combine(day, time(), tzinfo=desk.zone))


def _plan_facts(desk: Desk) -> plan_document.PlanFacts:
    records = desk.records
    named = desk.settings.operator
    return plan_document.PlanFacts(
        site=lists.site(records), contact=operator_named(records, named).name if named else "",
        records_at=_records_at(desk), backups_at=str(desk.places.backups), boats=lists.sources(records, "boat"),
        farms=lists.sources(records, "farm"), dealers=lists.sources(records, "dealer"), products=lists.products(records),
        species=lists.species(records), written=desk.today,
    )  # fmt: skip


def _records_at(desk: Desk) -> str:
    """Where the record lies, as a person would look for it."""
    database = desk.settings.database
    return f"the PostgreSQL server, {without_password(database)}" if database else str(desk.places.records)


def _kind(out: Path, *kinds: str) -> str:
    """The kind of file by the end of its name; CallError when it is none of these."""
    kind = out.suffix.lower()
    if kind not in kinds:
        raise CallError(
            f"{out.name or out} does not end in {' or '.join(kinds)}.", "The end of the name says what is written."
        )
    return kind


def _sheets(desk: Desk, sheets: Sequence[Sheet], out: Path, title: str) -> tuple[Path, ...]:
    if out.suffix.lower() == ".xlsx":
        return _write({out: lambda file: write_xlsx(file, sheets, desk.now, title)})
    if len(sheets) == 1:
        return _write({out: _bytes(csv_bytes(sheets[0]))})
    names = [out.with_name(f"{out.stem}-{sheet.title.lower().replace(' ', '-')}{out.suffix}") for sheet in sheets]
    return _write({name: _bytes(csv_bytes(sheet)) for name, sheet in zip(names, sheets, strict=True)})


def _json(out: Path, data: Mapping[str, Any]) -> tuple[Path, ...]:
    return _write({out: _bytes((json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode())})


def _paper(out: Path, blocks: Sequence[Block], title: str) -> tuple[Path, ...]:
    if out.suffix.lower() == ".pdf":
        return _write({out: lambda file: written.write_pdf(file, blocks, title)})
    text = written.as_markdown(blocks) if out.suffix.lower() == ".md" else written.as_text(blocks)
    return _write({out: _bytes(text.encode())})


def _bytes(content: bytes) -> Fill:
    def fill(file: BinaryIO) -> None:
        file.write(content)

    return fill


def _write(files: Mapping[Path, Fill]) -> tuple[Path, ...]:
    """Write each file beside its place and put it there once all of them are whole; none of them when one fails."""
    parts = {out: out.with_name(f".{out.name}.part") for out in files}
    try:
        for out, fill in files.items():
            with parts[out].open("wb") as file:
                fill(file)
                file.flush()
                os.fsync(file.fileno())
        for out, part in parts.items():
            part.replace(out)
    except OSError as error:
        out = next((out for out, part in parts.items() if part.exists()), next(iter(files)))
        raise MachineFailed(
            f"{out} cannot be written: {error.strerror or error}.", "Choose another folder or free some space."
        ) from error
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)
    return tuple(files)
