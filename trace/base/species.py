"""Species often smoked, with their FAO ASFIS 3-alpha codes.

Typed by hand from the FAO ASFIS list of species (edition of October 2024); a house adds what it needs. The histamine
mark is kept for each species, not for a family: ASFIS now files sardines outside Clupeidae, where a rule that goes by
family misses them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.codelists import CodeTable

SOURCE = "FAO ASFIS list of species for fishery statistics purposes"


class Histamine(StrEnum):
    """Whether a species forms histamine when it is kept warm, and by which list."""

    EU_LIST = "family named in Reg. (EC) 2073/2005"
    FDA_LIST = "treated as a histamine former in FDA lists"  # from memory
    LOOK_UP = "not settled here: look it up"
    NOT_LISTED = "not listed"


@dataclass(frozen=True)
class Species:
    """One species: ASFIS 3-alpha code, scientific and English name as ASFIS prints them."""

    code: str
    scientific: str
    english: str
    histamine: Histamine = Histamine.NOT_LISTED

    @property
    def needs_histamine_care(self) -> bool:
        """True unless the species is known to be on no list; an unsettled one is treated as a former."""
        return self.histamine is not Histamine.NOT_LISTED


SPECIES = (
    Species("HER", "Clupea harengus", "Atlantic herring", Histamine.EU_LIST),
    Species("HEP", "Clupea pallasii", "Pacific herring", Histamine.EU_LIST),
    Species("SPR", "Sprattus sprattus", "European sprat", Histamine.EU_LIST),
    Species("PIL", "Sardina pilchardus", "European pilchard(=Sardine)", Histamine.EU_LIST),
    Species("SAM", "Sardinella lemuru", "Bali sardinella", Histamine.EU_LIST),
    Species("IOS", "Sardinella longiceps", "Indian oil sardine", Histamine.EU_LIST),
    Species("SAG", "Sardinella gibbosa", "Goldstripe sardinella", Histamine.EU_LIST),
    Species("SAA", "Sardinella aurita", "Round sardinella", Histamine.EU_LIST),
    Species("BOA", "Ethmalosa fimbriata", "Bonga shad", Histamine.EU_LIST),
    Species("ANE", "Engraulis encrasicolus", "European anchovy", Histamine.EU_LIST),
    Species("MAC", "Scomber scombrus", "Atlantic mackerel", Histamine.EU_LIST),
    Species("MAS", "Scomber japonicus", "Pacific chub mackerel", Histamine.EU_LIST),
    Species("VMA", "Scomber colias", "Atlantic chub mackerel", Histamine.EU_LIST),
    Species("RAG", "Rastrelliger kanagurta", "Indian mackerel", Histamine.EU_LIST),
    Species("RAB", "Rastrelliger brachysoma", "Short mackerel", Histamine.EU_LIST),
    Species("COM", "Scomberomorus commerson", "Narrow-barred Spanish mackerel", Histamine.EU_LIST),
    Species("YFT", "Thunnus albacares", "Yellowfin tuna", Histamine.EU_LIST),
    Species("BET", "Thunnus obesus", "Bigeye tuna", Histamine.EU_LIST),
    Species("ALB", "Thunnus alalunga", "Albacore", Histamine.EU_LIST),
    Species("SKJ", "Katsuwonus pelamis", "Skipjack tuna", Histamine.EU_LIST),
    Species("KAW", "Euthynnus affinis", "Kawakawa", Histamine.EU_LIST),
    Species("FRI", "Auxis thazard", "Frigate tuna", Histamine.EU_LIST),
    Species("BLT", "Auxis rochei", "Bullet tuna", Histamine.EU_LIST),
    Species("DOL", "Coryphaena hippurus", "Common dolphinfish", Histamine.EU_LIST),
    Species("BLU", "Pomatomus saltatrix", "Bluefish", Histamine.EU_LIST),
    Species("DCC", "Decapterus macrosoma", "Shortfin scad", Histamine.FDA_LIST),
    Species("MSD", "Decapterus macarellus", "Mackerel scad", Histamine.FDA_LIST),
    Species("WEC", "Decapterus punctatus", "Round scad", Histamine.FDA_LIST),
    Species("RUS", "Decapterus russelli", "Indian scad", Histamine.FDA_LIST),
    Species("RSA", "Decapterus maruadsi", "Japanese scad", Histamine.FDA_LIST),
    Species("BIS", "Selar crumenophthalmus", "Bigeye scad", Histamine.FDA_LIST),
    Species("HOM", "Trachurus trachurus", "Atlantic horse mackerel", Histamine.FDA_LIST),
    Species("SWO", "Xiphias gladius", "Swordfish", Histamine.FDA_LIST),
    Species("SNK", "Thyrsites atun", "Snoek", Histamine.FDA_LIST),
    Species("MIL", "Chanos chanos", "Milkfish", Histamine.LOOK_UP),
    Species("TLN", "Oreochromis niloticus", "Nile tilapia"),
    Species("TLM", "Oreochromis mossambicus", "Mozambique tilapia"),
    Species("CLZ", "Clarias gariepinus", "North African catfish"),
    Species("NIP", "Lates niloticus", "Nile perch"),
    Species("SAL", "Salmo salar", "Atlantic salmon"),
    Species("TRS", "Salmo trutta", "Sea trout"),
    Species("TRR", "Oncorhynchus mykiss", "Rainbow trout"),
    Species("SOC", "Oncorhynchus nerka", "Sockeye(=Red) salmon"),
    Species("CHI", "Oncorhynchus tshawytscha", "Chinook(=Spring=King) salmon"),
    Species("COH", "Oncorhynchus kisutch", "Coho(=Silver) salmon"),
    Species("CHU", "Oncorhynchus keta", "Chum(=Keta=Dog) salmon"),
    Species("PIN", "Oncorhynchus gorbuscha", "Pink(=Humpback) salmon"),
    Species("ACH", "Salvelinus alpinus", "Arctic char"),
    Species("WHL", "Coregonus clupeaformis", "Lake(=Common) whitefish"),
    Species("PLN", "Coregonus lavaretus", "European whitefish"),
    Species("FVE", "Coregonus albula", "Vendace"),
    Species("ELE", "Anguilla anguilla", "European eel"),
    Species("ELA", "Anguilla rostrata", "American eel"),
    Species("ELJ", "Anguilla japonica", "Japanese eel"),
    Species("HAD", "Melanogrammus aeglefinus", "Haddock"),
    Species("COD", "Gadus morhua", "Atlantic cod"),
    Species("WHG", "Merlangius merlangus", "Whiting"),
    Species("POK", "Pollachius virens", "Saithe(=Pollock)"),
    Species("HAL", "Hippoglossus hippoglossus", "Atlantic halibut"),
    Species("GHL", "Reinhardtius hippoglossoides", "Greenland halibut"),
    Species("SAB", "Anoplopoma fimbria", "Sablefish"),
    Species("MUF", "Mugil cephalus", "Flathead grey mullet"),
    Species("CAP", "Mallotus villosus", "Capelin"),
    Species("APN", "Acipenser transmontanus", "White sturgeon"),
    Species("PAM", "Polyodon spathula", "Mississippi paddlefish"),
    Species("LTM", "Limnothrissa miodon", "Lake Tanganyika sardine"),
    Species("SIA", "Stolothrissa tanganicae", "Lake Tanganyika sprat"),
    Species("ENA", "Rastrineobola argentea", "Silver cyprinid"),
)

_TABLE = CodeTable(
    "species",
    SPECIES,
    keys=lambda row: (row.code, row.scientific, row.english),
    show=lambda row: f"{row.code} {row.scientific} ({row.english})",
)


def find_species(text: str) -> Species:
    """The species of this code, scientific or English name; NotFound with near matches if there is none."""
    return _TABLE.find(text)
