"""The verdict on the batch page: steps against plan, limits and claims, the core chart, and what is still missing."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from lotwake.trace.actions.batch_judged import BatchJudged, judged
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import CAUTION, Verdict
from lotwake.trace.screens import verdict_rows as said
from lotwake.trace.screens.step_words import STEP_COLUMNS, step_rows
from lotwake.trace.screens.text import content
from lotwake.trace.screens.widgets import Column, Ledger

_COLOURS = {Verdict.MET: "-good", Verdict.NOT_MET: "-stop", Verdict.NO_EVIDENCE: "-check"}
_TALL = 36
"""Rows of the window from which the chart finds room under the limits."""


class VerdictView(Vertical):
    """Limits or, where both find no room, the chart. Up and down mark a limit or claim, which is told in full."""

    DEFAULT_CSS = """
    VerdictView { height: 1fr; }
    VerdictView #verdict-word { height: 1; padding: 0 2; text-style: bold; }
    VerdictView #verdict-word.-good { background: $good; color: $good-text; }
    VerdictView #verdict-word.-check { background: $check; color: $check-text; }
    VerdictView #verdict-word.-stop { background: $stop; color: $stop-text; }
    VerdictView #verdict-lists { height: 1fr; }
    VerdictView #verdict-steps { width: 12fr; }
    VerdictView #verdict-findings { width: 9fr; }
    VerdictView #verdict-full { height: 3; padding: 0 2; }
    VerdictView #verdict-chart { height: 1fr; }
    VerdictView #verdict-core { height: 2; padding: 0 2; }
    VerdictView #verdict-missing { height: 2; padding: 0 2; text-style: bold; }
    VerdictView #verdict-caution { height: 1; padding: 0 2; color: $faint-text; }
    """

    def __init__(self) -> None:
        super().__init__(id="batch-verdict")
        self._desk: Desk | None = None
        self._judged: BatchJudged | None = None

    def compose(self) -> ComposeResult:
        """Verdict, lists, the marked line in full, chart, what is missing."""
        yield Static(id="verdict-word")
        with Horizontal(id="verdict-lists"):
            yield Ledger(
                *STEP_COLUMNS, empty="No step yet.", marks=False, id="verdict-steps",
            )  # fmt: skip
            yield Ledger(
                Column("limit", 11), Column("or claim", 20), Column("found", from_width=52), id="verdict-findings"
            )
        yield Static(id="verdict-full")
        yield Vertical(id="verdict-chart")
        yield Static(id="verdict-core")
        yield Static(id="verdict-missing")
        yield Static(content(CAUTION), id="verdict-caution")

    @property
    def has_room(self) -> bool:
        """Whether limits and chart are seen at once."""
        return self.app.size.height >= _TALL

    def show(self, desk: Desk, batch: int, chart: bool) -> None:
        """Judge the batch anew; ``chart`` shows the chart where there is no room for both."""
        self._desk = desk
        try:
            self._judged = judged(desk, batch)
        except CallError as wrong:
            self._cannot_judge(wrong)
            return
        self._arrange(chart)
        found = self._judged
        charted = bool(found.evidence.core or found.evidence.air) and (chart or self.has_room)
        self._word(said.verdict_line(found, charted), _COLOURS[found.verdict.word] if found.verdict else "-check")
        self.query_one("#verdict-steps", Ledger).show_rows(step_rows(found, desk.zone))
        self.query_one("#verdict-findings", Ledger).show_rows(said.finding_rows(found), keep_selected=True)
        self._tell()
        self._say("#verdict-core", said.core_words(found, desk.zone))
        self._say("#verdict-missing", said.missing_line(found))
        if self.query_one("#verdict-chart").display:
            self.call_later(self._draw, found, desk)

    def _arrange(self, chart: bool) -> None:
        for name in ("#verdict-lists", "#verdict-full"):
            self.query_one(name).display = self.has_room or not chart
        for name in ("#verdict-chart", "#verdict-core"):
            self.query_one(name).display = self.has_room or chart

    async def _draw(self, found: BatchJudged, desk: Desk) -> None:
        from lotwake.trace.screens.widgets.core_chart import CoreChart  # charts are loaded when one is seen

        place = self.query_one("#verdict-chart", Vertical)
        if not place.query(CoreChart):
            await place.mount(CoreChart())
        plan = found.verdict.plan if found.verdict else None
        drawn = place.query_one(CoreChart)
        drawn.display = bool(found.evidence.core or found.evidence.air)
        drawn.show(found.evidence, plan, desk.zone)

    def _cannot_judge(self, wrong: CallError) -> None:
        """Readings that contradict each other are told; the rest of the page goes on."""
        self._judged = None
        self._arrange(chart=False)
        self._word("NO EVIDENCE   the readings cannot be judged", "-check")
        for ledger in self.query(Ledger):
            ledger.show_rows([])
        self._say("#verdict-full", str(wrong))
        self._say("#verdict-core", "")
        self._say("#verdict-missing", "Still missing before packing: readings that can be judged.")

    def on_ledger_row_marked(self, event: Ledger.RowMarked) -> None:
        """Tell another line in full."""
        event.stop()
        self._tell()

    def _tell(self) -> None:
        row = self.query_one("#verdict-findings", Ledger).selected_row
        if self._judged is not None and self._desk is not None and row is not None:
            self._say("#verdict-full", said.told_in_full(self._judged, row.key, self._desk.zone))

    def _word(self, text: str, colour: str) -> None:
        word = self.query_one("#verdict-word", Static)
        word.set_classes([colour])
        word.update(content(text))

    def _say(self, name: str, text: str) -> None:
        self.query_one(name, Static).update(content(text))
