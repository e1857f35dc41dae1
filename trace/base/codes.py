"""Codes that people read out, type and scan: digits only, with two check digits.

A code is ``K YY DDD N.. CC``: the kind (one digit), the year and the day of the year it was made, its number on that
day (three digits or more) and two check digits by ISO/IEC 7064 MOD 97-10. Digits alone survive a bad phone line, a
keypad, any keyboard layout a scanner may be set to, and pack densely into a GS1-128 bar code (code set C).
People see it in groups, ``326-329-014-57``; in a bar code and in exported data it stands without the dashes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

from lotwake.trace.base.errors import CallError


class CodeKind(IntEnum):
    """What a code names; the value is its first digit."""

    LOT = 1
    BATCH = 2
    RUN = 3
    DISPATCH = 4
    RETURN = 5
    OPERATOR = 6
    RECALL = 7
    PLACE = 8
    COMMAND = 9


@dataclass(frozen=True)
class Code:
    """A code with right check digits."""

    kind: CodeKind
    text: str


_SHAPE = re.compile(r"[1-9]\d{2}[0-3]\d{2}\d{3,}\d{2}", re.ASCII)
_SEPARATORS = re.compile(r"[\s\-.]+")
MAX_LENGTH = 20
"""GS1 AI 10 (lot) holds 20 characters (GS1 General Specifications)."""


def check_digits(digits: str) -> str:
    """The two ISO/IEC 7064 MOD 97-10 check digits for a string of digits: the whole then leaves remainder 1 by 97."""
    return f"{98 - int(digits) * 100 % 97:02d}"


def make_code(kind: CodeKind, day: date, number: int) -> str:
    """The code of the ``number``-th thing (from 1) of this kind made on ``day``."""
    if not 1 <= number < 10 ** (MAX_LENGTH - 8):
        raise CallError(f"Number {number} does not fit a code.", "Numbers run from 1 to 999,999,999,999 a day.")
    body = f"{kind.value}{day:%y%j}{number:03d}"
    return body + check_digits(body)


def tidy(text: str) -> str:
    """What was typed or scanned, without the dashes, dots and spaces people put between groups of digits."""
    if text.isascii() and text.isdigit():
        return text
    bare = _SEPARATORS.sub("", text.strip())
    return bare if bare.isascii() and bare.isdigit() else text.strip()


def looks_like_code(text: str) -> bool:
    """Whether this has the shape of one of our codes, right or mistyped."""
    bare = tidy(text)
    return len(bare) <= MAX_LENGTH and _SHAPE.fullmatch(bare) is not None


def read_code(text: str) -> Code:
    """The code in a typed or scanned text.

    Raises CallError when the shape or a check digit is wrong, so that a mistyped code never opens another lot.
    """
    bare = tidy(text)
    if not looks_like_code(bare):
        raise CallError(
            f"{text.strip()!r} is not one of our codes.", "A code is 11 digits or more, such as 126-329-004-03."
        )
    if int(bare) % 97 != 1:
        raise CallError(
            f"The code {show_code(bare)} is mistyped: its check digits do not fit.",
            "Read it again from the label, digit by digit.",
        )
    return Code(CodeKind(int(bare[0])), bare)


def show_code(text: str) -> str:
    """A code in groups for people; any other text is given back as it is."""
    if not looks_like_code(text):
        return text
    bare = tidy(text)
    return "-".join((bare[:3], bare[3:6], bare[6:-2], bare[-2:]))
