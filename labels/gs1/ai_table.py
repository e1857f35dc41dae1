"""The application identifiers (AIs) of fish packs, cases and logistic units, as data.

Formats, pairings and the predefined-length list are those of the GS1 Barcode Syntax Dictionary (Apache-2.0), written
in its notation: ``N`` digits, ``X`` characters of set 82, ``..`` up to, ``[ ]`` optional, then the rules for the part.
From memory, and not needed for packs: the pairings of 235, 254, 255, 390n, 392n, 415, 8006, 8020 and 8026.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType

# Element strings that begin so have a length every reader knows; all others are ended by FNC1 unless they stand last.
PREDEFINED_LENGTHS = MappingProxyType(
    {
        "00": 20,
        **dict.fromkeys(("01", "02", "03"), 16),
        "04": 18,
        **{str(prefix): 8 for prefix in range(11, 20)},
        "20": 4,
        **{str(prefix): 10 for prefix in range(31, 37)},
        "41": 16,
    }
)

_TRADE = "01 02 03"
_ITEM = "01 02 03 8006 8026"
_MEASURED = "30 31nn 32nn 35nn 36nn"

# AI or range of AIs | title | format | needs: one of each group, groups parted by "/", "+" for together | not with
_ROWS = (
    ("00", "SSCC", "N18,csum", "", ""),
    ("01", "GTIN", "N14,csum", "", "255 37"),
    ("02", "CONTENT", "N14,csum", "37", "01 03"),
    ("03", "MTO GTIN", "N14,csum", "", "01 02 37 235"),
    ("10", "BATCH/LOT", "X..20", _ITEM, ""),
    ("11", "PROD DATE", "N6,yymmd0", _ITEM, ""),
    ("12", "DUE DATE", "N6,yymmd0", "8020", ""),
    ("13", "PACK DATE", "N6,yymmd0", _ITEM, ""),
    ("15", "BEST BEFORE or BEST BY", "N6,yymmd0", _ITEM, ""),
    ("16", "SELL BY", "N6,yymmd0", _ITEM, ""),
    ("17", "USE BY or EXPIRY", "N6,yymmd0", f"{_ITEM} 255", ""),
    ("20", "VARIANT", "N2", _ITEM, ""),
    ("21", "SERIAL", "X..20", "01 03 8006", "235"),
    ("22", "CPV", "X..20", "01", ""),
    ("235", "TPX", "X..28", "01", ""),
    ("254", "GLN EXTENSION COMPONENT", "X..20", "414", ""),
    ("255", "GCN", "N13,csum [N..12]", "", "01 02 415 8006 8020 8026"),
    ("30", "VAR. COUNT", "N..8", "01 02", ""),
    ("3100-3105", "NET WEIGHT (kg)", "N6", "01 02", "310n"),
    ("3200-3205", "NET WEIGHT (lb)", "N6", "01 02", "320n"),
    ("3300-3305", "GROSS WEIGHT (kg)", "N6", "00 01", "330n"),
    ("37", "COUNT", "N..8", "00+02 00+8026", ""),
    ("3900-3909", "AMOUNT", "N..15", "255 8020", "390n"),
    ("3920-3929", "PRICE", "N..15", f"01 02 / {_MEASURED}", "392n"),
    ("400", "ORDER NUMBER", "X..30", "", ""),
    ("401", "GINC", "X..30", "", ""),
    ("402", "GSIN", "N17,csum", "", ""),
    ("403", "ROUTE", "X..30", "00", ""),
    ("410", "SHIP TO LOC", "N13,csum", "", ""),
    ("411", "BILL TO", "N13,csum", "", ""),
    ("412", "PURCHASE FROM", "N13,csum", "", ""),
    ("413", "SHIP FOR LOC", "N13,csum", "", ""),
    ("414", "LOC No.", "N13,csum", "", ""),
    ("415", "PAY TO", "N13,csum", "8020", ""),
    ("416", "PROD/SERV LOC", "N13,csum", "", ""),
    ("417", "PARTY", "N13,csum", "", ""),
    ("420", "SHIP TO POST", "X..20", "", "421"),
    ("421", "SHIP TO POST", "N3,iso3166 X..9", "", "4307"),
    ("422", "ORIGIN", "N3,iso3166", _ITEM, "426"),
    ("423", "COUNTRY - INITIAL PROCESS", "N3,iso3166" + " [N3],iso3166" * 4, _TRADE, "426"),
    ("424", "COUNTRY - PROCESS", "N3,iso3166", _TRADE, "426"),
    ("425", "COUNTRY - DISASSEMBLY", "N3,iso3166" + " [N3],iso3166" * 4, _TRADE, "426"),
    ("426", "COUNTRY - FULL PROCESS", "N3,iso3166", _TRADE, ""),
    ("427", "ORIGIN SUBDIVISION", "X..3", "01+422 02+422 03+422", ""),
    ("4326", "REL DATE", "N6,yymmdd", "00", ""),
    ("4331", "MAX TEMP C.", "N6 [X1],hyphen", "00", "4330"),
    ("4333", "MIN TEMP C.", "N6 [X1],hyphen", "00", "4332"),
    ("7002", "MEAT CUT", "X..30", "01 02", ""),
    ("7003", "EXPIRY TIME", "N6,yymmdd N4,hhmi", _TRADE, ""),
    ("7005", "CATCH AREA", "X..12", "01 02", ""),
    ("7006", "FIRST FREEZE DATE", "N6,yymmdd", "01 02", ""),
    ("7007", "HARVEST DATE", "N6,yymmdd [N6],yymmdd", "01 02", ""),
    ("7008", "AQUATIC SPECIES", "X..3", "01 02", ""),
    ("7009", "FISHING GEAR TYPE", "X..10", "01 02", ""),
    ("7010", "PROD METHOD", "X..2", _TRADE, ""),
    ("7030-7039", "PROCESSOR # {n}", "N3,iso3166999 X..27", "01 02", ""),
    ("7040", "UIC+EXT", "N1 X3", "", ""),
    ("7041", "UFRGT UNIT TYPE", "X..4", "00", ""),
    ("8005", "PRICE PER UNIT", "N6", "01 02", ""),
    ("8006", "ITIP", "N14,csum N4,pieceoftotal", "", "01 37"),
    ("8008", "PROD TIME", "N6,yymmdd N2,hh [N2],mi [N2],ss", _TRADE, ""),
    ("8020", "REF No.", "X..25", "415", ""),
    ("8026", "ITIP CONTENT", "N14,csum N4,pieceoftotal", "37", "02 8006"),
    ("8200", "PRODUCT URL", "X..70", "01", ""),
    ("90", "INTERNAL", "X..30", "", ""),
    ("91-99", "INTERNAL", "X..90", "", ""),
)


@dataclass(frozen=True)
class Part:
    """One component of a value: ``digits`` or characters of set 82, its lengths and the rule it must pass."""

    digits: bool
    min_length: int
    max_length: int
    optional: bool
    rule: str


@dataclass(frozen=True)
class AI:
    """One application identifier.

    ``needs`` holds groups; of each group at least one alternative must be present, and an alternative is the AIs that
    stand together. AIs in ``needs`` and ``not_with`` may hold ``n`` for any digit.
    """

    code: str
    title: str
    parts: tuple[Part, ...]
    needs: tuple[tuple[tuple[str, ...], ...], ...]
    not_with: tuple[str, ...]

    @property
    def fnc1_after(self) -> bool:
        """True when FNC1 must follow unless the element string is the last one."""
        return self.code[:2] not in PREDEFINED_LENGTHS

    @property
    def max_length(self) -> int:
        """Most characters the value may have."""
        return sum(part.max_length for part in self.parts)

    @property
    def length_words(self) -> str:
        """The lengths allowed, in words: ``14 digits``, ``6 or 12 digits``, ``1 to 20 characters``."""
        kind = "digits" if all(part.digits for part in self.parts) else "characters"
        shortest = sum(part.min_length for part in self.parts if not part.optional)
        if any(part.min_length != part.max_length for part in self.parts):
            return f"{shortest} to {self.max_length} {kind}"
        lengths = [shortest]
        for part in self.parts:
            if part.optional:
                lengths.append(lengths[-1] + part.max_length)
        return f"{' or '.join(map(str, lengths))} {kind}"


def _part(text: str) -> Part:
    spec, _, rule = text.partition(",")
    optional = spec.startswith("[")
    kind, upto, length = re.fullmatch(r"([NX])(\.\.)?(\d+)", spec.strip("[]")).groups()  # type: ignore[union-attr]  # our own table
    return Part(kind == "N", 1 if upto else int(length), int(length), optional, rule)


def _codes(text: str) -> list[str]:
    first, _, last = text.partition("-")
    return [str(code).zfill(len(first)) for code in range(int(first), int(last or first) + 1)]


def _needs(text: str) -> tuple[tuple[tuple[str, ...], ...], ...]:
    groups = [group.split() for group in text.split("/")]
    return tuple(tuple(tuple(alternative.split("+")) for alternative in group) for group in groups if group)


def _table() -> dict[str, AI]:
    table: dict[str, AI] = {}
    for codes, title, spec, needs, not_with in _ROWS:
        parts = tuple(_part(text) for text in spec.split())
        for code in _codes(codes):
            table[code] = AI(code, title.format(n=code[-1]), parts, _needs(needs), tuple(not_with.split()))
    return table


AIS = MappingProxyType(_table())


def ai_length(text: str) -> int | None:
    """Return how many digits the AI has that ``text`` begins with, or None when no AI begins so.

    The first two digits settle it (GS1 General Specifications); this holds for AIs outside the table too.
    """
    start = text[:2]
    if re.match(r"(0[0-4]|1\d|2[0-2]|30|37|9\d)", start):
        return 2
    if re.match(r"(2[3-5]|4[0-2])", start):
        return 3
    return 4 if re.match(r"(3[1-69]|43|7[0-2]|8[0-2])", start) else None


def ai_matches(pattern: str, code: str) -> bool:
    """True when ``code`` is the AI ``pattern``, in which ``n`` stands for any digit."""
    return len(pattern) == len(code) and all(want in ("n", got) for want, got in zip(pattern, code, strict=True))
