"""The invented house: who works there, who it deals with, what it makes. Every name, number and mark is made up.

The company prefix is one of GS1's demonstration prefixes (952), telephone numbers lie in a range nobody has, and mail
addresses end in ``.example``, which is kept free for this (RFC 2606). Only open code lists are real: species, catch
areas, gear, countries.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from lotwake.demo_db import plans
from lotwake.trace.records.entries.house import FROZEN, READY, TO_COOK, BuyerFacts, ProductFacts, SiteFacts, SourceFacts

SEED = 20260901
OPENED = datetime(2026, 8, 31, 7, 0, tzinfo=UTC)
"""When the house begins its record, the day before the first fish."""
FIRST_DAY = date(2026, 9, 1)
LAST_DAY = date(2026, 11, 23)
MORNING_AFTER = datetime(2026, 11, 24, 5, 30, tzinfo=UTC)
"""The season ends the evening before; a tour or a test goes on from here, 06:30 at the house."""
LABELS_SINCE = date(2026, 11, 18)
"""Until then the labels came out of the old word processor; from this day on the house prints them from the record."""

SITE = SiteFacts(
    name="Havlykt Smokehouse",
    address="Kai 3, 0000 Havlyktholmen",
    country="NO",
    company_prefix="9520000",
    zone="Europe/Oslo",
    phone="+47 000 00 001",
    approval="X-000",
    gln="9520000000004",
)

LEAD, PACKER, SMOKER, STORE = "SK", "MB", "EO", "JT"
OPERATORS = {
    LEAD: "Signe Kvikklund",
    PACKER: "Maren Bekkeblom",
    SMOKER: "Eirik Oskehaug",
    STORE: "Jonas Tåkedal",
}
"""Initials to names; the first one opens the house and signs releases."""
ADVISER = "Ylva Tangnes, food engineer"
"""The qualified person whom the house asks when a limit was not met; she does not work there."""

SOURCES = (
    SourceFacts("boat", "Tåkelur", "Q-101-HL", "NO", phone="+47 000 00 101"),
    SourceFacts("boat", "Kvikkskjell", "Q-104-HL", "NO", phone="+47 000 00 104"),
    SourceFacts("boat", "Brottleik", "Q-117-HL", "NO", phone="+47 000 00 117"),
    SourceFacts("boat", "Solgnist", "Q-122-HL", "NO", phone="+47 000 00 122"),
    SourceFacts("boat", "Nordskvett", "Q-130-HL", "NO", phone="+47 000 00 130"),
    SourceFacts("boat", "Langspurv", "Q-139-HL", "NO", phone="+47 000 00 139"),
    SourceFacts("farm", "Stillblikk Fish Farm", licence="HL-0007", address="Stillblikk", phone="+47 000 00 201"),
    SourceFacts("dealer", "Skvalpen Fish Dealing", address="Kai 9, Nøkkelvær", phone="+47 000 00 301"),
)

SUPPLIERS = (
    ("Kvitkorn Salt", "Nøkkelvær", "+47 000 00 401"),
    ("Sponstad Wood Yard", "Trollmyrdalen", "+47 000 00 402"),
    ("Glansfolie Bags", "Bærvågen", "+47 000 00 403"),
    ("Dråpe & Damp Flavourings", "Bærvågen", "+47 000 00 404"),
)

SMOKEHOUSES = ("smokehouse 1", "smokehouse 2")
TANKS = ("brine tank 1", "brine tank 2")
PROBES = ("P1", "P2")
SPARE_LOGGER = "logger B"
THERMOMETERS = tuple(f"core thermometer {probe}" for probe in PROBES)
SECOND_THERMOMETERS = ("core thermometer P3", "core thermometer P4")
"""Those of the second smokehouse, in the order of ``PROBES``."""
HYDROMETER, SCALE = "brine hydrometer", "platform scale"
EQUIPMENT = (
    *((name, "smokehouse") for name in SMOKEHOUSES),
    *((name, "brine tank") for name in TANKS),
    ("blast freezer", "freezer"),
    ("cold store", "freezer"),
    ("chiller", "chiller"),
    ("packing table", "table"),
    (SCALE, "scale"),
    *((name, "thermometer") for name in (*THERMOMETERS, *SECOND_THERMOMETERS)),
    *((f"air thermometer, {name}", "thermometer") for name in SMOKEHOUSES),
    (SPARE_LOGGER, "logger"),
    (HYDROMETER, "hydrometer"),
)

_FROZEN = "Keep frozen at -18 C or colder. Once thawed, keep at 0 to 3 C and do not freeze again."
_HEAT = "Heat through before eating."


def _product(
    gtin: str, name: str, species: str, fish: str, net_g: int, case_packs: int, plan: str, **more: Any
) -> ProductFacts:
    """A product of this house: sold frozen. Without words of its own, its label's lines follow from keeping and serving."""
    usual: dict[str, Any] = {
        "smoking": "hot smoked", "life_days": 180, "ingredients": f"{fish} (fish), salt, smoke.", "allergens": "fish",
        "keeping": FROZEN,
    }  # fmt: skip
    return ProductFacts(
        gtin=gtin, name=name, species=species, net_g=net_g, case_packs=case_packs, plan=plan, **(usual | more)
    )


_OWN_WORDS = {"storage": _FROZEN, "cook": _HEAT, "serving": TO_COOK}
_READY_IN_VACUUM = {"packaging": "vacuum", "serving": READY}

