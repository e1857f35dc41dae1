"""The packing table on the screen: a batch is put on it, a product is chosen, and what lies there is shown."""

from __future__ import annotations

import re
from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Input, Static

from lotwake.labels.gs1.scan import read_scan
from lotwake.trace.actions import packing
from lotwake.trace.actions.find import find
from lotwake.trace.actions.labels import Printed
from lotwake.trace.actions.packing import Table, lay_out
from lotwake.trace.base.errors import CallError, LotwakeError, NotFound, Refused
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.packing import recent_prints
from lotwake.trace.records.waiting import Urgency, waiting
from lotwake.trace.screens.asking_page import AskingPage, Done
from lotwake.trace.screens.capture import Scanned
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.label_view import LabelView
from lotwake.trace.screens.pack_words import case_line, packed_line, print_row, product_rows, table_lines
from lotwake.trace.screens.result import Result
from lotwake.trace.screens.said import read_kg
from lotwake.trace.screens.text import lines
from lotwake.trace.screens.widgets import Column, CountPanel, Ledger, Row

_DRAFT = "pack"
MOST_PRINTS = 200
_BATCHES, _PRODUCTS, _PRINTS, _LABEL = "batches", "products", "prints", "label"
_LONGEST_COUNT = 5
_WEIGHT = re.compile(r"\d+[.,]\d+|\d+(?:[.,]\d+)?\s*(?:g|kg|lb|oz)", re.IGNORECASE | re.ASCII)
"""A weight that is no count: with decimals, or with its unit."""


