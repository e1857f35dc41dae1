"""Put right: correct one field of a thing by an entry that names the wrong value and says why."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import partial
from typing import Any

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from lotwake.trace.actions.correct import correct
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.look import look
from lotwake.trace.actions.refs import gear_code, named_id, product_id, source_id, species_code
from lotwake.trace.base import areas
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import instant_of, read_day, read_moment, show_day, show_moment
from lotwake.trace.base.units import parse_temperature_centi_c, show_mass, show_temperature
from lotwake.trace.records.facts import BatchSeen, DispatchSeen, LotSeen, RunSeen
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.seen import PackSeen
from lotwake.trace.records.stock import MATERIAL
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import read_kg, said_mass, said_temperature
from lotwake.trace.screens.text import content
from lotwake.trace.screens.widgets import ChoiceField, Field, Form

Now = Callable[[Desk, Any], str]
_SENDER: Mapping[str, Mapping[str, Now]] = {
    "landing": {"boat": lambda _desk, lot: lot.sender},
    "material": {"supplier": lambda _desk, lot: lot.sender, "item": lambda _desk, lot: lot.item},
}
_OTHER_SENDER: Mapping[str, Now] = {"source": lambda _desk, lot: lot.sender}
_FISH: Mapping[str, Now] = {
    "species": lambda _desk, lot: lot.english,
    "presentation": lambda _desk, lot: lot.presentation,
    "area": lambda _desk, lot: lot.area or "",
    "gear": lambda _desk, lot: lot.gear_name,
    "received-as": lambda _desk, lot: lot.received_as,
    "trip": lambda _desk, lot: lot.trip,
    "undersize": lambda _desk, lot: "" if lot.undersize_g is None else show_mass(lot.undersize_g),
    "caught-from": lambda _desk, lot: _day(lot.caught_from),
    "caught-to": lambda _desk, lot: _day(lot.caught_to),
    "temperature": lambda _desk, lot: "" if lot.core_c100 is None else show_temperature(lot.core_c100),
}
_ANY_LOT: Mapping[str, Now] = {
    "weight": lambda _desk, lot: show_mass(lot.g),
    "landed-on": lambda _desk, lot: _day(lot.landed_on),
    "received": lambda desk, lot: _time(desk, lot.received),
    "their-code": lambda _desk, lot: lot.their_code,
    "document": lambda _desk, lot: lot.document,
    "note": lambda _desk, lot: lot.note,
}
_OTHERS: Mapping[type, Mapping[str, Now]] = {
    BatchSeen: {
        "product": lambda _desk, batch: batch.product,
        "equipment": lambda _desk, batch: batch.equipment,
        "started": lambda desk, batch: _time(desk, batch.started),
        "note": lambda _desk, batch: batch.note,
    },
    RunSeen: {"best-before": lambda _desk, run: _day(run.best_before)},
    PackSeen: {"weight": lambda _desk, pack: show_mass(pack.net_g)},
    DispatchSeen: {"document": lambda _desk, sent: sent.document, "carrier": lambda _desk, sent: sent.carrier},
}
"""What may be put right, and how what it says now is shown."""
_NOW = "choose what is wrong, then what is right, then why; Enter corrects it"


def fixable(desk: Desk, thing: Thing) -> list[tuple[str, str]]:
    """What may be corrected of a thing, each with what it says now; CallError for a thing that has nothing."""
    seen = look(desk.records, thing).facts
    ways = _lot_ways(seen) if isinstance(seen, LotSeen) else _OTHERS.get(type(seen), {})
    if not ways or (isinstance(seen, PackSeen) and not seen.catch_weight):
        raise CallError(f"A {thing.kind} is not corrected by a field.", "Open, take off or take back instead.")
    return [(name, now(desk, seen) or "nothing yet") for name, now in ways.items()]


def _lot_ways(lot: LotSeen) -> Mapping[str, Now]:
    fish = {} if lot.kind == MATERIAL else _FISH
    weight_first = {"weight": _ANY_LOT["weight"]}
    return {**weight_first, **_SENDER.get(lot.kind, _OTHER_SENDER), **fish, **_ANY_LOT}


def _day(text: str | None) -> str:
    return show_day(date.fromisoformat(text)) if text else ""


def _time(desk: Desk, stored: str) -> str:
    return show_moment(instant_of(stored), desk.zone)


class FixPage(HousePage):
    """Three fields: what is wrong, what is right, why."""

    NAME = "correct"
    TITLE = "PUT RIGHT"
    TAKES = (Kind.LOT, Kind.BATCH, Kind.RUN, Kind.PACK, Kind.DISPATCH)
    PURPOSE = "Correct one field of a lot, batch, run, weighed pack or dispatch. What it said before stays readable."
    DEFAULT_CSS = """
    FixPage #fix-what { height: 1; padding: 0 1; text-style: bold; }
    FixPage #fix-place { height: 1fr; }
    """

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self._thing: Thing | None = None

    def body(self) -> ComposeResult:
        """What is put right, and the form for it."""
        yield Static(id="fix-what")
        yield Vertical(id="fix-place")

    async def on_open(self) -> None:
        """Put right what was handed over, or go on with the last."""
        thing = self.handed()
        if thing is not None and thing != self._thing:
            fixable(self.desk, thing)  # says so when there is nothing to correct
            self._thing = thing
            await self.query_one("#fix-place", Vertical).remove_children()
            await self.query_one("#fix-place", Vertical).mount(Form(f"fix-{thing.shown}", self._fields(), self._drafts))
        if self._thing is None:
            self.query_one("#fix-what", Static).update("Nothing is chosen yet.")
            self.now("scan or type the code of what is wrong")
            return
        self.query_one("#fix-what", Static).update(content(f"{self._thing.kind.upper()}  {self._thing.shown}"))
        self.query_one(Form).fields[0].focus_here()
        self.now(_NOW)

    def on_scanned(self, scan: Scanned) -> None:
        """Put this right."""
        self.house.open(self.NAME, find_one(self.desk.records, scan.text, self.desk.settings.separator))

    def on_line(self, text: str) -> None:
        """Put this right."""
        self.house.open(self.NAME, find_one(self.desk.records, text))

    def _fields(self) -> list[Field]:
        return [
            ChoiceField("field", "What is wrong", self._choices, placeholder="choose with up and down"),
            Field("value", "It should be", self._read, echo=lambda read: str(read[1]), placeholder="as typed at first"),
            Field("why", "Why", placeholder="in a few words"),
        ]

    def _choices(self) -> list[tuple[str, str]]:
        return fixable(self.desk, self._thing) if self._thing else []

    def _read(self, text: str) -> tuple[str, str]:
        """What goes to the action, and how it is understood."""
        name = self.query_one(Form).texts()["field"].strip()
        if name in ("weight", "undersize"):
            return f"{read_kg(text)} g", said_mass(read_kg(text))
        return text.strip(), _READERS.get(name, _as_typed)(self.desk, text)

    async def on_form_filled(self, event: Form.Filled) -> None:
        """Enter in the last field."""
        await self.act(partial(self._enter, event.values))

    def _enter(self, values: dict[str, Any]) -> None:
        assert self._thing is not None
        thing, name = self._thing, values["field"]
        before = dict(fixable(self.desk, thing))[name]
        correct(self.desk, thing.shown, name, values["value"][0], values["why"])
        after = dict(fixable(self.desk, thing))[name]
        self.query_one(Form).confirmed()
        if self.house.page is self:
            self.house.do_back("")
        said = f"{name.capitalize()} of {thing.shown} is {after} now."
        self.house.page.say(Result.good(said, f"It said {before}. Both stay in the record."))


def _as_typed(_desk: Desk, _text: str) -> str:
    return ""


def _area(_desk: Desk, text: str) -> str:
    return areas.find_area(text).name


_READERS: Mapping[str, Callable[[Desk, str], str]] = {
    "temperature": lambda _desk, text: said_temperature(parse_temperature_centi_c(text)),
    "species": lambda desk, text: species_code(desk.records, text),
    "area": _area,
    "gear": lambda desk, text: gear_code(desk.records, text),
    "product": lambda desk, text: str(product_id(desk.records, text) and ""),
    "boat": lambda desk, text: str(source_id(desk.records, "boat", text) and ""),
    "supplier": lambda desk, text: str(named_id(desk.records, "supplier", text) and ""),
    "equipment": lambda desk, text: str(named_id(desk.records, "equipment", text) and ""),
    **dict.fromkeys(
        ("received", "started"),
        lambda desk, text: show_moment(read_moment(text, desk.now, desk.zone), desk.zone),
    ),
    **dict.fromkeys(
        ("landed-on", "caught-from", "caught-to", "best-before"),
        lambda desk, text: show_day(read_day(text, desk.today)),
    ),
}
"""How a typed value is understood, by the field it is for; what cannot be read is refused while it is typed."""
