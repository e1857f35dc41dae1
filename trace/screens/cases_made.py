"""Cases that were closed, and what came of their labels: a case is closed also when its label does not come out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lotwake.labels.errors import LabelError
from lotwake.trace.actions import packing
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.labels import Printed
from lotwake.trace.base.errors import LotwakeError
from lotwake.trace.records.find import Thing
from lotwake.trace.screens.label_said import made_result
from lotwake.trace.screens.result import Result


@dataclass(frozen=True)
class CasesMade:
    """``refused`` is why they have no labels, None when they have."""

    cases: tuple[Thing, ...]
    printed: tuple[Printed, ...] = ()
    refused: LotwakeError | LabelError | None = None

    def result(self, undo: str) -> Result:
        """What happened, and how it is undone."""
        first, count = self.cases[0], len(self.cases)
        what = "1 case closed" if count == 1 else f"{count} cases closed"
        made = f"{what}  {first.code if count == 1 else f'{first.code} to ...{self.cases[-1].code[-5:]}'}"
        if self.refused is not None:
            return Result.check(f"{made}, no label: {self.refused.sentence}", f"{self.refused.hint}   {undo}".strip())
        files = ", ".join(dict.fromkeys(each.path.name for each in self.printed))
        return made_result(made, self.printed, undo, f"label in {files}")


def label_closed(desk: Desk, cases: Sequence[Thing]) -> CasesMade:
    """Print the labels of cases that were just closed."""
    try:
        return CasesMade(tuple(cases), tuple(packing.label_cases(desk, cases)))
    except (LotwakeError, LabelError) as refused:
        return CasesMade(tuple(cases), refused=refused)
