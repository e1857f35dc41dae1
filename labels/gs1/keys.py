"""GS1 keys: check digit, GTIN, GLN and SSCC.

The modulo 10 rule is the one of the GS1 General Specifications: weights 3 and 1 alternate from the right.
"""

from __future__ import annotations

from lotwake.labels.errors import WrongData

GTIN_LENGTHS = (8, 12, 13, 14)
GLN_LENGTH = 13
SSCC_LENGTH = 18


def is_digits(text: str) -> bool:
    """True for one or more of 0-9; digits of other scripts do not count."""
    return text.isascii() and text.isdigit()


def check_digit(digits: str) -> int:
    """Return the modulo 10 check digit that belongs behind ``digits``.

    Raises:
        WrongData: when there is anything but 0-9, or nothing at all.
    """
    if not is_digits(digits):
        raise WrongData(f"A check digit needs digits only, not {digits!r}.", "Give the number without its check digit.")
    weighted = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return -weighted % 10


def check_digit_agrees(number: str) -> bool:
    """True when ``number`` is all digits and its last one is the check digit of the rest."""
    return len(number) > 1 and is_digits(number) and check_digit(number[:-1]) == int(number[-1])


def gtin14(gtin: str) -> str:
    """Return a checked GTIN-8, -12, -13 or -14 filled with zeros on the left to the 14 digits of AI (01).

    Raises:
        WrongData: for a wrong length, a character that is no digit, or a wrong check digit.
    """
    return _checked(gtin, "GTIN", GTIN_LENGTHS).zfill(14)


def gtin13(gtin: str) -> str:
    """Return the 13 digits an EAN-13 symbol carries.

    Raises:
        WrongData: as ``gtin14``; also for a GTIN-14 with an indicator, which EAN-13 cannot carry.
    """
    full = gtin14(gtin)
    if full[0] != "0":
        raise WrongData(
            f"GTIN {gtin} has indicator {full[0]} and does not fit EAN-13.", "Use ITF-14 or GS1-128 for it."
        )
    return full[1:]


def check_gln(gln: str) -> str:
    """Return the GLN unchanged when length, digits and check digit are right, else raise WrongData."""
    return _checked(gln, "GLN", (GLN_LENGTH,))


def check_sscc(sscc: str) -> str:
    """Return the SSCC unchanged when length, digits and check digit are right, else raise WrongData."""
    return _checked(sscc, "SSCC", (SSCC_LENGTH,))


def make_gtin14(gtin: str, indicator: int) -> str:
    """Return the GTIN-14 of a grouping of ``gtin``: indicator 1-8 for fixed groupings, 9 for variable measure.

    Raises:
        WrongData: for an indicator outside 1-9 or a wrong GTIN.
    """
    if indicator not in range(1, 10):
        raise WrongData(f"A GTIN-14 indicator is 1 to 9, not {indicator}.")
    body = f"{indicator}{gtin14(gtin)[1:13]}"
    return f"{body}{check_digit(body)}"


def make_gtin13(company_prefix: str, item_reference: int) -> str:
    """Return the GTIN-13 for an item number under a GS1 company prefix."""
    return _numbered(company_prefix, item_reference, 12, "GTIN-13")


def make_gln(company_prefix: str, location_reference: int) -> str:
    """Return the GLN for a location number under a GS1 company prefix."""
    return _numbered(company_prefix, location_reference, 12, "GLN")


def make_sscc(company_prefix: str, serial_reference: int, extension: int = 0) -> str:
    """Return the SSCC: extension digit 0-9, company prefix, serial reference, check digit.

    An SSCC must not be used again for at least one year after shipping (GS1 General Specifications, from memory).

    Raises:
        WrongData: when prefix and serial reference do not fit 16 digits together.
    """
    if extension not in range(10):
        raise WrongData(f"An SSCC extension digit is 0 to 9, not {extension}.")
    return _numbered(company_prefix, serial_reference, 16, "SSCC", str(extension))


def _numbered(company_prefix: str, reference: int, places: int, key: str, front: str = "") -> str:
    room = places - len(company_prefix)
    if not is_digits(company_prefix) or reference < 0 or len(str(reference)) > room:
        raise WrongData(
            f"Company prefix {company_prefix!r} and number {reference} do not make a {key}.",
            f"Prefix and number are digits, {places} together at the most.",
        )
    body = f"{front}{company_prefix}{reference:0{room}d}"
    return f"{body}{check_digit(body)}"


def _checked(number: str, key: str, lengths: tuple[int, ...]) -> str:
    if not is_digits(number) or len(number) not in lengths:
        wanted = " or ".join(str(length) for length in lengths)
        raise WrongData(f"A {key} has {wanted} digits; {number!r} does not.", "Type or scan the number again.")
    if not check_digit_agrees(number):
        raise WrongData(
            f"The check digit of {key} {number} is wrong: {number[-1]} instead of {check_digit(number[:-1])}.",
            "Two digits may be swapped; type or scan the number again.",
        )
    return number
