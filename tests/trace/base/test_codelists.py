"""Published code lists: looked up forgivingly, refused with near matches."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from lotwake.trace.base.areas import MAJOR_AREAS, NAMED_SMALLER_AREAS, find_area
from lotwake.trace.base.codelists import CodeTable
from lotwake.trace.base.errors import NotFound
from lotwake.trace.base.gear import GEAR, GearCategory, find_gear
from lotwake.trace.base.species import SPECIES, Histamine, find_species

FORGIVEN = [
    (find_species, "mac", "MAC"),
    (find_species, "  scomber   SCOMBRUS ", "MAC"),
    (find_species, "atlantic mackerel", "MAC"),
    (find_species, "European pilchard (Sardine)", "PIL"),
    (find_area, " 27.4.B ", "27.4.b"),
    (find_area, "adriatic", "37.2.1"),
    (find_gear, "otb", "03.12"),
    (find_gear, "2.2", "02.2"),
    (find_gear, "NK", "99.9"),
    (find_gear, "NKX", "99.9"),
    (find_gear, "Seine nets nei", "02.9"),
]


@pytest.mark.parametrize(("find", "text", "code"), FORGIVEN)
def test_look_up_forgives_case_spaces_and_brackets(find: Callable[[str], Any], text: str, code: str) -> None:
    """A person's way of writing a code or name finds the row."""
    assert find(text).code == code


UNKNOWN = [
    (find_species, "mackerel", "MAC Scomber scombrus"),
    (find_species, "Scomber scombrius", "MAC Scomber scombrus"),
    (find_species, "QQQ", "Look the code up"),
    (find_area, "4", "Inland areas have two digits: 04."),
    (find_area, "70", "Look the code up"),
    (find_area, "12.1", "Near it"),
    (find_area, "27.4.b.1.2.3", "Near it: 27.4.b"),
    (find_area, "27..b", "Near it"),
    (find_gear, "OTX", "OTT"),
    (find_gear, "", "Look the code up"),
]


@pytest.mark.parametrize(("find", "text", "hint"), UNKNOWN)
def test_an_unknown_code_is_refused_with_near_matches(find: Callable[[str], Any], text: str, hint: str) -> None:
    """What no list holds is refused, and the hint helps on."""
    with pytest.raises(NotFound) as caught:
        find(text)
    assert repr(text) in caught.value.sentence
    assert hint in caught.value.hint


SMALLER = [
    ("27.8.c", "Atlantic, Northeast"),
    ("27.3.d.28.2", "Baltic"),
    ("71.6.1", "Pacific, Western Central"),
    ("37.1.1", "Balearic"),
]


@pytest.mark.parametrize(("code", "name"), SMALLER)
def test_an_area_below_a_known_one_is_valid_by_form(code: str, name: str) -> None:
    """A smaller area keeps its own code and carries the name of the smallest known area around it."""
    area = find_area(code)
    assert (area.code, area.name, area.major_code) == (code, name, code[:2])


def test_inland_codes_keep_their_zero() -> None:
    """Inland areas are 01 to 08, as text."""
    assert [area.code for area in MAJOR_AREAS if area.inland] == [f"0{digit}" for digit in range(1, 9)]


def test_left_over_area_codes_are_off_the_label() -> None:
    """The former USSR and the two left-over codes name no place a buyer could know."""
    assert {area.code for area in MAJOR_AREAS if not area.on_label} == {"07", "98", "99"}


def test_the_tables_are_whole() -> None:
    """29 major areas, 60 kinds of gear; every code has its form and stands once."""
    assert len(MAJOR_AREAS) == 29
    assert len(GEAR) == 60
    assert len({row.code for row in SPECIES}) == len(SPECIES)
    assert all(len(row.code) == 3 and row.code.isupper() for row in SPECIES)
    assert all(find_area(area.code[:2]) in MAJOR_AREAS for area in NAMED_SMALLER_AREAS)


def test_a_key_for_two_rows_is_refused_when_the_table_is_built() -> None:
    """A table in which a key is ambiguous cannot be made."""
    with pytest.raises(ValueError, match="two rows"):
        CodeTable("letter", ["a", "A"], keys=lambda row: (row,), show=str)


CATEGORIES = [
    ("OTB", GearCategory.TRAWLS),
    ("GNS", GearCategory.GILLNETS),
    ("LNB", GearCategory.SURROUNDING),
    ("FPO", GearCategory.POTS),
    ("LLS", GearCategory.HOOKS),
    ("DRB", GearCategory.DREDGES),
    ("SB", GearCategory.SEINES),
    ("FCN", None),
    ("HAR", None),
    ("MDR", None),
]


@pytest.mark.parametrize(("gear", "category"), CATEGORIES)
def test_eu_category_of_gear(gear: str, category: GearCategory | None) -> None:
    """Gear falls in one of the seven EU categories, or in none."""
    assert find_gear(gear).eu_category is category


HISTAMINE = [
    ("MAC", Histamine.EU_LIST, True),
    ("PIL", Histamine.EU_LIST, True),
    ("HOM", Histamine.FDA_LIST, True),
    ("MIL", Histamine.LOOK_UP, True),
    ("SAL", Histamine.NOT_LISTED, False),
]


@pytest.mark.parametrize(("code", "mark", "care"), HISTAMINE)
def test_histamine_mark(code: str, mark: Histamine, care: bool) -> None:
    """The mark is kept for each species; an unsettled one is treated as a former."""
    species = find_species(code)
    assert (species.histamine, species.needs_histamine_care) == (mark, care)
