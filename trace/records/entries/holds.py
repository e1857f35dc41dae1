"""Holds, rejections and releases on lots, batches and runs."""

from __future__ import annotations

from datetime import datetime

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.records.entries.people import must_lead
from lotwake.trace.records.entries.rules import must_follow, must_say, one_of
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import HOLD, REJECT


def put_on_hold(entry: Entry, kind: str, lot: int | None, work: int | None, reason: str, at: datetime) -> int:
    """Hold or reject one lot, batch or run; everything made from it is held with it. The hold's id is given back."""
    one_of("The kind of hold", kind, (HOLD, REJECT))
    if kind == REJECT:
        must_lead(entry, "reject")
    code, began = entry.records.one(
        "SELECT code, received FROM lot WHERE id = ?" if work is None else
        "SELECT COALESCE(b.code, r.code), COALESCE(b.started, r.packed) FROM work w LEFT JOIN batch b ON b.id = w.id"
        " LEFT JOIN run r ON r.id = w.id WHERE w.id = ?",
        lot if work is None else work,
    ) or ("", "")  # fmt: skip
    must_follow(entry, "The hold", instant_text(at), f"the start of {show_code(code)}", began)
    return entry.add("hold", lot=lot, work=work, kind=kind, reason=must_say("The reason", reason), at=instant_text(at))


def release_holds(
    entry: Entry, code: str, lot: int | None, work: int | None, by_name: str, reason: str, at: datetime
) -> int:
    """Release every open hold on one lot, batch or run, by name and with a reason; their number is given back.

    A rejection is final.
    """
    must_lead(entry, "release from hold")
    name, why = must_say("The name of who releases", by_name), must_say("The reason", reason)
    rows = entry.records.rows(
        "SELECT h.id, h.kind, h.at FROM hold h WHERE (h.lot = ? OR h.work = ?)"
        " AND NOT EXISTS (SELECT 1 FROM hold_release r WHERE r.hold = h.id)",
        lot, work,
    )  # fmt: skip
    if not rows:
        raise Refused(f"{show_code(code)} is not on hold itself.", "A hold is released where it was put.")
    for hold, kind, since in rows:
        if kind == REJECT:
            raise Refused(f"{show_code(code)} was rejected; that is final.", "Name its grams as waste.")
        must_follow(entry, "The release", instant_text(at), "the hold", since)
        entry.add("hold_release", hold=hold, by_name=name, reason=why, at=instant_text(at))
    return len(rows)
