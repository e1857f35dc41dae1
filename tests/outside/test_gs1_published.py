"""GS1 data against check values of published sources.

Every row carries its status: P = seen in the named source, D = derived from the named rule, M = from memory.
DICT is the GS1 Barcode Syntax Dictionary (github gs1/gs1-syntax-dictionary @ff2eb4bf, Apache-2.0), ENGINE the GS1
Barcode Syntax Engine (github gs1/gs1-syntax-engine @50657dbd, Apache-2.0); ``^`` stands for FNC1.
"""

from __future__ import annotations

from datetime import date

import pytest

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.ai_table import AIS
from lotwake.labels.gs1.dates import full_year, read_date
from lotwake.labels.gs1.digital_link import read_digital_link
from lotwake.labels.gs1.elements import caret_string, read_bracketed, read_text
from lotwake.labels.gs1.epc import digital_link_of_urn
from lotwake.labels.gs1.keys import check_digit, check_digit_agrees
from lotwake.labels.gs1.prefixes import RANGES, prefix_range
from lotwake.labels.gs1.rules import rule_problem
from lotwake.labels.gs1.scan import BY_IDENTIFIER

CHECK_DIGITS = [
    ("0234567", 3, "P DICT lint_csum.c, GTIN-8"),
    ("41600033610", 8, "P DICT lint_csum.c, GTIN-12"),
    ("123456789012", 8, "P DICT lint_csum.c, GTIN-13 and GLN"),
    ("1234567890123", 1, "P DICT lint_csum.c, GTIN-14"),
    ("12345678901234567", 5, "P DICT lint_csum.c, SSCC"),
    ("629104150021", 3, "P gs1.org, how to calculate a check digit manually (sum 57)"),
    ("730001100001", 7, "P gs1.se, worked example (15+8=23)"),
    ("00614141123456789", 0, "P ENGINE dl.c, SSCC"),
    ("123123123123", 2, "P ENGINE dl.c"),
    ("541234500015", 0, "P ENGINE ai.c"),
    ("1501234567890", 7, "P ENGINE scandata.c, GTIN-14"),
    ("00123400005", 7, "P ENGINE scandata.c, UPC"),
    ("1952000000001", 8, "D modulo 10 rule, indicator 1"),
    ("39520000000000001", 2, "D modulo 10 rule, SSCC with extension 3 and prefix 952"),
]
WRONG_CHECK_DIGITS = ["12345673", "416000336109", "1234567890129", "12345678901232", "123456789012345670"]  # P DICT


@pytest.mark.parametrize(("digits", "expected", "source"), CHECK_DIGITS)
def test_check_digit_of_published_keys(digits: str, expected: int, source: str) -> None:
    """The check digit is the one the source prints."""
    assert check_digit(digits) == expected, source
    assert check_digit_agrees(f"{digits}{expected}")


@pytest.mark.parametrize("number", WRONG_CHECK_DIGITS)
def test_published_wrong_check_digits_fail(number: str) -> None:
    """Each number the dictionary's own tests call wrong is called wrong."""
    assert not check_digit_agrees(number)


ELEMENT_STRINGS = [
    ("(01)12345678901231(10)12345", "^01123456789012311012345", "P ENGINE ai.c"),
    ("(10)12345(11)991225", "^1012345^11991225", "P ENGINE ai.c"),
    ("(3900)12345(11)991225", "^390012345^11991225", "P ENGINE ai.c"),
    (r"(10)12345\(11)991225", "^1012345(11)991225", "P ENGINE ai.c"),
    (
        "(01)09520000000011(3103)012500(15)270131(10)S2611-07",
        "^010952000000001131030125001527013110S2611-07",
        "D FNC1 rule of DICT",
    ),
    (
        "(00)395200000000000012(02)09520000000011(37)24",
        "^0039520000000000001202095200000000113724",
        "D FNC1 rule of DICT",
    ),
]


@pytest.mark.parametrize(("text", "expected", "source"), ELEMENT_STRINGS)
def test_element_strings_are_built_as_published(text: str, expected: str, source: str) -> None:
    """FNC1 stands exactly where the source has it."""
    assert caret_string(read_bracketed(text)) == expected, source


