"""Scanner: learn its habits from three test codes, name what is wrong with it, print the sheet of cards."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from textual.app import ComposeResult
from textual.widgets import Input

from lotwake.trace.actions.cards import Card, operator_cards, print_cards
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.places import place_cards
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.command import CARD_MARK, CHOOSE, PAPER, Command
from lotwake.trace.screens.house_page import HousePage
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.scanner import ScanBroke
from lotwake.trace.screens.scanner_check import (
    IDENTIFIER_LENGTH,
    TEST_CODES,
    Arrived,
    Finding,
    arrived_as_line,
    habits,
    judged,
)
from lotwake.trace.screens.widgets import Column, Ledger, LineInput, Row

QUANTITIES = (1, 2, 5, 6, 10, 12, 20, 24, 48, 100)
_NO_CARD = ("as",)  # it needs initials: an operator card is that command
_NO_END_AFTER_S = 1.0
_SET_END = "Set the scanner to send Enter behind the code; empty the line and scan it again."


def sheet_cards(desk: Desk, commands: Sequence[Command]) -> list[Card]:
    """Every card of the sheet."""
    tests = [Card(test.title, test.elements[0][1], "at the scanner check.", test.elements[1:]) for test in TEST_CODES]
    asked = [
        Card(command.label.upper(), command.card, command.help) for command in commands if command.name not in _NO_CARD
    ]
    counts = [Card(str(number), f"{CARD_MARK}{number}", "the quantity.") for number in QUANTITIES]
    return [*tests, *operator_cards(desk), *place_cards(desk), *asked, *counts]


class ScannerPage(HousePage):
    """Three scans."""

    NAME = "scanner"
    TITLE = "SCANNER"
    PURPOSE = "Check the scanner with three test codes, and print the sheet of test, person and command cards."
    OFFERS = (
        CHOOSE.here("Again", "Begin the check of the scanner again."),
        PAPER.here("Sheet", "Print the sheet of cards to scan into a file; /paper FILE names it."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._found: list[tuple[Arrived, Finding]] = []
        self._learned: list[str] = []

    def body(self) -> ComposeResult:
        """What was asked and what came."""
        yield Ledger(Column("test", 20), Column("what came"), marks=False)

    def on_open(self) -> None:
        """Where the check stands."""
        self._show()

    def _show(self) -> None:
        rows = [
            Row(test.title, (test.title, self._came(at) if at < len(self._found) else "-"))
            for at, test in enumerate(TEST_CODES)
        ]
        rows += [Row(f"habit-{at}", ("learned", said)) for at, said in enumerate(self._learned)]
        self.query_one(Ledger).show_rows(rows)
        if len(self._found) < len(TEST_CODES):
            self.now(f"scan {TEST_CODES[len(self._found)].title.replace('  ', ': ')} of the sheet (F7 prints it)")
        else:
            self.now("the check is done; F6 begins again")

    def _came(self, at: int) -> str:
        came, finding = self._found[at]
        return f"as printed, identifier {came.identifier or 'none'}{'' if not finding.stand_in else ', GS changed'}"

    # What comes

    def on_scanned(self, scan: Scanned) -> None:
        """With an identifier, or fast."""
        gap_ms = 1000 * (scan.last_s - scan.first_s) / max(1, len(scan.text)) if scan.how != "paste" else None
        self._take(Arrived(scan.symbology, scan.data, scan.end, gap_ms))

    def on_line(self, text: str) -> None:
        """Without one it arrives as if it had been typed."""
        if len(self._found) < len(TEST_CODES):
            self._take(arrived_as_line(text, TEST_CODES[len(self._found)]))
        else:
            super().on_line(text)

    def on_scan_broke(self, event: ScanBroke) -> None:
        """An end mark that does not come is the usual reason."""
        whole = len(event.broken.text) >= IDENTIFIER_LENGTH + len(self._awaited_data())
        if whole and "end mark" in event.broken.reason:
            event.prevent_default()  # every page would say it in its own way
            self.say(Result.check("The code came whole, but no end mark behind it.", _SET_END))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Text that stands in the line and is not ended."""
        if len(event.value) >= len(self._awaited_data()) > 0:
            self.set_timer(_NO_END_AFTER_S, self._look_for_end)

    def _look_for_end(self) -> None:
        if len(self.query_one(LineInput).value) >= len(self._awaited_data()) > 0:
            self.say(Result.check("Signs came, but no end mark behind them.", _SET_END))

    def _awaited_data(self) -> str:
        return TEST_CODES[len(self._found)].data if len(self._found) < len(TEST_CODES) else ""

    def _take(self, came: Arrived) -> None:
        if len(self._found) == len(TEST_CODES):
            self.say(Result.check("The check is done.", "F6 begins it again."))
            return
        finding = judged(TEST_CODES[len(self._found)], came)
        if finding.fault:
            self.say(Result.check(finding.fault, finding.remedy))
            return
        self._found.append((came, finding))
        done = len(self._found) == len(TEST_CODES)
        self._learned = habits(self._found) if done else []
        self._show()
        if done:
            self.say(Result.good("The scanner is read.", "Its habits stand below."))
        else:
            self.say(Result.good(f"{TEST_CODES[len(self._found) - 1].title} came as printed.", "Go on with the next."))

    # What is asked

    def do_choose(self, _rest: str) -> None:
        """From the beginning."""
        self._found, self._learned = [], []
        self._show()

    def do_paper(self, rest: str) -> None:
        """The sheet, as a file."""
        folder = self.desk.places.printed
        out = folder / (rest.strip() or "cards.pdf")
        desk, cards = self.desk, sheet_cards(self.desk, self.house.all_commands())
        self.now("the sheet is being made ...")

        def work() -> None:
            folder.mkdir(parents=True, exist_ok=True)
            print_cards(desk, cards, out)

        self.in_background(work, lambda _none: self._made(len(cards), out))

    def _made(self, count: int, out: Path) -> None:
        self._show()
        self.say(Result.good(f"{count} cards are in {out}.", "Print it at 100 %, without fitting to the page."))
