"""FAO major fishing areas, and the areas below them.

The codes are text: inland areas start with a zero that must survive. Only the major areas and a few often-used areas
below them are typed here; any other area below a major one is accepted by its form and called by the name of the
smallest area known around it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from lotwake.trace.base.codelists import CodeTable
from lotwake.trace.base.errors import NotFound

SOURCE = "FAO major fishing areas (CWP Handbook of Fishery Statistics)"


@dataclass(frozen=True)
class FaoArea:
    """A catch area. ``on_label`` is False for historic and left-over codes that name no place a buyer could know."""

    code: str
    name: str
    inland: bool = False
    on_label: bool = True

    @property
    def major_code(self) -> str:
        """The two digits of the major area."""
        return self.code[:2]


MAJOR_AREAS = (
    FaoArea("01", "Africa - Inland waters", inland=True),
    FaoArea("02", "America, North - Inland waters", inland=True),
    FaoArea("03", "America, South - Inland waters", inland=True),
    FaoArea("04", "Asia - Inland waters", inland=True),
    FaoArea("05", "Europe - Inland waters", inland=True),
    FaoArea("06", "Oceania - Inland waters", inland=True),
    FaoArea("07", "Former USSR area - Inland waters", inland=True, on_label=False),
    FaoArea("08", "Antarctica - Inland waters", inland=True),
    FaoArea("18", "Arctic Sea"),
    FaoArea("21", "Atlantic, Northwest"),
    FaoArea("27", "Atlantic, Northeast"),
    FaoArea("31", "Atlantic, Western Central"),
    FaoArea("34", "Atlantic, Eastern Central"),
    FaoArea("37", "Mediterranean and Black Sea"),
    FaoArea("41", "Atlantic, Southwest"),
    FaoArea("47", "Atlantic, Southeast"),
    FaoArea("48", "Atlantic, Antarctic"),
    FaoArea("51", "Indian Ocean, Western"),
    FaoArea("57", "Indian Ocean, Eastern"),
    FaoArea("58", "Indian Ocean, Antarctic"),
    FaoArea("61", "Pacific, Northwest"),
    FaoArea("67", "Pacific, Northeast"),
    FaoArea("71", "Pacific, Western Central"),
    FaoArea("77", "Pacific, Eastern Central"),
    FaoArea("81", "Pacific, Southwest"),
    FaoArea("87", "Pacific, Southeast"),
    FaoArea("88", "Pacific, Antarctic"),
    FaoArea("98", "Antarctic areas nei", on_label=False),
    FaoArea("99", "Marine areas outside the Antarctic", on_label=False),
)
NAMED_SMALLER_AREAS = (
    FaoArea("27.3.d", "Baltic"),
    FaoArea("27.4.b", "Central North Sea"),
    FaoArea("27.5.a", "Iceland"),
    FaoArea("27.6.a", "West of Scotland"),
    FaoArea("27.7.d", "Eastern English Channel"),
    FaoArea("37.1.1", "Balearic"),
    FaoArea("37.2.1", "Adriatic"),
    FaoArea("37.4.2", "Black Sea"),
)

_TABLE = CodeTable(
    "FAO area",
    MAJOR_AREAS + NAMED_SMALLER_AREAS,
    keys=lambda row: (row.code, row.name),
    show=lambda row: f"{row.code} {row.name}",
)
# Sub-area by number, then division, sub-division and unit by letter or number; the deepest in use is 27.3.d.28.2.
_SMALLER = re.compile(r"\d{2}\.[1-9]\d?(?:\.(?:[a-z]|[1-9]\d?)){0,3}", re.ASCII)
_LONGEST = 12  # GS1 AI 7005 holds 12 characters


def find_area(text: str) -> FaoArea:
    """The area of this code or name.

    A code below a major area is valid by its form ("27.8.c") and then carries the name of the smallest area known
    around it. NotFound otherwise, with near matches in the hint.
    """
    code = text.strip().lower()
    known = _TABLE.get(code)
    if known is not None:
        return known
    if _SMALLER.fullmatch(code) and len(code) <= _LONGEST and (around := _smallest_known_around(code)) is not None:
        return replace(around, code=code)
    if code.isdecimal() and len(code) == 1 and (inland := _TABLE.get(f"0{code}")) is not None:
        raise NotFound(f"No FAO area is known as {text!r}.", f"Inland areas have two digits: {inland.code}.")
    return _TABLE.find(text)


def _smallest_known_around(code: str) -> FaoArea | None:
    """The named area that encloses this code, sought from the smallest up."""
    parts = code.split(".")
    for length in range(len(parts) - 1, 0, -1):
        known = _TABLE.get(".".join(parts[:length]))
        if known is not None:
            return known
    return None
