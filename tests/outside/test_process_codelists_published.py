"""Species, catch areas and gear against the published FAO lists."""

from __future__ import annotations

import pytest

from lotwake.trace.base.areas import find_area
from lotwake.trace.base.gear import find_gear
from lotwake.trace.base.species import find_species

# FAO ASFIS, published (openfigis/RefData and fdiwg/fdi-codelists).
ASFIS = [
    ("Clupea harengus", "HER"),
    ("Scomber japonicus", "MAS"),
    ("Rastrelliger kanagurta", "RAG"),
    ("Sardinella lemuru", "SAM"),
    ("Sprattus sprattus", "SPR"),
    ("Oreochromis niloticus", "TLN"),
    ("Salmo salar", "SAL"),
    ("Anguilla anguilla", "ELE"),
    ("Thunnus albacares", "YFT"),
    ("Katsuwonus pelamis", "SKJ"),
    ("Coregonus clupeaformis", "WHL"),
    ("Decapterus macrosoma", "DCC"),
    ("Decapterus punctatus", "WEC"),
]


@pytest.mark.parametrize(("scientific", "code"), ASFIS)
def test_asfis_code(scientific: str, code: str) -> None:
    """The scientific name has its ASFIS code, and the code its name."""
    assert find_species(scientific).code == code
    assert find_species(code).scientific == scientific


# FAO major fishing areas and smaller areas, published (the same repositories).
AREAS = [
    ("04", "Asia - Inland waters"),
    ("21", "Atlantic, Northwest"),
    ("27", "Atlantic, Northeast"),
    ("37", "Mediterranean and Black Sea"),
    ("51", "Indian Ocean, Western"),
    ("61", "Pacific, Northwest"),
    ("71", "Pacific, Western Central"),
    ("27.4.b", "Central North Sea"),
    ("27.5.a", "Iceland"),
    ("37.2.1", "Adriatic"),
]


@pytest.mark.parametrize(("code", "name"), AREAS)
def test_fao_area(code: str, name: str) -> None:
    """The area code has its published name."""
    assert find_area(code).name == name


# ISSCFG revision 1 (2016), published (the same repositories).
GEAR = [
    ("PS", "01.1"),
    ("SV", "02.2"),
    ("OTB", "03.12"),
    ("OTM", "03.21"),
    ("LNB", "05.2"),
    ("FCN", "06.1"),
    ("FPO", "08.2"),
    ("LHP", "09.1"),
    ("MDR", "10.7"),
]


@pytest.mark.parametrize(("abbreviation", "code"), GEAR)
def test_isscfg_gear(abbreviation: str, code: str) -> None:
    """The abbreviation has its ISSCFG code, and the code its abbreviation."""
    assert find_gear(abbreviation).code == code
    assert find_gear(code).abbreviation == abbreviation
