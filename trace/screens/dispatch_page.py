"""Dispatch: a buyer, the goods that leave, a document number, and off they go."""

from __future__ import annotations

from lotwake.trace.actions.goods import Good, must_be_at_hand
from lotwake.trace.actions.ship import send, take_back
from lotwake.trace.base.errors import CallError
from lotwake.trace.records.find import Thing
from lotwake.trace.screens.command import CHOOSE, VOID, Command
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.goods_page import BuyerPage
from lotwake.trace.screens.result import Result

SEND = Command("send", "Send", "Send what is on the list to the buyer.")
DOCUMENT = Command("document", "Document", "The number of the delivery note.", takes="NUMBER")
CARRIER = Command("carrier", "Carrier", "Who takes it there.", takes="NAME")


class DispatchPage(BuyerPage):
    """Send goods to a buyer."""

    NAME = "dispatch"
    TITLE = "DISPATCH"
    PURPOSE = "Send cases, pallets and packs to a buyer on one document."
    OFFERS = (
        CHOOSE.here("Buyer", "Choose the buyer; the list stays."),
        VOID.here("Take away", "Take the last thing off the list; with an empty list, take the last dispatch back."),
        SEND,
        DOCUMENT,
        CARRIER,
    )
    LIST_TITLE = "leaves the house"

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__(drafts)
        self._sure = self._was_sure = False
        self._sent: tuple[Thing, str, list[str]] | None = None

    def admit(self, good: Good) -> None:
        """Only what is here, free and not on hold."""
        must_be_at_hand(self.desk, good)

    @property
    def subject(self) -> Thing | None:
        """What was sent last."""
        return None if self._sent is None else self._sent[0]

    def head_lines(self) -> tuple[str, str]:
        """To whom, on which document, how much."""
        if self.choosing:
            return "To whom?  Type a part of the name.", self.amount.capitalize() if self.goods else ""
        document = self.facts.get("document") or "no number yet; our own code is used"
        carrier = f"   carrier {self.facts['carrier']}" if self.facts.get("carrier") else ""
        return f"TO {self.buyer}   {self.amount}", f"document {document}{carrier}"

    def await_next(self) -> None:
        """Say what comes next."""
        if self.choosing:
            self.now("type a part of the buyer's name, Enter takes the marked one")
        elif not self.goods:
            self.now("scan the cases that leave; /document NUMBER")
        else:
            self.now("scan the next one, Enter sends;  /document NUMBER;  - takes the last away")

    def new_act(self) -> None:
        """The second Enter sends only when nothing came between."""
        super().new_act()
        self._was_sure, self._sure = self._sure, False

    def do_document(self, rest: str) -> None:
        """Keep the number."""
        self._keep_fact("document", rest)

    def do_carrier(self, rest: str) -> None:
        """Keep the carrier."""
        self._keep_fact("carrier", rest)

    def _keep_fact(self, name: str, rest: str) -> None:
        self.drop_question()
        if not rest.strip():
            raise CallError(f"Which {name}?", f"Type it behind the word: /{name} ...")
        self.facts[name] = rest.strip()
        self.keep()
        self.show_goods()
        self.say(Result.good(f"{name.capitalize()}: {rest.strip()}.", "Another one replaces it."))

    def finish(self) -> None:
        """Enter: say what would leave, and send it on the second Enter."""
        if not self.goods:
            raise CallError("Nothing is on the list.", "Scan the cases that leave.")
        if not self._was_sure:
            self._sure = True
            self.say(Result.check(f"{self.amount} to {self.buyer}. Enter again sends it.", "Anything else leaves it."))
            return
        self.do_send("")

    def do_send(self, _rest: str) -> None:
        """Send it."""
        self.drop_question()
        if self.choosing:
            raise CallError("To whom?", "Type a part of the buyer's name.")
        buyer, amount = self.buyer, self.weight
        contents = [text for good in self.goods for text in good.texts]
        document, carrier = self.facts.get("document", ""), self.facts.get("carrier", "")
        made = send(self.desk, buyer, contents, document, carrier=carrier)
        self._sent = (made, buyer, contents)
        self.emptied()
        self.say(Result.good(f"Sent to {buyer}: {amount}.", f"dispatch {made.shown}   wrong? F8 takes it all back"))

    def void_last(self, reason: str) -> None:
        """Everything that was just sent comes back by an entry of its own."""
        if self._sent is None:
            raise CallError("The list is empty, and nothing was sent here since.", "Scan the cases that leave.")
        made, buyer, contents = self._sent
        back = take_back(self.desk, buyer, contents, reason or f"dispatch {made.shown} was entered by mistake")
        self._sent = None
        self.show_goods()
        self.say(
            Result.good(f"Dispatch {made.shown} is taken back whole.", f"return {back.shown}; both stay on record.")
        )