VALIDITY = [
    ("(10)(11)98765", False, "P ENGINE ai.c, empty value"),
    ("(1A)12345", False, "P ENGINE ai.c, AI not numeric"),
    ("(12345)12345", False, "P ENGINE ai.c, AI too long"),
    ("(01)123456789012312(10)12345", False, "P ENGINE ai.c, fixed value too long"),
    ("^01A2345678901231", False, "P ENGINE ai.c, letter in a numeric AI"),
    ("^011234567890123", False, "P ENGINE ai.c, too short"),
    ("^0112345678901231^991234", True, "P ENGINE ai.c, superfluous FNC1 tolerated"),
    ("(01)12345678901231(02)12345678901231", False, "P ENGINE ai.c, associations"),
    ("(02)12345678901231", False, "P ENGINE ai.c, associations"),
    ("(02)12345678901231(37)123", False, "P ENGINE ai.c, associations"),
    ("(21)ABC123", False, "P ENGINE ai.c, associations"),
    ("(21)ABC123(01)12345678901231", True, "P ENGINE ai.c, associations"),
    ("(400)ABC(400)XYZ", False, "P ENGINE ai.c, repeats"),
    ("(400)ABC(400)ABC", True, "D same value twice is allowed, DICT"),
    ("(01)12345678901231(3925)12599", False, "P ENGINE ai.c, associations"),
    ("(7008)MIL", False, "D req attribute in DICT"),
    ("(01)09520000000011(3103)012500(3102)001250", False, "D ex attribute in DICT"),
    ("(01)09520000000011(427)PH", False, "D req attribute in DICT"),
    ("(01)09520000000011(422)608(427)PH", True, "D req attribute in DICT"),
    ("(01)09520000000011(15)270131(17)270131", True, "D DICT does not forbid 15 with 17; food law does"),
]


@pytest.mark.parametrize(("text", "valid", "source"), VALIDITY)
def test_validity_is_judged_as_published(text: str, valid: bool, source: str) -> None:
    """Good data passes, bad data fails, and every problem is a sentence."""
    problems = read_text(text).problems
    assert (not problems) is valid, (source, problems)
    assert all(problem.sentence.endswith(".") for problem in problems)


RULES = [
    ("yymmd0", "200131", True, "P DICT lint_yymmd0.c"),
    ("yymmd0", "200229", True, "P DICT lint_yymmd0.c"),
    ("yymmd0", "200230", False, "P DICT lint_yymmd0.c"),
    ("yymmd0", "200600", True, "P DICT lint_yymmd0.c"),
    ("yymmdd", "200600", False, "P DICT lint_yymmdd.c"),
    ("yymmd0", "200010", False, "P DICT lint_yymmd0.c, month 00"),
    ("hh", "23", True, "P DICT lint_hh.c"),
    ("hh", "24", False, "D hours end at 23"),
    ("mi", "60", False, "D minutes end at 59"),
    ("iso3166", "608", True, "P ISO 3166-1, Philippines"),
    ("iso3166", "999", False, "P DICT iso3166999 alone allows 999"),
    ("iso3166999", "999", True, "P DICT iso3166999"),
]


@pytest.mark.parametrize(("rule", "piece", "good", "source"), RULES)
def test_rules_of_value_parts(rule: str, piece: str, good: bool, source: str) -> None:
    """Each rule of the dictionary accepts and refuses what the source says."""
    assert (rule_problem(rule, piece) is None) is good, source


@pytest.mark.parametrize(
    ("yy", "this_year", "expected"),
    [(26, 2026, 2026), (76, 2026, 2076), (77, 2026, 1977), (99, 2026, 1999), (2, 2051, 2002), (1, 2051, 2101)],
)
def test_century_window(yy: int, this_year: int, expected: int) -> None:
    """Two-digit years fall into the window stated in lint_yymmd0.c (D, worked from its comment)."""
    assert full_year(yy, this_year) == expected


@pytest.mark.parametrize(("text", "expected"), [("270200", date(2027, 2, 28)), ("280200", date(2028, 2, 29))])
def test_day_00_is_the_last_day_of_the_month(text: str, expected: date) -> None:
    """Day 00 reads as the month's last day, leap years included (M, GS1 General Specifications)."""
    assert read_date(text, date(2026, 11, 25)) == expected


