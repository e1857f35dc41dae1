"""What came in over the season: landings off the boats, farmed fish, bought-in fish, materials. All invented."""

from __future__ import annotations

from dataclasses import dataclass

GUTTED, WHOLE, FILLETS = "gutted, head on", "whole", "fillets"


@dataclass(frozen=True)
class Came:
    """One arrival: day and time at the house, sender, what it is (species code or material), whole grams.

    ``area`` and ``gear`` are open codes (FAO, ISSCFG abbreviation); ``their_code`` is the sender's own lot code.
    """

    day: str
    time: str
    sender: str
    what: str
    g: int
    presentation: str = ""
    area: str = ""
    gear: str = ""
    their_code: str = ""


LANDINGS = (
    Came("2026-09-01", "06:25", "Brottleik", "HAD", 182_000, GUTTED, "27.2.a", "SV"),
    Came("2026-09-03", "05:05", "Langspurv", "POK", 126_300, GUTTED, "27.4.a", "OTB"),
    Came("2026-09-07", "05:10", "Solgnist", "MAC", 171_500, WHOLE, "27.4.a", "LHM"),
    Came("2026-09-07", "05:40", "Tåkelur", "HAD", 97_000, GUTTED, "27.2.a", "LLS"),
    Came("2026-09-07", "06:15", "Langspurv", "HAD", 88_400, GUTTED, "27.2.a", "OTB"),
    Came("2026-09-09", "05:20", "Nordskvett", "MAC", 148_900, WHOLE, "27.4.a", "PS"),
    Came("2026-09-14", "05:40", "Kvikkskjell", "POK", 134_000, GUTTED, "27.4.a", "GNS"),
    Came("2026-09-14", "06:10", "Brottleik", "HAD", 152_900, GUTTED, "27.2.a", "SV"),
    Came("2026-09-17", "05:10", "Tåkelur", "HAD", 231_000, GUTTED, "27.2.a", "LLS"),
    Came("2026-09-21", "05:05", "Solgnist", "MAC", 116_100, WHOLE, "27.4.a", "LHM"),
    Came("2026-09-21", "05:35", "Nordskvett", "MAC", 104_700, WHOLE, "27.4.a", "PS"),
    Came("2026-09-24", "05:20", "Langspurv", "HAD", 176_100, GUTTED, "27.2.a", "OTB"),
    Came("2026-09-28", "06:05", "Brottleik", "POK", 147_500, GUTTED, "27.4.a", "SV"),
    Came("2026-09-30", "06:10", "Nordskvett", "MAC", 186_800, WHOLE, "27.4.a", "PS"),
    Came("2026-10-01", "05:10", "Tåkelur", "HAD", 166_800, GUTTED, "27.2.a", "LLS"),
    Came("2026-10-05", "06:00", "Kvikkskjell", "HER", 192_300, WHOLE, "27.2.a", "GNS"),
    Came("2026-10-07", "05:10", "Nordskvett", "HER", 215_800, WHOLE, "27.2.a", "PS"),
    Came("2026-10-07", "06:30", "Langspurv", "POK", 65_500, GUTTED, "27.4.a", "OTB"),
    Came("2026-10-12", "06:10", "Brottleik", "HAD", 170_900, GUTTED, "27.2.a", "SV"),
    Came("2026-10-13", "05:15", "Solgnist", "MAC", 179_600, WHOLE, "27.4.a", "LHM"),
    Came("2026-10-15", "06:10", "Tåkelur", "HAD", 94_300, GUTTED, "27.2.a", "LLS"),
    Came("2026-10-15", "06:25", "Brottleik", "HAD", 106_500, GUTTED, "27.2.a", "SV"),
    Came("2026-10-19", "06:05", "Nordskvett", "MAC", 162_000, WHOLE, "27.4.a", "PS"),
    Came("2026-10-21", "05:50", "Langspurv", "POK", 119_900, GUTTED, "27.4.a", "OTB"),
    Came("2026-10-22", "05:25", "Brottleik", "HAD", 183_500, GUTTED, "27.2.a", "SV"),
    Came("2026-10-26", "05:05", "Kvikkskjell", "HER", 160_300, WHOLE, "27.2.a", "GNS"),
    Came("2026-10-28", "06:20", "Tåkelur", "HAD", 200_300, GUTTED, "27.2.a", "LLS"),
    Came("2026-11-02", "05:40", "Kvikkskjell", "HER", 187_900, WHOLE, "27.2.a", "GNS"),
    Came("2026-11-03", "06:25", "Langspurv", "POK", 129_500, GUTTED, "27.4.a", "OTB"),
    Came("2026-11-04", "06:05", "Tåkelur", "HAD", 149_100, GUTTED, "27.2.a", "LLS"),
    Came("2026-11-09", "05:50", "Brottleik", "HAD", 213_300, GUTTED, "27.2.a", "SV"),
    Came("2026-11-11", "05:10", "Nordskvett", "HER", 226_600, WHOLE, "27.2.a", "PS"),
    Came("2026-11-12", "06:20", "Langspurv", "POK", 136_100, GUTTED, "27.4.a", "OTB"),
    Came("2026-11-16", "05:50", "Langspurv", "HAD", 110_100, GUTTED, "27.2.a", "OTB"),
    Came("2026-11-16", "06:25", "Tåkelur", "HAD", 87_700, GUTTED, "27.2.a", "LLS"),
    Came("2026-11-17", "06:10", "Nordskvett", "HER", 173_200, WHOLE, "27.2.a", "PS"),
    Came("2026-11-19", "05:15", "Solgnist", "MAC", 78_400, WHOLE, "27.4.a", "LHM"),
    Came("2026-11-23", "05:45", "Brottleik", "HAD", 141_000, GUTTED, "27.2.a", "SV"),
)

