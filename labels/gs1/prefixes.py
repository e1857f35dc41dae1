"""What the first digits of a GS1 key say about where it may be used.

Ranges from the open list MOprefixStrings.json of GS1's interpretGS1scan (Apache-2.0), only those a small smokehouse
meets: the ones set aside for a purpose, and the issuing offices of the places in the trade facts of this project.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.keys import gtin14


class Scope(Enum):
    """How far a number with this prefix may travel."""

    WORLD = "world"
    REGION = "region"
    COMPANY = "company"
    DEMONSTRATION = "demonstration"
    OTHER_GOODS = "other goods"


@dataclass(frozen=True)
class PrefixRange:
    """Three-digit prefixes ``first`` to ``last`` and what they are for."""

    first: int
    last: int
    meaning: str
    scope: Scope


RANGES = (
    PrefixRange(20, 29, "restricted circulation within a region", Scope.REGION),
    PrefixRange(40, 49, "restricted circulation within a company", Scope.COMPANY),
    PrefixRange(200, 299, "restricted circulation within a region", Scope.REGION),
    PrefixRange(480, 480, "GS1 Philippines", Scope.WORLD),
    PrefixRange(500, 509, "GS1 UK", Scope.WORLD),
    PrefixRange(603, 603, "GS1 Ghana", Scope.WORLD),
    PrefixRange(615, 615, "GS1 Nigeria", Scope.WORLD),
    PrefixRange(620, 620, "GS1 Tanzania", Scope.WORLD),
    PrefixRange(700, 709, "GS1 Norway", Scope.WORLD),
    PrefixRange(890, 890, "GS1 India", Scope.WORLD),
    PrefixRange(899, 899, "GS1 Indonesia", Scope.WORLD),
    PrefixRange(952, 952, "demonstrations and examples of the GS1 system", Scope.DEMONSTRATION),
    PrefixRange(960, 969, "Global Office, GTIN-8", Scope.WORLD),
    PrefixRange(977, 977, "serial publications (ISSN)", Scope.OTHER_GOODS),
    PrefixRange(978, 979, "books (ISBN)", Scope.OTHER_GOODS),
    PrefixRange(981, 984, "coupons", Scope.OTHER_GOODS),
    PrefixRange(990, 999, "coupons", Scope.OTHER_GOODS),
)


def prefix_range(prefix: str) -> PrefixRange | None:
    """Return the range that three prefix digits fall in, or None when this short list does not name it."""
    if len(prefix) != 3 or not prefix.isascii() or not prefix.isdigit():
        raise WrongData(f"A GS1 prefix here is three digits, not {prefix!r}.")
    return next((entry for entry in RANGES if entry.first <= int(prefix) <= entry.last), None)


def gtin_scope(gtin: str) -> PrefixRange | None:
    """Return the range of a GTIN's prefix: the three digits behind the indicator of its 14-digit form."""
    return prefix_range(gtin14(gtin)[1:4])