class TablePage(AskingPage):
    """What lies on the table. ``table`` None while nothing does; ``last`` what was printed last for it here."""

    DEFAULT_CSS = """
    TablePage #pack-top { height: 7; }
    TablePage CountPanel { width: 27; padding: 0 1; }
    TablePage #pack-table { width: 1fr; padding: 0 1; }
    """

    def __init__(self, drafts: DraftStore) -> None:
        super().__init__()
        self._drafts = drafts
        self.table: Table | None = None
        self.last: Printed | None = None
        self._shown = _BATCHES
        self._to_choose: Sequence[str] = ()
        self._restored = False

    @property
    def subject(self) -> Thing | None:
        """The run that is packed, else the batch on the table."""
        return None if self.table is None else self.table.run_thing or self.table.batch

    # What the packing page fills in

    def labels_asked(self, count: int) -> None:
        """A number was typed for what lies on the table."""

    def weight_given(self, net_g: int) -> None:
        """What the pack on the scale weighs was typed, where packs are weighed one by one."""

    def ask_what_came_out(self) -> None:
        """Ask about a print that was cut short."""

    def body(self) -> ComposeResult:
        """Count, table, and below them one of: batches, products, prints, the label."""
        with Horizontal(id="pack-top"):
            yield CountPanel("PRINT NEXT")
            yield Static(id="pack-table")
        yield Ledger(Column("", 2, right=True), Column("released, with fish left"), id="pack-batches",
                     empty="No released batch waits to be packed.")  # fmt: skip
        yield Ledger(Column("", 2, right=True), Column("product"), Column("GTIN", 14), id="pack-products")
        yield Ledger(Column("time", 12), Column("serials", 9), Column("labels", 6, right=True), Column("run", 15),
                     Column("state"), Column("by", 4), id="pack-prints", empty="No label was printed yet.")  # fmt: skip
        yield LabelView(id="pack-label")

    # The table

    def on_open(self) -> None:
        """Ask about a print that was cut short; else put on the table what was handed over, or what lay there before."""
        thing = self.handed()
        self._restore()
        self.show_table()
        self.ask_what_came_out()
        if self.question is None and thing is not None and thing.kind in (Kind.BATCH, Kind.RUN):
            self._put_on_table(thing.code)

    def _restore(self) -> None:
        draft = None if self._restored else self._drafts.get(_DRAFT)
        self._restored = True
        if draft is None:
            return
        try:
            self.table = lay_out(self.desk, draft.get("batch", ""), draft.get("product", ""))
        except LotwakeError as gone:  # it was held, or packed as something else, since
            self._drafts.drop(_DRAFT)
            self.say(Result.of_error(gone))

    def on_changed(self) -> None:
        """Somebody else packed or held something: show what is so now."""
        if not self.doing:
            self.look_again()

    def work_failed(self) -> None:
        """What was entered before it failed is shown."""
        self.look_again()

    def look_again(self) -> None:
        """Read the table anew."""
        if self.table is not None:
            product = self.table.product
            self.table = self._laid_out(self.table.batch.code, product.name if product else "")
        self.show_table()

    def _laid_out(self, code: str, product: str) -> Table:
        """The table with this batch; when it may not be packed, nothing is left there that a number could print for."""
        try:
            return lay_out(self.desk, code, product)
        except Refused:
            self.table, self.last = None, None
            self.show_table()
            raise

    def _put_on_table(self, code: str, product: str = "") -> None:
        table = self._laid_out(code, product)
        if self.table is None or table.batch != self.table.batch:
            self.last = None
        self.table, self._shown = table, _PRINTS
        self._drafts.put(_DRAFT, {"batch": table.batch.code, "product": table.product.name if table.product else ""})
        self.show_table()
        if table.product is not None and not table.possible:
            raise Refused(
                f"Batch {table.batch.shown} has no fish left for a pack: {show_mass(table.left_g)}.",
                "Its labels and cases can still be seen to; name what is left as a loss.",
            )

    def show_table(self) -> None:
        """Show the table, and below it what there is to choose or to see."""
        table = self.table
        if table is None:
            self._shown = _BATCHES
        elif table.product is None:
            self._shown = _PRODUCTS
        elif self._shown in (_BATCHES, _PRODUCTS):
            self._shown = _PRINTS
        for name in (_BATCHES, _PRODUCTS, _PRINTS, _LABEL):
            self.query_one(f"#pack-{name}").display = name == self._shown
        self.query_one("#pack-top").display = self._shown != _LABEL
        self._fill()
        self.query_one("#pack-table", Static).update(lines("ON THE TABLE", *table_lines(self.desk, table)))
        self._show_count("")
        if self.question is None and not self.doing:
            self.await_next()

    def _fill(self) -> None:
        """Fill the ledger that is shown."""
        if self._shown == _BATCHES:
            waits = [w for w in waiting(self.desk.records, self.desk.now) if w.urgency is Urgency.TO_PACK]
            found = [item for item in waits if packing.may_be_packed(self.desk, item.code)]
            self._to_choose = [item.code for item in found]
            rows = [Row(item.code, (str(n), item.sentence)) for n, item in enumerate(found, 1)]
        elif self._shown == _PRODUCTS and self.table is not None:
            self._to_choose = [product.name for product in self.table.products]
            rows = product_rows(self.table.products)
        else:
            rows = [print_row(self.desk, seen) for seen in recent_prints(self.desk.records, MOST_PRINTS)]
        shown = _PRINTS if self._shown == _LABEL else self._shown
        self.query_one(f"#pack-{shown}", Ledger).show_rows(rows, keep_selected=self._shown != _PRINTS)

    def _show_count(self, typed: str) -> None:
        number = typed or ("" if self.last is None else str((*self.last.weights_g, self.last.count)[0]))
        panel = self.query_one(CountPanel)
        panel.show(number, packed_line(self.table), case_line(self.table))

    def on_input_changed(self, event: Input.Changed) -> None:
        """The number stands large while it is typed."""
        typed = event.value.strip()
        self._show_count(typed if typed.isdecimal() and len(typed) <= _LONGEST_COUNT else "")

    def action_ledger(self, move: str, by: int) -> None:
        """The arrows scroll the label while it is shown."""
        if self._shown == _LABEL:
            self.query_one(LabelView).move(move, by)
        else:
            super().action_ledger(move, by)

    def await_next(self) -> None:
        """Say what comes next at this table."""
        if self._shown == _LABEL:
            words = self.query_one(LabelView).in_words
            self.now(f"number + Enter prints it; F4 {'the table' if words else 'in words; /closer; PgDn goes on'}")
        elif self.table is None:
            self.now("scan a batch card; or its number in the list + Enter; or up, down, Enter")
        elif self.table.product is None:
            self.now("which product? its number + Enter, or up, down, Enter, or scan one")
        elif self.table.weighed:
            self.now("weigh a pack: its grams + Enter print its label; or scan a batch card")
        elif self.last is None:
            self.now("number + Enter prints, or scan a batch card")
        else:
            self.now("number + Enter prints; scan a label to check it, or a batch card")

    # What is typed and scanned

    def number_given(self, number: int) -> None:
        """A choice while something is chosen, else so many labels."""
        if self._choosing:
            if not 1 <= number <= len(self._to_choose):
                raise CallError(f"There is no line {number} to choose.", "Type the number in front of it.")
            self._choose(self._to_choose[number - 1])
        elif self._weighed:
            self.weight_given(number)
        else:
            self.labels_asked(number)

    def text_given(self, text: str) -> None:
        """A weight with its unit, as a scale may type it, where packs are weighed; else a code."""
        if self._weighed and _WEIGHT.fullmatch(text.strip()):
            self.weight_given(read_kg(text))
        else:
            self._take(text)

    def on_scanned(self, scan: Scanned) -> None:
        """A batch card, a printed label to be checked, a product to be chosen."""
        self.drop_question()
        self._take(scan.text)

    def enter_given(self) -> Done:
        """Takes the marked line of a choice; prints nothing by itself."""
        if self._choosing:
            return super().enter_given()
        if self._weighed:
            raise CallError(
                "What does the pack weigh?", "Type its grams, then Enter. * prints for one of the same weight."
            )
        raise CallError("How many labels?", "Type the number, then Enter. * prints as many as last time.")

    def on_row(self, row: Row) -> None:
        """A line was chosen."""
        self._choose(row.key)

    @property
    def _weighed(self) -> bool:
        return self.table is not None and self.table.weighed

    @property
    def _choosing(self) -> bool:
        return self._shown in (_BATCHES, _PRODUCTS)

    def _choose(self, key: str) -> None:
        if self._shown == _BATCHES:
            self._put_on_table(key)
        elif self.table is not None:
            self._put_on_table(self.table.batch.code, key)

    def _take(self, text: str) -> None:
        scan = read_scan(text, stand_in=self.desk.settings.separator)
        if scan.value("10") is not None and self.table is not None:
            self._read_back(text)
            return
        gtin = scan.value("01")
        if gtin is not None and self.table is not None:
            self._choose_gtin(gtin)
            return
        found = find(self.desk.records, text, self.desk.settings.separator)
        if len(found) == 1 and found[0].kind in (Kind.BATCH, Kind.RUN):
            self._put_on_table(found[0].code)
        else:
            self.shell.look_up(text)

    def _choose_gtin(self, gtin: str) -> None:
        assert self.table is not None
        names = [product.name for product in self.table.products if product.gtin == gtin]
        if not names:
            fits = ", ".join(product.name for product in self.table.products)
            raise NotFound(f"GTIN {gtin} is no product this batch can be packed as.", f"It can be: {fits}.")
        self._put_on_table(self.table.batch.code, names[0])

    def _read_back(self, text: str) -> None:
        assert self.table is not None
        serial = packing.read_back(self.desk, self.table, text)
        self.say(Result.good(f"The label reads back: {serial}.", "It says what the table prints. Go on."))

    def ready(self) -> Table:
        """The table with a product on it.

        Raises:
            CallError: nothing lies on it, or the product is still to be chosen.
        """
        if self.table is None:
            raise CallError("Nothing lies on the table.", "Scan the card of a released batch first.")
        if self.table.product is None:
            raise CallError("What is packed?", "Choose the product first.")
        return self.table

    def do_view(self, _rest: str) -> None:
        """The label before it is printed, as a picture, then in words, then the prints again."""
        view = self.query_one(LabelView)
        if self._shown != _LABEL:
            view.show(packing.preview(self.desk, self.ready()))
            self._shown = _LABEL
        elif not view.in_words:
            view.turn(in_words=True)
        else:
            self._shown = _PRINTS
        self.show_table()

    def do_closer(self, _rest: str) -> None:
        """The picture of the label, larger."""
        if self._shown != _LABEL:
            self.do_view("")
        else:
            self.query_one(LabelView).closer()
            self.await_next()

    def do_blocks(self, _rest: str) -> None:
        """The picture of the label in other signs."""
        if self._shown != _LABEL:
            self.do_view("")
        self.say(Result.good(f"Drawn with {self.query_one(LabelView).other_blocks()}.", "/blocks takes the next ones"))

    def do_choose(self, _rest: str) -> None:
        """Another product of this batch if there are several, then another batch."""
        self.drop_question()
        table = self.table
        if table is not None and table.product is not None and len(table.products) > 1:
            self.table = Table(table.batch, table.facts, table.products, left_g=table.facts.left_g)
        else:
            self.table = None
            self._drafts.drop(_DRAFT)
        self.last = None
        self.show_table()
