"""Codes that things had before they came into this record."""

from __future__ import annotations

from lotwake.trace.base.errors import Refused
from lotwake.trace.records.entries.rules import must_say
from lotwake.trace.records.journal import Entry


def keep_old_code(entry: Entry, text: str, kind: str, ref: int) -> None:
    """Let a thing be found by the code it had in an older book. Two things of one kind never share one."""
    code = must_say("The old code", text)
    if entry.records.value("SELECT 1 FROM alias WHERE text = ? AND kind = ?", code, kind):
        raise Refused(f"A {kind} {code} was brought in before.", "Leave it out, or give this one another code.")
    entry.add("alias", text=code, kind=kind, ref=ref)
