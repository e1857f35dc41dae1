"""Element strings both ways: (AI, value) pairs, bracketed text, and the raw data a scanner sends."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.ai_table import AIS, PREDEFINED_LENGTHS, ai_length, ai_matches
from lotwake.labels.gs1.rules import characters_outside, value_problems

FNC1 = "\x1d"  # a separator FNC1 as scanners send it: ASCII 29, GS
CARET = "^"  # FNC1 in writing; not one of the 82 characters, so it cannot be data


@dataclass(frozen=True)
class Element:
    """One AI and its value."""

    ai: str
    value: str


@dataclass(frozen=True)
class Problem:
    """What is wrong with one AI, in one sentence that names it."""

    ai: str
    sentence: str


@dataclass(frozen=True)
class Reading:
    """Elements as far as they could be told apart, and everything that is wrong with them."""

    elements: tuple[Element, ...]
    problems: tuple[Problem, ...]


class Gs1Error(WrongData):
    """Element strings that break GS1's rules; ``problems`` lists all of them."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(" ".join(problem.sentence for problem in problems), "Correct the named AI and try again.")
        self.problems = tuple(problems)


def needs_fnc1_after(ai: str) -> bool:
    """True when FNC1 must follow this AI's value unless it is the last; the AI need not be in the table."""
    return ai[:2] not in PREDEFINED_LENGTHS


def element_string(elements: Iterable[Element], separator: str = FNC1) -> str:
    """Return the elements as one message in the order given, without the leading FNC1 of the symbol.

    ``separator`` stands after every value that needs one, except the last.
    """
    parts = [e.ai + e.value + (separator if needs_fnc1_after(e.ai) else "") for e in elements]
    return "".join(parts).removesuffix(separator)


def caret_string(elements: Iterable[Element]) -> str:
    """Return the message with ``^`` for each FNC1, the leading one of the symbol included."""
    return CARET + element_string(elements, CARET)


def bracketed(elements: Iterable[Element]) -> str:
    """Return ``(01)...(10)...`` with brackets inside values escaped, so that ``read_bracketed`` gives the same back."""
    return "".join(f"({e.ai}){e.value.replace('(', chr(92) + '(')}" for e in elements)


def hri(elements: Iterable[Element]) -> str:
    """Return the human-readable interpretation: AIs in brackets, values as they are."""
    return "".join(f"({e.ai}){e.value}" for e in elements)


def fixed_first(elements: Iterable[Element]) -> tuple[Element, ...]:
    """Return the elements with those of predefined length in front, which saves separators; otherwise in order."""
    return tuple(sorted(elements, key=lambda element: needs_fnc1_after(element.ai)))


def read_bracketed(text: str) -> tuple[Element, ...]:
    r"""Split ``(01)...(10)...``; ``\(`` inside a value is a bracket that belongs to it.

    Raises:
        Gs1Error: when an AI is not 2 to 4 digits, a value is empty, or the text does not begin with a bracket.
    """
    pieces = re.split(r"(?<!\\)\(", text.strip())
    if pieces[0] or len(pieces) == 1:
        raise Gs1Error([Problem("", f"{text!r} does not begin with an AI in brackets.")])
    elements, problems = [], []
    for piece in pieces[1:]:
        ai, closed, value = piece.partition(")")
        if not closed or not re.fullmatch(r"[0-9]{2,4}", ai):
            problems.append(Problem(ai, f"({ai}) is not an AI of 2 to 4 digits in brackets."))
        elif not value:
            problems.append(Problem(ai, f"({ai}) has no value."))
        elements.append(Element(ai, value.replace("\\(", "(")))
    if problems:
        raise Gs1Error(problems)
    return tuple(elements)


def check_stand_in(stand_in: str) -> str:
    """Return a one-character stand-in for GS, or raise WrongData when it could be data."""
    if len(stand_in) != 1 or not characters_outside(stand_in):
        raise WrongData(
            f"{stand_in!r} cannot stand in for the GS separator.",
            "Choose one character outside GS1's 82, such as | or ~.",
        )
    return stand_in


