"""The form for a lot that comes in, for each of the four kinds: which fields, in which order, with which defaults."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.actions.refs import named_id, source_id
from lotwake.trace.base import areas
from lotwake.trace.base.moments import read_day, read_moment, show_day, show_moment
from lotwake.trace.base.units import parse_temperature_centi_c
from lotwake.trace.records import lists
from lotwake.trace.records.entries.lots import BOUGHT_IN, FARMED, LANDING, RECEIVED_AS, SOURCE_OF
from lotwake.trace.records.stock import MATERIAL
from lotwake.trace.records.usual import Usual, last_sender, usual_of
from lotwake.trace.screens.said import read_kg, said_mass, said_temperature
from lotwake.trace.screens.widgets import ChoiceField, Field

DeskOf = Callable[[], Desk]
"""Gives the desk as it is when it is needed: who is at work may have changed since the form was made."""
Pairs = list[tuple[str, str]]

SENDERS = {LANDING: "boat", FARMED: "farm", BOUGHT_IN: "dealer", MATERIAL: "supplier"}
TITLES = {
    LANDING: "LANDING from a boat",
    FARMED: "FARMED fish",
    BOUGHT_IN: "BOUGHT-IN fish from a dealer",
    MATERIAL: "MATERIAL: salt, wood, sugar, bags",
}
_DAYS = {LANDING: "Landed", FARMED: "Harvested", BOUGHT_IN: "Delivered", MATERIAL: "Delivered"}
_PRESENTATIONS = ("whole", "gutted", "headed", "headed and gutted", "fillets", "split", "roe")
_ITEMS = ("salt", "wood", "sugar", "spices", "liquid smoke", "bags", "labels", "ice")
_ORDER = {
    LANDING: ("sender", "species", "g", "area", "gear", "presentation", "core_c100", "landed_on"),
    FARMED: ("sender", "species", "g", "presentation", "core_c100", "their_code", "landed_on"),
    BOUGHT_IN: ("sender", "their_code", "species", "g", "presentation", "core_c100", "landed_on"),
    MATERIAL: ("sender", "item", "g", "their_code", "landed_on"),
}
_RARE = {
    LANDING: (
        "caught_from",
        "caught_to",
        "received_as",
        "trip",
        "undersize_g",
        "their_code",
        "received",
        "document",
        "note",
    ),
    FARMED: ("area", "received_as", "received", "document", "note"),
    BOUGHT_IN: ("area", "gear", "caught_from", "caught_to", "received_as", "received", "document", "note"),
    MATERIAL: ("received", "document", "note"),
}


def arrival_fields(kind: str, desk_of: DeskOf) -> list[Field]:
    """The fields for a lot of this kind: those that are asked for each time, then the rare ones."""
    return [
        *(_field(name, kind, desk_of, rare=False) for name in _ORDER[kind]),
        *(_field(name, kind, desk_of, rare=True) for name in _RARE[kind]),
    ]


def _field(name: str, kind: str, desk_of: DeskOf, rare: bool) -> Field:
    if name in ("sender", "species", "item", "area", "gear", "presentation", "received_as"):
        return _choice(name, kind, desk_of, rare)
    if name == "g":
        return Field(name, "Weight", read_kg, echo=said_mass, placeholder="kg; or type lb behind it")
    if name == "undersize_g":
        return Field(
            name, "Under size", read_kg, echo=said_mass, needed=False, rare=rare, placeholder="kg under minimum size"
        )
    if name == "core_c100":
        return Field(
            name, "Core temperature", parse_temperature_centi_c, echo=said_temperature, needed=False,
            placeholder="C; or type F behind it",
        )  # fmt: skip
    if name == "received":
        return moment_field(name, "Received", desk_of, rare)
    if name in ("landed_on", "caught_from", "caught_to"):
        label = {"caught_from": "Caught from", "caught_to": "Caught to"}.get(name, _DAYS[kind])
        return _day(name, label, desk_of, rare)
    label = {"their_code": "Their lot code", "document": "Document", "note": "Note", "trip": "Fishing trip"}[name]
    return Field(name, label, needed=name == "their_code" and kind == BOUGHT_IN, rare=rare)


def _day(name: str, label: str, desk_of: DeskOf, rare: bool) -> Field:
    field = Field(
        name, label, lambda text: read_day(text, desk_of().today), echo=show_day, needed=False, rare=rare,
        placeholder="24 Nov, yesterday, ...",
    )  # fmt: skip
    if not rare:
        field.suggest("today")
    return field


def moment_field(name: str, label: str, desk_of: DeskOf, rare: bool = False) -> Field:
    """A moment at the house; empty is now."""
    return Field(
        name,
        label,
        lambda text: read_moment(text, desk_of().now, desk_of().zone),
        echo=lambda moment: show_moment(moment, desk_of().zone),
        needed=False,
        rare=rare,
        placeholder="now; or 24 Nov 05:40",
    )


def _choice(name: str, kind: str, desk_of: DeskOf, rare: bool) -> ChoiceField:
    choices: dict[str, Callable[[], Pairs]] = {
        "sender": lambda: senders(desk_of(), kind),
        "species": lambda: species(desk_of()),
        "area": lambda: [(row.code, row.name) for row in lists.areas(desk_of().records)],
        "gear": lambda: [(row.code, f"{row.abbr}  {row.name}") for row in lists.gear(desk_of().records)],
        "presentation": lambda: [(word, "") for word in _PRESENTATIONS],
        "item": lambda: [(word, "") for word in _ITEMS],
        "received_as": lambda: [(word, "") for word in RECEIVED_AS if word],
    }
    labels = {"sender": SENDERS[kind].capitalize(), "item": "What", "area": "Catch area", "received_as": "Came in as"}
    return ChoiceField(
        name,
        labels.get(name, name.capitalize()),
        choices[name],
        needed=name in ("sender", "species", "item") or (name == "area" and kind == LANDING),
        placeholder="code or part of a name",
        rare=rare,
        other=(lambda text: areas.find_area(text).code) if name == "area" else None,
        free=name in ("presentation", "item"),
    )


def species(desk: Desk) -> Pairs:
    """The species the house knows: FAO code, then names."""
    return [(row.code, f"{row.english}, {row.scientific}") for row in lists.species(desk.records)]


def senders(desk: Desk, kind: str) -> Pairs:
    """Who sends lots of this kind, by name; by mark where two have the same name."""
    if kind == MATERIAL:
        return [(row.name, row.address) for row in lists.suppliers(desk.records)]
    rows = lists.sources(desk.records, SOURCE_OF[kind])
    names = [row.name for row in rows]
    return [(row.name, row.mark) if names.count(row.name) == 1 else (row.mark, row.name) for row in rows]


def usual_sender(desk: Desk, kind: str) -> str:
    """Who sent the last lot of this kind, as the sender field names it."""
    last = last_sender(desk.records, kind)
    known = [code for code, _ in senders(desk, kind)]
    return next((name for name in last or () if name and name in known), "")


def usual_lot(desk: Desk, kind: str, sender: str) -> Usual | None:
    """What this sender brought last; None for a new one."""
    if kind == MATERIAL:
        return usual_of(desk.records, kind, named_id(desk.records, "supplier", sender))
    return usual_of(desk.records, kind, source_id(desk.records, SOURCE_OF[kind], sender))


def arrival(kind: str, values: dict[str, Any]) -> Arrival:
    """What the form says as the action takes it."""
    return Arrival(kind=kind, **{name: value for name, value in values.items() if value is not None})