FARMED = (
    Came("2026-09-10", "09:30", "Stillblikk Fish Farm", "SAL", 160_000, FILLETS, their_code="SB-26-071"),
    Came("2026-09-23", "09:15", "Stillblikk Fish Farm", "TRR", 150_000, GUTTED, their_code="SB-26-088"),
    Came("2026-10-09", "09:40", "Stillblikk Fish Farm", "SAL", 155_000, FILLETS, their_code="SB-26-103"),
    Came("2026-10-20", "09:20", "Stillblikk Fish Farm", "TRR", 145_000, GUTTED, their_code="SB-26-117"),
    Came("2026-10-30", "09:30", "Stillblikk Fish Farm", "SAL", 158_000, FILLETS, their_code="SB-26-126"),
    Came("2026-11-18", "09:25", "Stillblikk Fish Farm", "TRR", 140_000, GUTTED, their_code="SB-26-141"),
    Came("2026-11-20", "09:40", "Stillblikk Fish Farm", "SAL", 74_000, FILLETS, their_code="SB-26-144"),
)

BOUGHT_IN = (
    Came("2026-09-16", "10:20", "Skvalpen Fish Dealing", "COD", 120_000, FILLETS, "27.2.a", their_code="SK1187"),
    Came("2026-10-06", "10:45", "Skvalpen Fish Dealing", "COD", 110_000, FILLETS, "27.2.a", their_code="SK1243"),
    Came("2026-10-27", "10:10", "Skvalpen Fish Dealing", "COD", 130_000, FILLETS, "27.2.a", their_code="SK1310"),
    Came("2026-11-05", "10:30", "Skvalpen Fish Dealing", "COD", 90_000, FILLETS, "27.2.a", their_code="SK1342"),
)

SALT, WOOD, BAGS, FLAVOURING = "salt", "beech chips", "pack bags", "liquid smoke"
MATERIALS = (
    Came("2026-08-31", "10:10", "Kvitkorn Salt", SALT, 500_000, their_code="KK-S-2281"),
    Came("2026-08-31", "10:20", "Sponstad Wood Yard", WOOD, 150_000, their_code="B-26-31"),
    Came("2026-08-31", "10:30", "Glansfolie Bags", BAGS, 60_000, their_code="GF90417"),
    Came("2026-09-15", "11:00", "Dråpe & Damp Flavourings", FLAVOURING, 20_000, their_code="DD-0553"),
    Came("2026-09-25", "11:30", "Sponstad Wood Yard", WOOD, 150_000, their_code="B-26-38"),
    Came("2026-09-30", "11:40", "Glansfolie Bags", BAGS, 60_000, their_code="GF90688"),
    Came("2026-10-05", "11:20", "Kvitkorn Salt", SALT, 500_000, their_code="KK-S-2342"),
    Came("2026-10-23", "11:10", "Sponstad Wood Yard", WOOD, 150_000, their_code="B-26-44"),
    Came("2026-10-26", "11:50", "Glansfolie Bags", BAGS, 60_000, their_code="GF91025"),
    Came("2026-11-02", "11:15", "Kvitkorn Salt", SALT, 500_000, their_code="KK-S-2409"),
    Came("2026-11-16", "11:35", "Sponstad Wood Yard", WOOD, 150_000, their_code="B-26-51"),
)