HADDOCK = _product("9520000000110", "Hot smoked haddock", "HAD", "Haddock", 300, 16, plans.HOT_SMOKING, **_OWN_WORDS)
KITCHEN_HADDOCK = _product(
    "9520000000219", "Hot smoked haddock, kitchen pack", "HAD", "Haddock", 1000, 6, plans.HOT_SMOKING, **_OWN_WORDS
)
MACKEREL = _product(
    "9520000000318", "Hot smoked mackerel", "MAC", "Mackerel", 250, 20, plans.HOT_SMOKING, **_READY_IN_VACUUM
)
HERRING = _product(
    "9520000000417", "Hot smoked herring", "HER", "Herring", 200, 24, plans.HOT_SMOKING, packaging="vacuum",
    serving=TO_COOK,
)  # fmt: skip
SAITHE = _product("9520000000516", "Hot smoked saithe", "POK", "Saithe", 300, 16, plans.HOT_SMOKING, serving=TO_COOK)
TROUT = _product("9520000000615", "Hot smoked trout", "TRR", "Trout", 250, 20, plans.HOT_SMOKING, serving=READY)
WHOLE_TROUT = _product(
    "99520000000724", "Hot smoked whole trout", "TRR", "Trout", 350, 12, plans.HOT_SMOKING, serving=READY,
    catch_weight=True,
)  # fmt: skip
"""No two fish weigh the same: each is weighed, and its label says its own weight."""
SALMON = _product(
    "9520000000714", "Cold smoked salmon", "SAL", "Salmon", 200, 24, plans.COLD_SMOKING, smoking="cold smoked",
    life_days=120, packaging="vacuum",
)  # fmt: skip
COD = _product(
    "9520000000813", "Smoke flavoured cod", "COD", "Cod", 150, 24, plans.FLAVOURING, smoking="smoke flavoured",
    life_days=120, ingredients="Cod (fish), salt, smoke flavouring.", serving=TO_COOK,
)  # fmt: skip
FLAKES = _product(
    "9520000000912", "Hot smoked haddock flakes", "HAD", "Haddock", 150, 24, plans.FLAKES, life_days=90, serving=READY
)
PRODUCTS = (HADDOCK, KITCHEN_HADDOCK, MACKEREL, HERRING, SAITHE, TROUT, SALMON, COD, FLAKES, WHOLE_TROUT)


@dataclass(frozen=True)
class Customer:
    """A buyer and their habit: every ``every``-th shipping day from the ``first`` they take up to so many cases of each.

    ``loose`` is how many packs they take that are in no case.
    """

    facts: BuyerFacts
    first: int
    every: int
    cases: tuple[tuple[ProductFacts, int], ...]
    loose: int = 0


def _buyer(name: str, place: str, number: int) -> BuyerFacts:
    mail = f"orders@buyer{number}.example"
    return BuyerFacts(name, f"+47 000 00 {number:03d}", mail, place)


CUSTOMERS = (
    Customer(_buyer("Kråkenebb Wholesale", "Bærvågen", 501), 1, 2, (
        (HADDOCK, 6), (MACKEREL, 6), (SAITHE, 4), (HERRING, 8), (KITCHEN_HADDOCK, 1))),
    Customer(_buyer("Stjernekryss Ferries", "Nøkkelvær", 502), 2, 3, (
        (KITCHEN_HADDOCK, 2), (HADDOCK, 4), (SALMON, 3), (COD, 4))),
    Customer(_buyer("Ullskjær Fish Counter", "Ullskjær", 503), 0, 2, ((HADDOCK, 2), (TROUT, 3), (HERRING, 3), (COD, 2))),
    Customer(_buyer("Duggvika Deli", "Duggvika", 504), 3, 3, ((SALMON, 3), (TROUT, 3), (MACKEREL, 2))),
    Customer(_buyer("Trollmyr Kitchen", "Trollmyrdalen", 505), 4, 4, ((KITCHEN_HADDOCK, 2), (SAITHE, 4), (FLAKES, 2))),
    Customer(_buyer("Mosebru Grocer", "Mosebrua", 506), 1, 3, ((MACKEREL, 3), (HERRING, 4), (COD, 3))),
    Customer(_buyer("Bærvåg School Kitchen", "Bærvågen", 507), 5, 4, ((FLAKES, 3), (SAITHE, 3), (KITCHEN_HADDOCK, 1))),
    Customer(_buyer("Nøkkelvær Hotel", "Nøkkelvær", 508), 2, 4, ((SALMON, 2), (TROUT, 2), (HADDOCK, 2))),
    Customer(_buyer("Sjøglimt Canteen", "Havlyktholmen", 509), 6, 5, ((SAITHE, 3), (HADDOCK, 2), (FLAKES, 1))),
    Customer(_buyer("Fjellknoll Lodge", "Fjellknollen", 510), 3, 5, ((TROUT, 2), (HERRING, 2), (SALMON, 1), (WHOLE_TROUT, 1))),
    Customer(_buyer("Havlykt Quay Stall", "Kai 1, Havlyktholmen", 511), 1, 2, ((MACKEREL, 1), (HADDOCK, 1)), loose=30),
    Customer(_buyer("Lynggard Farm Shop", "Lynggarden", 512), 4, 3, ((COD, 2), (HADDOCK, 2), (MACKEREL, 1))),
)  # fmt: skip
"""Twelve buyers; goods leave on Tuesdays and Fridays, with the house's two carriers by turns."""

CARRIERS = ("Skarvtråkk Freight", "own van")
