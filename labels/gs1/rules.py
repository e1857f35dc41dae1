"""What one value of an AI must look like: characters, lengths, and the rule of each component.

Rule names are those of the linters in the GS1 Barcode Syntax Dictionary (Apache-2.0). ISO 3166-1 numeric codes as of
2026; ``packagetype`` (7041) and company-prefix look-ups are left out, for they need lists that change.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from lotwake.labels.gs1.ai_table import AI, Part
from lotwake.labels.gs1.dates import date_problem
from lotwake.labels.gs1.keys import check_digit, check_digit_agrees, is_digits

CSET_82 = frozenset("!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz")
COUNTRY_NUMBERS = frozenset(
    """
    004 008 010 012 016 020 024 028 031 032 036 040 044 048 050 051 052 056 060 064 068 070 072 074 076 084 086 090 092
    096 100 104 108 112 116 120 124 132 136 140 144 148 152 156 158 162 166 170 174 175 178 180 184 188 191 192 196 203
    204 208 212 214 218 222 226 231 232 233 234 238 239 242 246 248 250 254 258 260 262 266 268 270 275 276 288 292 296
    300 304 308 312 316 320 324 328 332 334 336 340 344 348 352 356 360 364 368 372 376 380 384 388 392 398 400 404 408
    410 414 417 418 422 426 428 430 434 438 440 442 446 450 454 458 462 466 470 474 478 480 484 492 496 498 499 500 504
    508 512 516 520 524 528 531 533 534 535 540 548 554 558 562 566 570 574 578 580 581 583 584 585 586 591 598 600 604
    608 612 616 620 624 626 630 634 638 642 643 646 652 654 659 660 662 663 666 670 674 678 682 686 688 690 694 702 703
    704 705 706 710 716 724 728 729 732 740 744 748 752 756 760 762 764 768 772 776 780 784 788 792 795 796 798 800 804
    807 818 826 831 832 833 834 840 850 854 858 860 862 876 882 887 894
    """.split()  # noqa: SIM905 - twelve lines to look through instead of 249
)


def characters_outside(text: str) -> str:
    """Return the characters of ``text`` that GS1's 82-character set does not hold, each once, in order."""
    return "".join(dict.fromkeys(char for char in text if char not in CSET_82))


def value_problems(ai: AI, value: str) -> Iterator[str]:
    """Yield what is wrong with ``value``, each as a clause that follows the AI: ``must have 14 digits, not 13``."""
    if outside := characters_outside(value):
        shown = ", ".join(_shown(char) for char in outside)
        yield f"holds {shown}, which is outside GS1's 82 characters"
    pieces = _pieces(ai, value)
    if pieces is None:
        yield f"must have {ai.length_words}, not {len(value)}"
        return
    for part, piece in pieces:
        if part.digits and not is_digits(piece):
            yield f"must hold digits here: {piece!r}"
        elif part.rule and (problem := rule_problem(part.rule, piece)):
            yield problem


def rule_problem(rule: str, piece: str) -> str | None:
    """Apply one rule of the dictionary to one component; return what is wrong, or None."""
    return _RULES[rule](piece)


def _pieces(ai: AI, value: str) -> list[tuple[Part, str]] | None:
    pieces, rest = [], value
    for part in ai.parts:
        if part.optional and not rest:
            break
        if len(rest) < part.min_length:
            return None
        pieces.append((part, rest[: part.max_length]))
        rest = rest[part.max_length :]
    return None if rest else pieces


def _shown(char: str) -> str:
    return {" ": "a space", "\x1d": "a separator"}.get(char, repr(char) if char.isprintable() else f"U+{ord(char):04X}")


def _check_digit_rule(piece: str) -> str | None:
    if check_digit_agrees(piece):
        return None
    return f"has check digit {piece[-1]} in {piece}, which should be {check_digit(piece[:-1])}"


def _clock_rule(piece: str, largest: int, name: str) -> str | None:
    return None if int(piece) <= largest else f"has {name} {piece}"


def _hhmi_rule(piece: str) -> str | None:
    return _clock_rule(piece[:2], 23, "hour") or _clock_rule(piece[2:], 59, "minute")


def _country_rule(piece: str, *also: str) -> str | None:
    return None if piece in COUNTRY_NUMBERS or piece in also else f"has {piece}, which is no ISO 3166 country number"


def _piece_of_total_rule(piece: str) -> str | None:
    return None if 1 <= int(piece[:2]) <= int(piece[2:]) else f"has piece {piece[:2]} of {piece[2:]}"


_RULES: dict[str, Callable[[str], str | None]] = {
    "csum": _check_digit_rule,
    "yymmd0": lambda piece: date_problem(piece, day_00=True),
    "yymmdd": lambda piece: date_problem(piece, day_00=False),
    "hhmi": _hhmi_rule,
    "hh": lambda piece: _clock_rule(piece, 23, "hour"),
    "mi": lambda piece: _clock_rule(piece, 59, "minute"),
    "ss": lambda piece: _clock_rule(piece, 59, "second"),
    "iso3166": _country_rule,
    "iso3166999": lambda piece: _country_rule(piece, "999"),
    "hyphen": lambda piece: None if re.fullmatch("-?", piece) else f"ends with {piece!r} where only a minus may stand",
    "pieceoftotal": _piece_of_total_rule,
}
