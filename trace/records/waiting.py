"""What waits to be done, most urgent first, each as a sentence with the code of the thing it is about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from enum import IntEnum
from zoneinfo import ZoneInfo

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import day_of, instant_of, show_day
from lotwake.trace.base.units import show_mass
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Kind
from lotwake.trace.records.pack_mass import packed_g
from lotwake.trace.records.stock import INSTRUMENTS, LAST_STATE, MATERIAL, PENDING, WAITING, open_hold_above


class Urgency(IntEnum):
    """Why something waits, in the order a person should see it."""

    RECALL_OPEN = 0
    LABELS_UNSURE = 1
    HELD = 2
    DEVIATION_OPEN = 3
    FISH_ON_ICE = 4
    BATCH_RUNNING = 5
    CALIBRATION_DUE = 6
    RESULT_AWAITED = 7
    YIELD_ODD = 8
    TO_PACK = 9
    RUN_BEGUN = 10
    TO_CASE = 11
    TO_SEND = 12
    TO_REVIEW = 13
    DRILL_DUE = 14

    @property
    def word(self) -> str:
        """The kind in words: ``to review``."""
        return self.name.lower().replace("_", " ")


USUAL_REVIEW_DAYS = 7
"""Within how many days the records of a batch are usually read through (21 CFR 123.8, from memory)."""


@dataclass(frozen=True)
class Waiting:
    """One thing that waits: since when (stored instant), what to say about it, and the code that opens it.

    ``code`` is empty for an instrument, which has none.
    """

    urgency: Urgency
    code: str
    since: str
    sentence: str


def waiting(records: Records, now: datetime) -> list[Waiting]:
    """What waits at ``now`` (aware) as far as the record alone shows it, by urgency, then the longest first.

    What has to be judged first, deviations and awaited results, is added by ``actions.waiting``.
    """
    with records.snapshot():
        found = [
            *_recalls(records, now),
            *_unsure_labels(records),
            *_holds(records),
            *_fish(records, now),
            *_batches(records, now),
            *_begun_runs(records),
            *_calibrations(records, now),
            *_loose(records),
            *_cases(records),
            *_reviews(records, now),
        ]
    return in_order(found)


def in_order(found: Iterable[Waiting]) -> list[Waiting]:
    """By urgency, then the longest first."""
    return sorted(found, key=lambda item: (item.urgency, item.since, item.code))


def age(since: str, now: datetime) -> str:
    """How long ago, in words: ``40 min``, ``26 h``, ``5 days``."""
    minutes = max(0, int((now - instant_of(since)).total_seconds() // 60))
    if minutes < 60:
        return f"{minutes} min"
    hours = minutes // 60
    return f"{hours} h" if hours < 72 else f"{hours // 24} days"


def _recalls(records: Records, now: datetime) -> Iterator[Waiting]:
    """A recall or drill that is under way."""
    open_one = "SELECT 1 FROM recall x WHERE NOT EXISTS (SELECT 1 FROM recall_end e WHERE e.recall = x.id) LIMIT 1"
    if records.value(open_one) is None:
        return
    from lotwake.trace.records.recalls import open_case  # takes long to load, and most days no case is open

    if (case := open_case(records)) is not None:
        said = f"{case.kind.capitalize()} {case.shown}, {case.began_with}, begun {age(case.at, now)} ago, is under way"
        yield Waiting(Urgency.RECALL_OPEN, case.code, case.at, said)


def _unsure_labels(records: Records) -> Iterator[Waiting]:
    open_one = f"SELECT 1 FROM label_print p WHERE {LAST_STATE} IN (?, ?) LIMIT 1"
    if records.value(open_one, PENDING, WAITING) is None:
        return
    from lotwake.trace.records.packing import open_prints  # takes long to load, and most days no print is open

    for seen in open_prints(records):
        thing = seen.thing
        what = f"Labels {seen.packs} of run {thing.shown}"
        if seen.packs is None:
            what = f"The {'card' if thing.kind is Kind.BATCH else 'label'} of {thing.kind} {thing.shown}"
        many = seen.packs is not None
        waits = f"wait{'' if many else 's'} for the printer"
        sent = f"{'were' if many else 'was'} sent; nobody knows if {'they' if many else 'it'} came out"
        yield Waiting(Urgency.LABELS_UNSURE, thing.code, seen.at, f"{what} {waits if seen.state == WAITING else sent}")


def _holds(records: Records) -> Iterator[Waiting]:
    rows = records.rows(
        "SELECT COALESCE(l.code, b.code, r.code), h.reason, h.at FROM hold h LEFT JOIN lot l ON l.id = h.lot"
        " LEFT JOIN batch b ON b.id = h.work LEFT JOIN run r ON r.id = h.work WHERE h.kind = 'HOLD' AND NOT EXISTS"
        " (SELECT 1 FROM hold_release x WHERE x.hold = h.id)"
    )
    for code, reason, at in rows:
        yield Waiting(Urgency.HELD, code, at, f"{show_code(code)} is on hold: {reason}")


def _fish(records: Records, now: datetime) -> Iterator[Waiting]:
    rows = records.rows(
        "SELECT l.code, COALESCE(f.english, l.item), s.name, l.received, l.g - COALESCE((SELECT SUM(g) FROM lot_use"
        " WHERE lot = l.id), 0) - COALESCE((SELECT SUM(g) FROM loss WHERE lot = l.id), 0) AS left_g FROM lot l"
        " LEFT JOIN species f ON f.code = l.species LEFT JOIN source s ON s.id = l.source WHERE l.kind <> ?"
        " AND NOT EXISTS (SELECT 1 FROM hold h WHERE h.lot = l.id AND h.kind = 'REJECT')",
        MATERIAL,
    )
    for code, name, sender, received, left_g in rows:
        if left_g > 0:
            said = f"{show_mass(left_g)} {name} from {sender} in store for {age(received, now)}"
            yield Waiting(Urgency.FISH_ON_ICE, code, received, said)


def _batches(records: Records, now: datetime) -> Iterator[Waiting]:
    rows = records.rows(
        "SELECT b.id, b.code, b.smoking, b.started, (SELECT MIN(at) FROM batch_release r WHERE r.batch = b.id),"
        " (SELECT name FROM step WHERE batch = b.id AND ended IS NULL ORDER BY id DESC LIMIT 1),"
        " COALESCE((SELECT SUM(u.g) FROM lot_use u JOIN lot l ON l.id = u.lot WHERE u.work = b.id AND l.kind <> ?), 0)"
        " + COALESCE((SELECT SUM(g) FROM flow WHERE child = b.id), 0) - COALESCE((SELECT SUM(g) FROM flow"
        " WHERE parent = b.id), 0) - COALESCE((SELECT SUM(g) FROM loss WHERE work = b.id), 0) FROM batch b"
        " WHERE NOT EXISTS (SELECT 1 FROM hold h WHERE h.work = b.id AND h.kind = 'REJECT')",
        MATERIAL,
    )
    for ref, code, smoking, started, released, step, left_g in rows:
        if left_g <= 0:
            continue
        if released is None:
            doing = f"{step} now" if step else "not released yet"
            said = f"Batch {show_code(code)}, {smoking}, {show_mass(left_g)}: {doing}, begun {age(started, now)} ago"
            yield Waiting(Urgency.BATCH_RUNNING, code, started, said)
        elif open_hold_above(records, [ref]) is None:
            said = f"Batch {show_code(code)} is released: {show_mass(left_g)} to pack, or name what was lost"
            yield Waiting(Urgency.TO_PACK, code, released, said)


def _begun_runs(records: Records) -> Iterator[Waiting]:
    """Runs with fish in them that is in no pack, as after a void, and that nobody has named as lost."""
    rows = records.rows(
        "SELECT id, code, name, packed, in_g - lost_g - packs_g FROM (SELECT r.id, r.code, p.name, r.packed,"
        " COALESCE((SELECT SUM(g) FROM flow WHERE child = r.id), 0) AS in_g,"
        f" COALESCE((SELECT SUM(g) FROM loss WHERE work = r.id), 0) AS lost_g, {packed_g('r')} AS packs_g"
        " FROM run r JOIN product p ON p.id = r.product WHERE NOT EXISTS (SELECT 1 FROM hold h WHERE h.work = r.id"
        " AND h.kind = 'REJECT')) x WHERE in_g - lost_g - packs_g > 0"
    )
    for ref, code, product, packed, left_g in rows:
        if open_hold_above(records, [ref]) is None:
            said = f"Run {show_code(code)}, {product}: {show_mass(left_g)} in no pack yet, to pack or to name as lost"
            yield Waiting(Urgency.RUN_BEGUN, code, packed, said)


def _loose(records: Records) -> Iterator[Waiting]:
    rows = records.rows(
        "SELECT r.code, p.name, r.packed, COALESCE((SELECT SUM(last - first + 1) FROM pack_range WHERE run = r.id), 0)"
        " - COALESCE((SELECT SUM(last - first + 1) FROM pack_end WHERE run = r.id), 0)"
        " - COALESCE((SELECT SUM(last - first + 1) FROM content WHERE run = r.id AND until IS NULL), 0)"
        " - COALESCE((SELECT SUM(last - first + 1) FROM dispatch_packs WHERE run = r.id), 0)"
        " + COALESCE((SELECT SUM(last - first + 1) FROM return_packs WHERE run = r.id), 0) AS loose"
        " FROM run r JOIN product p ON p.id = r.product"
    )
    for code, product, packed, loose in rows:
        if loose > 0:
            yield Waiting(
                Urgency.TO_CASE, code, packed, f"{loose:,} packs of {product} ({show_code(code)}) are in no case"
            )


def _cases(records: Records) -> Iterator[Waiting]:
    row = records.one(
        "SELECT u.closed, u.sscc, COUNT(*) OVER () FROM unit u WHERE u.kind = 'case' AND EXISTS (SELECT 1 FROM content c"
        " WHERE c.unit = u.sscc AND c.until IS NULL) AND NOT EXISTS (SELECT 1 FROM dispatch_line d WHERE d.unit = u.sscc"
        " AND NOT EXISTS (SELECT 1 FROM return_line r WHERE r.unit = d.unit AND r.dispatch = d.dispatch))"
        " ORDER BY u.closed, u.sscc LIMIT 1"
    )
    if row is not None:
        closed, unit, count = row
        many = "1 case is in the house:" if count == 1 else f"{count:,} cases are in the house, the oldest"
        yield Waiting(Urgency.TO_SEND, f"{unit:018d}", closed, f"{many} {unit:018d}")


def _calibrations(records: Records, now: datetime) -> Iterator[Waiting]:
    """Instruments whose check is due, failed, or was never written down."""
    marks = ", ".join("?" * len(INSTRUMENTS))
    rows = records.rows(
        "SELECT e.name, c.at, c.due_on, c.passed, c.found, j.at FROM equipment e JOIN journal j ON j.seq = e.entry"
        " LEFT JOIN calibration c ON c.id = (SELECT id FROM calibration x WHERE x.equipment = e.id ORDER BY x.at DESC,"
        f" x.id DESC LIMIT 1) WHERE e.kind IN ({marks})",
        *INSTRUMENTS,
    )
    today = day_of(now, ZoneInfo(records.value("SELECT zone FROM site ORDER BY id LIMIT 1"))).isoformat()
    for name, checked, due_on, passed, found, known_since in rows:
        if checked is None:
            yield Waiting(Urgency.CALIBRATION_DUE, "", known_since, f"{name} has no calibration in the record")
        elif not passed:
            yield Waiting(Urgency.CALIBRATION_DUE, "", checked, f"{name} failed its check: {found}")
        elif due_on <= today:
            due = show_day(date.fromisoformat(due_on))
            said = f"{name} was to be checked by {due}, last checked {age(checked, now)} ago"
            yield Waiting(Urgency.CALIBRATION_DUE, "", f"{due_on}T00:00:00Z", said)


def _reviews(records: Records, now: datetime) -> Iterator[Waiting]:
    """Released batches under a scheduled process whose record nobody has read through."""
    rows = records.rows(
        "SELECT b.code, MIN(r.at) FROM batch b JOIN batch_release r ON r.batch = b.id WHERE b.process IS NOT NULL"
        " AND NOT EXISTS (SELECT 1 FROM review v WHERE v.batch = b.id) GROUP BY b.code"
    )
    for code, released in rows:
        said = f"The record of batch {show_code(code)} is not reviewed, released {age(released, now)} ago"
        late = (now - instant_of(released)).days >= USUAL_REVIEW_DAYS
        yield Waiting(Urgency.TO_REVIEW, code, released, said + (": a week is the usual limit" if late else ""))