DIGITAL_LINKS = [  # P ENGINE dl.c; None = refused
    ("https://a/stem/00/006141411234567890", "^00006141411234567890"),
    ("https://a/01/12312312312333?99=ABC&98=XYZ", "^011231231231233399ABC^98XYZ"),
    ("https://a/01/12312312312333/22/ABC%2d123?99=ABC&98=XYZ%2f987", "^011231231231233322ABC-123^99ABC^98XYZ/987"),
    ("https://a/01/12312312312333?99=ABC&unknown=666&98=XYZ", "^011231231231233399ABC^98XYZ"),
    ("HtTp://a/b/00/006141411234567890", None),
    ("https://a/01/02345673", None),
    ("https://a/01/12312312312333?99=", None),
]


@pytest.mark.parametrize(("uri", "expected"), DIGITAL_LINKS)
def test_digital_links_read_as_published(uri: str, expected: str | None) -> None:
    """A Digital Link gives the published element string, or is refused."""
    if expected is None:
        with pytest.raises(WrongData):
            read_digital_link(uri)
    else:
        assert caret_string(read_digital_link(uri)) == expected


EPC_PAIRS = [
    (
        "urn:epc:class:lgtin:4012345.012345.998877",
        "https://id.gs1.org/01/04012345123456/10/998877",
        "P github gs1/EPCIS",
    ),
    ("urn:epc:class:lgtin:0614141.077777.987", "https://id.gs1.org/01/00614141777778/10/987", "P github gs1/EPCIS"),
    ("urn:epc:idpat:sgtin:4012345.066666.*", "https://id.gs1.org/01/04012345666663", "P github gs1/EPCIS"),
    ("urn:epc:id:sscc:0614141.1234567890", "https://id.gs1.org/00/106141412345678908", "D EPC structure rule"),
]


@pytest.mark.parametrize(("urn", "expected", "source"), EPC_PAIRS)
def test_epc_urns_become_digital_links(urn: str, expected: str, source: str) -> None:
    """An EPC URN gives the URI of the paired example file."""
    assert digital_link_of_urn(urn) == expected, source


PREFIXES = [  # P github gs1/interpretGS1scan MOprefixStrings.json @25039069
    ("952", "952", "demonstrations and examples of the GS1 system"),
    ("020", "029", "restricted circulation within a region"),
    ("040", "049", "restricted circulation within a company"),
    ("960", "969", "Global Office, GTIN-8"),
    ("977", "977", "serial publications (ISSN)"),
    ("700", "709", "GS1 Norway"),
]


@pytest.mark.parametrize(("first", "last", "meaning"), PREFIXES)
def test_prefix_ranges(first: str, last: str, meaning: str) -> None:
    """Both ends of a published range carry its meaning, and no two ranges overlap."""
    for prefix in (first, last):
        found = prefix_range(prefix)
        assert found is not None
        assert found.meaning == meaning
    numbers = [number for entry in RANGES for number in range(entry.first, entry.last + 1)]
    assert len(numbers) == len(set(numbers))


AI_FACTS = [  # P DICT
    ("00", False, 18), ("02", False, 14), ("10", True, 20), ("13", False, 6), ("15", False, 6),
    ("21", True, 20), ("37", True, 8), ("400", True, 30), ("422", True, 3), ("423", True, 15),
    ("7006", True, 6), ("7007", True, 12), ("7010", True, 2), ("8008", True, 12), ("8200", True, 70),
]  # fmt: skip


@pytest.mark.parametrize(("code", "fnc1_after", "max_length"), AI_FACTS)
def test_ai_facts(code: str, fnc1_after: bool, max_length: int) -> None:
    """Separator and greatest length of an AI are the dictionary's."""
    assert (AIS[code].fnc1_after, AIS[code].max_length) == (fnc1_after, max_length)


IDENTIFIERS = [  # P ENGINE scandata.c
    ("]C1", "GS1-128"), ("]d2", "GS1 DataMatrix"), ("]Q3", "GS1 QR Code"), ("]E0", "EAN-13"), ("]E4", "EAN-8"),
    ("]e0", "GS1 DataBar"), ("]Q1", "QR Code"), ("]d1", "Data Matrix"),
]  # fmt: skip


@pytest.mark.parametrize(("identifier", "name"), IDENTIFIERS)
def test_symbology_identifiers(identifier: str, name: str) -> None:
    """An AIM identifier names the symbology the reference engine means by it."""
    assert BY_IDENTIFIER[identifier].shown == name
