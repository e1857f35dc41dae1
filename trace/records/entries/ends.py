"""An end of packs that was a mistake is taken back: they are packs in the house again, and both entries stay readable.

The end has no last serial any more, so it covers no packs; ``correction`` and the journal keep the one it had.
"""

from __future__ import annotations

from typing import NamedTuple

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.ranges import Serials, common, in_words, without
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.people import must_lead
from lotwake.trace.records.entries.rules import must_be_serials, must_say
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.pack_mass import packs_g
from lotwake.trace.records.stock import VOID, batch_left_g, run_left_g

LEADS_ACT = "undo what somebody else entered"


class _End(NamedTuple):
    first: int
    entry: int
    last: int
    kind: str
    batch: int | None
    reason: str
    at: str

    @property
    def packs(self) -> Serials:
        return Serials(self.first, self.last)


def undo_ends(entry: Entry, run: int, packs: Serials, why: str) -> list[str]:
    """Packs that were VOID, DESTROYED, a SAMPLE, LOST or taken for REWORK are loose in the house again; as what they had
    ended is given back, each word once. Of packs that ended together some can be taken back; the others stay as they are.

    Refused where they did not end, where their fish has moved on since, and, for what another person entered, unless a lead
    does it.
    """
    must_be_serials(packs)
    reason = must_say("Why it is undone", why)
    ends = _ends(entry, run, packs)
    code = show_code(entry.records.value("SELECT code FROM run WHERE id = ?", run))
    missing = without([packs], [end.packs for end in ends])
    if missing:
        raise Refused(
            f"Packs {in_words(missing)} of run {code} did not end, so nothing is undone.",
            "Check the serial numbers on the packs.",
        )
    if ended_by_others(entry.records, run, packs, entry.who):
        must_lead(entry, LEADS_ACT)
    for end in ends:
        _undo(entry, run, end, packs, reason)
    _must_fit(entry, run, code, [end for end in ends if end.kind == VOID])
    return list(dict.fromkeys(end.kind for end in ends))


def ended_by_others(records: Records, run: int, packs: Serials, who: int) -> bool:
    """Whether somebody else than this operator entered the end of any of these packs."""
    other = records.value(
        "SELECT 1 FROM pack_end e JOIN journal j ON j.seq = e.entry WHERE e.run = ? AND e.first <= ? AND e.last >= ?"
        " AND j.who <> ? LIMIT 1",
        run, packs.last, packs.first, who,
    )  # fmt: skip
    return other is not None


def _ends(entry: Entry, run: int, packs: Serials) -> list[_End]:
    rows = entry.records.rows(
        "SELECT first, entry, last, kind, batch, reason, at FROM pack_end WHERE run = ? AND first <= ? AND last >= ?"
        " ORDER BY first",
        run, packs.last, packs.first,
    )  # fmt: skip
    return [_End(*row) for row in rows]


def _undo(entry: Entry, run: int, end: _End, packs: Serials, why: str) -> None:
    """The end covers nothing now; those of it that really ended are written down once more, as they were."""
    key = {"run": run, "first": end.first, "entry": end.entry}
    _correct(entry, "pack_end", key, "last", None, why)
    for rest in without([end.packs], [packs]):
        entry.add(
            "pack_end", run=run, first=rest.first, last=rest.last, kind=end.kind, batch=end.batch, reason=end.reason,
            at=end.at,
        )  # fmt: skip
    if end.batch is not None:
        _take_out(entry, run, end.batch, packs_g(entry.records, run, common([end.packs], [packs])), why)


def _take_out(entry: Entry, run: int, batch: int, g: int, why: str) -> None:
    """The grams of a rework go out of the batch again, if it still has them."""
    left_g = batch_left_g(entry.records, batch)
    if g > left_g:
        code = show_code(entry.records.value("SELECT code FROM batch WHERE id = ?", batch))
        raise Refused(
            f"Batch {code} has {show_mass(left_g)} left of what went in; the {show_mass(g)} of these packs moved on in it.",
            "Correct what was taken out of that batch first.",
        )
    for seq, was_g in entry.records.rows(
        "SELECT entry, g FROM flow WHERE parent = ? AND child = ? AND g > 0 ORDER BY entry DESC", run, batch
    ):
        out_g = min(g, was_g)
        if out_g:
            _correct(entry, "flow", {"parent": run, "child": batch, "entry": seq}, "g", was_g - out_g, why)
        g -= out_g


def _must_fit(entry: Entry, run: int, code: str, void: list[_End]) -> None:
    """The fish of a void pack was free to be used again; it is a pack again only if nobody did."""
    left_g = run_left_g(entry.records, run) if void else 0
    if left_g < 0:
        raise Refused(
            f"The fish of these packs was used again: run {code} is {show_mass(-left_g)} short of it.",
            "Void as many of the packs that were made instead, or put more of the batch into the run.",
        )


def _correct(entry: Entry, table: str, key: dict[str, int], field: str, now: int | None, why: str) -> None:
    was = entry.change(table, key, field, now)
    entry.corrects = key["entry"]
    entry.add(
        "correction", subject=table, ref="/".join(map(str, key.values())), field=field, was=str(was),
        now=None if now is None else str(now), why=why, at=entry.happened,
    )  # fmt: skip
