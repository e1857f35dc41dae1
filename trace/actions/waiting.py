"""Everything that waits to be done: what the record shows by itself, and what has to be judged first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import timedelta

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.instruments import instruments_of
from lotwake.trace.actions.judge import not_carried, verdict_of
from lotwake.trace.actions.recall_answers import last_drill
from lotwake.trace.actions.yields import out_of_line
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import instant_of, show_day
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.instruments import Standing
from lotwake.trace.process.steps import StepWord
from lotwake.trace.process.verdict import BatchVerdict
from lotwake.trace.recall.classes import next_drill_due
from lotwake.trace.records import waiting as known
from lotwake.trace.records.facts import BatchSeen, batches
from lotwake.trace.records.find import by_code
from lotwake.trace.records.waiting import Urgency, Waiting, in_order

DRILL_SAID_BEFORE = timedelta(days=30)
"""How long before its day the next drill is spoken of. Our own choice."""

_OPEN = (
    "SELECT b.id, b.product FROM batch b WHERE b.process IS NOT NULL AND NOT EXISTS (SELECT 1 FROM review v WHERE"
    " v.batch = b.id) AND NOT EXISTS (SELECT 1 FROM hold h WHERE h.work = b.id AND h.kind = 'REJECT') ORDER BY b.id"
)


def waiting(desk: Desk) -> list[Waiting]:
    """All that waits now, by urgency, then the longest first."""
    with desk.records.snapshot():
        plain = known.waiting(desk.records, desk.now)
        evidence = [*_judged(desk), *_in_doubt(desk), *_out_of_date(desk), *_yields(desk, plain)]
        return in_order([*plain, *evidence, *_drill(desk)])


def _drill(desk: Desk) -> Iterator[Waiting]:
    """A drill whose day comes near; a house that never held one has a year from its opening."""
    last = last_drill(desk)
    since = last or desk.day(instant_of(desk.records.value("SELECT MIN(at) FROM journal")))
    on = next_drill_due(since)
    if on - desk.today <= DRILL_SAID_BEFORE:
        ago = "none was held yet" if last is None else f"the last was {(desk.today - last).days} days ago"
        word = "A drill is overdue" if on < desk.today else "A drill is due soon"
        yield Waiting(
            Urgency.DRILL_DUE, "", f"{desk.today.isoformat()}T00:00:00Z", f"{word}: {ago}, due by {show_day(on)}"
        )


def _judged(desk: Desk) -> Iterator[Waiting]:
    """What stands open in batches whose record has not been reviewed yet."""
    rows = desk.records.rows(_OPEN)
    seen = batches(desk.records, [batch for batch, _ in rows])
    for batch, product in rows:
        try:
            yield from _open(desk, seen[batch], product)
        except CallError as error:
            # Readings that cannot be judged, such as two of one probe at one minute, must not hide all the rest.
            said = f"Batch {show_code(seen[batch].code)} cannot be judged: {str(error).rstrip('.')}"
            yield Waiting(Urgency.DEVIATION_OPEN, seen[batch].code, seen[batch].started, said)


def _open(desk: Desk, batch: BatchSeen, product: int | None) -> list[Waiting]:
    verdict = verdict_of(desk.records, batch.id, desk.now)
    found = [] if verdict is None else list(_deviations(desk, batch, verdict))
    if product is not None and batch.released is not None and batch.left_g > 0:
        found += _awaited(desk, batch, product, verdict)
    return found


_FAILED = (
    "SELECT c.at, c.found, e.id, e.name, (SELECT MAX(p.at) FROM calibration p WHERE p.equipment = c.equipment AND p.passed = 1"
    " AND p.at < c.at), (SELECT MIN(n.at) FROM calibration n WHERE n.equipment = c.equipment AND n.passed = 1 AND n.at > c.at)"
    " FROM calibration c JOIN equipment e ON e.id = c.equipment WHERE c.passed = 0 ORDER BY c.at, c.id"
)
_EARLIEST, _LATEST = "0", "9"
"""Stand for the beginning and the end of time among stored instants."""
_READ_THEN = (
    "SELECT DISTINCT b.id, b.code FROM reading r JOIN batch b ON b.id = r.batch WHERE r.equipment = ?"
    " AND r.at >= ? AND r.at < ?"
    " AND NOT EXISTS (SELECT 1 FROM review v WHERE v.batch = b.id AND v.at > ?)"
    " AND (b.process IS NULL OR EXISTS (SELECT 1 FROM review v WHERE v.batch = b.id))"
    " AND NOT EXISTS (SELECT 1 FROM hold h WHERE h.work = b.id AND h.kind = 'REJECT') ORDER BY b.id"
)


def _in_doubt(desk: Desk) -> Iterator[Waiting]:
    """Batches that were read with an instrument between its last good check and the next, when one in between failed.

    Those whose record is still to be reviewed come up as deviations; here are those that were reviewed before the check.
    """
    for at, found, ref, name, good, mended in desk.records.rows(_FAILED):
        span = good or _EARLIEST, mended or _LATEST
        for _, code in desk.records.rows(_READ_THEN, ref, *span, at):
            said = f"Batch {show_code(code)} was read with {name}, which failed its check: {found}. Look at it again"
            yield Waiting(Urgency.DEVIATION_OPEN, code, at, f"{said}, then /review or /hold it")


_DATED = (
    "SELECT b.id, b.code, b.started FROM batch b WHERE EXISTS (SELECT 1 FROM reading r WHERE r.batch = b.id AND r.equipment"
    " IS NOT NULL) AND NOT EXISTS (SELECT 1 FROM review v WHERE v.batch = b.id)"
    " AND NOT EXISTS (SELECT 1 FROM hold h WHERE h.work = b.id AND h.kind = 'REJECT') ORDER BY b.id"
)


def _out_of_date(desk: Desk) -> Iterator[Waiting]:
    """Batches not reviewed yet that were read with an instrument past its check, or never checked."""
    for batch, code, started in desk.records.rows(_DATED):
        for used in instruments_of(desk.records, batch):
            if used.trust.standing in (Standing.OUT_OF_DATE, Standing.NEVER_CHECKED):
                said = f"Batch {show_code(code)} was read with {used.name}, which {used.trust.why}"
                yield Waiting(Urgency.CALIBRATION_DUE, code, started, said)


def _yields(desk: Desk, plain: Iterable[Waiting]) -> Iterator[Waiting]:
    """Yields out of line of batches with fish left to pack."""
    for waits in plain:
        if waits.urgency in (Urgency.BATCH_RUNNING, Urgency.TO_PACK):
            batch = by_code(desk.records, waits.code)
            for item in out_of_line(desk.records, batch.id):
                said = f"Batch {batch.shown}: yield of {item.said}. Weigh again, or find out why, before packing"
                yield Waiting(Urgency.YIELD_ODD, batch.code, waits.since, said)


_ENDED = (StepWord.IN_WINDOW, StepWord.SHORT, StepWord.LONG)


def _deviations(desk: Desk, batch: BatchSeen, verdict: BatchVerdict) -> Iterator[Waiting]:
    """Limits that are not met, or lack evidence once every step is over, and that no release has named."""
    if batch.in_spite_of:
        return
    noted = {key for (key,) in desk.records.rows("SELECT limit_key FROM deviation WHERE batch = ?", batch.id)}
    over = all(timing.word in _ENDED for _, timing in verdict.timings)
    for item in verdict.holding_back:
        if item.verdict is Verdict.NOT_MET or batch.released is not None or over:
            next_act = "release it by name, or reject it" if item.limit.key in noted else "cause and corrective action"
            said = f"Batch {show_code(batch.code)}: {item.limit.says}: {item.verdict}, {item.found}. Open: {next_act}"
            yield Waiting(Urgency.DEVIATION_OPEN, batch.code, batch.started, said)


def _awaited(desk: Desk, batch: BatchSeen, product: int, verdict: BatchVerdict | None) -> Iterator[Waiting]:
    for claim in not_carried(desk, product, [batch.id], {batch.id: verdict}):
        said = f"{batch.product} waits: {claim.why.rstrip('.')}"
        yield Waiting(Urgency.RESULT_AWAITED, batch.code, batch.released or batch.started, said)
