"""The labels of a run held against its packs."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.base.ranges import Serials, common, counted, merged, without
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.packs import FIRST, REPRINT
from lotwake.trace.records.stock import LAST_STATE, PENDING, PRINTED, WAITING, packs_at_home, run_packs


def unlabelled(records: Records, run: int) -> list[Serials]:
    """The packs of a run that are in the house and have no first label, nor one that is under way."""
    return without(packs_at_home(records, run), _labels(records, run, FIRST, PENDING, WAITING, PRINTED))


@dataclass(frozen=True)
class LabelBalance:
    """The labels of a run held against its packs; all are counts of packs or labels.

    ``made`` packs with the ``void`` among them; ``first`` first labels that came out; ``waiting`` and ``unsure`` first labels
    that are under way or of which nobody knows; ``reprints`` labels that came out once more; ``wasted`` labels spoiled
    without a pack; ``unlabelled`` packs, not void, that have no first label at all.
    """

    made: int
    void: int
    first: int
    waiting: int
    unsure: int
    twice: int
    reprints: int
    wasted: int
    unlabelled: int

    @property
    def packs(self) -> int:
        """Packs that were made and not voided."""
        return self.made - self.void

    @property
    def used(self) -> int:
        """Labels that the record knows to have come out or been spoiled."""
        return self.first + self.reprints + self.wasted

    @property
    def agrees(self) -> bool:
        """Whether every pack has one first label that came out."""
        return not (self.unlabelled or self.waiting or self.unsure or self.twice)


def label_balance(records: Records, run: int) -> LabelBalance:
    """Hold the labels of a run against its packs."""
    made = [Serials(*row) for row in records.rows("SELECT first, last FROM pack_range WHERE run = ?", run)]
    packs = run_packs(records, run)
    came_out = _labels(records, run, FIRST, PRINTED)
    unsure = without(_labels(records, run, FIRST, PENDING), came_out)
    waiting = without(_labels(records, run, FIRST, WAITING), [*came_out, *unsure])
    wasted = records.value("SELECT COALESCE(SUM(count), 0) FROM label_waste WHERE run = ?", run)
    return LabelBalance(
        made=counted(made),
        void=counted(made) - counted(packs),
        first=counted(came_out),
        waiting=counted(common(waiting, packs)),
        unsure=counted(common(unsure, packs)),
        twice=counted(came_out) - counted(merged(came_out)),
        reprints=counted(_labels(records, run, REPRINT, PRINTED)),
        wasted=int(wasted),
        unlabelled=counted(without(packs, [*came_out, *unsure, *waiting])),
    )


def _labels(records: Records, run: int, kind: str, *states: str) -> list[Serials]:
    """The serials of every print of this kind that stands in one of these states, print by print."""
    rows = records.rows(
        f"SELECT p.first, p.last, {LAST_STATE} FROM label_print p WHERE p.run = ? AND p.kind = ?", run, kind
    )
    return [Serials(first, last) for first, last, state in rows if state in states]
