"""Fishing gear by the International Standard Statistical Classification of Fishing Gear (ISSCFG, revision 1, 2016).

The gear categories are the seven of Reg. (EU) 1379/2013, Annex III column 1; which gear falls in which is from memory.
Cast nets, harpoons, hand gear and the like have no category there, so none may be printed for them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.codelists import CodeTable

SOURCE = "FAO CWP, ISSCFG revision 1 (2016)"
CATEGORY_SOURCE = "Reg. (EU) 1379/2013 Annex III; mapping from ISSCFG from memory"


class GearCategory(StrEnum):
    """What an EU label calls the gear."""

    SEINES = "seines"
    TRAWLS = "trawls"
    GILLNETS = "gillnets and similar nets"
    SURROUNDING = "surrounding nets and lift nets"
    HOOKS = "hooks and lines"
    DREDGES = "dredges"
    POTS = "pots and traps"


@dataclass(frozen=True)
class Gear:
    """One kind of gear: ISSCFG code, standard abbreviation, name, EU consumer category if it has one."""

    code: str
    abbreviation: str
    name: str
    eu_category: GearCategory | None


_C = GearCategory
GEAR = (
    Gear("01.1", "PS", "Purse seines", _C.SURROUNDING),
    Gear("01.2", "LA", "Surrounding nets without purse lines", _C.SURROUNDING),
    Gear("01.9", "SUX", "Surrounding nets (nei)", _C.SURROUNDING),
    Gear("02.1", "SB", "Beach seines", _C.SEINES),
    Gear("02.2", "SV", "Boat seines", _C.SEINES),
    Gear("02.9", "SX", "Seine nets (nei)", _C.SEINES),
    Gear("03.3", "TSP", "Semipelagic trawls", _C.TRAWLS),
    Gear("03.9", "TX", "Trawls (nei)", _C.TRAWLS),
    Gear("03.11", "TBB", "Beam trawls", _C.TRAWLS),
    Gear("03.12", "OTB", "Single boat bottom otter trawls", _C.TRAWLS),
    Gear("03.13", "OTT", "Twin bottom otter trawls", _C.TRAWLS),
    Gear("03.14", "OTP", "Multiple bottom otter trawls", _C.TRAWLS),
    Gear("03.15", "PTB", "Bottom pair trawls", _C.TRAWLS),
    Gear("03.19", "TB", "Bottom trawls (nei)", _C.TRAWLS),
    Gear("03.21", "OTM", "Single boat midwater otter trawls", _C.TRAWLS),
    Gear("03.22", "PTM", "Midwater pair trawls", _C.TRAWLS),
    Gear("03.29", "TM", "Midwater trawls (nei)", _C.TRAWLS),
    Gear("04.1", "DRB", "Towed dredges", _C.DREDGES),
    Gear("04.2", "DRH", "Hand dredges", _C.DREDGES),
    Gear("04.3", "DRM", "Mechanized dredges", _C.DREDGES),
    Gear("04.9", "DRX", "Dredges (nei)", _C.DREDGES),
    Gear("05.1", "LNP", "Portable lift nets", _C.SURROUNDING),
    Gear("05.2", "LNB", "Boat-operated lift nets", _C.SURROUNDING),
    Gear("05.3", "LNS", "Shore-operated stationary lift nets", _C.SURROUNDING),
    Gear("05.9", "LN", "Lift nets (nei)", _C.SURROUNDING),
    Gear("06.1", "FCN", "Cast nets", None),
    Gear("06.2", "FCO", "Cover pots/Lantern nets", None),
    Gear("06.9", "FG", "Falling gear (nei)", None),
    Gear("07.1", "GNS", "Set gillnets (anchored)", _C.GILLNETS),
    Gear("07.2", "GND", "Drift gillnets", _C.GILLNETS),
    Gear("07.3", "GNC", "Encircling gillnets", _C.GILLNETS),
    Gear("07.4", "GNF", "Fixed gillnets (on stakes)", _C.GILLNETS),
    Gear("07.5", "GTR", "Trammel nets", _C.GILLNETS),
    Gear("07.6", "GTN", "Combined gillnets-trammel nets", _C.GILLNETS),
    Gear("07.9", "GEN", "Gillnets and entangling nets (nei)", _C.GILLNETS),
    Gear("08.1", "FPN", "Stationary uncovered pound nets", _C.POTS),
    Gear("08.2", "FPO", "Pots", _C.POTS),
    Gear("08.3", "FYK", "Fyke nets", _C.POTS),
    Gear("08.4", "FSN", "Stow nets", _C.POTS),
    Gear("08.5", "FWR", "Barriers, fences, weirs, etc.", _C.POTS),
    Gear("08.6", "FAR", "Aerial traps", _C.POTS),
    Gear("08.9", "FIX", "Traps (nei)", _C.POTS),
    Gear("09.1", "LHP", "Handlines and hand-operated pole-and-lines", _C.HOOKS),
    Gear("09.2", "LHM", "Mechanized lines and pole-and-lines", _C.HOOKS),
    Gear("09.4", "LVT", "Vertical lines", _C.HOOKS),
    Gear("09.5", "LTL", "Trolling lines", _C.HOOKS),
    Gear("09.9", "LX", "Hooks and lines (nei)", _C.HOOKS),
    Gear("09.31", "LLS", "Set longlines", _C.HOOKS),
    Gear("09.32", "LLD", "Drifting longlines", _C.HOOKS),
    Gear("09.39", "LL", "Longlines (nei)", _C.HOOKS),
    Gear("10.1", "HAR", "Harpoons", None),
    Gear("10.2", "MHI", "Hand Implements (Wrenching gear, Clamps, Tongs, Rakes, Spears)", None),
    Gear("10.3", "MPM", "Pumps", None),
    Gear("10.4", "MEL", "Electric fishing", None),
    Gear("10.5", "MPN", "Pushnets", None),
    Gear("10.6", "MSP", "Scoopnets", None),
    Gear("10.7", "MDR", "Drive-in nets", None),
    Gear("10.8", "MDV", "Diving", None),
    Gear("10.9", "MIS", "Gear nei", None),
    Gear("99.9", "NKX", "Gear not known", None),
)


def _keys(row: Gear) -> tuple[str, ...]:
    # "Not known" is NK in one published copy of the list and NKX in the other.
    also = ("NK",) if row.abbreviation == "NKX" else ()
    return (row.code, row.code.lstrip("0"), row.abbreviation, row.name, *also)


_TABLE = CodeTable("gear", GEAR, keys=_keys, show=lambda row: f"{row.abbreviation} {row.name} ({row.code})")


def find_gear(text: str) -> Gear:
    """The gear of this ISSCFG code, abbreviation or name; NotFound with near matches if there is none."""
    return _TABLE.find(text)
