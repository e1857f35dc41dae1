"""Logger: a temperature logger's file is chosen, looked at, settled where it is not clear, and brought into a batch."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from lotwake.trace.actions import logger
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.logger import Brought, Looked
from lotwake.trace.actions.logger_places import FileThere, files_in, folder_named, usual_places
from lotwake.trace.actions.logger_said import choices, told
from lotwake.trace.actions.refs import instrument_id
from lotwake.trace.base.codes import looks_like_code
from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.screens.asking_page import AskingPage, Done
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.logger_words import (
    OFFERS,
    file_rows,
    in_words,
    is_path,
    line_rows,
    probe_rows,
    read_said,
    told_lines,
)
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

_CHOOSE = "number + Enter: which file? or type its path, or a folder"


class LoggerPage(AskingPage):
    """Files to choose from; of the chosen one its probes, or its first lines, and what is not clear about it."""

    NAME = "logger"
    TITLE = "LOGGER"
    PURPOSE = "Bring a temperature logger's file into a batch. Nothing is entered before all of it is clear."
    TAKES = (Kind.BATCH,)
    OFFERS = OFFERS
    DEFAULT_CSS = """
    LoggerPage #logger-head { height: 2; padding: 0 2; }
    LoggerPage Ledger { height: 1fr; }
    LoggerPage #logger-told { height: 1fr; padding: 0 2; scrollbar-size-vertical: 1; }
    LoggerPage #logger-told Static { height: auto; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._batch: Thing | None = None
        self._files: list[FileThere] = []
        self._folder: Path | None = None
        self._path: Path | None = None
        self._looked: Looked | None = None
        self._said: dict[str, list[str]] = {}
        self._instrument = ""
        self._remember = ""
        self._as_written = False

    def body(self) -> ComposeResult:
        """Where to, the list, and what is told about the file."""
        yield Static(id="logger-head")
        yield Ledger(Column("no", 3, True), Column("file", 26), Column("written", 12), Column("size", 8, True),
                     Column("folder"), empty="None lies here: type a path, or a folder.", id="logger-files")  # fmt: skip
        yield Ledger(Column("probe"), Column("readings", 9, True), Column("from", 20), Column("to", 20, from_width=90),
                     Column("coldest", 9, True), Column("hottest", 9, True), marks=False,
                     empty="No reading is clear yet.", id="logger-probes")  # fmt: skip
        yield Ledger(Column("the first lines as they stand"), marks=False, id="logger-lines")
        with VerticalScroll(id="logger-told", can_focus=False):
            yield Static()

    @property
    def subject(self) -> Thing | None:
        """The batch the readings go into."""
        return self._batch

    # What is shown

    def on_open(self) -> None:
        """Take over the batch of the page before; look for files unless one is chosen."""
        self._batch = self.handed() or self._batch
        if self._path is None:
            self._files = files_in([self._folder] if self._folder else usual_places())
        self._show()

    def _show(self) -> None:
        chosen = self._path is not None
        self.query_one("#logger-files").display = not chosen
        self.query_one("#logger-probes").display = chosen and not self._as_written
        self.query_one("#logger-lines").display = chosen and self._as_written
        self.query_one("#logger-told").display = chosen
        into = f"into batch {self._batch.shown}" if self._batch else "into which batch? Scan its card, or /into CODE"
        by = f", read by {self._instrument}" if self._instrument else ""
        kept = f", remembered as {self._remember}" if self._remember else ""
        what = self._path.name if self._path else "WHICH FILE?"
        more = self._said_words() if self._path else str(self._folder or "the usual folders, and what is plugged in")
        self.query_one("#logger-head", Static).update(lines(f"{what}   {into}{by}{kept}", more))
        if not chosen:
            self.query_one("#logger-files", Ledger).show_rows(
                file_rows(self._files, self.desk.zone), keep_selected=True
            )
        elif self._looked is not None:
            self._show_looked(self._looked)
        if not self.doing:
            self.await_next()

    def _show_looked(self, looked: Looked) -> None:
        self.query_one("#logger-probes", Ledger).show_rows(probe_rows(looked, self.desk.zone))
        self.query_one("#logger-lines", Ledger).show_rows(line_rows(looked))
        self.query_one("#logger-told Static", Static).update(lines(*told_lines(looked, self.desk.zone)))

    def _said_words(self) -> str:
        said = "; ".join(f"{name} {', '.join(values)}" for name, values in self._said.items())
        return f"said: {said}" if said else ""

    def await_next(self) -> None:
        """What comes next with this file."""
        if self._path is None:
            self.now(_CHOOSE)
        elif self._looked is None or self._looked.preview.problems:
            self.now("/say WHAT VALUE settles what is not clear; F6 chooses another file")
        elif self._batch is None:
            self.now("scan the card of the batch, or /into CODE; then /bring")
        else:
            self.now(f"/bring enters {self._looked.preview.count:,} readings; /say changes how the file is read")

    # Choosing

    def on_scanned(self, scan: Scanned) -> None:
        """The batch the readings go into."""
        self._into(scan.text)

    def number_given(self, number: int) -> Done:
        """A file by its number."""
        if self._path is not None:
            return super().number_given(number)
        if not 1 <= number <= len(self._files):
            raise CallError(f"There is no file {number} in the list.", "Type the number in front of it, or a path.")
        self._open(self._files[number - 1].path)
        return None

    async def take_line(self, text: str) -> None:
        """A path may begin with the sign of a command; it has another one behind it."""
        if is_path(text):
            self.new_act()
            await self.act(partial(self.text_given, text))
        else:
            await super().take_line(text)

    def text_given(self, text: str) -> Done:
        """The code of a batch, or the path of a file or folder."""
        if looks_like_code(text):
            self._into(text)
            return None
        folder = folder_named(text)
        if folder is None:
            self._open(Path(text.strip()).expanduser())
            return None
        self._folder, self._path, self._looked = folder, None, None
        self._files = files_in([folder])
        self._show()
        return None

    def on_row(self, row: Row) -> None:
        """The marked file."""
        if self._path is None:
            self._open(Path(row.key))

    def _into(self, code: str) -> None:
        thing = find_one(self.desk.records, code, self.desk.settings.separator)
        if thing.kind is not Kind.BATCH:
            raise CallError(f"{thing.shown} is a {thing.kind}, not a batch.", "Scan the card of the batch.")
        self._batch = thing
        self._show()

    def _open(self, path: Path) -> None:
        self._path, self._looked, self._said = path, None, {}
        self._instrument = self._remember = ""
        self._as_written = False
        self._look()

    def _look(self) -> None:
        path = self._path
        assert path is not None
        self.query_one("#logger-told Static", Static).update("")
        self._show()
        said = dict(self._said)
        name = said["logger"][0] if "logger" in said else ""
        work = partial(logger.look, self.desk, path, told(said), choices(self.desk, said), name)
        self.begin("Reading the file", work, self._seen)

    def _seen(self, looked: Looked) -> None:
        self._looked = looked
        self._show()
        problems = looked.preview.problems
        if problems:
            more = f" And {len(problems) - 1} more below." if len(problems) > 1 else ""
            self.say(Result.check(problems[0].sentence, f"{in_words(problems[0].hint)}{more}"))
        else:
            said = f"All of {looked.file.name} is clear: {looked.preview.count:,} readings."
            self.say(Result.good(said, "/bring enters them."))

    def work_failed(self) -> None:
        """A file that cannot be opened is not chosen; what was not brought in can be tried again."""
        if self._looked is None:
            self._path = None
        self._show()

    # Commands

    def do_choose(self, _rest: str) -> None:
        """The list of files."""
        self._path, self._looked, self._said = None, None, {}
        self.on_open()

    def do_view(self, _rest: str) -> None:
        """Probes, or the lines as they stand."""
        self._chosen()
        self._as_written = not self._as_written
        self._show()

    def do_say(self, rest: str) -> None:
        """Say something about the file, and look again."""
        self._chosen()
        name, values = read_said(rest)
        before = dict(self._said)
        self._said[name] = values
        self._try_again(before)

    def do_unsay(self, rest: str) -> None:
        """Take back what was said, and look again."""
        self._chosen()
        before = dict(self._said)
        self._said = {name: values for name, values in before.items() if rest.strip() and name != rest.strip().lower()}
        self._try_again(before)

    def _try_again(self, before: dict[str, list[str]]) -> None:
        try:
            choices(self.desk, self._said)
        except LotwakeError:
            self._said = before
            raise
        self._look()

    def do_into(self, rest: str) -> None:
        """The batch by its code."""
        if not rest:
            raise CallError("Into which batch?", "Type its code behind it, or scan its card.")
        self._into(rest)

    def do_with(self, rest: str) -> None:
        """The instrument the readings come from."""
        if rest:
            instrument_id(self.desk.records, rest)
        self._instrument = rest.strip()
        self._show()

    def do_remember(self, rest: str) -> None:
        """Under which name this logger is remembered."""
        logger.logger_path(self.desk, rest)
        self._remember = rest.strip()
        self._show()

    def do_bring(self, _rest: str) -> None:
        """Enter the readings."""
        path = self._chosen()
        if self._batch is None:
            raise CallError("Into which batch?", "Scan its card, or type /into and its code.")
        said = dict(self._said)
        name = said["logger"][0] if "logger" in said else ""
        work = partial(
            logger.bring, self.desk, self._batch.code, path, told(said), choices(self.desk, said), name, self._remember,
            self._instrument,
        )  # fmt: skip
        self.begin("Bringing the readings in", work, self._brought)

    def _brought(self, brought: Brought) -> None:
        self._path, self._looked, self._said = None, None, {}
        self.on_open()
        count, probes = brought.preview.count, ", ".join(probe.name for probe in brought.preview.probes)
        kept = f" The logger is remembered as {brought.remembered}." if brought.remembered else ""
        self.say(
            Result.good(
                f"{count:,} readings of {probes} are in batch {brought.batch.shown}.{kept}", "/batch shows them."
            )
        )

    def _chosen(self) -> Path:
        if self._path is None:
            raise CallError("No file is chosen yet.", "Type its number in the list, or its path.")
        return self._path
