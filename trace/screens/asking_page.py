"""A page that may ask back before it goes on, and that works in a thread of its own while the screen stays alive.

While a question stands, a number chooses one of its answers and any other text is an answer of its own; Esc drops it.
A page of this kind fills in ``number_given``, ``text_given`` and ``enter_given`` where another has ``on_count``,
``on_line`` and ``on_enter``, and ``await_next`` to say what it waits for when no question stands.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from functools import partial
from threading import Event
from typing import TypeVar

from textual.message import Message

from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.screens.command import Command
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result

T = TypeVar("T")
Done = Awaitable[None] | None
STOP = Command("stop", "Stop", "Stop what is being worked on: a print or a trace.")


@dataclass(frozen=True)
class Question:
    """``asks`` one thing; ``answers`` can be chosen by number; ``free`` says that any other text is an answer too."""

    asks: str
    answers: tuple[str, ...]
    then: Callable[[str], Done]
    free: bool = True

    def in_words(self) -> str:
        """Its answers on one line."""
        listed = "  ".join(f"{number} {answer}" for number, answer in enumerate(self.answers, 1))
        return f"{listed}{'  or type it' if self.free else ''}"

    def chosen(self, number: int) -> str:
        """The answer with this number."""
        if not 1 <= number <= len(self.answers):
            raise CallError(f"{number} is none of the answers.", f"Type 1 to {len(self.answers)}, or Esc to leave it.")
        return self.answers[number - 1]


class StepDone(Message):
    """From the working thread: so much is done."""

    def __init__(self, done: int, whole: int) -> None:
        super().__init__()
        self.done = done
        self.whole = whole


class AskingPage(HousePage):
    """See the top of this file."""

    def __init__(self) -> None:
        super().__init__()
        self.question: Question | None = None
        self.doing = ""
        self._going: Callable[[], object] | None = None
        self._stop = Event()

    # What a page fills in

    def number_given(self, number: int) -> Done:
        """A number was typed and no question stands."""
        return super().on_count(number)

    def text_given(self, text: str) -> Done:
        """A text was typed and no question stands."""
        return super().on_line(text)

    def enter_given(self) -> Done:
        """Enter on the empty line while no question stands."""
        return super().on_enter()

    def await_next(self) -> None:
        """Say what the page waits for."""

    def work_failed(self) -> None:
        """The work ended with an error, which is told after this: show what is so now."""
        self.await_next()

    # Asking

    def ask(self, question: Question) -> None:
        """Ask, and let the next line be the answer."""
        self.question = question
        self.say(Result.check(question.asks, question.in_words()))
        self.now("the number of an answer + Enter; Esc leaves it")

    def drop_question(self) -> None:
        """Do without the answer."""
        if self.question is not None:
            self.question = None
            self.await_next()

    def on_count(self, number: int) -> Done:
        """An answer by number, or a number."""
        if self.question is None:
            return self.number_given(number)
        return self._answered(self.question.chosen(number))

    def on_line(self, text: str) -> Done:
        """An answer, or a text."""
        if self.question is None:
            return self.text_given(text)
        if not self.question.free:
            raise CallError(f"{text} is none of the answers.", "Type the number of one, or Esc to leave it.")
        return self._answered(text)

    def on_enter(self) -> Done:
        """Nothing is no answer."""
        if self.question is None:
            return self.enter_given()
        raise CallError(self.question.asks, self.question.in_words())

    def _answered(self, answer: str) -> Done:
        question = self.question
        assert question is not None
        self.drop_question()
        return question.then(answer)

    def do_back(self, rest: str) -> None:
        """Esc drops a question first."""
        if self.question is not None:
            self.drop_question()
            self.say(Result.check("Left as it was.", "Nothing was entered."))
        else:
            self.shell.do_back(rest)

    # Working

    def begin(self, doing: str, work: Callable[[], T], done: Callable[[T], Done], instead: bool = False) -> None:
        """Do ``work`` in a thread with a record connection of its own, then give its value to ``done`` here.

        ``instead`` puts it in place of work that is still going on and only reads: that is stopped and not told.
        """
        if self.doing and not instead:
            raise CallError(f"{self.doing} is still going on.", "Wait for it, or /stop it.")
        self.drop_question()
        self.doing, self._going = doing, work
        self._stop.clear()
        self.now(f"{doing} ...   /stop stops it")
        self.run_worker(self.act(partial(self._carry_out, work, done)), exit_on_error=False)

    async def _carry_out(self, work: Callable[[], T], done: Callable[[T], Done]) -> None:
        try:
            value = await asyncio.to_thread(self._apart, work)
        except Exception:
            if self.taken_over(work):  # nobody waits for it any more, and it was told to stop
                return
            self.doing = ""
            self.work_failed()
            raise
        if self.taken_over(work):
            return
        self.doing = ""
        self.await_next()
        if (finished := done(value)) is not None:
            await finished

    def _apart(self, work: Callable[[], T]) -> T:
        records = self.desk.records
        try:
            return work()
        finally:
            records.close()  # only this thread's connection

    def taken_over(self, work: Callable[[], object]) -> bool:
        """Whether other work was begun in place of this; it may be asked in its thread."""
        return self._going is not work

    @property
    def stop_asked(self) -> bool:
        """Whether the work is to be stopped; asked in its thread."""
        return self._stop.is_set()

    def step_done(self, done: int, whole: int) -> None:
        """Tell how far the work is, in its thread. Refused once it is to be stopped."""
        if self.stop_asked:
            raise Refused(f"Stopped after {done} of {whole}.", "What was entered stays in the record.")
        self.post_message(StepDone(done, whole))

    def on_step_done(self, message: StepDone) -> None:
        """Show how far it is."""
        if self.doing and message.done < message.whole:
            self.now(f"{self.doing}: {message.done} of {message.whole}   /stop stops it")

    def do_stop(self, _rest: str) -> None:
        """Stop the work."""
        if self.doing:
            self._stop.set()
            self.say(Result.check(f"{self.doing} is being stopped.", "What is entered already stays in the record."))
        else:
            self.say(Result.check("Nothing is being worked on.", "There is nothing to stop."))
