"""Correct an entry: say what is wrong, what is right, and why. Both stay readable, and it can be done right away."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.refs import (
    area_code,
    gear_code,
    named_id,
    product_id,
    source_id,
    species_code,
    thing_of,
)
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.base.moments import instant_text, read_day, read_moment
from lotwake.trace.base.nutrition import read_nutrition
from lotwake.trace.base.units import parse_mass_g, parse_temperature_centi_c
from lotwake.trace.records.entries import corrections
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.pack_mass import weights_of

Value = int | str | None
_LEAD = "correct an entry"
_SUBJECTS = {Kind.LOT: "lot", Kind.BATCH: "batch", Kind.RUN: "run", Kind.DISPATCH: "dispatch"}
_PARTIES = ("boat", "farm", "dealer", "supplier", "buyer", "product", "house")
_FIELD_NAMES = {
    "weight": "g",
    "temperature": "core_c100",
    "best-before": "best_before",
    "boat": "source",
    "undersize": "undersize_g",
}


@dataclass(frozen=True)
class Correction:
    """What was corrected: ``was`` and ``now`` as they stand in the record."""

    subject: str
    code: str
    field: str
    was: Value
    now: Value


def correct(desk: Desk, code: str, field: str, text: str, why: str) -> Correction:
    """Correct a field of a lot, batch, run or dispatch, or the weight of a pack ``RUN/24`` that was weighed by itself.

    ``text`` is what a person types (``39 kg``, ``24 Nov 05:40``).
    """
    thing = find_one(desk.records, code)
    if thing.serial is not None:
        return _correct_pack(desk, thing, field, text, why)
    subject = _SUBJECTS.get(thing.kind)
    if subject is None:
        raise CallError(f"A {thing.kind} is not corrected by a field.", "Open, take off or take back instead.")
    name = _FIELD_NAMES.get(field, field.replace("-", "_"))
    with desk.as_lead(_LEAD).entry(f"correct {subject}", why=why) as entry:
        now = _typed(desk, entry, thing, name, text)
        was = corrections.correct(entry, subject, {"id": thing.id}, name, now, why)
    return Correction(subject, thing.code, name, was, now)


def _correct_pack(desk: Desk, pack: Thing, field: str, text: str, why: str) -> Correction:
    """Of a pack that was weighed by itself the weight can be corrected, ``RUN/24``; its label is printed again then."""
    assert pack.serial is not None
    if field != "weight" or weights_of(desk.records, pack.id) is None:
        raise CallError(
            f"The {field} of pack {pack.shown} cannot be corrected.",
            "What can be: the weight, where packs are weighed one by one.",
        )
    key = {"run": pack.id, "serial": pack.serial}
    now = parse_mass_g(text)
    with desk.entry("correct pack", why=why) as entry:
        was = corrections.correct(entry, "pack_weight", key, "net_g", now, why)
    return Correction("pack", pack.shown, "net_g", was, now)


def correct_party(desk: Desk, kind: str, name: str, field: str, text: str, why: str) -> Correction:
    """Correct what is known of a boat, farm, dealer, supplier, buyer, product or the house (a telephone number, a name)."""
    if kind not in _PARTIES:
        raise CallError(f"A {kind} is not somebody the house deals with.", f"Use one of: {', '.join(_PARTIES)}.")
    if kind == "product":
        subject, ref = "product", product_id(desk.records, name)
    elif kind in ("supplier", "buyer"):
        subject, ref = kind, named_id(desk.records, kind, name)
    elif kind == "house":
        subject, ref = "site", named_id(desk.records, "site", name)
    else:
        subject, ref = "source", source_id(desk.records, kind, name)
    column = field.replace("-", "_")
    now = _PARTY_READERS.get(column, str.strip)(text)
    with desk.as_lead(_LEAD).entry(f"correct {kind}", why=why) as entry:
        was = corrections.correct(entry, subject, {"id": ref}, column, now, why)
    return Correction(subject, name, column, was, now)


def correct_input(desk: Desk, into: str, out_of: str, g: int, why: str) -> Correction:
    """Correct how much of a lot or batch went into a batch or run; 0 says that none did."""
    child = thing_of(desk.records, into, [Kind.BATCH, Kind.RUN], "this")
    origin = thing_of(desk.records, out_of, [Kind.LOT, Kind.BATCH], "an input")
    table, key = (
        ("lot_use", {"lot": origin.id, "work": child.id})
        if origin.kind is Kind.LOT
        else ("flow", {"parent": origin.id, "child": child.id})
    )
    where = " AND ".join(f"{column} = ?" for column in key)
    was = desk.records.value(f"SELECT SUM(g) FROM {table} WHERE {where}", *key.values())
    with desk.as_lead(_LEAD).entry(f"correct input of {child.kind}", why=why) as entry:
        corrections.correct_amount(entry, table, key, g, why)
    return Correction(table, child.code, "g", was, g)


def correct_loss(desk: Desk, code: str, kind: str, g: int, why: str) -> Correction:
    """Correct how much was lost of a lot, batch or run in this way (trim, drip, ...); 0 says that nothing was."""
    thing = thing_of(desk.records, code, [Kind.LOT, Kind.BATCH, Kind.RUN], "this loss")
    column = "lot" if thing.kind is Kind.LOT else "work"
    was = desk.records.value(f"SELECT SUM(g) FROM loss WHERE {column} = ? AND kind = ?", thing.id, kind)
    with desk.as_lead(_LEAD).entry(f"correct loss of {thing.kind}", why=why) as entry:
        corrections.correct_amount(entry, "loss", {column: thing.id, "kind": kind}, g, why)
    return Correction("loss", thing.code, "g", was, g)


def correct_reading(desk: Desk, reading: int, field: str, value: Value, why: str) -> Correction:
    """Correct one measurement by its number in the record."""
    if desk.records.value("SELECT 1 FROM reading WHERE id = ?", reading) is None:
        raise NotFound(f"There is no reading {reading}.", "Look at the batch for the numbers of its readings.")
    with desk.as_lead(_LEAD).entry("correct reading", why=why) as entry:
        was = corrections.correct(entry, "reading", {"id": reading}, field, value, why)
    return Correction("reading", str(reading), field, was, value)


def correct_part(desk: Desk, part: str, number: int, field: str, value: Value, why: str) -> Correction:
    """Correct one ``step`` (name, started, ended, note) or ``loss`` (g, kind, note) by its number in the record."""
    if part not in ("step", "loss") or desk.records.value(f"SELECT 1 FROM {part} WHERE id = ?", number) is None:
        raise NotFound(f"There is no {part} {number}.", "Look at the batch for what was done with it.")
    with desk.as_lead(_LEAD).entry(f"correct {part}", why=why) as entry:
        was = corrections.correct(entry, part, {"id": number}, field, value, why)
    return Correction(part, str(number), field, was, value)


def _typed(desk: Desk, entry: Entry, thing: Thing, field: str, text: str) -> Value:
    """The stored form of a typed value, by the field it is for."""
    readers: Mapping[str, Callable[[str], Value]] = {
        **dict.fromkeys(("g", "undersize_g"), parse_mass_g),
        "core_c100": parse_temperature_centi_c,
        "species": lambda said: species_code(desk.records, said),
        "area": lambda said: area_code(entry, said),
        "gear": lambda said: gear_code(desk.records, said),
        "source": lambda said: source_id(desk.records, _sender_kind(desk, thing), said),
        "supplier": lambda said: named_id(desk.records, "supplier", said),
        "equipment": lambda said: named_id(desk.records, "equipment", said),
        "product": lambda said: product_id(desk.records, said),
        **dict.fromkeys(("received", "started"), lambda said: instant_text(read_moment(said, desk.now, desk.zone))),
        **dict.fromkeys(
            ("landed_on", "caught_from", "caught_to", "best_before"),
            lambda said: read_day(said, desk.today).isoformat(),
        ),
    }
    return readers.get(field, str.strip)(text)


def _sender_kind(desk: Desk, lot: Thing) -> str:
    kind = desk.records.value("SELECT s.kind FROM lot l JOIN source s ON s.id = l.source WHERE l.id = ?", lot.id)
    return str(kind or "boat")


def _count(text: str) -> int:
    if not text.strip().isdecimal():
        raise CallError(f"{text!r} is not a whole number.", "Type digits only.")
    return int(text)


def _yes_or_no(text: str) -> int | None:
    said = text.strip().casefold()
    if said not in ("yes", "no"):
        raise CallError(f"{text!r} is neither yes nor no.", "Type yes or no.")
    return 1 if said == "yes" else None


_PARTY_READERS: Mapping[str, Callable[[str], Value]] = {
    "life_days": _count,
    "case_packs": _count,
    "catch_weight": _yes_or_no,
    "nutrition": lambda text: str(read_nutrition(text)) if text.strip() else None,
}
"""The stored form of what is said of a party, by field; a text where nothing is named."""
