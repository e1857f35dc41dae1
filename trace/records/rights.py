"""What an operator may do, as the record says it now."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.records.database import Records

LINE, LEAD, READER = "line", "lead", "reader"
ROLES = (LINE, LEAD, READER)
"""``line`` writes what happens; ``lead`` also releases, rejects, corrects and sets up people; ``reader`` only looks."""


@dataclass(frozen=True)
class Rights:
    """``role`` is one of ROLES; ``pin`` is what is kept of the PIN, or None without one."""

    initials: str
    role: str
    pin: str | None


def rights_of(records: Records, operator: int) -> Rights | None:
    """The rights of the operator with this id; None before the first one of a house is written down.

    Whoever was known before there were roles is a lead.
    """
    row = records.one("SELECT initials, COALESCE(role, ?), pin FROM operator WHERE id = ?", LEAD, operator)
    return None if row is None else Rights(*row)


def leads(records: Records) -> int:
    """How many leads the house has."""
    return int(records.value("SELECT COUNT(*) FROM operator WHERE COALESCE(role, ?) = ?", LEAD, LEAD))
