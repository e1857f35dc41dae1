"""Origin: somebody asks where goods are from. Who asks, what is kept back, the words to say, and the page to send."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from textwrap import wrap

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from lotwake.trace.actions.find import TRACEABLE
from lotwake.trace.actions.origin import answer_origin, asked_about, record_answer, save_answer, withheld_from
from lotwake.trace.base.errors import CallError
from lotwake.trace.recall.origin import Origin, Withhold, in_sentences, read_withheld
from lotwake.trace.records.find import Thing
from lotwake.trace.records.lists import buyers
from lotwake.trace.records.recalls import answers_about
from lotwake.trace.screens.asking_page import AskingPage, Question
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import CHOOSE, PAPER, REPRINT, VIEW, Command
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import short_moment
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets.choice_field import fitting

ASKER = Command("asker", "Asker", "Who asks; what is kept back follows from the settings.", takes="NAME")
KEEP = Command("keep", "Keep back", "What is kept back: boats, positions, buyers, or nothing.", takes="WORDS")
PICTURE = Command("picture", "Picture", "Ask about the bar code in a picture that was sent.", takes="FILE")
GIVEN = Command("given", "Given", "Write down that the answer was given, without a paper.")
_NOBODY = "somebody unnamed"
_WIDEST = 110
_SHOWN = 6


class OriginPage(AskingPage):
    """One question at a time. Nothing is written down before the answer is given: Enter, or a paper."""

    NAME = "origin"
    TITLE = "ORIGIN"
    PURPOSE = (
        "Answer where goods are from: scan or type what the caller reads out, say who asks, read out, send the page."
    )
    TAKES = TRACEABLE
    OFFERS = (
        VIEW.here("Trace", "The whole chain of it."),
        CHOOSE.here("Who asks", "Choose who asks, or type a name."),
        PAPER.here("PDF", "Write the page of paper to send, and that it was given; /paper text or /paper json."),
        REPRINT.here("Before", "The answers given about this before."),
        ASKER, KEEP, GIVEN, PICTURE,
    )  # fmt: skip
    DEFAULT_CSS = """
    OriginPage #origin-head { height: 2; padding: 0 1; text-style: bold; }
    OriginPage #origin-scroll { height: 1fr; padding: 0 2; background: $raised; scrollbar-size-vertical: 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._thing: Thing | None = None
        self._asker = ""
        self._keep: frozenset[Withhold] | None = None
        self._answer: Origin | None = None
        self._given = False

    def body(self) -> ComposeResult:
        """Who asks about what, and the words."""
        yield Static(id="origin-head")
        with VerticalScroll(id="origin-scroll", can_focus=False):
            yield Static(id="origin-said")

    @property
    def subject(self) -> Thing | None:
        """What is asked about."""
        return self._thing

    def on_open(self) -> None:
        """What was handed over is asked about."""
        thing = self.handed()
        if thing is not None and thing != self._thing:
            self._ask_about(thing)
        else:
            self._show()

    def on_changed(self) -> None:
        """The record grew: the answer is worked out anew, unless it was given."""
        if self._thing is not None and not self._given and self.question is None:
            self._work_out()

    def _ask_about(self, thing: Thing) -> None:
        self._thing, self._given, self._asker, self._keep = thing, False, "", None
        self._work_out()
        self.do_choose("")

    def _work_out(self) -> None:
        assert self._thing is not None
        keep = withheld_from(self.desk, self._asker) if self._keep is None else self._keep
        self._answer = answer_origin(self.desk, self._thing, self._asker, keep)
        self._show()

    def _show(self) -> None:
        answer = self._answer
        if answer is None:
            self._put(
                "Nobody asks.",
                "Scan or type what the caller reads out: pack, GTIN and lot, case, document.",
            )
            self.query_one("#origin-said", Static).update("")
        else:
            kept = ", ".join(answer.withheld) or "nothing"
            gap = f"   {len(answer.gaps)} NOT KNOWN" if answer.gaps else ""
            self._put(f"{answer.asked_about}   asked by {answer.asker or _NOBODY}{gap}",
                      f"kept back: {kept}   {'GIVEN' if self._given else 'not given yet'}")  # fmt: skip
            width = min(_WIDEST, max(40, self.size.width - 6))
            said = [part for sentence in in_sentences(answer) for part in wrap(sentence, width, subsequent_indent="  ")]
            self.query_one("#origin-said", Static).update(lines(*said))
        if self.question is None and not self.doing:
            self.await_next()

    def _put(self, *texts: str) -> None:
        self.query_one("#origin-head", Static).update(lines(*texts))

    def await_next(self) -> None:
        """Say what comes next."""
        if self._answer is None:
            self.now("scan or type what the caller reads out; /picture FILE for a photograph")
        elif self._given:
            self.now("scan what the next caller asks about; F7 writes the page again")
        else:
            self.now("read it out; Enter: it was given; F7: the page to send; F6 who asks; /keep")

    def on_scanned(self, scan: Scanned) -> None:
        """The same as typed; a question that stands is dropped."""
        self.drop_question()
        self.text_given(scan.text)

    def text_given(self, text: str) -> None:
        """What is asked about."""
        self._ask_about(asked_about(self.desk, text))

    def number_given(self, number: int) -> None:
        """A document number."""
        self.text_given(str(number))

    def enter_given(self) -> None:
        """It was read out."""
        self.do_given("")

    def action_ledger(self, move: str, by: int) -> None:
        """The arrows scroll the words."""
        self.query_one("#origin-scroll").scroll_relative(y=by * (1 if move == "step" else 8), animate=False)

    # Commands

    def do_choose(self, rest: str) -> None:
        """Who asks? The buyers this went to come first."""
        answer = self._must_be_answered()
        if rest.strip():
            self.do_asker(rest)
            return
        went_to = dict.fromkeys(sent.buyer for sent in answer.sent)
        self.ask(Question("Who asks?", (_NOBODY, *list(went_to)[: _SHOWN - 1]), self.do_asker))

    def do_asker(self, rest: str) -> None:
        """A buyer by a part of the name, or anybody by the whole of it."""
        self._must_be_answered()
        self.drop_question()
        if not rest.strip():
            raise CallError("Who asks?", "Type the name behind it: /asker Quay Deli.")
        known = fitting([(buyer.name, buyer.phone) for buyer in buyers(self.desk.records)], rest.strip())
        self._asker = "" if rest == _NOBODY else known[0][0] if len(known) == 1 else rest.strip()
        self._given, self._keep = False, None
        self._work_out()
        self.say(
            Result.good(f"Asked by {self._asker or _NOBODY}.", "Read it out; Enter writes down that it was given.")
        )

    def do_keep(self, rest: str) -> None:
        """Other things are kept back this time."""
        self._must_be_answered()
        if not rest.strip():
            raise CallError("Keep what back?", f"Type /keep {', '.join(Withhold)}, or /keep nothing.")
        bare = rest.strip().lower()
        self._keep = read_withheld("" if bare in ("nothing", "none") else bare.replace(" ", ","))
        self._given = False
        self._work_out()
        self.say(
            Result.good(f"Kept back: {', '.join(sorted(self._keep)) or 'nothing'}.", "The settings keep it for good.")
        )

    def do_picture(self, rest: str) -> None:
        """A photographed bar code; a path may begin with a slash, so it stands behind a word."""
        if not rest.strip():
            raise CallError("Which picture?", "Type /picture and the path of the file (PNG, JPEG).")
        if not Path(rest.strip()).expanduser().is_file():
            raise CallError(f"There is no file {rest.strip()}.", "Check the path; PNG and JPEG are read.")
        self._ask_about(asked_about(self.desk, str(Path(rest.strip()).expanduser())))

    def do_given(self, _rest: str) -> None:
        """Write it down, once."""
        answer = self._must_be_answered()
        if self._given:
            raise CallError("It is written down already.", "Scan what the next caller asks about.")
        self._write_down(answer)
        self.say(
            Result.good(f"Answer to {answer.asker or _NOBODY} is written down, every word.", "F7 writes the page.")
        )

    def _write_down(self, answer: Origin) -> None:
        assert self._thing is not None
        if not self._given:
            record_answer(self.desk, self._thing, answer)
        self._given = True
        self._show()

    def do_paper(self, rest: str) -> None:
        """The page, and that it was given."""
        answer = self._must_be_answered()
        ending = {"text": "txt", "txt": "txt", "json": "json"}.get(rest.strip().lower(), "pdf")
        self._write_down(answer)
        self.begin("Writing the page", partial(save_answer, self.desk, answer, ending), self._written)

    def _written(self, out: Path) -> None:
        self.say(Result.good(f"The page is {out.name}, and the answer is written down.", "It lies in answers/."))

    def do_reprint(self, _rest: str) -> None:
        """What was said about this before."""
        self._must_be_answered()
        assert self._thing is not None
        before = answers_about(self.desk.records, self._thing)
        if not before:
            raise CallError("Nobody asked about this before.", "This is the first time.")
        told = "; ".join(
            f"{short_moment(self.desk, item.at)} {item.asker or _NOBODY} ({item.by})" for item in before[:4]
        )
        self.say(Result.good(f"Asked {len(before)} times before: {told}.", "The journal has every word."))

    def do_view(self, _rest: str) -> None:
        """The chain."""
        self._must_be_answered()
        self.house.open("trace", self._thing)

    def _must_be_answered(self) -> Origin:
        if self._answer is None:
            raise CallError("Nobody asks about anything yet.", "Scan or type what the caller reads out.")
        return self._answer
