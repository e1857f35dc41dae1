"""Send out: what an authority or a buyer's system asks for, as a file, with what is missing in the record said first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import TRACEABLE, find_one
from lotwake.trace.actions.send_out import Choice, SentOut, send_epcis, send_eu, send_kde, send_note, send_plan
from lotwake.trace.base.errors import CallError, MachineFailed
from lotwake.trace.base.moments import read_day
from lotwake.trace.screens.asking_page import AskingPage, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import CHOOSE, PAPER, VOID, Command
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import fitted, lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

DAYS = Command("days", "Days", "What happened on these days, in place of codes.", takes="DAY [to DAY]")


@dataclass(frozen=True)
class Kind:
    """Something that can be sent: its file endings, the usual one first, and how it is written."""

    name: str
    says: str
    endings: tuple[str, ...]
    write: Callable[[Desk, Choice, Path], SentOut]


def _note(desk: Desk, choice: Choice, out: Path) -> SentOut:
    if len(choice.codes) != 1:
        raise CallError("A dispatch note is about one dispatch.", "Scan one of its cases, or type the document number.")
    return send_note(desk, choice.codes[0], out)


KINDS = (
    Kind("kde", "US key data elements per tracking event, to sort", ("xlsx", "csv"), send_kde),
    Kind("eu", "EU lot information of each lot", ("json", "csv", "xlsx"), send_eu),
    Kind("epcis", "EPCIS 2.0 events of the chain", ("json", "jsonld"), send_epcis),
    Kind("dispatch-note", "what goes with the goods, for the buyer's system", ("pdf", "json", "txt"), _note),
    Kind("plan", "the traceability plan of 21 CFR 1.1315, filled in", ("pdf", "md", "txt"),
         lambda desk, _choice, out: send_plan(desk, out)),
)  # fmt: skip


class SendOutPage(AskingPage):
    """Codes or days, what is sent, and what was missing in it."""

    NAME = "sendout"
    TITLE = "SEND OUT"
    PURPOSE = "Write what an authority or a buyer's system asks for: scan what it is about, then choose the file."
    TAKES = TRACEABLE
    OFFERS = (
        CHOOSE.here("Empty", "Begin with an empty list."),
        PAPER.here("Write", "Write a file: /paper kde, eu, epcis, dispatch-note or plan; an ending may follow."),
        VOID.here("Take away", "Take the last thing off the list."),
        DAYS,
    )
    DEFAULT_CSS = """
    SendOutPage #send-head { height: 2; padding: 0 1; text-style: bold; }
    SendOutPage #send-kinds { height: 7; }
    SendOutPage #send-found { height: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._codes: list[str] = []
        self._days = ""
        self._sent: SentOut | None = None

    def body(self) -> ComposeResult:
        """What it is about, the files there are, and what was found."""
        yield Static(id="send-head")
        yield Ledger(Column("", 3, right=True), Column("file", 14), Column("what"), Column("as", 16), id="send-kinds")
        yield Ledger(Column("missing first, then what is in it"), marks=False, id="send-found",
                     empty="What is missing in the record is said here.")  # fmt: skip

    def on_open(self) -> None:
        """The list, with what was handed over."""
        if (thing := self.handed()) is not None and thing.code not in self._codes:
            self._codes = [thing.shown]
            self._days, self._sent = "", None
        self._show()

    def _show(self) -> None:
        about = f"what happened {self._days}" if self._days else ", ".join(self._codes) or "nothing yet"
        width = self.size.width - 2
        head = lines(fitted(f"ABOUT  {about}", width), "The whole chain of each code is sent, back and forward.")
        self.query_one("#send-head", Static).update(head)
        self.query_one("#send-kinds", Ledger).show_rows(
            [
                Row(kind.name, (str(at), kind.name, kind.says, ", ".join(kind.endings)))
                for at, kind in enumerate(KINDS, 1)
            ],
            keep_selected=True,
        )
        sent = self._sent
        found = [] if sent is None else [
            *(f"MISSING  {text}" for text in sent.missing), *(f"{count:,}  {name}" for name, count in sent.counts.items()),
            *sent.notes,
        ]  # fmt: skip
        self.query_one("#send-found", Ledger).show_rows([Row(str(at), (text,)) for at, text in enumerate(found)])
        if self.question is None and not self.doing:
            self.await_next()

    def await_next(self) -> None:
        """Say what comes next."""
        if self._codes or self._days:
            self.now("the number of a file + Enter, or up, down, Enter; scan more; F6 empties")
        else:
            self.now("scan or type what it is about; /days 01 Nov to 30 Nov; 5 writes the plan")

    def on_scanned(self, scan: Scanned) -> None:
        """Something it is about."""
        self.drop_question()
        self.text_given(scan.text)

    def text_given(self, text: str) -> None:
        """Something it is about."""
        thing = find_one(self.desk.records, text, self.desk.settings.separator)
        if thing.kind not in TRACEABLE:
            raise CallError(f"Nothing is sent about a {thing.kind}.", "Scan a lot, batch, run, pack, case or dispatch.")
        if thing.shown in self._codes:
            raise CallError(f"{thing.shown} is on the list already.", "Choose the file.")
        self._codes.append(thing.shown)
        self._days, self._sent = "", None
        self._show()

    def number_given(self, number: int) -> None:
        """The number of a file."""
        if not 1 <= number <= len(KINDS):
            raise CallError(f"There is no file {number}.", "Type the number in front of it.")
        self._choose(KINDS[number - 1])

    def on_row(self, row: Row) -> None:
        """The marked file."""
        self._choose(next(kind for kind in KINDS if kind.name == row.key))

    def _choose(self, kind: Kind) -> None:
        self.ask(Question(f"Write {kind.name} as what?", kind.endings, partial(self._write, kind), free=False))

    def do_paper(self, rest: str) -> None:
        """A file by its name."""
        name, _, ending = rest.strip().partition(" ")
        kind = next((kind for kind in KINDS if kind.name == name), None)
        if kind is None:
            raise CallError("Which file?", f"Type /paper and one of: {', '.join(kind.name for kind in KINDS)}.")
        self._write(kind, ending.strip() or kind.endings[0])

    def _write(self, kind: Kind, ending: str) -> None:
        desk, choice = self.desk, self._choice()
        about = self._days.replace(" ", "-") or "-".join(code.replace("/", "-") for code in self._codes[:2]) or "house"
        name = "traceability-plan" if kind.name == "plan" else f"{kind.name}-{about}"
        out = desk.places.sent / f"{name}.{ending}"
        try:
            out.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise MachineFailed(f"{out.parent} cannot be made: {error.strerror}.", "Look at who owns it.") from error
        self.begin(f"Writing {kind.name}", partial(kind.write, desk, choice, out), self._written)

    def _choice(self) -> Choice:
        if not self._days:
            return Choice(tuple(self._codes))
        since, _, until = self._days.partition(" to ")
        today = self.desk.today
        return Choice((), read_day(since, today), read_day(until, today) if until else None)

    def _written(self, sent: SentOut) -> None:
        self._sent = sent
        self._show()
        names = ", ".join(file.name for file in sent.files)
        where = f"{names} in {sent.files[0].parent.name}/"
        if sent.missing:
            self.say(Result.check(f"Written, and {len(sent.missing)} facts are missing in the record.", where))
        else:
            self.say(Result.good("Written; nothing is missing in the record.", where))

    def do_days(self, rest: str) -> None:
        """Days in place of codes."""
        before, self._days = self._days, rest.strip()
        try:
            if not self._days:
                raise CallError("Which days?", "Type /days 2026-11-01 to 2026-11-30, or one day.")
            self._choice()
        except CallError:
            self._days = before
            raise
        self._codes, self._sent = [], None
        self._show()

    def do_choose(self, _rest: str) -> None:
        """An empty list."""
        self.drop_question()
        self._codes, self._days, self._sent = [], "", None
        self._show()

    def do_void(self, _rest: str) -> None:
        """The last one off."""
        self.drop_question()
        if not self._codes:
            raise CallError("The list is empty.", "Scan what it is about.")
        self._codes.pop()
        self._sent = None
        self._show()
