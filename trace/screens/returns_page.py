"""Returns: what came back, from whom and why. A scanned case says by itself who had it."""

from __future__ import annotations

from lotwake.trace.actions.goods import Good, look_at
from lotwake.trace.actions.ship import take_back
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.records.seen import SENT
from lotwake.trace.screens.asking_page import Question
from lotwake.trace.screens.command import CHOOSE, VOID, Command
from lotwake.trace.screens.goods_page import BuyerPage
from lotwake.trace.screens.result import Result

TAKE = Command("take", "Take back", "Take back what is on the list.", takes="REASON")
WHY = ("damaged", "too warm", "wrong goods", "not sold", "recall")


class ReturnsPage(BuyerPage):
    """Take goods back."""

    NAME = "returns"
    TITLE = "RETURNS"
    PURPOSE = "Take back what a buyer returned, with the reason."
    OFFERS = (
        CHOOSE.here("Buyer", "Choose the buyer; the list stays."),
        VOID.here("Take away", "Take the last thing off the list."),
        TAKE,
    )
    LIST_TITLE = "came back"

    def admit(self, good: Good) -> None:
        """Only what was sent to this buyer and is not back yet."""
        if good.state != SENT:
            raise Refused(f"{good.shown.capitalize()} is in the house.", "Only what was sent can come back.")
        if good.buyer != self.buyer:
            raise Refused(f"{good.shown.capitalize()} was sent to {good.buyer}.", "F6 chooses that buyer.")

    def head_lines(self) -> tuple[str, str]:
        """From whom, how much."""
        if self.choosing:
            return "From whom?  Scan what came back, or type a part of the buyer's name.", ""
        return f"FROM {self.buyer}   {self.amount}", "It can be sent again, opened or destroyed once it is back."

    def await_next(self) -> None:
        """Say what comes next."""
        if self.choosing:
            self.now("scan what came back; or type a part of the buyer's name + Enter")
        elif not self.goods:
            self.now("scan what came back, or type RUN/1-12")
        else:
            self.now("scan the next one, Enter takes it back;  - takes the last away")

    def add(self, text: str) -> None:
        """What came back; the first thing names the buyer."""
        if self.choosing:
            good = look_at(self.desk, text)
            if good.state != SENT:
                raise Refused(f"{good.shown.capitalize()} is in the house.", "Only what was sent can come back.")
            self.choose_buyer(good.buyer)
        super().add(text)

    def finish(self) -> None:
        """Ask why, then take it back."""
        if not self.goods:
            raise CallError("Nothing is on the list.", "Scan what came back.")
        self.ask(Question("Why did it come back?", WHY, self.do_take))

    def do_take(self, rest: str) -> None:
        """Take it back, with the reason."""
        self.drop_question()
        if not rest.strip():
            self.finish()
            return
        if self.choosing:
            raise CallError("From whom?", "Scan what came back, or type a part of the buyer's name.")
        buyer, amount = self.buyer, self.weight
        made = take_back(self.desk, buyer, [text for good in self.goods for text in good.texts], rest.strip())
        self.emptied()
        self.say(
            Result.good(
                f"Back from {buyer}: {amount}. {rest.strip().capitalize()}.",
                f"return {made.shown}   look at it before it is sent again",
            )
        )

    def void_last(self, _reason: str) -> None:
        """A return cannot be undone; what came back can be sent again."""
        raise CallError("The list is empty.", "A return that was wrong is put right by a dispatch to the same buyer.")
