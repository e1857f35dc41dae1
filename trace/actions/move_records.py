"""Copy the record of a house to a server, or from there into a folder, and prove that all of it arrived."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lotwake.trace.actions.desk import Desk, new_records
from lotwake.trace.base.errors import NeedsAttention
from lotwake.trace.base.places import places_at
from lotwake.trace.base.settings import SERVER, without_password
from lotwake.trace.records.journal import Head
from lotwake.trace.records.moving import copy_rows
from lotwake.trace.records.verify import Verdict, verify


@dataclass(frozen=True)
class Moved:
    """Where the copy is, where its journal ends, and what a walk through it found. ``on_server`` says what ``to`` is."""

    to: str
    on_server: bool
    head: Head
    verdict: Verdict


def move_records(desk: Desk, to: str) -> Moved:
    """Copy the record to the address of a server with an empty database, or into a folder without a record.

    The record that is open stays as it is. Refused when there is a record already; NeedsAttention when what arrived is
    not whole, or ends elsewhere.
    """
    on_server = to.startswith(SERVER)
    at = to if on_server else places_at(Path(to)).records
    copy = new_records(at)
    try:
        end = copy_rows(desk.records, copy)
        verdict = verify(copy)
    except BaseException:
        copy.close()
        if isinstance(at, Path):
            at.unlink()
        raise
    copy.close()
    if verdict.last_hash != end.hash:
        raise NeedsAttention("The copy does not end where the record does.", "Do not work in it.")
    return Moved(without_password(to) if on_server else str(at), on_server, end, verdict)
