"""Records: find anything by code, boat, date, buyer or species."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from datetime import date, datetime, timedelta
from functools import partial

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import TRACEABLE, find, find_one
from lotwake.trace.base.codes import looks_like_code
from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.base.moments import instant_of, instant_text, read_day
from lotwake.trace.base.typed import bare
from lotwake.trace.records import lists
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.lists import Listed, Wanted
from lotwake.trace.screens.command import CHOOSE
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import content
from lotwake.trace.screens.thing_facts import brief
from lotwake.trace.screens.widgets import Column, Ledger, Row

_MOST = 200
_RANGE = re.compile(r"\s+to\s+", re.IGNORECASE)
_ALL = (Kind.LOT, Kind.BATCH, Kind.RUN, Kind.DISPATCH, Kind.RETURN)
_KINDS: dict[str, tuple[Kind, ...]] = {
    "everything": _ALL,
    "lots": (Kind.LOT,),
    "batches": (Kind.BATCH,),
    "runs": (Kind.RUN,),
    "cases": (Kind.CASE,),
    "pallets": (Kind.PALLET,),
    "dispatches": (Kind.DISPATCH,),
    "returns": (Kind.RETURN,),
}
"""What is looked through. Cases and pallets carry no names and would fill the list: only when asked for."""
_MOMENTS = ("received", "started", "packed", "closed", "at")


@dataclass(frozen=True)
class Question:
    """What is looked for: words that must all occur, days from ``since`` to ``until``, both included."""

    words: tuple[str, ...] = ()
    since: date | None = None
    until: date | None = None


def read_question(text: str, today: date) -> Question:
    """``haddock Aurora``, ``24 Nov``, ``24 Nov to 26 Nov``, or words and days with a comma between them."""
    words: list[str] = []
    since = until = None
    for part in filter(None, (piece.strip() for piece in text.split(","))):
        try:
            days = [read_day(day, today) for day in _RANGE.split(part, maxsplit=1)]
        except LotwakeError:
            words += part.split()
            continue
        since, until = min(days), max(days)
    return Question(tuple(words), since, until)


def search(desk: Desk, kinds: Sequence[Kind], question: Question) -> list[Listed]:
    """Things that fit, the newest first, at most 200."""
    wanted = Wanted(
        since=_instant(desk, question.since),
        until=_instant(desk, question.until + timedelta(days=1) if question.until else None),
        holding=max(question.words, key=len, default=""),
    )
    found = [item for kind in kinds for item in lists.things(desk.records, kind, wanted, _MOST)]
    fitting = [item for item in found if _has(item, question.words)]
    return sorted(fitting, key=when, reverse=True)[:_MOST]


def when(item: Listed) -> str:
    """The stored instant that a thing is listed by."""
    return next(str(getattr(item.facts, name)) for name in _MOMENTS if hasattr(item.facts, name))


def _instant(desk: Desk, day: date | None) -> str:
    return instant_text(datetime(day.year, day.month, day.day, tzinfo=desk.zone)) if day else ""


def _has(item: Listed, words: Sequence[str]) -> bool:
    text = " ".join(value for value in astuple(item.facts) if isinstance(value, str))
    return all(bare(word) in bare(text) for word in words)


class RecordsPage(HousePage):
    """A line of words or days, and what fits."""

    NAME = "records"
    TITLE = "RECORDS"
    PURPOSE = "Find anything: scan or type a code, or words (boat, buyer, species), or days (24 Nov, 24 Nov to 26 Nov)."
    OFFERS = (
        CHOOSE.here("Kind", "Look through lots only, batches only, ...: the next kind, or the one that is named."),
    )
    DEFAULT_CSS = "RecordsPage #records-head { height: 1; padding: 0 2; text-style: bold; }"

    def __init__(self) -> None:
        super().__init__()
        self._kind = "everything"
        self._typed = ""

    def body(self) -> ComposeResult:
        """What is asked, and the answer."""
        yield Static(id="records-head")
        yield Ledger(
            Column("when", 8), Column("kind", 8), Column("code", 18), Column("what"), Column("state", 8),
            empty="Nothing fits.",
        )  # fmt: skip

    def on_open(self) -> None:
        """The same question again."""
        self._ask(keep=True)

    def on_changed(self) -> None:
        """There may be more."""
        self._ask(keep=True)

    def _ask(self, keep: bool = False) -> None:
        question = read_question(self._typed, self.desk.today)
        kinds = _KINDS[self._kind]

        def work() -> list[Listed]:
            try:
                return search(self.desk, kinds, question)
            finally:
                self.desk.records.close()  # of this thread

        self.in_background(work, partial(self._show, keep))

    def _show(self, keep: bool, found: list[Listed]) -> None:
        asked = f"with {self._typed}" if self._typed else "the newest"
        most = f"the newest {_MOST}" if len(found) == _MOST else f"{len(found)} found"
        self.query_one("#records-head", Static).update(
            content(f"{self._kind.upper()}, {asked}: {most}   F6 other kind")
        )
        self.query_one(Ledger).show_rows([self._row(item) for item in found], keep_selected=keep)
        self.now("type words or days; up, down, Enter opens; or scan anything")

    def _row(self, item: Listed) -> Row:
        moment = instant_of(when(item)).astimezone(self.desk.zone)
        day = f"{moment:%d %b}" if moment.year == self.desk.today.year else f"{moment:%b %Y}"
        cells = (day, str(item.thing.kind), item.thing.shown, brief(item.facts), item.status)
        return Row(item.thing.code, cells)

    def on_row(self, row: Row) -> None:
        """Open it."""
        self.house.open("thing", find_one(self.desk.records, row.key))

    def on_count(self, number: int) -> None:
        """A number is looked for like a word."""
        self._look_for(str(number))

    def on_line(self, text: str) -> None:
        """A code or document is opened, anything else is looked for."""
        if looks_like_code(text):
            self.shell.look_up(text)
            return
        exact = self._exactly(text)
        if len(exact) == 1:
            self.house.open("thing", exact[0])
        else:
            self._look_for(text)

    def _exactly(self, text: str) -> list[Thing]:
        try:
            return [thing for thing in find(self.desk.records, text) if thing.kind in TRACEABLE]
        except LotwakeError:  # no code: it is words then
            return []

    def _look_for(self, text: str) -> None:
        self._typed = text
        self._ask()

    def on_enter(self) -> None:
        """The marked row; with nothing to mark, everything again."""
        if self.query_one(Ledger).selected_row is not None:
            super().on_enter()
        elif self._typed:
            self._look_for("")
        else:
            self.say(Result.check("The record has nothing of this kind yet.", "F6 looks through another kind."))

    def do_choose(self, rest: str) -> None:
        """Another kind."""
        names = list(_KINDS)
        if rest and rest not in names:
            raise CallError(f"There is no kind {rest!r}.", f"There are: {', '.join(names)}.")
        self._kind = rest or names[(names.index(self._kind) + 1) % len(names)]
        self._ask()
