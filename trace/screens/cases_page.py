"""Cases and pallets: packs that are scanned go into a case, cases that are scanned go onto a pallet."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from lotwake.trace.actions import packing
from lotwake.trace.actions.goods import Good, must_be_at_hand
from lotwake.trace.actions.labels import Printed
from lotwake.trace.actions.ship import build_pallet, case_up, close_case, open_case, take_off_pallet
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.lists import products
from lotwake.trace.records.stock import loose_packs
from lotwake.trace.records.waiting import Urgency, waiting
from lotwake.trace.screens.asking_page import STOP, Question
from lotwake.trace.screens.cases_made import CasesMade, label_closed
from lotwake.trace.screens.command import REPRINT, VIEW, VOID, Command
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.goods_page import GoodsPage
from lotwake.trace.screens.label_said import done_word, made_result
from lotwake.trace.screens.pack_words import packs
from lotwake.trace.screens.result import Result

CLOSE = Command("close", "Close", "Close one case with the packs on the list, and print its label.")
CASES = Command("full", "Full", "Put the packs of the run on the list into full cases, and print their labels.")
OPEN = Command("open", "Open", "Open the cases on the list again: their packs are loose.")
PALLET = Command("pallet", "Pallet", "Put the cases on the list onto a new pallet.")
_WHY_AGAIN = ("smeared", "torn", "does not scan", "lost")


class CasesPage(GoodsPage):
    """Case up and build pallets."""

    NAME = "cases"
    TITLE = "CASES"
    PURPOSE = "Put packs into cases and cases onto pallets; open or take off what was done wrong."
    TAKES = (Kind.RUN, Kind.CASE)
    OFFERS = (
        VIEW.here("Label", "Show the label of the last case, or of the last one on the list, as it prints."),
        REPRINT.here("Reprint", "Print the labels of the last cases once more, and record why."),
        VOID.here("Take away", "Take the last thing off the list; with an empty list, open the last case again."),
        CLOSE,
        CASES,
        PALLET,
        OPEN,
        STOP,
    )
    LIST_TITLE = "packs or cases"

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__(drafts)
        self._made: list[Thing] = []

    def admit(self, good: Good) -> None:
        """Packs with packs, cases with cases, all of them here and free."""
        if self.goods and self.goods[0].is_unit != good.is_unit:
            held = "cases for a pallet" if self.goods[0].is_unit else "packs for a case"
            raise CallError(f"The list holds {held}; {good.shown} does not go with them.", "Enter the list first.")
        must_be_at_hand(self.desk, good)

    def handed_over(self, thing: Thing) -> None:
        """A run with loose packs, or a case for a pallet, unless a list is being made."""
        if self.goods or (thing.kind is Kind.RUN and not loose_packs(self.desk.records, thing.id)):
            return
        self.add(thing.code)

    @property
    def subject(self) -> Thing | None:
        """What was made last."""
        return self._made[-1] if self._made else None

    def head_lines(self) -> tuple[str, str]:
        """What Enter would do."""
        if not self.goods:
            waits = [w for w in waiting(self.desk.records, self.desk.now) if w.urgency is Urgency.TO_CASE]
            return "Scan packs for a case, or cases for a pallet.", waits[0].sentence + "." if waits else ""
        if self.goods[0].is_unit:
            return f"PALLET  {self.amount}", "Enter builds the pallet."
        size = self._case_packs()
        if len(self.goods) == 1 and self.packs >= size:
            over = f"; {packs(self.packs % size)} stay loose" if self.packs % size else ""
            return f"CASES  {self.amount}", f"Enter makes {self._full()} of {size}{over}. /close: one case of all."
        too_many = self.packs - size
        many = f"{packs(too_many)} more than a case usually holds. " if too_many > 0 else ""
        return f"CASE  {self.packs} of {size}   {self.amount}", f"{many}Enter closes the case and prints its label."

    def _full(self) -> str:
        count = self.packs // self._case_packs()
        return f"{count} full case{'' if count == 1 else 's'}"

    def _case_packs(self) -> int:
        """How many packs a case of the product on the list holds."""
        sizes = {product.name: product.case_packs for product in products(self.desk.records)}
        return sizes.get(self.goods[0].product, 1)

    def await_next(self) -> None:
        """Say what comes next."""
        if not self.goods:
            self.now("scan a pack or a case; or type RUN, RUN/1-12 or an SSCC + Enter")
        elif self.goods[0].is_unit:
            self.now("scan the next case, or Enter builds the pallet;  - takes the last away")
        else:
            self.now("scan the next pack, or Enter closes;  - takes the last away")

    def finish(self) -> None:
        """What the list asks for by itself."""
        if not self.goods:
            raise CallError("Nothing is on the list.", "Scan packs for a case, or cases for a pallet.")
        if self.goods[0].is_unit:
            self.do_pallet("")
            return
        if len(self.goods) == 1 and self.packs >= self._case_packs():
            self.do_full("")
            return
        self.do_close("")

    def do_close(self, _rest: str) -> None:
        """One case of all packs on the list."""
        self.drop_question()
        self._must_be_packs()
        desk = self.desk
        contents = [text for good in self.goods for text in good.texts]

        def work() -> CasesMade:
            return label_closed(desk, [close_case(desk, contents)])

        self.begin("Closing the case", work, self._cases_closed)

    def do_full(self, _rest: str) -> None:
        """Full cases of the one run on the list."""
        self.drop_question()
        self._must_be_packs()
        if len(self.goods) != 1:
            raise CallError("Full cases are made of one run.", "Take the others away, or /close makes one case of all.")
        desk, run = self.desk, self.goods[0].thing
        count = self.packs // self._case_packs()

        def work() -> CasesMade:
            return label_closed(desk, case_up(desk, run.code, count))

        self.begin("Casing up", work, self._cases_closed)

    def _must_be_packs(self) -> None:
        if not self.goods or self.goods[0].is_unit:
            raise CallError("There are no packs on the list.", "Scan packs, or type them as RUN/1-12.")

    def _cases_closed(self, made: CasesMade) -> None:
        self._made = list(made.cases)
        self.emptied()
        self.say(made.result("wrong? F8 opens it" if len(made.cases) == 1 else "wrong? F8 opens them"))

    def do_pallet(self, _rest: str) -> None:
        """The cases on the list onto a pallet."""
        self.drop_question()
        if not self.goods or not self.goods[0].is_unit:
            raise CallError("There are no cases on the list.", "Scan the cases that stand on the pallet.")
        count, amount = len(self.goods), packs(self.packs)
        pallet = build_pallet(self.desk, [good.text for good in self.goods])
        self._made = [pallet]
        self.emptied()
        self.say(
            Result.good(
                f"Pallet {pallet.code} built: {count} on it, {amount}.",
                "wrong? F8 takes everything off it   F4: its label",
            )
        )

    def void_last(self, _reason: str) -> None:
        """Open the last cases, or take everything off the last pallet."""
        if not self._made:
            raise CallError("The list is empty, and nothing was made here since.", "Scan packs or cases.")
        made, self._made = self._made, []
        if made[0].kind is Kind.PALLET:
            self._undo_pallet(made[0])
            return
        self._open(made)

    def do_open(self, _rest: str) -> None:
        """Open what is on the list."""
        self.drop_question()
        cases = [good.thing for good in self.goods if good.thing.kind is Kind.CASE]
        if not cases or len(cases) < len(self.goods):
            raise CallError("Only cases can be opened.", "Put the cases on the list, and nothing else.")
        self._open(cases)
        self.emptied()

    def _open(self, cases: Sequence[Thing]) -> None:
        for case in cases:
            open_case(self.desk, case.code)
        self.show_goods()
        what = f"Case {cases[0].code} is" if len(cases) == 1 else f"{len(cases)} cases are"
        self.say(Result.good(f"{what} open again; the packs are loose.", "Destroy the case labels."))

    def _undo_pallet(self, pallet: Thing) -> None:
        rows = self.desk.records.rows("SELECT child FROM unit_content WHERE parent = ? AND until IS NULL", pallet.id)
        for (child,) in rows:
            take_off_pallet(self.desk, f"{child:018d}")
        self.show_goods()
        self.say(Result.good(f"Everything is off pallet {pallet.code}.", "Scan the cases for another one."))

    def do_reprint(self, rest: str) -> None:
        """The labels of the last cases once more; the reason is asked when it is not given."""
        self.drop_question()
        cases = [case for case in self._made if case.kind is Kind.CASE]
        cases = cases or [good.thing for good in self.goods if good.thing.kind is Kind.CASE]
        if not cases:
            raise Refused("No case was closed here since, and none is on the list.", "Scan the case first.")
        if rest.strip():
            self._again(cases, rest.strip())
        else:
            self.ask(Question("Why is the label printed again?", _WHY_AGAIN, partial(self._again, cases)))

    def _again(self, cases: Sequence[Thing], reason: str) -> None:
        work = partial(packing.label_cases, self.desk, cases, reason)
        self.begin("Printing the case labels again", work, self._printed_again)

    def _printed_again(self, printed: Sequence[Printed]) -> None:
        count = len(printed)
        what = "1 case label" if count == 1 else f"{count} case labels"
        self.say(made_result(f"{what} {done_word(printed)} again", printed, "Destroy the first.", printed[0].path.name))

    def do_view(self, _rest: str) -> None:
        """The label of the last case on the list, or of what was made last, a case or a pallet."""
        units = [good.thing for good in self.goods if good.is_unit] or self._made
        if not units:
            raise CallError("No case was closed here since, and none is on the list.", "Scan the case first.")
        self.house.open("labels", units[-1])
