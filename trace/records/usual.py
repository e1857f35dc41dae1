"""What usually comes in: who sent last, and what the last lot of a sender was, so that it need not be typed again."""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.records.database import Records
from lotwake.trace.records.stock import MATERIAL


@dataclass(frozen=True)
class Usual:
    """The last lot of a sender: codes of species, area and gear; what a material was; empty where nothing was said."""

    species: str
    presentation: str
    area: str
    gear: str
    item: str


def last_sender(records: Records, kind: str) -> tuple[str, str] | None:
    """Name and mark of who sent the last lot of this kind, or None when none came in yet."""
    table, column = ("supplier", "supplier") if kind == MATERIAL else ("source", "source")
    mark = "''" if kind == MATERIAL else "s.mark"
    row = records.one(
        f"SELECT s.name, {mark} FROM lot l JOIN {table} s ON s.id = l.{column} WHERE l.kind = ? ORDER BY l.id DESC LIMIT 1",
        kind,
    )
    return None if row is None else (row[0], row[1])


def usual_of(records: Records, kind: str, sender: int) -> Usual | None:
    """What the last lot of this kind from this sender (by its id) was, or None when there was none."""
    column = "supplier" if kind == MATERIAL else "source"
    row = records.one(
        "SELECT COALESCE(species, ''), presentation, COALESCE(area, ''), COALESCE(gear, ''), item FROM lot"
        f" WHERE kind = ? AND {column} = ? ORDER BY id DESC LIMIT 1",
        kind, sender,
    )  # fmt: skip
    return None if row is None else Usual(*row)
