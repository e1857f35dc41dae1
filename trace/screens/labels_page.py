"""Labels: the print jobs that wait, and the label of a run, a case or a batch as it comes out of the printer."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from textual.app import ComposeResult
from textual.widgets import Static

from lotwake.trace.actions import packing
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.label_counts import reconcile, waste_labels
from lotwake.trace.actions.label_jobs import Sent, send_job, settle_job
from lotwake.trace.actions.label_seen import see_label
from lotwake.trace.actions.labels import Printed
from lotwake.trace.base.errors import CallError
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.packing import PrintSeen, open_prints
from lotwake.trace.records.stock import PRINTED, WAITING
from lotwake.trace.screens.asking_page import STOP, AskingPage, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import CHOOSE, PAPER, REPRINT, VIEW, Command
from lotwake.trace.screens.label_said import late_result, made_result
from lotwake.trace.screens.label_view import PICTURE_OFFERS, LabelView
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import short_moment
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, Ledger, Row

SEND = Command(
    "send", "Send", "Send the marked job, or elsewhere: /send folder:out, queue:NAME, ipp://HOST, file:NAME.pdf.",
    takes="PRINTER",
)  # fmt: skip
CAME_OUT = Command("yes", "Yes", "The labels of the marked job came out, all of them.")
GIVE_UP = Command("no", "No", "None of the marked job came out, or it is given up: the labels can be printed anew.")
WASTE = Command(
    "waste", "Waste", "Say that labels of the run that is shown were spoiled: /waste 3 jam in the roll.", takes="N WHY"
)
COUNT = Command(
    "count", "Count", "Hold the labels of the run that is shown against its packs; /count 102 were gone from the roll.",
    takes="N",
)  # fmt: skip
_LABELLED = (Kind.RUN, Kind.CASE, Kind.PALLET, Kind.BATCH)
_WHY_AGAIN = ("smeared", "torn", "does not scan", "lost")
_SEND, _UP = "send it to the printer", "give it up: nothing came out"
_ALL, _NONE = "all of it came out", "nothing came out"


class LabelsPage(AskingPage):
    """Jobs to see to, or a label to look at and print."""

    NAME = "labels"
    TITLE = "LABELS"
    PURPOSE = "See to print jobs that wait; look at the label of a run, a case or a batch as it prints, and print it."
    TAKES = _LABELLED
    OFFERS = (
        VIEW.here("Label", "Show the label of the marked job, as a picture, then in words; then the jobs again."),
        REPRINT.here("Reprint", "Print the case label or batch card that is shown once more, and record why."),
        CHOOSE.here("Waiting", "Back to the jobs that wait; a scan or a code shows another label."),
        PAPER.here(
            "Print", "Print the case or pallet label or the batch card that is shown; /paper 12 makes 12 tray cards."
        ),
        SEND,
        CAME_OUT,
        GIVE_UP,
        WASTE,
        COUNT,
        STOP,
        *PICTURE_OFFERS,
    )
    DEFAULT_CSS = "LabelsPage #labels-head { height: 2; padding: 0 2; }"

    def __init__(self) -> None:
        super().__init__()
        self._thing: Thing | None = None
        self._jobs: dict[str, list[PrintSeen]] = {}

    def body(self) -> ComposeResult:
        """The jobs, or the label."""
        yield Static(id="labels-head")
        yield Ledger(
            Column("job", 6, right=True), Column("since", 12), Column("state", 8), Column("what", 32), Column("why"),
            empty="No print job waits.", id="labels-jobs",
        )  # fmt: skip
        yield LabelView(id="labels-label")

    @property
    def subject(self) -> Thing | None:
        """What the label is of."""
        return self._thing

    # What is shown

    def on_open(self) -> None:
        """The jobs; or the label of what was handed over, unless a job of it is open."""
        thing = self.handed()
        self._thing = None
        self._read_jobs()
        mine = next((at for at, seen in enumerate(self._jobs.values()) if thing in [one.thing for one in seen]), None)
        if mine is not None:
            self._show()
            self._ledger_of_jobs.mark_row(mine)
        elif thing is not None and thing.kind in _LABELLED:
            self._look_at(thing)
        else:
            self._show()

    def on_changed(self) -> None:
        """Another station printed or settled something."""
        if not self.doing and self._thing is None:
            self._read_jobs()
            self._show()

    @property
    def _ledger_of_jobs(self) -> Ledger:
        return self.query_one("#labels-jobs", Ledger)

    def _read_jobs(self) -> None:
        self._jobs = {}
        for seen in open_prints(self.desk.records):
            self._jobs.setdefault(str(seen.job), []).append(seen)
        self._ledger_of_jobs.show_rows([self._row(key) for key in self._jobs], keep_selected=True)

    def _row(self, key: str) -> Row:
        first = self._jobs[key][0]
        cells = (key, short_moment(self.desk, first.at), first.state, _what(self._jobs[key]), first.note)
        return Row(key, cells)

    def _show(self) -> None:
        looking = self._thing is not None
        self._ledger_of_jobs.display = not looking
        self.query_one(LabelView).display = looking
        self.query_one("#labels-head", Static).display = not looking
        count = len(self._jobs)
        jobs = "1 print job is open." if count == 1 else f"{count} print jobs are open." if count else "All came out."
        where = self.desk.settings.printer or "files only"
        other = self.desk.settings.case_printer
        self.query_one("#labels-head", Static).update(
            lines(f"{jobs}   printer: {where}{f', cases and cards: {other}' if other else ''}", "")
        )
        self.await_next()

    def _look_at(self, thing: Thing) -> None:
        _, seen = see_label(self.desk, thing.code)
        self._thing = thing
        self._show()
        self.query_one(LabelView).show(seen)
        self.await_next()

    def await_next(self) -> None:
        """Say what can be done with what is shown."""
        if self._thing is None:
            if self._jobs:
                self.now("Enter sees to the marked job, F4 shows its label; or scan a case or a batch")
            else:
                self.now("scan or type a case, a run or a batch: its label is shown")
            return
        prints = "" if self._thing.kind is Kind.RUN else "F7 prints it, "
        words = self.query_one(LabelView).in_words
        self.now(f"{prints}F4 {'the jobs' if words else 'in words'}; /closer, PgDn goes on")

    def action_ledger(self, move: str, by: int) -> None:
        """The arrows move in what is shown."""
        if self._thing is None:
            super().action_ledger(move, by)
        else:
            self.query_one(LabelView).move(move, by)

    def do_view(self, _rest: str) -> None:
        """The label of the marked job, its words, the jobs."""
        view = self.query_one(LabelView)
        if self._thing is None:
            self._look_at(self._marked()[0].thing)
        elif not view.in_words:
            view.turn(in_words=True)
            self.await_next()
        else:
            self.do_choose("")

    def do_closer(self, _rest: str) -> None:
        """The picture larger."""
        self._must_show()
        self.query_one(LabelView).closer()
        self.await_next()

    def do_blocks(self, _rest: str) -> None:
        """The picture in other signs."""
        self._must_show()
        self.say(Result.good(f"Drawn with {self.query_one(LabelView).other_blocks()}.", "/blocks takes the next ones"))

    def do_choose(self, _rest: str) -> None:
        """The jobs."""
        self.drop_question()
        self._thing = None
        self._read_jobs()
        self._show()

    # What is typed and scanned

    def text_given(self, text: str) -> None:
        """A code: its label."""
        self._take(text)

    def number_given(self, number: int) -> None:
        """A job by its number, or a code."""
        if self._thing is None and str(number) in self._jobs:
            self._ask_about(self._jobs[str(number)])
        else:
            self._take(str(number))

    def on_scanned(self, scan: Scanned) -> None:
        """A label or a card that is scanned is shown."""
        self.drop_question()
        self._take(scan.text)

    def _take(self, text: str) -> None:
        thing = find_one(self.desk.records, text, self.desk.settings.separator)
        if thing.kind is Kind.PACK:
            thing = find_one(self.desk.records, thing.code)
        if thing.kind not in _LABELLED:
            raise CallError(f"A {thing.kind} has no label here.", "Scan a run, a case, a pallet or a batch card.")
        self._look_at(thing)

    def on_row(self, row: Row) -> None:
        """What is to be done with a job."""
        self._ask_about(self._jobs[row.key])

    # Jobs

    def _marked(self) -> list[PrintSeen]:
        row = self._ledger_of_jobs.selected_row
        if row is None:
            raise CallError("No print job is open.", "Scan or type a case, a run or a batch to see its label.")
        return self._jobs[row.key]

    def _ask_about(self, job: Sequence[PrintSeen]) -> None:
        waits = job[0].state == WAITING
        answers = (_SEND, _UP) if waits else (_ALL, _NONE, _SEND)
        asks = f"Job {job[0].job}, {_what(job)}: {'it waits' if waits else 'did it come out?'}"
        self.ask(Question(asks, answers, partial(self._answered_about, job[0].job)))

    def _answered_about(self, job: int, answer: str) -> None:
        if answer in (_ALL, _NONE, _UP):
            self._settle(job, answer == _ALL)
        else:
            self._send(job, "" if answer == _SEND else answer)

    def do_send(self, rest: str) -> None:
        """Send the marked job."""
        self.drop_question()
        self._send(self._marked()[0].job, rest.strip())

    def do_yes(self, _rest: str) -> None:
        """It came out."""
        self.drop_question()
        self._settle(self._marked()[0].job, True)

    def do_no(self, _rest: str) -> None:
        """It did not, or it is given up."""
        self.drop_question()
        self._settle(self._marked()[0].job, False)

    def _send(self, job: int, to: str) -> None:
        self.begin(f"Sending job {job}", partial(send_job, self.desk, job, to), self._sent)

    def _sent(self, sent: Sent) -> None:
        self._read_jobs()
        self._show()
        if sent.state != PRINTED:
            self.say(late_result(f"Job {sent.job}", sent))
            return
        before = ", and was before: nothing went twice" if sent.again else ""
        self.say(Result.good(f"Job {sent.job} is at {sent.target}{before}.", "F6 shows what else is open"))

    def _settle(self, job: int, came_out: bool) -> None:
        settle_job(self.desk, job, came_out)
        self._read_jobs()
        self._show()
        said = "came out" if came_out else "is given up"
        self.say(Result.good(f"Job {job} {said}.", "" if came_out else "Its labels can be printed anew."))

    # Printing what is shown

    def _must_show(self) -> Thing:
        if self._thing is None:
            raise CallError("No label is shown.", "F4 shows that of the marked job; or scan a case or a batch.")
        return self._thing

    def do_paper(self, rest: str) -> None:
        """Print what is shown."""
        self.drop_question()
        self._print("", _trays(rest))

    def do_reprint(self, rest: str) -> None:
        """Print it once more; the reason is asked when it is not given."""
        self.drop_question()
        self._must_show()
        if rest.strip():
            self._print(rest.strip(), 0)
        else:
            self.ask(Question("Why is it printed again?", _WHY_AGAIN, lambda reason: self._print(reason, 0)))

    def do_waste(self, rest: str) -> None:
        """Spoiled labels that belong to no pack."""
        self.drop_question()
        count, _, reason = rest.strip().partition(" ")
        if not count.isdecimal() or not reason.strip():
            raise CallError("How many labels were spoiled, and why?", "Type it like /waste 3 jam in the roll.")
        run = waste_labels(self.desk, self._must_show_run().code, int(count), reason.strip())
        self.say(Result.good(f"{count} spoiled labels of run {run.shown} are written down.", "/count counts them all"))

    def do_count(self, rest: str) -> None:
        """Labels against packs."""
        self.drop_question()
        counted = rest.strip()
        if counted and not counted.isdecimal():
            raise CallError(f"{counted!r} is not a number of labels.", "Type it like /count 102, or /count alone.")
        run, balance = reconcile(self.desk, self._must_show_run().code)
        said = (
            f"Run {run.shown}: {balance.packs} packs; {balance.first} labels, {balance.reprints} again, {balance.wasted}"
            f" spoiled: {balance.used} used"
        )
        missing = int(counted) - balance.used if counted else 0
        left = f"{balance.unlabelled} packs without a label, {balance.waiting + balance.unsure} not certain"
        if balance.agrees and not missing:
            self.say(Result.good(f"{said}.", "Labels and packs agree."))
        else:
            self.say(Result.check(f"{said}.", f"{left}{f', {missing:+} counted' if missing else ''}"))

    def _must_show_run(self) -> Thing:
        thing = self._must_show()
        if thing.kind is not Kind.RUN:
            raise CallError("Labels are counted by run.", "Scan or type the run first.")
        return thing

    def _print(self, reason: str, trays: int) -> None:
        desk, thing = self.desk, self._must_show()
        if thing.kind is Kind.RUN:
            raise CallError("Pack labels are printed at the packing table.", "/pack opens it.")

        def work() -> list[Printed]:
            if thing.kind is Kind.BATCH:
                return [packing.label_batch(desk, thing, trays, reason)]
            return packing.label_cases(desk, [thing], reason)

        self.begin("Printing", work, self._printed)

    def _printed(self, printed: Sequence[Printed]) -> None:
        thing = printed[0].thing
        self._read_jobs()
        what = "card" if thing.kind is Kind.BATCH else "label"
        names = ", ".join(path.name for path in printed[0].sent.files)
        self.say(made_result(f"The {what} of {thing.kind} {thing.shown} is made", printed, f"printed: {names}"))


def _what(job: Sequence[PrintSeen]) -> str:
    first = job[0]
    if first.packs is not None:
        return f"{sum(seen.count for seen in job)} of run {first.thing.shown}"
    if first.thing.kind is Kind.BATCH:
        return f"card of batch {first.thing.shown}"
    return f"label of {first.thing.kind} {first.thing.shown}" if len(job) == 1 else f"{len(job)} case labels"


def _trays(rest: str) -> int:
    bare = rest.strip()
    if bare and not bare.isdecimal():
        raise CallError(f"{bare!r} is not a number of trays.", "Type it like /paper 12.")
    return int(bare or 0)
