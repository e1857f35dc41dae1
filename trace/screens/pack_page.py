"""Packing: a released batch lies on the table, a number prints that many labels, F8 voids the last ones."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from lotwake.trace.actions import packing
from lotwake.trace.actions.labels import Printed, settle_print
from lotwake.trace.actions.pack import undo_ends
from lotwake.trace.actions.ship import case_up, close_case
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.ranges import Serials, counted, in_words
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.entries.lots import LOSS_KINDS
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.packing import PrintSeen, pending_prints, recent_prints
from lotwake.trace.records.stock import loose_packs
from lotwake.trace.screens.asking_page import STOP, Question
from lotwake.trace.screens.cases_made import CasesMade, label_closed
from lotwake.trace.screens.command import CHOOSE, MORE, REPEAT, REPRINT, VIEW, VOID, Command
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.label_said import done_word, made_result
from lotwake.trace.screens.label_view import PICTURE_OFFERS
from lotwake.trace.screens.pack_words import packs, unusual, unusual_weight
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import read_kg
from lotwake.trace.screens.table_page import MOST_PRINTS, TablePage
from lotwake.trace.screens.thing_page import UNDO

CASE = Command("case", "Case", "Put the loose packs of this run into full cases and label them; /case rest takes all.",
               takes="[rest]")  # fmt: skip
LOSS = Command("loss", "Loss", f"Name a loss of the batch in kilograms: {', '.join(LOSS_KINDS)}.", takes="KIND KG")
YES = Command("yes", "Yes", "The labels that were cut short did come out, all of them.")
NO = Command("no", "No", "The labels that were cut short did not come out; their packs wait for labels.")

_SPOILT = "label spoilt"
_MISTAKE = "voided by mistake"
_WHY_AGAIN = ("smeared", "torn", "does not scan", "lost")


class PackPage(TablePage):
    """The packing table."""

    NAME = "pack"
    TITLE = "PACK"
    PURPOSE = "Print pack labels for the batch on the table, and put its packs into cases."
    TAKES = (Kind.BATCH, Kind.RUN)
    OFFERS = (
        VIEW.here("Label", "Show the label before it is printed, as a picture, then in words; then the prints again."),
        REPRINT.here("Reprint", "Print the last labels once more and record why; /reprint 147-150 only these."),
        CHOOSE.here("Batch", "Put another batch or another product on the table."),
        VOID.here("Void last", "Void the last labels: they belong to no packs. /void 147-150 smeared voids others."),
        MORE.here("One more", "Print one label more."),
        REPEAT.here("Repeat", "Print as many labels again."),
        UNDO.here("Undo void", "The labels voided last are on packs after all; /undo 147-150 WHY says so of others."),
        CASE,
        LOSS,
        STOP,
        YES,
        NO,
        *PICTURE_OFFERS,
    )

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__(drafts)
        self._echoed = ("", 0)
        self._void: tuple[Thing, Sequence[Serials]] | None = None

    def labels_asked(self, count: int) -> None:
        """Print so many, after a second look at an unusual number."""
        if count < 1:
            raise CallError("0 labels are none.", "Type how many.")
        table = self.ready()
        if count > table.possible:
            packing.must_be_enough(table, count)
        why = unusual(count, self.last.count if self.last else 0)
        if why and self._echoed != (table.batch.code, count):
            self._echoed = (table.batch.code, count)
            self.say(Result.check(f"{count} labels? Type {count} again to print them.", why))
            return
        self._send(count)

    def weight_given(self, net_g: int) -> None:
        """A pack of this weight and its label, after a second look at an unusual one."""
        table = self.ready()
        assert table.product is not None
        packing.must_be_enough(table, 0, [net_g])
        why = unusual_weight(net_g, table.product.net_g)
        if why and self._echoed != (table.batch.code, net_g):
            self._echoed = (table.batch.code, net_g)
            self.say(Result.check(f"A pack of {show_mass(net_g)}? Type it again to print its label.", why))
            return
        self._send(1, [net_g])

    def _send(self, count: int, weights_g: Sequence[int] = ()) -> None:
        table, desk = self.ready(), self.desk
        assert table.product is not None
        packing.must_be_enough(table, count - len(weights_g), weights_g)
        self._echoed = ("", 0)
        work = partial(
            packing.pack_and_print, desk, table.batch.code, table.product.name, count, self.step_done, weights_g
        )
        self.begin(f"Printing {count} labels" if count > 1 else "Printing 1 label", work, self._printed)

    def _printed(self, printed: Printed) -> None:
        first = self.last is None
        self.last = printed
        self.look_again()
        many = f"{printed.count} labels" if printed.count > 1 else "1 label"
        many += f" of {', '.join(map(show_mass, printed.weights_g))}" if printed.weights_g else ""
        undo = "wrong? F8 voids them" if printed.count > 1 else "wrong? F8 voids it"
        then = "scan one back to check it" if first else printed.path.name
        self.say(made_result(f"{many} {done_word([printed])}  {_spoken(printed.packs)}", [printed], undo, then))

    def do_more(self, _rest: str) -> None:
        """One label more; voids of single labels are made good so."""
        self.drop_question()
        self._send(1)

    def do_repeat(self, _rest: str) -> None:
        """As many again; of weighed packs, one of the same weight."""
        self.drop_question()
        if self.last is None:
            raise CallError("There is no last number to repeat.", "Type how many labels.")
        self._send(self.last.count, self.last.weights_g)

    def do_void(self, rest: str) -> None:
        """Void the last labels, or those named in front of the reason."""
        self.drop_question()
        run, parts, reason = self._meant(rest)
        void = packing.void_packs(self.desk, run, parts, reason or _SPOILT)
        self._void = run, void
        self.look_again()
        count = counted(void)
        self.say(
            Result.good(
                f"{packs(count)} void  {in_words(void)}: {reason or _SPOILT}",
                f"Destroy the label{'s' if count > 1 else ''}. {count} + Enter prints as many new ones. Wrong? /undo",
            )
        )

    def do_undo(self, rest: str) -> None:
        """The labels that were voided last, or those named in front of the reason, belong to packs after all."""
        self.drop_question()
        if rest[:1].isdecimal():
            run, parts, reason = self._meant(rest)
        elif self._void is not None:
            (run, parts), reason = self._void, rest.strip()
        else:
            raise CallError("Nothing was voided here since the program began.", "Name the labels: /undo 147-150 why.")
        undo_ends(self.desk, run, parts, reason or _MISTAKE)
        self._void = None
        self.look_again()
        self.say(Result.good(f"{packs(counted(parts))} again  {in_words(parts)}", "Both entries stay. F8 voids."))

    def do_reprint(self, rest: str) -> None:
        """Print the last labels once more, or those named; the reason is asked when it is not given."""
        self.drop_question()
        run, parts, reason = self._meant(rest)
        parts = packing.not_void(self.desk, run, parts)
        if reason:
            self._again(run, parts, reason)
            return
        self.ask(Question(f"Why are {in_words(parts)} printed again?", _WHY_AGAIN, partial(self._again, run, parts)))

    def _again(self, run: Thing, parts: Sequence[Serials], reason: str) -> None:
        desk = self.desk

        def work() -> list[Printed]:
            return [packing.print_again(desk, run, part, reason) for part in parts]

        self.begin(f"Printing {in_words(parts)} again", work, self._printed_again)

    def _printed_again(self, printed: Sequence[Printed]) -> None:
        self.look_again()
        parts = [part for each in printed for part in each.packs]
        files = ", ".join(each.path.name for each in printed)
        done = done_word(printed).capitalize()
        self.say(made_result(f"{done} again  {in_words(parts)}", printed, "Destroy the first ones.", files))

    def _meant(self, rest: str) -> tuple[Thing, Sequence[Serials], str]:
        """Run, packs and reason of ``147-150 smeared``; without serials the last print's."""
        word, _, reason = rest.partition(" ")
        if word and word[0].isdecimal():
            run = self.ready().run_thing
            if run is None:
                raise CallError("No label was printed for this batch today.", "Print one first.")
            return run, [_serials(word)], reason.strip()
        if self.last is not None:
            return self.last.thing, self.last.packs, rest.strip()
        seen = self._last_seen()
        assert seen.packs is not None
        return seen.thing, [seen.packs], rest.strip()

    def _last_seen(self) -> PrintSeen:
        """The last print of this table's run, for a program that was started again."""
        run = self.ready().run_thing
        for seen in recent_prints(self.desk.records, MOST_PRINTS):
            if seen.thing == run and seen.state != "VOID":
                return seen
        raise CallError("No label was printed for this batch today.", "Print one first.")

    # Cases, losses, the label, another batch

    def do_case(self, rest: str) -> None:
        """Case up from here."""
        self.drop_question()
        run = self.ready().run_thing
        if run is None:
            raise CallError("There are no packs of this batch today.", "Print labels first.")
        desk, whole = self.desk, rest.strip().lower() == "rest"
        if self._no_full_case() and not whole:
            table = self.ready()
            assert table.product is not None
            raise CallError(
                f"{packs(table.loose)} are loose; a full case is {table.product.case_packs}.",
                "/case rest closes a case of what is there.",
            )

        def work() -> CasesMade:
            cases = [] if whole and self._no_full_case() else case_up(desk, run.code)
            if whole and (left := loose_packs(desk.records, run.id)):
                cases.append(close_case(desk, [f"{run.code}/{part.first}-{part.last}" for part in left]))
            return label_closed(desk, cases)

        self.begin("Casing up", work, self._cased)

    def _no_full_case(self) -> bool:
        table = self.ready()
        assert table.product is not None
        return table.loose < table.product.case_packs

    def _cased(self, made: CasesMade) -> None:
        self.look_again()
        self.say(made.result("wrong? /cases, scan it, /open"))

    def do_loss(self, rest: str) -> None:
        """Name a loss: ``/loss drying 1.2``."""
        self.drop_question()
        kind, _, weight = rest.strip().partition(" ")
        if kind not in LOSS_KINDS or not weight:
            raise CallError("A loss is a kind and a weight.", f"Like /loss drying 1.2   kinds: {', '.join(LOSS_KINDS)}")
        g = read_kg(weight)
        thing = packing.lose_at_table(self.desk, self.ready(), kind, g)
        self.look_again()
        self.say(Result.good(f"{show_mass(g)} {kind} named for {thing.kind} {thing.shown}.", "wrong? /batch shows it"))

    # Prints that were cut short

    def ask_what_came_out(self) -> None:
        if self.doing or self.desk.operator is None or not (pending := pending_prints(self.desk.records)):
            return
        seen = pending[0]
        what = f"labels {seen.packs} of run {seen.thing.shown}"
        if seen.packs is None:
            what = f"the label of {seen.thing.kind} {seen.thing.code}"
        asks = f"Did {what} come out? The print was cut short."
        self.ask(Question(asks, ("yes, all", "no, none"), partial(self._settle, seen), free=False))

    def do_yes(self, _rest: str) -> None:
        """They came out."""
        self._settle_first("yes")

    def do_no(self, _rest: str) -> None:
        """They did not."""
        self._settle_first("no")

    def _settle_first(self, answer: str) -> None:
        pending = pending_prints(self.desk.records)
        if not pending or self.doing:
            raise CallError("No print is unsettled.", "Type how many labels.")
        self.drop_question()
        self._settle(pending[0], answer)

    def _settle(self, seen: PrintSeen, answer: str) -> None:
        came = answer.startswith("yes")
        settle_print(self.desk, seen.id, came)
        self.look_again()
        what = f"Labels {seen.packs}" if seen.packs else f"The label of case {seen.thing.code}"
        wait = "The next print begins with these packs." if seen.packs else "Print it again from cases."
        self.say(Result.good(f"{what}: {'came out' if came else 'did not come out'}.", "" if came else wait))
        self.ask_what_came_out()


def _spoken(parts: Sequence[Serials]) -> str:
    """``0145 to 0168``."""
    said = [f"{part.first:04d}" if part.count == 1 else f"{part.first:04d} to {part.last:04d}" for part in parts]
    return ", ".join(said)


def _serials(word: str) -> Serials:
    first, _, last = word.partition("-")
    if not (first.isdecimal() and (last or first).isdecimal()):
        raise CallError(f"{word!r} is no range of serial numbers.", "Type it like 147 or 147-150.")
    return Serials(int(first), int(last or first))
