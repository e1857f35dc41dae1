"""Weights in element strings: AI 310n (net) and 330n (gross), where n is the number of decimal places of a kilogram."""

from __future__ import annotations

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.keys import is_digits

NET_KG = "310"
GROSS_KG = "330"
_LARGEST = 999_999


def weight_element(mass_g: int, family: str = NET_KG) -> tuple[str, str]:
    """Return (AI, six digits) for whole grams, with as many decimal places as six digits allow.

    Raises:
        WrongData: for a negative mass, or one that six digits cannot hold exactly.
    """
    for decimals in (3, 2, 1, 0):
        units, rest = divmod(mass_g, 10 ** (3 - decimals))
        if mass_g >= 0 and rest == 0 and units <= _LARGEST:
            return f"{family}{decimals}", f"{units:06d}"
    raise WrongData(
        f"A weight of {mass_g} g cannot be written in six digits.", "Weigh in larger steps or split the unit."
    )


def weight_g(ai: str, value: str) -> int:
    """Return whole grams from a 310n or 330n element.

    Raises:
        WrongData: for another AI, a malformed value, or a value with a fraction of a gram.
    """
    if ai[:3] not in (NET_KG, GROSS_KG) or len(ai) != 4 or ai[3] not in "012345":
        raise WrongData(f"AI ({ai}) is not a weight in kilograms.")
    if len(value) != 6 or not is_digits(value):
        raise WrongData(f"({ai}) must be 6 digits, not {value!r}.")
    decimal_steps: int = 10 ** int(ai[3])
    grams, fraction = divmod(int(value) * 1000, decimal_steps)
    if fraction:
        raise WrongData(f"({ai}){value} holds a fraction of a gram.", "This program keeps whole grams.")
    return grams