def split_raw(text: str, stand_in: str = CARET) -> Reading:
    """Split scanner data; separators are GS, ``^`` and ``stand_in``, and more of them than needed do no harm.

    The problems are those that keep the data from being told apart; ``all_problems`` finds the rest.
    """
    rest = text.replace(CARET, FNC1).replace(check_stand_in(stand_in), FNC1).lstrip(FNC1)
    elements: list[Element] = []
    while rest:
        size = ai_length(rest)
        ai = rest[: size or 0]
        if not ai or not re.fullmatch(r"[0-9]+", ai):
            after = f" after ({elements[-1].ai})" if elements else ""
            return Reading(tuple(elements), (Problem("", f"{rest[:4]!r}{after} does not begin with a known AI."),))
        value = rest[len(ai) :].partition(FNC1)[0]
        if not needs_fnc1_after(ai):
            value = value[: PREDEFINED_LENGTHS[ai[:2]] - len(ai)]
        elements.append(Element(ai, value))
        rest = rest[len(ai) + len(value) :].lstrip(FNC1)
    return Reading(tuple(elements), ())


def all_problems(elements: Sequence[Element]) -> tuple[Problem, ...]:
    """Return every problem of the values and of how the AIs go together, each naming its AI."""
    return (*value_problems_of(elements), *pairing_problems(elements))


def value_problems_of(elements: Sequence[Element]) -> tuple[Problem, ...]:
    """Return the problems each element has by itself: unknown AI, format, characters, check digit, date."""
    problems = []
    for element in elements:
        ai = AIS.get(element.ai)
        clauses = value_problems(ai, element.value) if ai else ["is not an AI this program knows"]
        problems += [Problem(element.ai, f"({element.ai}) {clause}.") for clause in clauses]
    return tuple(problems)


def pairing_problems(elements: Sequence[Element]) -> tuple[Problem, ...]:
    """Return the problems of elements on one item: one AI with two values, AIs missing, AIs that exclude each other."""
    values: dict[str, set[str]] = {}
    for element in elements:
        values.setdefault(element.ai, set()).add(element.value)
    codes = list(values)
    problems = [Problem(ai, f"({ai}) is there with two values.") for ai, seen in values.items() if len(seen) > 1]
    for first, second in combinations(codes, 2):
        if _excludes(first, second) or _excludes(second, first):
            problems.append(Problem(first, f"({first}) and ({second}) may not be on the same item."))
    for code in codes:
        for group in AIS[code].needs if code in AIS else ():
            if not any(all(_present(ai, codes) for ai in alternative) for alternative in group):
                problems.append(Problem(code, f"({code}) needs {_alternatives(group)} on the same item."))
    return tuple(problems)


def read_text(text: str) -> Reading:
    """Read bracketed text, or raw data with ``^`` or GS, and return elements with all their problems."""
    if text.startswith("("):
        try:
            elements = read_bracketed(text)
        except Gs1Error as error:
            return Reading((), error.problems)
        return Reading(elements, all_problems(elements))
    return read_raw(text)


def read_raw(text: str, stand_in: str = CARET) -> Reading:
    """Split raw data and return the elements with all their problems."""
    split = split_raw(text, stand_in)
    if not split.elements and not split.problems:
        return Reading((), (Problem("", "There is no data."),))
    return Reading(split.elements, split.problems + all_problems(split.elements))


def checked(elements: Sequence[Element]) -> tuple[Element, ...]:
    """Return the elements when they keep all rules, else raise Gs1Error with all problems."""
    if problems := all_problems(elements):
        raise Gs1Error(problems)
    return tuple(elements)


def _excludes(code: str, other: str) -> bool:
    return code in AIS and any(ai_matches(pattern, other) for pattern in AIS[code].not_with)


def _present(pattern: str, codes: Iterable[str]) -> bool:
    return any(ai_matches(pattern, code) for code in codes)


def _alternatives(group: tuple[tuple[str, ...], ...]) -> str:
    return " or ".join(" with ".join(f"({ai})" for ai in alternative) for alternative in group)
